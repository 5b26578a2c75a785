"""A mutation bench, run by hand: do the tests notice when a line of domain, store or actions is wrong?

    python tests/mutation/bench.py map [FOLDER ...]      which test reaches which line (once for each state of the source)
    python tests/mutation/bench.py list                  the chosen mutants, 100 a layer
    python tests/mutation/bench.py run [--layer store] [--most 5]
    python tests/mutation/bench.py report

A mutant is the source with one operator, number, `not` or early return changed. Each runs the tests that reach its line, the quickest
first, until one fails, for 60 s of the processor at most. The mutants are chosen with a fixed seed. Everything is kept in .mutation/, one JSON line a
result, under a mark of the source: `map` and `run` go on where they stopped, and begin again where the source has changed.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import importlib
import itertools
import json
import math
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path

import pytest
from coverage import CoverageData

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / ".mutation"
LAYERS = ("domain", "store", "actions")
SEED, EACH, MOST_SECONDS = 26, 100, 60
WANTED = 90  # of 100 mutants of a layer are to be killed
SLOWED = 10  # times as long on the clock: only the processor's time is limited, so a busy machine changes nothing
MOST_FILES = 8  # of tests that are tried before all others
SLOWEST = 20.0  # a test that takes longer is left out: it would use up the time of all others
LOADED = "ezdxf flask fontTools.ttLib fpdf hypothesis pint playwright.sync_api shapely svgelements"
NOT_RUN = {"browser", "packaging", "architecture", "look", "mutation", "fixtures", "__pycache__"}

SWAPS = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "*"),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}


@dataclass(frozen=True, order=True)
class Mutant:
    """One change: bytes `start` to `end` of a file become `new`. Reached by the tests that reach one of `lines`.

    `lines` is empty for what runs on import: every test that reaches the file reaches it.
    """

    path: str
    start: int
    end: int
    new: str
    old: str
    line: int
    lines: tuple[int, ...]
    function: str = ""  # in which it is, with the classes around it
    nth: int = 0  # among the same changes in that function

    @property
    def name(self) -> str:
        """The name it has in lists and results: where it is in the source as it is now."""
        return f"{self.path}:{self.line}@{self.start} {self.old!r} -> {self.new!r}"

    @property
    def key(self) -> str:
        """A name that stays when lines are added elsewhere."""
        return f"{self.path}:{self.function} {self.nth}: {self.old!r} -> {self.new!r}"

    @property
    def layer(self) -> str:
        """The folder of the program that it is in."""
        return self.path.split("/")[1]

    @property
    def rank(self) -> str:
        """Its place in the draw: the lowest are tried. It hangs on its own key only."""
        return hashlib.sha256(f"{SEED} {self.key}".encode()).hexdigest()

    def put_into(self, source: bytes) -> bytes:
        """Return the changed source."""
        return source[: self.start] + self.new.encode() + source[self.end :]


# Mutants. ---------------------------------------------------------------------------------------


def mutants_of(path: str, source: bytes) -> list[Mutant]:
    """Return every change to try in one file, in the order of its text."""
    tree = ast.parse(source)
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))

    def at(line: int, column: int) -> int:
        return starts[line - 1] + column

    found = []
    for node, lines, function in _reached(tree):
        for start, end, new in _changes(node, source, at):
            old, line = source[start:end].decode(), source.count(b"\n", 0, start) + 1
            found.append(Mutant(path, start, end, new, old, line, lines, function))
    seen: Counter[str] = Counter()
    numbered = []
    for mutant in sorted(set(found)):
        numbered.append(replace(mutant, nth=seen[mutant.key]))
        seen[mutant.key] += 1
    return numbered


def _reached(tree: ast.Module) -> Iterator[tuple[ast.AST, tuple[int, ...], str]]:
    """Every node that is run, the lines on which a test is seen to reach it (its statement's head), its function."""

    def walk(
        node: ast.AST, lines: tuple[int, ...], is_inside: bool, function: str
    ) -> Iterator[tuple[ast.AST, tuple[int, ...], str]]:
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            end = body[0].lineno - 1 if body else node.end_lineno
            lines = tuple(range(node.lineno, max(end, node.lineno) + 1)) if is_inside else ()
        yield node, lines, function
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            function = f"{function}.{node.name}".lstrip(".")
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns") or isinstance(value, ast.JoinedStr):
                continue  # not run; and Python 3.11 gives wrong places inside an f-string
            inside = is_inside or (name == "body" and isinstance(node, ast.FunctionDef))
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST) and not isinstance(child, ast.JoinedStr):
                    yield from walk(child, lines, inside, function)

    yield from walk(tree, (), is_inside=False, function="")


def _changes(node: ast.AST, source: bytes, at) -> Iterator[tuple[int, int, str]]:
    """The places of a node to change, each as (start, end, what is there then)."""
    match node:
        case ast.Compare(left=left, ops=ops, comparators=right):
            pairs = zip(ops, [left, *right], right, strict=False)
            yield from _between(pairs, source, at)
        case ast.BinOp(left=left, op=op, right=right):
            yield from _between([(op, left, right)], source, at)
        case ast.BoolOp(op=op, values=values):
            pairs = [(op, *pair) for pair in itertools.pairwise(values)]
            yield from _between(pairs, source, at)
        case ast.UnaryOp(op=ast.Not()):
            start = at(node.lineno, node.col_offset)
            yield start, start + len("not"), ""
        case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
            place = at(node.lineno, node.col_offset), at(node.end_lineno, node.end_col_offset)
            yield *place, repr(value + 1)
            yield *place, repr(value - 1)
        case ast.If() | ast.For() | ast.While() | ast.With() | ast.Try():
            for last in (child for child in ast.walk(node) if isinstance(child, ast.Return)):
                if last.value and not (
                    isinstance(last.value, ast.Constant) and last.value.value is None
                ):
                    start = at(last.value.lineno, last.value.col_offset)
                    yield start, at(last.value.end_lineno, last.value.end_col_offset), "None"


def _between(pairs, source: bytes, at) -> Iterator[tuple[int, int, str]]:
    """The operators between two operands that stand in SWAPS."""
    for op, left, right in pairs:
        if type(op) not in SWAPS:
            continue
        old, new = SWAPS[type(op)]
        first = at(left.end_lineno, left.end_col_offset)
        gap = source[first : at(right.lineno, right.col_offset)]
        place = re.search(rb"\s+".join(re.escape(word.encode()) for word in old.split()), gap)
        if place:
            yield first + place.start(), first + place.end(), new


def is_another_program(mutant: Mutant, source: bytes) -> bool:
    """True if the changed source can be read and does not read the same."""
    try:
        return ast.dump(ast.parse(mutant.put_into(source))) != ast.dump(ast.parse(source))
    except SyntaxError:
        return False


def chosen(layer: str) -> list[Mutant]:
    """Return the mutants of a layer that are tried: the same for the same source, and nearly so after a change of it."""
    sources = {
        path.relative_to(ROOT).as_posix(): path.read_bytes()
        for path in sorted((ROOT / "shopfloor" / layer).rglob("*.py"))
    }
    every = [mutant for path, source in sources.items() for mutant in mutants_of(path, source)]
    every.sort(key=lambda mutant: mutant.rank)
    new = (mutant for mutant in every if is_another_program(mutant, sources[mutant.path]))
    return list(itertools.islice(new, EACH))


# Which test reaches which line. -----------------------------------------------------------------


@cache
def source_mark() -> str:
    """A short mark of the program and its tests, as they are now."""
    mark = hashlib.sha256()
    for folder in ("shopfloor", "templates", "tests"):
        for path in sorted((ROOT / folder).rglob("*")):
            is_bench = path.parent == Path(__file__).parent
            if path.is_file() and path.suffix in (".py", ".html", ".sql") and not is_bench:
                mark.update(path.relative_to(ROOT).as_posix().encode() + path.read_bytes())
    return mark.hexdigest()[:12]


def folders() -> list[str]:
    """The folders (and lone files) of tests that take part."""
    tests = ROOT / "tests"
    files = [path for path in tests.rglob("test_*.py") if not NOT_RUN & set(path.parts)]
    return sorted(
        {(p if p.parent == tests else p.parent).relative_to(ROOT).as_posix() for p in files}
    )


def map_file(folder: str) -> Path:
    """Where the map of one folder is kept, without an ending."""
    return KEPT / source_mark() / folder.replace("/", "-").removesuffix(".py")


def make_map(asked: list[str]) -> None:
    """Run the tests of each folder that has no map yet, and keep which lines they reach."""
    for folder in asked or folders():
        kept = map_file(folder)
        if kept.with_suffix(".json").exists():
            continue
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.with_suffix(".coverage").unlink(missing_ok=True)
        here = [path.as_posix() for path in (ROOT / folder).glob("test_*.py")] or [folder]
        environment = python_path(ROOT) | {"SHOPFLOOR_REACHED": str(kept)}
        command = ["-p", "mutation.reached", "-m", "not browser", *here]
        done = subprocess.run(pytest_command(*command), cwd=ROOT, env=environment, check=False)
        if done.returncode not in (0, 1, 5):
            raise SystemExit(f"The tests of {folder} could not be run.")
        for name in json.loads(kept.with_suffix(".json").read_text())["failed"]:
            print(f"{name} fails already: left out", flush=True)


class Map:
    """What is known of the tests: the lines that they reach and the time that they take."""

    def __init__(self) -> None:
        self.mapped = [each for each in folders() if map_file(each).with_suffix(".json").exists()]
        self.is_whole = self.mapped == folders()
        self.data = []
        self.seconds: dict[str, float] = {}
        for folder in self.mapped:
            facts = json.loads(map_file(folder).with_suffix(".json").read_text())
            failed = set(facts["failed"])
            self.seconds |= {k: v for k, v in facts["seconds"].items() if k not in failed}
            if map_file(folder).with_suffix(".coverage").exists():
                data = CoverageData(str(map_file(folder).with_suffix(".coverage")))
                data.read()
                self.data.append(data)

    def tests_that_reach(self, mutant: Mutant) -> list[str]:
        """Return the tests that reach a mutant, the quickest first, those that would use up the time left out."""
        names = set()
        for data in self.data:
            by_line = data.contexts_by_lineno(str(ROOT / mutant.path))
            for line, contexts in by_line.items():
                if not mutant.lines or line in mutant.lines:
                    names |= set(contexts)
        files = {name for name in names if "::" not in name and name}
        tests = [
            test
            for test, seconds in self.seconds.items()
            if (test in names or test.split("::")[0] in files) and seconds <= SLOWEST
        ]
        killer = killers(mutant.layer).get(mutant.key)
        return sorted(tests, key=lambda test: (test != killer, self.seconds[test], test))


# Trying a mutant. -------------------------------------------------------------------------------


def python_path(root: Path) -> dict[str, str]:
    """The environment in which the program and the tests are those below `root`."""
    return os.environ | {"PYTHONPATH": f"{root}{os.pathsep}{root / 'tests'}"}


# Quietly, keeping nothing, with the same examples every time.
QUIET = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--hypothesis-seed=0"]


def pytest_command(*words: str) -> list[str]:
    """The command that runs pytest in a process of its own."""
    return [sys.executable, "-m", "pytest", *QUIET, *words]


def try_mutant(mutant: Mutant, tests: list[str], copy: Path) -> dict[str, object]:
    """Put a mutant into the copy, run its tests, take it out again. Return the outcome and the test that failed.

    First runs alone the test that killed it the last time, then the few that are nearest: so little has to be collected.
    """
    if not tests:
        return {"outcome": "not reached", "by": "", "seconds": 0.0}
    path, source = copy / mutant.path, (ROOT / mutant.path).read_bytes()
    write(path, mutant.put_into(source))
    begin, code, said = time.monotonic(), 0, ""
    used_before = sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])
    try:
        first = [tests[:1]] if killers(mutant.layer).get(mutant.key) == tests[0] else []
        for some in [*first, nearest(mutant, tests), tests]:
            used = sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2]) - used_before
            code, said = run_tests(some, copy, MOST_SECONDS - used)
            if code:
                break
    except subprocess.TimeoutExpired:
        return {"outcome": "timed out", "by": "", "seconds": MOST_SECONDS}
    finally:
        write(path, source)
    if code not in (0, 1, 2) and "ERROR tests/" not in said:  # which a failing import says
        raise SystemExit(f"pytest could not run for {mutant.name}:\n{said}")
    by = re.search(r"^(?:FAILED|ERROR) (\S+)", said, re.MULTILINE)
    return {
        "outcome": "killed" if code else "survived",
        "by": by[1] if by else "",
        "seconds": round(time.monotonic() - begin, 1),
    }


def nearest(mutant: Mutant, tests: list[str]) -> list[str]:
    """Return the tests in the folder that mirrors the mutant's, of few files, the quickest first."""
    folder = Path("tests", *Path(mutant.path).parts[1:-1]).as_posix()
    here = [test for test in tests if test.startswith(f"{folder}/")] or tests
    files = list(dict.fromkeys(test.split("::")[0] for test in here))[:MOST_FILES]
    return [test for test in here if test.split("::")[0] in files]


def run_tests(tests: list[str], copy: Path, most_seconds: float) -> tuple[int, str]:
    """Run tests in a fork of this process, in which the libraries are loaded already. Return pytest's code and words.

    Raises TimeoutExpired.
    """
    names, said = copy / "tests-to-run.txt", copy / "said.txt"
    names.write_text("\n".join(tests), "utf-8")
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        os.chdir(copy)
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(most_seconds),) * 2)
        sys.path[:0] = [str(copy), str(copy / "tests")]
        os.environ |= python_path(copy)
        with said.open("w", encoding="utf-8") as file:
            os.dup2(file.fileno(), 1)
            os.dup2(file.fileno(), 2)
            os._exit(pytest.main([*QUIET, "-x", "--tb=no", "-rfE", f"@{names}"]))
    until = time.monotonic() + SLOWED * most_seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done and os.WIFSIGNALED(status):
            break
        if done:
            return os.waitstatus_to_exitcode(status), said.read_text("utf-8")
        time.sleep(0.05)
    else:
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
    raise subprocess.TimeoutExpired("pytest", most_seconds)


_writes = itertools.count(1)


def write(path: Path, content: bytes) -> None:
    """Write a source file with a time of its own, so that no compiled file of another mutant is taken for it."""
    path.write_bytes(content)
    moment = time.time() + 10 * next(_writes)
    os.utime(path, (moment, moment))


def run(layers: list[str], most: int) -> None:
    """Try the mutants that have no result yet, at most `most` of each layer."""
    reached = Map()
    if not reached.is_whole and most >= EACH:
        raise SystemExit("The map is not whole: run `map` first, or try a few with --most.")
    for library in LOADED.split():
        importlib.import_module(library)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "shop"
        ignored = shutil.ignore_patterns(".git", ".mutation", ".venv", "__pycache__", ".*_cache")
        shutil.copytree(ROOT, copy, ignore=ignored)
        for layer in layers:
            tried = {result["name"] for result in results(layer)}
            left = [mutant for mutant in chosen(layer) if mutant.name not in tried]
            for mutant in left[:most]:
                tests = reached.tests_that_reach(mutant)
                outcome = try_mutant(mutant, tests, copy)
                keep(layer, mutant, outcome | {"tests": len(tests), "folders": len(reached.mapped)})


def killers_file(layer: str) -> Path:  # kept for every state of the source
    return KEPT / f"killers-{layer}.json"


def results_file(layer: str) -> Path:
    return KEPT / source_mark() / f"{layer}.jsonl"


def killers(layer: str) -> dict[str, str]:
    """The test that killed each mutant the last time, by the mutant's key: it is tried first."""
    file = killers_file(layer)
    return json.loads(file.read_text("utf-8")) if file.exists() else {}


def keep(layer: str, mutant: Mutant, outcome: dict[str, object]) -> None:
    """Add one result."""
    result = {"name": mutant.name, **outcome, "mutant": asdict(mutant)}
    with results_file(layer).open("a", encoding="utf-8") as file:
        file.write(json.dumps(result) + "\n")
    if outcome["by"]:
        known = killers(layer) | {mutant.key: outcome["by"]}
        killers_file(layer).write_text(json.dumps(known, indent=0), "utf-8")
    said = f"{outcome['outcome']:>11} {outcome['seconds']:>5} s  {mutant.name}  {outcome['by']}"
    print(said, flush=True)


def results(layer: str) -> list[dict]:
    """Return the results of a layer for the source as it is now that were got with all tests that are mapped now."""
    if not results_file(layer).exists():
        return []
    mapped = len(Map().mapped)
    lines = [json.loads(line) for line in results_file(layer).read_text("utf-8").splitlines()]
    return [line for line in lines if line["folders"] == mapped or line["outcome"] == "killed"]


def report() -> bool:
    """Print the figures of each layer, and what was not killed; True where each reaches what is wanted."""
    is_enough = True
    for layer in LAYERS:
        found = results(layer)
        counts = Counter(result["outcome"] for result in found)
        print(f"{layer}: {counts['killed']} killed of {len(found)} tried ({dict(counts)})")
        for result in found:
            if result["outcome"] != "killed":
                print(f"  {result['outcome']}: {result['name']}, {result['tests']} tests reach it")
        is_enough = is_enough and len(found) >= EACH and counts["killed"] >= WANTED
    return is_enough


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    verbs = parser.add_subparsers(dest="verb", required=True)
    verbs.add_parser("map").add_argument("folders", nargs="*")
    verbs.add_parser("list")
    running = verbs.add_parser("run")
    running.add_argument("--layer", choices=LAYERS, action="append")
    running.add_argument("--most", type=int, default=EACH)
    verbs.add_parser("report")
    asked = parser.parse_args()
    match asked.verb:
        case "map":
            make_map(asked.folders)
        case "list":
            for layer in LAYERS:
                print(*(mutant.name for mutant in chosen(layer)), sep="\n")
        case "run":
            run(asked.layer or list(LAYERS), asked.most)
        case "report":
            sys.exit(0 if report() else 1)


if __name__ == "__main__":
    main()
