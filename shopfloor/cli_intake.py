"""The words of `shopfloor intake`, and the order that they make.

Owns what the command line answers about a drawing without asking: nothing stops it, and what was decided is told as a
warning.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path

from .actions.unit_of_work import Caller
from .domain.drawing.answers import Answers
from .domain.drawing.signs import Order, mark_of
from .domain.errors import Refused
from .domain.lengths import as_mm


def add_words(parser: argparse.ArgumentParser) -> None:
    """The words that the verb takes besides the database."""
    parser.add_argument("drawing", nargs="+", help="SVG or DXF files at full size")
    parser.add_argument("--customer", required=True)
    parser.add_argument("--due", required=True, help="2027-03-31")
    parser.add_argument("--title")
    parser.add_argument(
        "--quantity", type=int, default=1, metavar="SETS", help="how many sets of all signs"
    )
    parser.add_argument(
        "--each",
        action="append",
        default=[],
        metavar="SIGN=N",
        help="N of one sign in each set: A=3",
    )
    add_words_of_a_drawing(parser)


def add_words_of_a_drawing(parser: argparse.ArgumentParser) -> None:
    """What is said of a drawing, whether it is taken in or changes a job."""
    parser.add_argument(
        "--unit",
        choices=("mm", "cm", "m", "in", "ft"),
        help="what a drawing without unit is drawn in",
    )
    parser.add_argument(
        "--keep-colours", action="store_true", help="nearly equal colours are different materials"
    )
    parser.add_argument(
        "--no-spares", action="store_true", help="cut all anew, though spares in stock fit"
    )
    parser.add_argument("--stock", action="append", default=[], metavar="COLOUR=CODE")
    parser.add_argument(
        "--seconds", type=float, help="time to nest each stock; left out, the shop's own (5)"
    )
    parser.add_argument("--by", help="who does it; left out: the owner")


def take_in(options, shop, reads: Sequence) -> tuple:
    """The job of these drawings. Gives the answer and the warnings (kind, message, at). Raises Refused."""
    from .actions import drawings, jobs
    from .store import people

    proposed = drawings.proposal(shop, reads, Answers(apart=options.keep_colours))
    title = options.title or Path(options.drawing[0]).stem
    stocks = {c.colour: c.stock.id for c in proposed.colours if c.stock} | chosen_stocks(
        shop, proposed, options.stock
    )
    each = _each(proposed, options.each)
    order = Order(
        options.customer,
        title,
        options.due,
        options.quantity,
        stocks,
        quantities=each,
        uses_spares=not options.no_spares,
    )
    by = people.by_named(shop.read(), options.by, "command line")
    found = (*drawings.cut_from(shop, proposed, stocks).preflight, *proposed.warnings)
    answer = jobs.intake(Caller(shop, by), proposed, order, reads=reads, seconds=options.seconds)
    warnings = [_warning(one.kind, one.message, one.at) for one in found] + list(_decided(proposed))
    if proposed.guessed_unit:
        warnings.append(
            _warning(
                "units",
                f"Taken as {proposed.guessed_unit}: --unit in, or another, says it otherwise.",
            )
        )
    warnings += [_warning("stock", sentence) for sentence in answer.data["warnings"]]
    warnings += [_warning("no room", sentence) for sentence in answer.data["left_out"]]
    return answer, warnings


def _warning(kind: str, message: str, at=None) -> dict:
    return {"kind": kind, "message": message, "at": at}


def _decided(proposed) -> Iterator[dict]:
    """What a page would have asked."""
    for group in proposed.nearly_one if not proposed.answers.apart else ():
        words = f"{', '.join(group[:-1])} and {group[-1]} were taken for one material: --keep-colours keeps them apart."
        yield _warning("colours", words)
    for sign in proposed.signs:
        if sign.places[0] in proposed.loose:
            name = f"'{sign.name}'" if sign.name else "A part"
            size = f"{as_mm(sign.width_mm)} × {as_mm(sign.height_mm)} mm"
            words = f"{name} ({size}) lies on no board: it was taken in as a sign of its own."
            yield _warning("off-base", words, (sign.left_mm, sign.bottom_mm))


def _each(proposed, choices: Sequence[str]) -> dict[int, int]:
    """How many of a sign belong to each set, by its first place, from words such as 'A=3'."""
    places = {mark_of(at): sign.places[0] for at, sign in enumerate(proposed.signs)}
    found = {}
    for choice in choices:
        mark, equals, count = choice.partition("=")
        if not (equals and count.strip().isascii() and count.strip().isdigit()):
            raise Refused(f"--each {choice}: write it as SIGN=NUMBER, such as A=3.")
        if mark.strip().upper() not in places:
            raise Refused(
                f"--each {choice}: the drawing has no sign {mark}, only {_range(list(places))}."
            )
        found[places[mark.strip().upper()]] = int(count)
    return found


def _range(marks: Sequence[str]) -> str:
    return marks[0] if len(marks) == 1 else f"{marks[0]} to {marks[-1]}"


def chosen_stocks(shop, proposed, choices: Sequence[str]) -> dict[str, int]:
    """The stock (id) of each colour that was named, from words such as '#f2e8cf=cream-6'. Raises Refused, NotFound."""
    from .store import stock

    chosen = {}
    for choice in choices:
        colour, equals, code = choice.rpartition("=")
        if not equals:
            raise Refused(f"--stock {choice}: write it as COLOUR=CODE, such as '#f2e8cf=cream-6'.")
        wanted = colour.strip().lower()
        found = [
            c.colour
            for c in proposed.colours
            if wanted in (c.colour, c.colour.lstrip("#"), c.word, (c.layer or "").lower())
        ]
        if not found:
            known = ", ".join(f"{c.colour} ({c.called})" for c in proposed.colours)
            raise Refused(f"The drawing has no colour {colour}: it has {known}.")
        chosen.update(dict.fromkeys(found, stock.stock_by_code(shop.read(), code).id))
    return chosen
