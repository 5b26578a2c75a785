"""Full-size paper of a sign: what it is made from, what each printing comes to, and the PDF. Changes nothing in the shop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ..domain.errors import Refused
from ..domain.setting_out import full_size, placement, setting_out
from ..domain.setting_out.full_size import WHATS, FullSize
from ..paper.full_size import Planned, planned, print_full_size
from ..store import jobs, settings
from ..store import placement as store
from ..store.db import Connection
from .fixings import fixings_of

PAPERS = full_size.PAPERS


@dataclass(frozen=True)
class Offer:
    """One printing that can be had: `what` of a level (None: all), what it comes to in words, the marks that its sheets
    bear. Where it cannot be had, `why_not` says what to do."""

    what: str
    level: int | None
    comes_to: str
    marks: tuple[str, ...] = ()
    why_not: str = ""


def full_size_of(db: Connection, code: str, datum: str = setting_out.DATUMS[0]) -> FullSize:
    """A sign as it is printed at full size, by its code. Raises NotFound, and Refused for a datum that there is not."""
    setting_out.checked_datum(datum)
    sign, shop_settings = jobs.sign_by_code(db, code), settings.load(db)
    parts = store.placed(db, jobs.parts_of(db, sign.id))
    rows = [
        row
        for level in sorted({part.level for part in parts})
        for row in setting_out.rows(
            [part for part in parts if part.level == level],
            sign.width_mm,
            datum,
            placement.tolerance(shop_settings),
        )
    ]
    return FullSize(
        sign.called,
        sign.name,
        sign.width_mm,
        sign.height_mm,
        tuple(parts),
        tuple(rows),
        fixings_of(db, sign.id),
        datum,
        shop_settings.units,
        shop_settings.inch_fraction,
    )


def printed(
    it: FullSize, what: str, paper: str, level: int | None = None, printed_on: date | None = None
) -> bytes:
    """The PDF, which says when it was printed. Raises Refused as `paper.full_size.print_full_size`."""
    return print_full_size(it, what, paper, level, printed_on)


def offers(it: FullSize, paper: str) -> Iterator[Offer]:
    """All that can be printed of a sign on a paper, strips first; several levels together and each for itself."""
    levels = it.levels if len(it.levels) == 1 else (None, *it.levels)
    for what in WHATS:
        for level in (None,) if what == "drilling" else levels:
            yield _offer(it, what, paper, level)


def _offer(it: FullSize, what: str, paper: str, level: int | None) -> Offer:
    try:
        plan = planned(it, what, paper, level)
        return Offer(what, level, comes_to(it, plan), tuple(it.marks(what, level).values()))
    except Refused as refusal:
        return Offer(what, level, "", why_not=refusal.sentence)


def comes_to(it: FullSize, plan: Planned) -> str:
    """'1 page of 1710 × 134.5 mm', '12 sheets and a cover; 3 empty ones are left out'."""
    empty = f"; {plan.left_out} empty ones are left out" if plan.left_out else ""
    size = f"{it.figure(plan.page[0])} × {it.said(plan.page[1])}"
    if plan.is_long:
        pages = (
            f"1 page of {size}" if plan.sheets == 1 else f"{plan.sheets} pages, the longest {size}"
        )
        return pages + (", to be joined, and a cover" if plan.has_cover else "") + empty
    return f"{plan.sheets} sheet{'s' if plan.sheets > 1 else ''} and a cover{empty}"
