"""The options of `shopfloor revise`: a new drawing for a job under way, and what it would cost or did.

With --look nothing is changed and nothing is kept.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from .actions.unit_of_work import Caller, Shop
from .cli_intake import add_words_of_a_drawing, chosen_stocks, remembered_stocks, sentences
from .domain.drawing.answers import Answers
from .wording import jobs as wording
from .wording.message import text

if TYPE_CHECKING:  # `--help` answers without reading what a drawing needs
    from .actions.drawings import ReadDrawing


def add_words(parser: argparse.ArgumentParser) -> None:
    """Add the options that the verb takes besides the database."""
    parser.add_argument("job", help="J-1001")
    parser.add_argument(
        "drawing", nargs="+", help="the whole new drawing: SVG or DXF files at full size"
    )
    parser.add_argument("--look", action="store_true", help="only show the changes and costs")
    parser.add_argument(
        "--glued",
        choices=("spoiled", "whole"),
        default="spoiled",
        help="glued pieces that must come off are spoiled, or come off whole",
    )
    add_words_of_a_drawing(parser)


def change(
    options: argparse.Namespace, shop: Shop, reads: Sequence[ReadDrawing]
) -> tuple[dict[str, Any], str]:
    """Change the job, or with --look only say how. Returns the JSON and a sentence. Raises Refused."""
    from .actions import drawings, revision_plan, revisions
    from .store import jobs, people
    from .store import revisions as store

    proposed = drawings.proposal(shop, reads, Answers(apart=options.keep_colours))
    job = jobs.job_by_number(shop.read(), options.job)
    stocks = remembered_stocks(proposed) | store.stocks_of(shop.read(), job.id)
    stocks |= chosen_stocks(shop, proposed, options.stock)
    drawn = {colour.colour for colour in proposed.colours}
    of_drawing = {colour: id for colour, id in stocks.items() if colour in drawn}
    plan = revision_plan.plan(shop, job.number, proposed, of_drawing)
    choices = revision_plan.Choices(not options.no_spares, options.glued == "whole")
    with shop.database.snapshot() as db:
        costs = asdict(revision_plan.costs(db, plan, choices))
    warnings = [{**warning.as_dict(), "message": warning.sentence} for warning in proposed.warnings]
    shown = {
        "job": job.number,
        "costs": costs,
        "left_alone": list(plan.left_alone),
        "warnings": warnings,
    }
    if options.look:
        to_cut = wording.pieces(costs["to_cut"])
        return shown, text(wording.would_be_cut(job.number, to_cut, costs["spare"]))
    by = people.by_named(shop.read(), options.by, "command line")
    answer = revisions.change(Caller(shop, by), plan, choices, reads=reads, seconds=options.seconds)
    left_out = sentences(answer.data["left_out"])
    return {**shown, "relabel": answer.data["relabel"], "left_out": left_out}, answer.sentence
