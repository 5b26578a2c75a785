"""Templates of a sign at full size: what they are made from, what each printing needs, and the PDF. Only reads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ..domain.errors import Refused
from ..domain.setting_out import setting_out
from ..domain.setting_out.full_size import WHATS, FullSize
from ..paper.full_size import Planned, planned, print_full_size
from ..store import jobs, settings
from ..store import placement as store
from ..store.db import Connection
from ..wording import full_size as wording
from ..wording.message import Message, as_message
from .fixings import fixings_of


@dataclass(frozen=True)
class Offer:
    """One possible printing: `what` of a level (None: all), the sheets it needs, the revision marks on them. Where it is
    not possible, `why_not` says what to do."""

    what: str
    level: int | None
    needs: Message | None
    marks: tuple[str, ...] = ()
    why_not: Message | None = None


def full_size_of(db: Connection, code: str, datum: str = setting_out.DATUMS[0]) -> FullSize:
    """Return a sign as its templates show it, by its code. Raises NotFound, and Refused for a datum that does not exist."""
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
            shop_settings,
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
    view: FullSize, what: str, paper: str, level: int | None = None, printed_on: date | None = None
) -> bytes:
    """Return the PDF, which shows the day it was printed. Raises Refused as `paper.full_size.print_full_size`."""
    return print_full_size(view, what, paper, level, printed_on)


def offers(view: FullSize, paper: str) -> Iterator[Offer]:
    """Yield all that can be printed of a sign on a paper, strips first; several levels together and each alone."""
    levels = view.levels if len(view.levels) == 1 else (None, *view.levels)
    for what in WHATS:
        for level in (None,) if what == "drilling" else levels:
            yield _offer(view, what, paper, level)


def _offer(view: FullSize, what: str, paper: str, level: int | None) -> Offer:
    try:
        plan = planned(view, what, paper, level)
        return Offer(what, level, needs(plan), tuple(view.marks(what, level).values()))
    except Refused as refusal:
        return Offer(what, level, None, why_not=as_message(refusal.message))


def needs(plan: Planned) -> Message:
    """Return '1 page of 1710 × 134.5 mm', '12 sheets and a cover; 3 empty ones are left out'."""
    paper = _pages(plan) if plan.is_long else wording.sheets(plan.sheets)
    return wording.without_empty(paper, plan.left_out) if plan.left_out else paper


def _pages(plan: Planned) -> Message:
    width, height = plan.page
    if plan.sheets == 1:
        pages = wording.one_page(width, height)
    else:
        pages = wording.pages(plan.sheets, width, height)
    return wording.joined_pages(pages) if plan.has_cover else pages
