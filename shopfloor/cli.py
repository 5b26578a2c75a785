"""The command line: one thin function a verb. What is refused is one line on standard error and exit code 2."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

from . import __version__, cli_bench, cli_intake, cli_revise, cli_sheets
from .domain import codes
from .domain.errors import NotFound, Refused, ShopError
from .wording import cli as wording
from .wording.message import joined

if TYPE_CHECKING:  # each verb imports what it needs: `--help` answers at once
    from .actions.unit_of_work import Answer, Shop
    from .store.db import Connection

Options = argparse.Namespace
Verbs = Any  # argparse keeps its type of subparsers to itself

OLD_VERBS = {"setup-sheet": ("ticket",)}  # names of an earlier version, for one release


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one verb and gives the exit code."""
    options = _parser().parse_args(argv)
    try:
        verb: Callable[[Options], int] = options.verb
        return verb(options)
    except ShopError as refusal:
        print(refusal.sentence, file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 1


def demo(options: Options) -> int:
    """Fills a demo shop and serves it."""
    from .demo import shop as demo_shop

    path = demo_shop.fill(Path(options.db) if options.db else None)
    print(demo_shop.introduction(path), flush=True)
    return 0 if options.no_serve else _serve(path, "127.0.0.1", options.port, None)


def serve(options: Options) -> int:
    """Serves a shop's database."""
    tls = None
    if options.tls:
        if not (options.cert and options.key):
            raise Refused(wording.tls_needs_files())
        tls = (options.cert, options.key)
    return _serve(Path(options.db), options.host, options.port, tls)


def _serve(path: Path, host: str, port: int, tls: tuple[str, str] | None) -> int:
    from . import server
    from .app import create_app
    from .store.db import Database

    app = create_app(Database(path), address=f"{host}:{port}")

    def say(host: str, port: int) -> None:
        scheme = "https" if tls else "http"
        print(wording.serving(str(path), f"{scheme}://{host}:{port}/"), flush=True)

    try:
        server.serve(app, host, port, tls=tls, ready=say)
    except OSError as error:  # the port is taken, or the certificate cannot be read
        why = error.strerror or "in use"
        raise Refused(wording.cannot_serve(f"{host}:{port}", why, tls is not None)) from None
    return 0


def intake(options: Options) -> int:
    """Takes drawings in as one job and nests its pieces."""
    from .actions import drawings

    reads = [drawings.read_drawing(_file(name), name, options.unit) for name in options.drawing]
    is_new = not Path(options.db).exists()
    try:
        with _opened(options.db) as shop:
            answer, warnings = cli_intake.take_in(options, shop, reads)
            shown = _shown_job(shop, answer, warnings)
    except ShopError:
        if is_new:
            _remove(Path(options.db))  # a refusal leaves nothing behind
        raise
    _print(shown, options.json, answer.sentence)
    return 0


def revise(options: Options) -> int:
    """Changes a job under way to a new drawing, or says what that would cost."""
    from .actions import drawings

    reads = [drawings.read_drawing(_file(name), name, options.unit) for name in options.drawing]
    with _opened(options.db, create=False) as shop:
        shown, sentence = cli_revise.change(options, shop, reads)
    _print(shown, options.json, sentence)
    return 0


def _shown_job(shop: Shop, answer: Answer, warnings: list[dict[str, Any]]) -> dict[str, Any]:
    from .store import jobs, show

    db = shop.read()
    shown = show.job_shown(db, jobs.job_by_number(db, answer.data["job"]))
    return {**shown, "warnings": warnings}


def mark(options: Options) -> int:
    """Marks pieces."""
    from .actions import pieces
    from .actions.unit_of_work import Caller
    from .store import people

    wanted = [codes.parse(text) for text in options.code]
    with _opened(options.db, create=False) as shop:
        by = people.by_named(shop.read(), options.by, "command line")
        answer = pieces.mark(Caller(shop, by), wanted, options.mark)
    shown = {"sentence": answer.sentence, **answer.data}
    _print(shown, options.json, answer.sentence)
    return 0


def show(options: Options) -> int:
    """Shows a job, a sign, a sheet, a piece, or the open jobs."""
    with _opened(options.db, create=False) as shop:
        shown = _shown(shop.read(), " ".join(options.thing))
    _print(shown, options.json, _as_text(shown))
    return 0


def _shown(db: Connection, thing: str) -> dict[str, Any]:
    from .store import jobs, sheets, show

    if not thing:
        return {"jobs": show.open_jobs_shown(db)}
    if named := re.fullmatch(r"J-?(\d+)(?:[ -]([A-Z]+))?", thing, re.IGNORECASE):
        job = jobs.job_by_number(db, named[1])
        if not named[2]:
            return show.job_shown(db, job)
        return show.sign_shown(db, jobs.sign_by_name(db, job.number, named[2].upper()))
    if named := re.fullmatch(r"S-?(\d+)", thing, re.IGNORECASE):
        return show.sheet_shown(db, sheets.row(db, sheets.sheet_by_number(db, named[1]).id))
    return _shown_code(db, codes.parse(thing))


def _shown_code(db: Connection, code: str) -> dict[str, Any]:
    from .store import codes as code_store
    from .store import jobs, sheets, show

    match code_store.kind_of(db, code):
        case "sheet":
            return show.sheet_shown(db, sheets.row(db, sheets.sheet_by_code(db, code).id))
        case "sign":
            return show.sign_shown(db, jobs.sign_by_code(db, code))
        case "piece":
            return show.piece_shown(db, code)
        case "tray":
            return show.tray_shown(db, code)
        case _blank:
            return show.blank_shown(db, code)


def labels(options: Options) -> int:
    """Writes the labels of a job or a sheet as PDF."""
    from .actions import labels as printing

    with _opened(options.db, create=False) as shop:
        pdf, count = printing.labels_of(shop, options.thing, options.layout)
    cli_sheets.written(options.output, pdf)
    print(wording.labels_written(count, options.output))
    return 0


def setup_sheet(options: Options) -> int:
    """Writes a setup sheet as PDF: hold-down, settings and cutting order."""
    with _opened(options.db, create=False) as shop:
        print(cli_sheets.setup_sheet(shop, options))
    return 0


def file(options: Options) -> int:
    """Writes a nest for the machine's own software, SVG or DXF, and records it."""
    with _opened(options.db, create=False) as shop:
        print(cli_sheets.machine_file(shop, options))
    return 0


def paper(options: Options) -> int:
    """Writes a sign's tape strips, placement or drilling template at full size as PDF."""
    with _opened(options.db, create=False) as shop:
        print(cli_bench.paper(shop, options))
    return 0


def check(options: Options) -> int:
    """Replays the ledger and compares."""
    from .store import ledger, replay

    with _opened(options.db, create=False) as shop:
        acts = ledger.newest(shop.read())
        wrong = replay.differences(shop.read())
    for sentence in wrong:
        print(sentence, file=sys.stderr)
    print(wording.replayed(acts, not wrong))
    return 1 if wrong else 0


def backup(options: Options) -> int:
    """Copies the database."""
    from .store import backup as copying

    with _opened(options.db, create=False) as shop:
        copying.backup(shop.read(), Path(options.destination))
    print(wording.backup_written(options.destination))
    return 0


def restore(options: Options) -> int:
    """Puts a backup in the database's place."""
    from .store import backup as copying

    kept = copying.restore(Path(options.source), Path(options.db))
    old = wording.old_one_kept(str(kept)) if kept else None
    print(joined([wording.restored(options.db, options.source), old]))
    return 0


def measure(options: Options) -> int:
    """Measures the project on this machine."""
    try:
        from . import measuring
    except ImportError:
        raise Refused(wording.measure_needs_source()) from None

    is_good = True
    for figure in measuring.figures(options.name):
        print(json.dumps(figure.as_dict()) if options.json else figure.sentence, flush=True)
        is_good &= figure.holds is not False
    return 0 if is_good else 1


def settings(options: Options) -> int:
    """Lists the settings: the value in force, its usual value, what it may be."""
    from .domain.settings import FIELDS
    from .store import settings as store

    with _opened(options.db, create=False) as shop:
        in_force = store.load(shop.read())
    rows = [
        {
            "name": field.name,
            "value": getattr(in_force, field.name),
            "default": field.default,
            "unit": field.declared.unit,
            "least": field.declared.least,
            "most": field.declared.most,
            "choices": list(field.declared.choices),
            "source": field.declared.source,
        }
        for field in FIELDS.values()
    ]
    lines = [
        str(
            wording.setting_line(
                row["name"], FIELDS[row["name"]].title, str(row["value"]), str(row["default"])
            )
        )
        for row in rows
    ]
    _print({"settings": rows}, options.json, "\n".join(lines))
    return 0


@contextmanager
def _opened(path: str, create: bool = True) -> Iterator[Shop]:
    from .actions.people import first_owner
    from .actions.unit_of_work import Shop
    from .store.db import Database

    database = Database(path, create=create)
    try:
        shop = Shop(database)
        first_owner(shop)
        yield shop
    finally:
        database.close()


def _file(name: str) -> bytes:
    try:
        return Path(name).read_bytes()
    except OSError:
        raise NotFound(wording.cannot_read_file(name)) from None


def _remove(path: Path) -> None:
    for name in (path, path.with_name(path.name + "-wal"), path.with_name(path.name + "-shm")):
        name.unlink(missing_ok=True)


def _print(shown: Mapping[str, Any], as_json: bool, text: str) -> None:
    print(json.dumps(shown, ensure_ascii=False) if as_json else text)


def _as_text(shown: Mapping[str, Any], indent: str = "") -> str:
    lines = []
    for name, value in shown.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            lines.append(f"{indent}{name}: {len(value)}")
            lines += [indent + "  " + _one_line(entry) for entry in value]
        elif not isinstance(value, list) or value:
            lines.append(f"{indent}{name}: {value}")
    return "\n".join(lines)


def _one_line(entry: Mapping[str, Any]) -> str:
    plain = [
        f"{value}" for value in entry.values() if value is not None and not isinstance(value, list)
    ]
    return "  ".join(plain)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="shopfloor", description="Keeps track of every piece of every sign."
    )
    parser.add_argument("--version", action="version", version=f"shopfloor {__version__}")
    verbs = parser.add_subparsers(required=True, metavar="VERB")
    one = _verb(verbs, demo)
    one.add_argument("--port", type=int, default=8000)
    one.add_argument("--db", help="where to keep the demo's database (default: a temporary folder)")
    one.add_argument("--no-serve", action="store_true", help="fill the database and stop")
    _serve_verb(verbs)
    _drawing_verb(verbs, intake, cli_intake)
    _drawing_verb(verbs, revise, cli_revise)
    _mark_verb(verbs)
    one = _verb(verbs, show)
    one.add_argument(
        "thing", nargs="*", help="J-1001, 'J-1001 A', S-201 or a code (default: the open jobs)"
    )
    _db(one)
    _json(one)
    one = _verb(verbs, labels)
    one.add_argument("thing", help="J-1001, S-201 or a code")
    one.add_argument("-o", "--output", required=True, metavar="FILE.pdf")
    one.add_argument("--layout", default="a4-3x8", help="a4-3x8, letter-3x10 or roll-50x25")
    _db(one)
    for verb, add_words in (
        (setup_sheet, cli_sheets.add_setup_sheet_words),
        (file, cli_sheets.add_file_words),
        (paper, cli_bench.add_paper_words),
    ):
        one = _verb(verbs, verb)
        add_words(one)
        _db(one)
    _db(_verb(verbs, check))
    one = _verb(verbs, backup)
    one.add_argument("destination")
    _db(one)
    one = _verb(verbs, restore)
    one.add_argument("source")
    _db(one)
    one = _verb(verbs, settings)
    _db(one)
    _json(one)
    one = _verb(verbs, measure)
    one.add_argument("name", nargs="*", help="which figures (default: all)")
    _json(one)
    return parser


def _serve_verb(verbs: Verbs) -> None:
    one = _verb(verbs, serve)
    _db(one)
    one.add_argument("--host", default="127.0.0.1", help="0.0.0.0 lets the shop's tablets in")
    one.add_argument("--port", type=int, default=8000)
    one.add_argument("--tls", action="store_true", help="serve HTTPS with --cert and --key")
    one.add_argument("--cert")
    one.add_argument("--key")


def _drawing_verb(verbs: Verbs, function: Callable[[Options], int], words: ModuleType) -> None:
    one = _verb(verbs, function)
    _db(one)
    words.add_words(one)
    _json(one)


def _mark_verb(verbs: Verbs) -> None:
    one = _verb(verbs, mark)
    one.add_argument("code", nargs="+")
    one.add_argument(
        "--as", dest="mark", required=True, choices=("cut", "lost", "damaged", "found", "trimmed")
    )
    one.add_argument("--by", help="who marks it (default: the owner)")
    _db(one)
    _json(one)


def _verb(verbs: Verbs, function: Callable[[Options], int]) -> argparse.ArgumentParser:
    words, name = function.__doc__, function.__name__.replace("_", "-")
    aliases = OLD_VERBS.get(name, ())
    one: argparse.ArgumentParser = verbs.add_parser(
        name, aliases=aliases, help=words, description=words
    )
    one.set_defaults(verb=function)
    return one


def _db(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--db", required=True, metavar="FILE")


def _json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON object")


if __name__ == "__main__":
    sys.exit(main())
