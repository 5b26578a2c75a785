"""The layers of the code: imports go one way, each library has one home, and what is written stays short.

web, cli → actions → store, drawings, nesting, paper → scenes → domain → wording
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted((ROOT / "shopfloor").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))

# What each layer may import of the others. `app`, `cli`, `server` and `measuring` wire things up; nobody imports them.
ARROWS = {
    "wording": set(),
    "domain": {"wording"},
    "scenes": {"domain", "wording"},
    "worker": {"domain"},
    "drawings": {"domain", "worker"},
    "nesting": {"domain", "worker"},
    "photos": {"domain"},
    "thermometer": {"domain"},
    "paper": {"domain", "scenes"},
    "store": {"domain"},
    "actions": {
        "domain",
        "store",
        "drawings",
        "nesting",
        "thermometer",
        "paper",
        "photos",
        "worker",
    },
    "web": {"domain", "store", "actions", "scenes"},
    "demo": {"domain", "store", "actions"},
    "app": {"domain", "store", "actions", "web"},
    "server": {"web"},
    "measuring": {
        "domain",
        "store",
        "actions",
        "drawings",
        "nesting",
        "paper",
        "demo",
        "app",
        "server",
    },
    "cli": {
        "domain",
        "store",
        "actions",
        "demo",
        "app",
        "server",
        "measuring",
        "cli_bench",
        "cli_intake",
        "cli_revise",
        "cli_sheets",
    },
    "cli_bench": {"domain", "store", "actions", "cli_sheets"},
    "cli_intake": {"domain", "store", "actions"},
    "cli_revise": {"domain", "store", "actions", "cli_intake"},
    "cli_sheets": {"domain", "store", "actions"},
}
# A page that offers the paper's layouts names them as the paper does.
ALSO = {("shopfloor.web.pieces.labels", "paper")}

# The only layers that may import a library (a layer 'web' or one module 'nesting').
HOMES = {
    "flask": {"web", "app", "server", "measuring"},
    "jinja2": {"app"},
    "cheroot": {"server"},
    "spyrrow": {"nesting"},
    "fpdf": {"paper"},
    "PIL": {"photos"},
    "qrcode": {"paper"},
    "svgelements": {"drawings"},
    "tinycss2": {"drawings"},
    "cssselect2": {"drawings"},
    "ezdxf": {"drawings"},
    "defusedxml": {"drawings"},
    "sqlite3": {"store", "measuring"},
    "subprocess": {"worker", "measuring"},
}

# What a rule of the trade must not reach for: a disk, a clock, dice, a process, a database.
IMPURE = {
    "os",
    "io",
    "pathlib",
    "tempfile",
    "shutil",
    "sqlite3",
    "time",
    "random",
    "secrets",
    "uuid",
    "subprocess",
    "socket",
    "threading",
    "logging",
    "importlib",
    "sys",
}
PURE_LIBRARIES = {"shapely", "numpy"}

# Libraries that come with Flask; and the module that makes the demo's drawings from a font, which no shop runs.
OF_FLASK = {"werkzeug", "jinja2", "markupsafe"}
FOR_MAKERS = {"shopfloor.demo.draw"}

MOST_LINES, MOST_LINES_A_FUNCTION = 500, 50


class Import(NamedTuple):
    """One imported module and the names taken from it (none for `import x`)."""

    module: str
    names: tuple[str, ...]


def module_of(path: Path) -> str:
    words = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(words[:-1] if words[-1] == "__init__" else words)


def layer_of(module: str) -> str | None:
    """'domain' for shopfloor.domain.pieces; None for the package itself and what is not ours."""
    words = module.split(".")
    return words[1] if words[0] == "shopfloor" and len(words) > 1 else None


def imports_of(path: Path) -> Iterator[Import]:
    package = list(path.relative_to(ROOT).parts[:-1])
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (Import(alias.name, ()) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*base, *(node.module or "").split(".")]).strip(".")
            names = tuple(alias.name for alias in node.names)
            yield Import(module, names)
            if layer_of(module) is None:  # from .. import nesting
                yield from (Import(f"{module}.{name}", ()) for name in names)


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def test_the_walk_finds_the_layers_of_the_design():
    assert {layer_of(module_of(path)) for path in FILES} - {None} == set(ARROWS)
    found = {layer_of(one.module) for one in imports_of(ROOT / "shopfloor/actions/nests.py")}
    assert {"domain", "store", "nesting", "actions"} <= found, "`from .. import nesting` counts too"


def test_imports_go_one_way():
    wrong = []
    for path in FILES:
        module = module_of(path)
        here = layer_of(module)
        for one in imports_of(path):
            there = layer_of(one.module)
            is_known = there in (None, here, "__version__", "wording") or (module, there) in ALSO
            if not is_known and there not in ARROWS[here]:
                wrong.append(f"{module} imports {one.module}")
    assert wrong == []


# Inside domain and web: which area may read which other; all read the root (and, in web, the pictures), which reads none.
AREAS = {
    "domain": {
        "holding": set(),
        "routing": {"holding"},
        "drawing": {"routing", "holding"},
        "bench": {"drawing"},
        "fixings": set(),
        "setting_out": {"drawing", "fixings"},
        "recuts": {"bench"},
    },
    "web": {
        "pictures": set(),
        "bench": {"pictures"},
        "jobs": {"pictures"},
        "office": {"pictures"},
        "pieces": {"pictures"},
        "sheets": {"pictures"},
    },
}


def area_of(module: str, layer: str) -> str:
    """'bench' for shopfloor.domain.bench.cure, '' for a module at the root of its layer."""
    words = module.split(".")
    return words[2] if len(words) > 2 and words[2] in AREAS[layer] else ""


def test_areas_read_each_other_one_way():
    wrong = []
    for path in FILES:
        module = module_of(path)
        layer = layer_of(module)
        if layer not in AREAS:
            continue
        here = area_of(module, layer)
        for one in imports_of(path):
            for target in (one.module, *(f"{one.module}.{name}" for name in one.names)):
                there = area_of(target, layer) if layer_of(target) == layer else ""
                if there not in ("", here) and there not in AREAS[layer].get(here, set()):
                    wrong.append(f"{module} imports {target}")
    assert wrong == []


def test_each_area_is_a_folder_that_says_what_is_in_it():
    for layer, areas in AREAS.items():
        folders = {
            path.name
            for path in (ROOT / "shopfloor" / layer).iterdir()
            if (path / "__init__.py").exists()
        }
        assert folders == set(areas)
        for area in areas:
            assert "Start with" in ast.get_docstring(
                parsed(ROOT / "shopfloor" / layer / area / "__init__.py")
            )


def test_each_library_has_one_home():
    wrong = []
    for path in FILES:
        here = layer_of(module_of(path))
        for one in imports_of(path):
            library = one.module.split(".")[0]
            is_at_home = here in HOMES.get(library, {here})
            if not is_at_home:
                wrong.append(f"{module_of(path)} imports {one.module}")
    assert wrong == []


def test_only_the_store_speaks_sql():
    wrong = [
        f"{module_of(path)}: {ast.unparse(node)}"
        for path in FILES
        if layer_of(module_of(path)) not in ("store", "measuring")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in ("execute", "executemany", "executescript")
    ]
    assert wrong == []


def test_the_rules_of_the_trade_and_the_scenes_are_pure():
    may_import = {"shopfloor", *PURE_LIBRARIES} | sys.stdlib_module_names - IMPURE
    clocks = {
        "datetime.now",
        "datetime.utcnow",
        "datetime.today",
        "date.today",
        "open",
        "print",
        "input",
    }
    for path in FILES:
        if layer_of(module_of(path)) in ("domain", "scenes"):
            assert {one.module.split(".")[0] for one in imports_of(path)} <= may_import, path
            called = {
                ast.unparse(node.func)
                for node in ast.walk(parsed(path))
                if isinstance(node, ast.Call)
            }
            assert not called & clocks, f"{path}: the caller says what time it is"


def test_what_is_imported_is_installed_with_the_package():
    """Every library is Python's own or stands in pyproject's dependencies."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    called = {"fpdf2": "fpdf", "fonttools": "fontTools", "pillow": "PIL"}
    named = {line.split("==")[0] for line in project["dependencies"]}
    known = (
        {"shopfloor", *OF_FLASK}
        | {called.get(name, name) for name in named}
        | sys.stdlib_module_names
    )
    wrong = [
        f"{module_of(path)} imports {one.module}"
        for path in FILES
        for one in imports_of(path)
        if one.module.split(".")[0] not in known and module_of(path) not in FOR_MAKERS
    ]
    assert wrong == []


# What is written stays short and explained. --------------------------------------------------------------------------


def test_a_module_is_short_and_says_what_it_owns():
    wrong = []
    for path in FILES + TESTS:
        lines = len(path.read_text("utf-8").splitlines())
        if lines > MOST_LINES and path.name not in TABLES:
            wrong.append(f"{path.relative_to(ROOT)} has {lines} lines")
        if lines and not ast.get_docstring(parsed(path)):
            wrong.append(f"{path.relative_to(ROOT)} has no docstring")
    assert wrong == []


# Tables of drawings and of records, written out: each entry is short, and they are read one by one.
TABLES = {"corpus_svg.py", "corpus_dxf.py", "preview.py", "records_for_tests.py"}


def test_functions_are_short():
    wrong = [
        f"{path.relative_to(ROOT)}: {node.name} has {node.end_lineno - node.lineno + 1} lines"
        for path in FILES + TESTS
        if path.name not in TABLES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.FunctionDef)
        and node.end_lineno - node.lineno >= MOST_LINES_A_FUNCTION
    ]
    assert wrong == []


def test_what_is_public_is_explained():
    wrong = [
        f"{module_of(path)}.{name}"
        for path in FILES
        for name, node in public(parsed(path).body)
        if not ast.get_docstring(node) and not is_message(node)
    ]
    assert wrong == []


def is_message(node: ast.AST) -> bool:
    """True for a message of a wording module: its text says what it is."""
    return any(ast.unparse(each) == "message" for each in getattr(node, "decorator_list", ()))


def public(
    body: list[ast.stmt], inside: str = ""
) -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield inside + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node.body, f"{node.name}.")


# Calls that take a message: a sentence written in their place is one that nobody can translate.
TAKE_A_MESSAGE = {"Refused", "Conflict", "NotFound", "NotAllowed", "Answer", "Notice", "Finding"}
SQL = re.compile("[A-Z_]{2,}$")  # a statement or a part of one begins with a word in capitals


def is_sentence(node: ast.AST) -> bool:
    """True for text, plain or with places, that begins like a sentence and has four words or more."""
    parts = node.values if isinstance(node, ast.JoinedStr) else [node]
    texts = [part.value if isinstance(part, ast.Constant) else "x" for part in parts]
    if not all(isinstance(text, str) for text in texts):
        return False
    words = "".join(texts).split()
    if sum(bool(re.search("[a-z]{3}", word)) for word in words) < 3:
        return False  # path data, a template of figures
    return len(words) > 3 and words[0][:1].isupper() and not SQL.match(words[0])


def docstrings(tree: ast.Module) -> set[ast.AST]:
    owners = (ast.Module, ast.FunctionDef, ast.ClassDef)
    return {
        statement.value
        for node in ast.walk(tree)
        if isinstance(node, owners)
        for statement in node.body
        if isinstance(statement, ast.Expr)
    }


def for_developers(tree: ast.Module) -> set[ast.AST]:
    """What only a log or a broken program shows, and the help of the command line."""
    shown = (
        ".error",
        ".warning",
        ".info",
        ".exception",
        "ArgumentParser",
        ".add_argument",
        "_option",
    )
    raised = ("ValueError", "TypeError", "LookupError", "RuntimeError", "KeyError")
    return {
        inside
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(shown + raised)
        for inside in ast.walk(node)
    }


def test_no_sentence_for_a_person_is_written_outside_wording():
    wrong = []
    for path in FILES:
        if layer_of(module_of(path)) in ("wording", "measuring", "demo"):
            continue
        tree = parsed(path)
        skipped = docstrings(tree) | for_developers(tree)
        wrong += [
            f"{module_of(path)}:{node.lineno} {ast.unparse(node)[:70]}"
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant | ast.JoinedStr)
            and node not in skipped
            and is_sentence(node)
        ]
        wrong += [
            f"{module_of(path)}:{node.lineno} {ast.unparse(node)[:70]}"
            for node in ast.walk(tree)
            if isinstance(node, ast.Call)
            and ast.unparse(node.func).rpartition(".")[2] in TAKE_A_MESSAGE
            and node.args
            and isinstance(node.args[0], ast.JoinedStr)
        ]
    assert wrong == []


def test_the_test_of_sentences_finds_one():
    tree = ast.parse('raise Refused(f"There is no sheet {code}: look it up.")')
    assert any(is_sentence(node) for node in ast.walk(tree))
    assert not any(is_sentence(node) for node in ast.walk(ast.parse('"SELECT a FROM b WHERE c"')))


def test_no_module_is_a_drawer_for_odds_and_ends():
    assert not {path.stem for path in FILES} & {
        "utils",
        "util",
        "helpers",
        "helper",
        "manager",
        "misc",
        "common",
    }


def test_the_top_level_holds_nothing_else():
    listed = {path.name for path in ROOT.iterdir()} - ignored()
    assert listed <= {
        ".ci",
        ".git",
        ".gitignore",
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "shopfloor",
        "templates",
        "static",
        "tests",
    }


def ignored() -> set[str]:
    """What the .gitignore leaves out of the top level."""
    lines = (ROOT / ".gitignore").read_text("utf-8").split()
    return {path.name for path in ROOT.iterdir() for line in lines if path.match(line.rstrip("/"))}
