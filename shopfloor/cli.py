"""The command line: one thin function a verb. What is refused is one line on standard error and exit code 2."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import __version__, cli_bench, cli_intake, cli_revise, cli_sheets
from .domain import codes
from .domain.errors import NotFound, Refused, ShopError
from .wording import cli as wording
from .wording.message import joined

if TYPE_CHECKING:  # each verb imports what it needs: `--help` answers at once
    from .actions.unit_of_work import Shop
    from .store.db import Connection

Options = argparse.Namespace
Verbs = Any  # argparse keeps its type of subparsers to itself
Words = Callable[[argparse.ArgumentParser], object]  # adds some of a verb's words

OLD_VERBS = {"setup-sheet": ("ticket",)}  # names of an earlier version, for one release


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one verb and gives the exit code."""
    options = _parser().parse_args(argv)
    try:
        verb: Callable[[Options], int | None] = options.verb
        return verb(options) or 0
    except ShopError as refusal:
        print(refusal.sentence, file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 1


def demo(options: Options) -> None:
    """Fills a demo shop and serves it."""
    from .demo import shop as demo_shop

    path = demo_shop.fill(Path(options.db) if options.db else None)
    print(demo_shop.introduction(path), flush=True)
    if not options.no_serve:
        _serve(path, "127.0.0.1", options.port, None)


def serve(options: Options) -> None:
    """Serves a shop's database."""
    tls = None
    if options.tls:
        if not (options.cert and options.key):
            raise Refused(wording.tls_needs_files())
        tls = (options.cert, options.key)
    _serve(Path(options.db), options.host, options.port, tls)


def _serve(path: Path, host: str, port: int, tls: tuple[str, str] | None) -> None:
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


def intake(options: Options) -> None:
    """Takes drawings in as one job and nests its pieces."""
    from .actions import drawings
    from .store import jobs
    from .store import show as store

    reads = [drawings.read_drawing(_file(name), name, options.unit) for name in options.drawing]
    is_new = not Path(options.db).exists()
    try:
        with _opened(options.db) as shop:
            answer, warnings = cli_intake.take_in(options, shop, reads)
            job = jobs.job_by_number(shop.read(), answer.data["job"])
            shown = {**store.job_shown(shop.read(), job), "warnings": warnings}
    except ShopError:
        if is_new:
            _remove(Path(options.db))  # a refusal leaves nothing behind
        raise
    _print(shown, options.json, answer.sentence)


def revise(options: Options) -> None:
    """Changes a job under way to a new drawing, or says what that would cost."""
    from .actions import drawings

    reads = [drawings.read_drawing(_file(name), name, options.unit) for name in options.drawing]
    with _opened(options.db, create=False) as shop:
        shown, sentence = cli_revise.change(options, shop, reads)
    _print(shown, options.json, sentence)


def mark(options: Options) -> None:
    """Marks pieces."""
    from .actions import pieces
    from .actions.unit_of_work import Caller
    from .store import people

    wanted = [codes.parse(text) for text in options.code]
    with _opened(options.db, create=False) as shop:
        by = people.by_named(shop.read(), options.by, "command line")
        answer = pieces.mark(Caller(shop, by), wanted, options.mark)
    _print({"sentence": answer.sentence, **answer.data}, options.json, answer.sentence)


def show(options: Options) -> None:
    """Shows a job, a sign, a sheet, a piece, or the open jobs."""
    with _opened(options.db, create=False) as shop:
        shown = _shown(shop.read(), " ".join(options.thing))
    _print(shown, options.json, _as_text(shown))


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


def labels(options: Options) -> None:
    """Writes the labels of a job or a sheet as PDF."""
    from .actions import labels as printing

    with _opened(options.db, create=False) as shop:
        pdf, count = printing.labels_of(shop, options.thing, options.layout)
    cli_sheets.written(options.output, pdf)
    print(wording.labels_written(count, options.output))


def setup_sheet(options: Options) -> None:
    """Writes a setup sheet as PDF: hold-down, settings and cutting order."""
    with _opened(options.db, create=False) as shop:
        print(cli_sheets.setup_sheet(shop, options))


def file(options: Options) -> None:
    """Writes a nest for the machine's own software, SVG or DXF, and records it."""
    with _opened(options.db, create=False) as shop:
        print(cli_sheets.machine_file(shop, options))


def paper(options: Options) -> None:
    """Writes a sign's tape strips, placement or drilling template at full size as PDF."""
    with _opened(options.db, create=False) as shop:
        print(cli_bench.paper(shop, options))


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


def backup(options: Options) -> None:
    """Copies the database."""
    from .store import backup as copying

    with _opened(options.db, create=False) as shop:
        copying.backup(shop.read(), Path(options.destination))
    print(wording.backup_written(options.destination))


def restore(options: Options) -> None:
    """Puts a backup in the database's place."""
    from .store import backup as copying

    kept = copying.restore(Path(options.source), Path(options.db))
    old = wording.old_one_kept(str(kept)) if kept else None
    print(joined([wording.restored(options.db, options.source), old]))


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


def settings(options: Options) -> None:
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
        wording.setting_line(name, field.title, str(getattr(in_force, name)), str(field.default))
        for name, field in FIELDS.items()
    ]
    _print({"settings": rows}, options.json, "\n".join(map(str, lines)))


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


def _as_text(shown: Mapping[str, Any]) -> str:
    lines = []
    for name, value in shown.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            lines.append(f"{name}: {len(value)}")
            lines += ["  " + _one_line(entry) for entry in value]
        elif not isinstance(value, list) or value:
            lines.append(f"{name}: {value}")
    return "\n".join(lines)


def _one_line(entry: Mapping[str, Any]) -> str:
    plain = [
        f"{value}" for value in entry.values() if value is not None and not isinstance(value, list)
    ]
    return "  ".join(plain)


def _option(*names: str, **named: Any) -> Words:
    return lambda parser: parser.add_argument(*names, **named)


DB = _option("--db", required=True, metavar="FILE")
PORT = _option("--port", type=int, default=8000)
JSON = _option("--json", action="store_true", help="one JSON object")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="shopfloor", description="Keeps track of every piece of every sign."
    )
    parser.add_argument("--version", action="version", version=f"shopfloor {__version__}")
    _add_verbs(parser.add_subparsers(required=True, metavar="VERB"))
    return parser


def _add_verbs(verbs: Verbs) -> None:
    _verb(
        verbs,
        demo,
        PORT,
        _option("--db", help="where to keep the demo's database (default: a temporary folder)"),
        _option("--no-serve", action="store_true", help="fill the database and stop"),
    )
    _verb(
        verbs,
        serve,
        DB,
        _option("--host", default="127.0.0.1", help="0.0.0.0 lets the shop's tablets in"),
        PORT,
        _option("--tls", action="store_true", help="serve HTTPS with --cert and --key"),
        _option("--cert"),
        _option("--key"),
    )
    _add_work(verbs)
    _verb(verbs, check, DB)
    _verb(verbs, backup, _option("destination"), DB)
    _verb(verbs, restore, _option("source"), DB)
    _verb(verbs, settings, DB, JSON)
    _verb(verbs, measure, _option("name", nargs="*", help="which figures (default: all)"), JSON)


def _add_work(verbs: Verbs) -> None:
    """Add the verbs about jobs, pieces, sheets and paper."""
    _verb(verbs, intake, DB, cli_intake.add_words, JSON)
    _verb(verbs, revise, DB, cli_revise.add_words, JSON)
    marks = ("cut", "lost", "damaged", "found", "trimmed")
    _verb(
        verbs,
        mark,
        _option("code", nargs="+"),
        _option("--as", dest="mark", required=True, choices=marks),
        _option("--by", help="who marks it (default: the owner)"),
        DB,
        JSON,
    )
    _verb(
        verbs,
        show,
        _option(
            "thing", nargs="*", help="J-1001, 'J-1001 A', S-201 or a code (default: the open jobs)"
        ),
        DB,
        JSON,
    )
    _verb(
        verbs,
        labels,
        _option("thing", help="J-1001, S-201 or a code"),
        _option("-o", "--output", required=True, metavar="FILE.pdf"),
        _option("--layout", default="a4-3x8", help="a4-3x8, letter-3x10 or roll-50x25"),
        DB,
    )
    _verb(verbs, setup_sheet, cli_sheets.add_setup_sheet_words, DB)
    _verb(verbs, file, cli_sheets.add_file_words, DB)
    _verb(verbs, paper, cli_bench.add_paper_words, DB)


def _verb(verbs: Verbs, function: Callable[[Options], int | None], *words: Words) -> None:
    """Add the verb that does `function`, with its arguments and options."""
    help, name = function.__doc__, function.__name__.replace("_", "-")
    aliases = OLD_VERBS.get(name, ())
    parser = verbs.add_parser(name, aliases=aliases, help=help, description=help)
    parser.set_defaults(verb=function)
    for add in words:
        add(parser)


if __name__ == "__main__":
    sys.exit(main())
