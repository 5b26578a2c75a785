"""The words of `shopfloor revise`: a new drawing for a job under way, and what it would cost or did.

Owns what the command line answers without asking. With --look nothing is changed and nothing is kept.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict

from .actions.unit_of_work import Caller
from .cli_intake import add_words_of_a_drawing, chosen_stocks
from .domain.drawing.answers import Answers


def add_words(parser: argparse.ArgumentParser) -> None:
    """The words that the verb takes besides the database."""
    parser.add_argument("job", help="J-1001")
    parser.add_argument(
        "drawing", nargs="+", help="the whole new drawing: SVG or DXF files at full size"
    )
    parser.add_argument(
        "--look", action="store_true", help="only say what it would change and cost"
    )
    parser.add_argument(
        "--glued",
        choices=("spoiled", "whole"),
        default="spoiled",
        help="what comes off where it is glued",
    )
    add_words_of_a_drawing(parser)


def change(options, shop, reads: Sequence) -> tuple[dict, str]:
    """Changes the job, or with --look says what would be changed. Gives what is shown, and a sentence. Raises Refused."""
    from .actions import drawings, revision_plan, revisions
    from .store import jobs, people
    from .store import revisions as store

    proposed = drawings.proposal(shop, reads, Answers(apart=options.keep_colours))
    job = jobs.job_by_number(shop.read(), options.job)
    stocks = {c.colour: c.stock.id for c in proposed.colours if c.stock} | store.stocks_of(
        shop.read(), job.id
    )
    stocks |= chosen_stocks(shop, proposed, options.stock)
    made = revision_plan.plan(
        shop,
        job.number,
        proposed,
        {c.colour: stocks[c.colour] for c in proposed.colours if c.colour in stocks},
    )
    choices = revision_plan.Choices(not options.no_spares, options.glued == "whole")
    with shop.database.snapshot() as db:
        costs = asdict(revision_plan.costs(db, made, choices))
    warnings = [asdict(warning) for warning in proposed.warnings]
    shown = {
        "job": job.number,
        "costs": costs,
        "left_alone": list(made.left_alone),
        "warnings": warnings,
    }
    if options.look:
        return (
            shown,
            f"{job.number} would need {costs['to_cut']} pieces cut; {costs['spare']} would be spare.",
        )
    by = people.by_named(shop.read(), options.by, "command line")
    told = revisions.change(Caller(shop, by), made, choices, reads=reads, seconds=options.seconds)
    return {
        **shown,
        "relabel": told.data["relabel"],
        "left_out": told.data["left_out"],
    }, told.sentence
