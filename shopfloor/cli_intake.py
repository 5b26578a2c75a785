"""The options of `shopfloor intake`, and the order that they make.

Where a page would ask about a drawing, the command line decides, and reports its decision as a warning.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .actions.unit_of_work import Answer, Caller, Shop
from .domain.drawing.answers import Answers
from .domain.drawing.drawing import Finding
from .domain.drawing.signs import Order, mark_of
from .domain.errors import Refused
from .wording import drawings as drawing_wording
from .wording import jobs as wording
from .wording.message import Message, of_kept, text

if TYPE_CHECKING:  # `--help` answers without reading what a drawing needs
    from .actions.drawings import Proposal, ReadDrawing


def add_words(parser: argparse.ArgumentParser) -> None:
    """Add the options that the verb takes besides the database."""
    parser.add_argument("drawing", nargs="+", help="SVG or DXF files at full size")
    parser.add_argument("--customer", required=True)
    parser.add_argument("--due", required=True, help="2027-03-31")
    parser.add_argument("--title")
    parser.add_argument("--quantity", type=int, default=1, metavar="SETS", help="how many sets")
    parser.add_argument(
        "--each",
        action="append",
        default=[],
        metavar="SIGN=N",
        help="N of one sign in each set: A=3",
    )
    add_words_of_a_drawing(parser)


def add_words_of_a_drawing(parser: argparse.ArgumentParser) -> None:
    """Add the options about a drawing, whether it is taken in or changes a job."""
    parser.add_argument(
        "--unit",
        choices=("mm", "cm", "m", "in", "ft"),
        help="unit for drawings without one",
    )
    parser.add_argument(
        "--keep-colours", action="store_true", help="nearly equal colours are different materials"
    )
    parser.add_argument(
        "--no-spares", action="store_true", help="cut all parts, even where spares in stock fit"
    )
    parser.add_argument("--stock", action="append", default=[], metavar="COLOUR=CODE")
    parser.add_argument(
        "--seconds", type=float, help="time to nest each material (default: the shop's, 5)"
    )
    parser.add_argument("--by", help="who does it (default: the owner)")


def take_in(
    options: argparse.Namespace, shop: Shop, reads: Sequence[ReadDrawing]
) -> tuple[Answer, list[dict[str, Any]]]:
    """Take these drawings in as a job. Returns the answer and the warnings (kind, message, at). Raises Refused."""
    from .actions import drawings, jobs
    from .store import people

    proposed = drawings.proposal(shop, reads, Answers(apart=options.keep_colours))
    title = options.title or Path(options.drawing[0]).stem
    stocks = remembered_stocks(proposed) | chosen_stocks(shop, proposed, options.stock)
    order = Order(
        options.customer,
        title,
        options.due,
        options.quantity,
        stocks,
        quantities=_each(proposed, options.each),
        uses_spares=not options.no_spares,
    )
    by = people.by_named(shop.read(), options.by, "command line")
    findings = (*drawings.cut_from(shop, proposed, stocks).preflight, *proposed.warnings)
    answer = jobs.intake(Caller(shop, by), proposed, order, reads=reads, seconds=options.seconds)
    warnings = [*findings, *_decided(proposed)]
    warnings += [Finding("stock", of_kept(kept)) for kept in answer.data["warnings"]]
    warnings += [Finding("no room", of_kept(kept)) for kept in answer.data["left_out"]]
    return answer, [
        {"kind": warning.kind, "message": warning.sentence, "at": warning.at}
        for warning in warnings
    ]


def sentences(kept: Iterable[Message | dict[str, Any] | str]) -> list[str]:
    """Return messages in an answer's data as sentences."""
    return [text(of_kept(message)) for message in kept]


def _decided(proposed: Proposal) -> Iterator[Finding]:
    """What a page would have asked."""
    for group in proposed.nearly_one if not proposed.answers.apart else ():
        yield Finding("colours", wording.colours_were_joined(group))
    for sign in proposed.signs:
        if sign.places[0] in proposed.loose:
            size = drawing_wording.size(sign.width_mm, sign.height_mm)
            message = wording.loose_part_is_a_sign(sign.name or "", size)
            yield Finding("off-base", message, (sign.left_mm, sign.bottom_mm))
    if proposed.guessed_unit:
        yield Finding("units", wording.unit_was_assumed(proposed.guessed_unit))


def _each(proposed: Proposal, choices: Sequence[str]) -> dict[int, int]:
    """Return how many of a sign belong to each set, by its first place, from words such as 'A=3'."""
    places = {mark_of(at): sign.places[0] for at, sign in enumerate(proposed.signs)}
    marks = list(places)
    each = {}
    for choice in choices:
        mark, equals, count = choice.partition("=")
        if not (equals and count.strip().isascii() and count.strip().isdigit()):
            raise Refused(wording.each_is_not_a_count(choice))
        if mark.strip().upper() not in places:
            raise Refused(wording.each_names_no_sign(choice, mark, marks[0], marks[-1]))
        each[places[mark.strip().upper()]] = int(count)
    return each


def remembered_stocks(proposed: Proposal) -> dict[str, int]:
    """Return the stock (id) that the shop chose before, for each colour that has one."""
    return {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}


def chosen_stocks(shop: Shop, proposed: Proposal, choices: Sequence[str]) -> dict[str, int]:
    """Return the stock (id) of each colour that was named, from words such as '#f2e8cf=cream-6'.

    Raises Refused, NotFound.
    """
    from .store import stock

    chosen = {}
    for choice in choices:
        named, equals, code = choice.rpartition("=")
        if not equals:
            raise Refused(wording.stock_is_not_a_pair(choice))
        wanted = named.strip().lower()
        matches = [
            colour.colour
            for colour in proposed.colours
            if wanted
            in (
                colour.colour,
                colour.colour.lstrip("#"),
                colour.word,
                (colour.layer or "").lower(),
            )
        ]
        if not matches:
            known = [
                wording.colour_named(colour.colour, colour.called) for colour in proposed.colours
            ]
            raise Refused(wording.no_such_colour(named, known))
        chosen.update(dict.fromkeys(matches, stock.stock_by_code(shop.read(), code).id))
    return chosen
