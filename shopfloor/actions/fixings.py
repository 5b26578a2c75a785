"""What people do about unlike materials and fixings: enter a stock's expansion, say how a sign hangs, plan its screws.

`materials_of` and `fixings_of` put together what the pages and the drilling template show of it.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from ..domain.errors import Conflict, Refused
from ..domain.fixings import expansion, fixings, mixed_materials
from ..domain.fixings.expansion import Site
from ..domain.fixings.fixings import WALLS, Base, Cover, Fixing, FixingPlan, Layout
from ..domain.fixings.mixed_materials import Joint, LaidPart, Unlike
from ..domain.outlines import Outline
from ..domain.settings import number
from ..store import fixings as store
from ..store import jobs, outlines, settings, stock
from ..store.db import Connection
from .unit_of_work import Answer, Transaction, command

# (title, least, most); the bounds only keep slips of the finger out.
COLDEST = ("The coldest that the sign gets, in °C,", -60, 40)
WARMEST = ("The warmest that the sign gets, in °C,", 0, 90)
SCREW = ("The screw's diameter, in mm,", 2, 12)
EDGE = ("The distance from the edge, in mm,", 5, 500)
COLUMNS = ("The holes in a row", 1, 20)
ROWS = ("The rows of holes", 1, 20)
PER_METRE = ("How far it moves, in mm for each metre and 10 °C,", 0, 3)


@dataclass(frozen=True)
class SiteSet:
    """How cold and warm it gets where a sign hangs, °C; None: as the shop's signs usually do."""

    sign: str
    coldest_c: float | None
    warmest_c: float | None


@dataclass(frozen=True)
class FixingsPlanned:
    """A sign is fixed to its wall so: `holes` screws in all. Lengths mm, `wall_per_k` in millionths a kelvin."""

    sign: str
    screw_mm: float
    edge_mm: float
    columns: int
    rows: int
    wall: str
    wall_per_k: float
    holes: int


@dataclass(frozen=True)
class FixingsCleared:
    """A sign has no plan of fixings any more."""

    sign: str


@dataclass(frozen=True)
class ExpansionSet:
    """A stock expands so, in millionths a kelvin; None: as its kind usually does. `source` says who says so."""

    stock: str
    per_k: float | None
    source: str


@dataclass(frozen=True)
class SignMaterials:
    """All that is known of a sign's unlike materials and fixings.

    `bases` are its bottom parts that stand on the wall, `covers` what lies on them; `wall_per_k` is the plan's, else a
    masonry wall's."""

    site: Site
    unlike: Unlike
    joints: tuple[Joint, ...]
    plan: FixingPlan | None
    layout: Layout
    bases: tuple[Base, ...]
    covers: tuple[Cover, ...]
    wall_per_k: float


# What is known. -------------------------------------------------------------------------------------------------------


def site_of(db: Connection, sign: int) -> Site:
    """How cold and warm it gets where a sign (its id) hangs: its own site, else the shop's usual one."""
    own = store.site_of(db, sign)
    shop_settings = settings.load(db)
    return (
        Site(*own, is_own=True)
        if own
        else Site(shop_settings.site_coldest_c, shop_settings.site_warmest_c)
    )


def materials_of(db: Connection, sign: int) -> SignMaterials:
    """A sign's unlike materials and fixings, by its id."""
    laid = _laid(db, sign)
    site, plan, shop_settings = site_of(db, sign), store.plan_of(db, sign), settings.load(db)
    bases, covers = _stacked(laid)
    wall_per_k = plan.wall_per_k if plan else WALLS[fixings.USUAL_WALL]
    return SignMaterials(
        site,
        mixed_materials.unlike(laid, site, shop_settings.tape_mm, shop_settings.units),
        mixed_materials.joints(laid, site, wall_per_k),
        plan,
        _layout(plan, bases, covers, site, shop_settings.units),
        bases,
        covers,
        wall_per_k,
    )


def fixings_of(db: Connection, sign: int) -> tuple[Fixing, ...]:
    """The holes by which a sign (its id) is screwed to its wall: those of its plan, else those that its drawing has."""
    return _layout_of(db, sign).fixings


def _layout_of(db: Connection, sign: int) -> Layout:
    bases, covers = _stacked(_laid(db, sign))
    return _layout(
        store.plan_of(db, sign), bases, covers, site_of(db, sign), settings.load(db).units
    )


def _layout(
    plan: FixingPlan | None,
    bases: tuple[Base, ...],
    covers: tuple[Cover, ...],
    site: Site,
    units: str,
) -> Layout:
    if plan is None:
        return fixings.drawn(bases, covers, site, units=units)
    return fixings.planned(plan, bases, covers, site, units)


def _laid(db: Connection, sign: int) -> list[LaidPart]:
    parts = jobs.parts_of(db, sign)
    drawn = outlines.by_ids(db, [part.outline for part in parts])
    lying, glued = store.lying_of(db, sign), store.glued_at(db, sign)
    called = {one.id: one.called for one in stock.all_stocks(db)}
    return [
        LaidPart(
            part.id,
            part.name,
            part.level,
            _placed(drawn[part.outline], part),
            called[part.stock],
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
    """The bottom parts that stand on the wall, and what lies on them or is let into them."""
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


# What people do. ------------------------------------------------------------------------------------------------------


@command("said where a sign hangs", "assembler")
def set_site(transaction: Transaction, sign: int, coldest: str, warmest: str) -> Answer:
    """How cold and warm it gets where a sign (its id) hangs, in °C, as typed; both empty: as usual. The answer says what
    that makes of its fixings. Raises Refused."""
    of, before = jobs.sign(transaction.db, sign), _layout_of(transaction.db, sign)
    if not f"{coldest}{warmest}".strip():
        if store.site_of(transaction.db, sign) is None:
            return Answer(f"{of.called} hangs at the usual site already.", (of.code,))
        store.drop_site(transaction.db, sign)
        transaction.record(SiteSet(of.code, None, None))
        return _told_site(
            transaction, of, f"{of.called} hangs where the shop's signs usually do.", before
        )
    cold, warm = number(str(coldest).strip(), *COLDEST), number(str(warmest).strip(), *WARMEST)
    if not cold < warm:
        raise Refused("The coldest is below the warmest: type the two again.")
    store.set_site(transaction.db, sign, cold, warm)
    transaction.record(SiteSet(of.code, cold, warm))
    return _told_site(
        transaction, of, f"{of.called} hangs where it gets {cold:g} to {warm:g} °C.", before
    )


def _told_site(transaction: Transaction, of: jobs.Sign, said: str, before: Layout) -> Answer:
    changed = fixings.what_changed(before, _layout_of(transaction.db, of.id))
    return Answer(f"{said} {changed}".rstrip(), (of.code,))


@command("planned fixings", "assembler")
def plan_fixings(
    transaction: Transaction,
    sign: int,
    screw_mm: float,
    edge_mm: float,
    columns: int,
    rows: int,
    wall: str,
    wall_moves: float | str = "",
) -> Answer:
    """How a sign (its id) is screwed to its wall: on each bottom part so many columns and rows of holes. Lengths mm,
    `wall_moves` in mm for each metre and 10 °C, empty for the wall's usual figure. Raises Refused where there is no room."""
    of = jobs.sign(transaction.db, sign)
    plan = FixingPlan(
        number(str(screw_mm), *SCREW),
        number(str(edge_mm), *EDGE),
        number(str(columns).strip(), *COLUMNS, is_whole=True),
        number(str(rows).strip(), *ROWS, is_whole=True),
        *_wall(wall, str(wall_moves)),
    )
    bases, covers = _stacked(_laid(transaction.db, sign))
    if not bases:
        raise Refused(
            "The sign has no bottom part that a screw could go through: look its drawing over."
        )
    layout = fixings.planned(
        plan, bases, covers, site_of(transaction.db, sign), settings.load(transaction.db).units
    )
    if layout.refusal:
        raise Refused(layout.refusal)
    store.set_plan(transaction.db, sign, plan)
    holes = len(layout.fixings)
    transaction.record(FixingsPlanned(of.code, **asdict(plan), holes=holes))
    screws = (
        f"1 screw of {plan.screw_mm:g} mm is"
        if holes == 1
        else f"{holes} screws of {plan.screw_mm:g} mm are"
    )
    return Answer(f"{screws} planned for {of.called}.", (of.code,))


def _wall(wall: str, moves: str) -> tuple[str, float]:
    wall = " ".join(wall.split())
    if not 1 <= len(wall) <= 40:
        raise Refused("Name the wall in 1 to 40 letters, as in masonry.")
    if moves.strip():
        return wall, expansion.typed_per_k(number(moves.strip(), *PER_METRE))
    if wall not in WALLS:
        raise Refused(
            f"Type how far {wall} moves, in mm for each metre and 10 °C, or choose one of {', '.join(WALLS)}."
        )
    return wall, WALLS[wall]


@command("cleared the fixings", "assembler")
def clear_fixings(transaction: Transaction, sign: int) -> Answer:
    """A sign (its id) has no plan of fixings any more; the round holes of its drawing stand for it. Raises Conflict."""
    of = jobs.sign(transaction.db, sign)
    if store.plan_of(transaction.db, sign) is None:
        raise Conflict(f"{of.called} has no plan of fixings: load the page again.")
    store.drop_plan(transaction.db, sign)
    transaction.record(FixingsCleared(of.code))
    return Answer(f"{of.called} has no plan of fixings any more.", (of.code,))


@command("said how a stock expands", "owner")
def set_expansion(transaction: Transaction, code: str, moves: str, source: str) -> Answer:
    """How far a stock (its code) moves, in mm for each metre and 10 °C as typed, and who says so; an empty figure: as its
    kind usually does. Raises Refused."""
    material = stock.stock_by_code(transaction.db, code)
    if not str(moves).strip():
        if store.expansion_of(transaction.db, material.id) is None:
            return Answer(f"{material.called} has no figure of its own already.")
        store.drop_expansion(transaction.db, material.id)
        transaction.record(ExpansionSet(material.code, None, ""))
        return Answer(f"{material.called} has no figure of its own any more.")
    figure = expansion.typed_per_k(number(str(moves).strip(), *PER_METRE))
    source = " ".join(source.split())
    if not 1 <= len(source) <= 80:
        raise Refused("Say in 1 to 80 letters where the figure comes from, as in “its data sheet”.")
    store.set_expansion(transaction.db, store.StockExpansion(material.id, figure, source))
    transaction.record(ExpansionSet(material.code, figure, source))
    return Answer(
        f"{material.called} moves {expansion.shown_per_k(figure)} mm for each metre and 10 °C."
    )
