"""Commands about dissimilar materials and fixings: enter a stock's expansion, set a sign's site, plan its screws.

`materials_of` and `fixings_of` read what the pages and the drilling template show of them.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..domain.errors import Conflict, Refused
from ..domain.fields import read_line, read_number
from ..domain.fixings import expansion, fixings, mixed_materials
from ..domain.fixings.expansion import Site
from ..domain.fixings.fixings import WALLS, Base, Fixing, Layout
from ..domain.fixings.mixed_materials import Joint, LaidPart, MixedJoints
from ..domain.fixings.screw_places import Cover, FixingPlan
from ..domain.outlines import Outline
from ..store import fixings as store
from ..store import jobs, outlines, settings, stock
from ..store.db import Connection
from ..wording import fixings as wording
from ..wording.message import Message, joined
from .unit_of_work import Answer, Transaction, command


@dataclass(frozen=True)
class Entry:
    """A number that a form asks for; the bounds only catch slips of the finger."""

    title: Message
    least: float
    most: float
    unit: str = ""
    is_whole: bool = False

    def read(self, typed: str) -> float:
        """What was typed. Raises Refused."""
        return read_number(
            typed.strip(), self.title, self.least, self.most, unit=self.unit, is_whole=self.is_whole
        )


COLDEST = Entry(wording.coldest(), -60, 40, "°C")
WARMEST = Entry(wording.warmest(), 0, 90, "°C")
SCREW = Entry(wording.screw_diameter(), 2, 12, "mm")
EDGE = Entry(wording.from_the_edges(), 5, 500, "mm")
COLUMNS = Entry(wording.holes_in_a_row(), 1, 20, is_whole=True)
ROWS = Entry(wording.rows_of_holes(), 1, 20, is_whole=True)
PER_METRE = Entry(wording.expansion_title(), 0, 3)


@dataclass(frozen=True)
class SignMaterials:
    """All that is known of a sign's dissimilar materials and fixings.

    `bases` are its bottom parts that are screwed to the wall, `covers` the parts on them; `wall_per_k` is that of the
    plan, else of masonry."""

    site: Site
    mixed: MixedJoints
    joints: tuple[Joint, ...]
    plan: FixingPlan | None
    layout: Layout
    bases: tuple[Base, ...]
    covers: tuple[Cover, ...]
    wall_per_k: float


# What is known. -------------------------------------------------------------------------------------------------------


def site_of(db: Connection, sign: int) -> Site:
    """Return how cold and warm it gets where a sign (its id) hangs: its own site, else the shop's usual one."""
    own = store.site_of(db, sign)
    if own:
        return Site(*own, is_own=True)
    shop_settings = settings.load(db)
    return Site(shop_settings.site_coldest_c, shop_settings.site_warmest_c)


def materials_of(db: Connection, sign: int) -> SignMaterials:
    """Return a sign's dissimilar materials and fixings, by its id."""
    laid, site, plan = _laid(db, sign), site_of(db, sign), store.plan_of(db, sign)
    bases, covers = _stacked(laid)
    wall_per_k = plan.wall_per_k if plan else WALLS[fixings.USUAL_WALL]
    return SignMaterials(
        site,
        mixed_materials.mixed_joints(laid, site, settings.load(db).tape_mm),
        mixed_materials.joints(laid, site, wall_per_k),
        plan,
        _layout(plan, bases, covers, site),
        bases,
        covers,
        wall_per_k,
    )


def fixings_of(db: Connection, sign: int) -> tuple[Fixing, ...]:
    """Return the holes by which a sign (its id) is screwed to its wall: those of its plan, else those in its drawing."""
    return _layout_of(db, sign).fixings


def _layout_of(db: Connection, sign: int) -> Layout:
    bases, covers = _stacked(_laid(db, sign))
    return _layout(store.plan_of(db, sign), bases, covers, site_of(db, sign))


def _layout(
    plan: FixingPlan | None, bases: tuple[Base, ...], covers: tuple[Cover, ...], site: Site
) -> Layout:
    if plan is None:
        return fixings.drawn(bases, covers, site)
    return fixings.planned(plan, bases, covers, site)


def _laid(db: Connection, sign: int) -> list[LaidPart]:
    parts = jobs.parts_of(db, sign)
    drawn = outlines.by_ids(db, [part.outline for part in parts])
    lying, glued = store.lying_of(db, sign), store.glued_at(db, sign)
    stock_names = {material.id: material.called for material in stock.all_stocks(db)}
    return [
        LaidPart(
            part.id,
            part.name,
            part.level,
            _placed(drawn[part.outline], part),
            stock_names[part.stock],
            _per_k(lying[part.id]),
            glued.get(part.id, expansion.GLUED_AT_C),
            lying[part.id].under,
        )
        for part in parts
    ]


def _placed(outline: Outline, part: jobs.Part) -> Outline:
    return outline.placed(part.x_mm, part.y_mm, 0)


def _per_k(lying: store.Lying) -> float | None:
    return expansion.usual_per_k(lying.kind) if lying.per_k is None else lying.per_k


def _stacked(laid: list[LaidPart]) -> tuple[tuple[Base, ...], tuple[Cover, ...]]:
    """Return the bottom parts that are screwed to the wall, and the parts that lie on them or are let into them."""
    bases = tuple(
        Base(part.name, part.outline, part.per_k)
        for part in laid
        if part.level == 0 and not part.under
    )
    covers = tuple(
        Cover(part.name, part.outline, part.level == 0)
        for part in laid
        if part.level > 0 or part.under
    )
    return bases, covers


# Commands. ------------------------------------------------------------------------------------------------------------


@command("said where a sign hangs", "assembler")
def set_site(transaction: Transaction, sign: int, coldest: str, warmest: str) -> Answer:
    """Set how cold and warm it gets where a sign (its id) hangs, in °C, as typed; both empty: as usual. The answer says
    what that does to its fixings. Raises Refused."""
    db = transaction.db
    stored, before = jobs.sign(db, sign), _layout_of(db, sign)
    if not f"{coldest}{warmest}".strip():
        if store.site_of(db, sign) is None:
            return Answer(wording.usual_site_already(stored.called), (stored.code,))
        store.drop_site(db, sign)
        message = wording.usual_site_set(stored.called)
    else:
        cold, warm = COLDEST.read(coldest), WARMEST.read(warmest)
        if not cold < warm:
            raise Refused(wording.coldest_not_below_warmest())
        store.set_site(db, sign, cold, warm)
        message = wording.site_set(stored.called, cold, warm)
    changed = fixings.what_changed(before, _layout_of(db, sign))
    return Answer(joined([message, changed]), (stored.code,))


@command("planned fixings", "assembler")
def plan_fixings(
    transaction: Transaction,
    sign: int,
    screw_mm: float,
    edge_mm: float,
    columns: int | str,
    rows: int | str,
    wall: str,
    *,
    wall_moves: float | str = "",
) -> Answer:
    """Plan how a sign (its id) is screwed to its wall: so many columns and rows of holes on each bottom part. Lengths mm;
    `wall_moves` in mm per metre and 10 °C, empty for the wall's usual figure. Raises Refused where there is no room."""
    db = transaction.db
    stored = jobs.sign(db, sign)
    plan = FixingPlan(
        SCREW.read(str(screw_mm)),
        EDGE.read(str(edge_mm)),
        int(COLUMNS.read(str(columns))),
        int(ROWS.read(str(rows))),
        *_wall(wall, str(wall_moves)),
    )
    bases, covers = _stacked(_laid(db, sign))
    if not bases:
        raise Refused(wording.no_base())
    layout = fixings.planned(plan, bases, covers, site_of(db, sign))
    if layout.refusal:
        raise Refused(layout.refusal)
    store.set_plan(db, sign, plan)
    message = wording.planned(len(layout.fixings), plan.screw_mm, stored.called)
    return Answer(message, (stored.code,))


def _wall(wall: str, moves: str) -> tuple[str, float]:
    """Return a wall's name and its expansion in millionths per kelvin, from what was typed. Raises Refused."""
    wall = read_line(wall, 1, 40, wording.name_wall())
    if moves.strip():
        return wall, expansion.typed_per_k(PER_METRE.read(moves))
    if wall not in WALLS:
        raise Refused(wording.wall_not_known(wall, tuple(WALLS)))
    return wall, WALLS[wall]


@command("cleared the fixings", "assembler")
def clear_fixings(transaction: Transaction, sign: int) -> Answer:
    """Drop the plan of a sign (its id); the round holes in its drawing are its fixings then. Raises Conflict."""
    stored = jobs.sign(transaction.db, sign)
    if store.plan_of(transaction.db, sign) is None:
        raise Conflict(wording.no_plan(stored.called))
    store.drop_plan(transaction.db, sign)
    return Answer(wording.cleared(stored.called), (stored.code,))


@command("said how a stock expands", "owner")
def set_expansion(transaction: Transaction, code: str, moves: str, source: str) -> Answer:
    """Enter how far a stock (its code) moves, in mm per metre and 10 °C as typed, and the source; an empty figure: as its
    kind usually does. Raises Refused."""
    material = stock.stock_by_code(transaction.db, code)
    if not moves.strip():
        if store.expansion_of(transaction.db, material.id) is None:
            return Answer(wording.no_own_figure(material.called))
        store.drop_expansion(transaction.db, material.id)
        return Answer(wording.own_figure_cleared(material.called))
    per_k = expansion.typed_per_k(PER_METRE.read(moves))
    named = read_line(source, 1, 80, wording.name_source())
    store.set_expansion(transaction.db, store.StockExpansion(material.id, per_k, named))
    return Answer(wording.expansion_set(material.called, expansion.mm_per_metre(per_k)))
