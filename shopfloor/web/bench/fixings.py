"""A sign's unlike materials and its fixings on a page, and the form for how a stock expands on its page of Stock.

Owns what these show and how their forms are read. What follows from a movement stands in domain/fixings/expansion.py and fixings.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import fixings as actions
from ...actions.fixings import SignMaterials
from ...domain import codes, lengths
from ...domain.fixings.expansion import Movement, drill, shown_per_k, small_length
from ...domain.fixings.fixings import WALLS, Fixing, FixingPlan, Layout, washer_for
from ...domain.fixings.mixed_materials import Group, said_of
from ...store import jobs
from ..forms import Choice
from ..page import current_actor, current_settings, do, done, show, snapshot
from ..pictures.fixing_pictures import FixingPicture, fixing_picture

BOX = (700, 430)
EVERY_MM = (
    600.0  # one screw about each so many millimetres is what the form begins with; from memory
)
SCREW_MM, EDGE_MM = 4.0, 25.0
MOST_JOINTS = 12  # between sections, told one by one

pages = Blueprint("fixings", __name__)


@dataclass(frozen=True)
class HoleRow:
    """One fixing in the table. Distances are from the sign's lower left corner, in the shop's units."""

    number: int
    left: str
    foot: str
    hole: str
    note: str


@dataclass(frozen=True)
class GroupRow:
    """Joints of one stock over another: what moves how far in `moves`, what follows in `kind` and `sentence`."""

    title: str
    where: str
    moves: tuple[str, ...]
    kind: str
    sentence: str


@dataclass(frozen=True)
class PlanForm:
    """What the form of a plan begins with, in the shop's units."""

    screw: str
    edge: str
    columns: int
    rows: int
    walls: tuple[Choice, ...]
    moves: str


@dataclass(frozen=True)
class MaterialsPage:
    """One sign's unlike materials and fixings. `fixings` and `wall` say in words how it is fixed; `refusal` why its plan
    cannot be drawn. Of the gaps between sections `joints` are too tight, `more_tight` counts those that are not told one by
    one, `wide` the rest."""

    code: str
    called: str
    name: str
    picture: FixingPicture
    holes: tuple[HoleRow, ...]
    fixings: str
    wall: str
    moved: tuple[str, ...]
    said: tuple[str, ...]
    refusal: str
    is_planned: bool
    groups: tuple[GroupRow, ...]
    alike: int
    joints: tuple[str, ...]
    more_tight: int
    wide: int
    coldest: str
    warmest: str
    is_own_site: bool
    plan: PlanForm
    units: str
    can_work: bool


@pages.get("/bench/<code>/materials")
def materials(code: str) -> Response:
    """One sign: its base with the fixings, what its unlike materials do, and the forms for both."""
    with snapshot() as db:
        sign = jobs.sign_by_code(db, codes.parse(code))
        view = _page(sign, actions.materials_of(db, sign.id))
        return show(
            "bench/fixings/fixings.html",
            view,
            title=f"{view.called}: materials and fixings",
            here="Bench",
        )


@pages.post("/bench/<code>/materials/site")
def set_site(code: str) -> Response:
    """How cold and warm it gets there; `usual`: as the shop's signs usually do."""
    form = request.form
    texts = (
        ("", "")
        if form.get("usual")
        else (form.get("coldest", "") or "?", form.get("warmest", "") or "?")
    )
    return done(do(actions.set_site, _id_of(code), *texts), _back(code))


@pages.post("/bench/<code>/materials/fixings")
def plan_fixings(code: str) -> Response:
    """How the sign is screwed to its wall."""
    form, units = request.form, current_settings().units
    screw, edge = (lengths.parse(form.get(name, ""), units) for name in ("screw", "edge"))
    rest = (form.get(name, "") for name in ("columns", "rows", "wall", "moves"))
    return done(do(actions.plan_fixings, _id_of(code), screw, edge, *rest), _back(code))


@pages.post("/bench/<code>/materials/fixings/clear")
def clear_fixings(code: str) -> Response:
    """No plan any more."""
    return done(do(actions.clear_fixings, _id_of(code)), _back(code))


def _id_of(code: str) -> int:
    with snapshot() as db:
        return jobs.sign_by_code(db, codes.parse(code)).id


def _back(code: str) -> str:
    return url_for("fixings.materials", code=code)


# What the page shows. -------------------------------------------------------------------------------------------------


def _page(sign: jobs.Sign, known: SignMaterials) -> MaterialsPage:
    units, site, layout = current_settings().units, known.site, known.layout
    told = [said_of(joint, units) for joint in known.joints if not joint.is_wide_enough]
    return MaterialsPage(
        code=sign.code,
        called=sign.called,
        name=sign.name,
        picture=_picture(sign, known),
        holes=tuple(_hole(one, layout) for one in layout.fixings),
        fixings=_in_words(known),
        wall=_wall_in_words(known),
        moved=layout.moved,
        said=layout.said,
        refusal=layout.refusal,
        is_planned=known.plan is not None,
        groups=tuple(_group(group) for group in known.unlike.groups),
        alike=known.unlike.alike,
        joints=tuple(told[:MOST_JOINTS]),
        more_tight=len(told[MOST_JOINTS:]),
        wide=len(known.joints) - len(told),
        coldest=f"{site.coldest_c:g}",
        warmest=f"{site.warmest_c:g}",
        is_own_site=site.is_own,
        plan=_plan_form(sign, known.plan),
        units=units,
        can_work=current_actor().holds("assembler"),
    )


def _shown(mm: float) -> str:
    settings = current_settings()
    return lengths.show(mm, settings.units, settings.inch_fraction)


def _picture(sign: jobs.Sign, known: SignMaterials) -> FixingPicture:
    return fixing_picture(
        f"The base of {sign.called} with {len(known.layout.fixings)} fixings",
        (sign.width_mm, sign.height_mm),
        (_shown(sign.width_mm), _shown(sign.height_mm)),
        [base.outline for base in known.bases],
        [cover.outline for cover in known.covers],
        known.layout.fixings,
        dict(known.layout.covered),
        BOX,
    )


def _in_words(known: SignMaterials) -> str:
    count, plan = len(known.layout.fixings), known.plan
    if known.layout.refusal or not count:
        return ""
    screws = f"{count} screws" if count > 1 else "1 screw"
    if plan:
        return f"{screws} of {_drill(plan.screw_mm)} into {plan.wall}"
    return f"{screws} of at most {_drill(known.layout.fixings[0].wall_mm)}, in the round holes of the drawing"


def _wall_in_words(known: SignMaterials) -> str:
    wall = "The wall" if known.plan else "The wall, taken as masonry,"
    figures = (
        " and ".join(
            dict.fromkeys(shown_per_k(base.per_k) for base in known.bases if base.per_k is not None)
        )
        or "?"
    )
    return f"{wall} moves {shown_per_k(known.wall_per_k)} mm for each metre and 10 °C, the base {figures}."


def _drill(mm: float) -> str:
    return drill(mm, current_settings().units)


def _hole(one: Fixing, layout: Layout) -> HoleRow:
    hole = _drill(one.hole_mm)
    if one.slot_mm:
        hole = f"slot {one.hole_mm:g} × {_drill(one.hole_mm + one.slot_mm)}"
    notes = (
        ["fixed point"]
        if one.is_fixed_point
        else ["towards the fixed point"]
        if one.slot_mm
        else []
    )
    washer, covered, touched = washer_for(one), dict(layout.covered), dict(layout.touched)
    if washer:
        notes.append(f"with a washer of {_drill(washer)} at the least")
    if one.number in covered:
        notes.append(f"covered by {_quoted(covered[one.number])}: fix before gluing")
    if one.number in touched:
        what = "washer" if washer else "screw's head"
        notes.append(
            f"its {what} touches {_quoted(touched[one.number])}: fix before gluing, or move it"
        )
    return HoleRow(one.number, _shown(one.x_mm), _shown(one.y_mm), hole, "; ".join(notes))


def _group(group: Group) -> GroupRow:
    title = f"{group.upper} {'let into' if group.is_let_in else 'over'} {group.lower}"
    joints = "1 joint" if group.count == 1 else f"{group.count} joints"
    if group.advice is None:
        stocks = " and ".join(dict.fromkeys(group.missing))
        sentence = (
            f"Nobody has entered how much {stocks} expands: an owner does so on its page in Stock."
        )
        return GroupRow(title, f"level {group.level}, {joints}", (), "not known", sentence)
    moved = group.advice.movement
    where = f"level {group.level}, {joints}; the longest is that of {_quoted(group.part)}, {_shown(moved.length_mm)}"
    return GroupRow(title, where, _moves(moved), group.advice.kind, group.advice.sentence)


def _quoted(name: str) -> str:
    return name if name.startswith("no. ") else f"'{name}'"


def _moves(moved: Movement) -> tuple[str, ...]:
    """The two ways in words: what the upper part does against the lower one, over the whole length and at each end."""
    units, is_livelier = current_settings().units, moved.difference > 0
    ways = (
        ("shrinks" if is_livelier else "grows", moved.cold_mm, moved.site.coldest_c),
        ("grows" if is_livelier else "shrinks", moved.warm_mm, moved.site.warmest_c),
    )
    return tuple(
        f"{word} {small_length(mm, units)} against it from {_celsius(moved.joined_c)} to {_celsius(at)} °C: "
        f"{small_length(mm / 2, units)} at each end"
        for word, mm, at in ways
    )


def _celsius(degrees: float) -> str:
    return f"{degrees:g}".replace("-", "−")


def _plan_form(sign: jobs.Sign, plan: FixingPlan | None) -> PlanForm:
    """What was planned; else as many holes as the size asks for, two each way at the least."""
    columns, rows = (max(2, math.ceil(mm / EVERY_MM)) for mm in (sign.width_mm, sign.height_mm))
    plan = plan or FixingPlan(
        SCREW_MM, EDGE_MM, columns, rows, next(iter(WALLS)), next(iter(WALLS.values()))
    )
    names = [*WALLS, *([plan.wall] if plan.wall not in WALLS else [])]
    walls = tuple(Choice(name, _wall(name), "", name == plan.wall) for name in names)
    is_usual = WALLS.get(plan.wall) == plan.wall_per_k
    return PlanForm(
        _typed(plan.screw_mm),
        _typed(plan.edge_mm),
        plan.columns,
        plan.rows,
        walls,
        "" if is_usual else shown_per_k(plan.wall_per_k),
    )


def _wall(name: str) -> str:
    return f"{name} ({shown_per_k(WALLS[name])})" if name in WALLS else name


def _typed(mm: float) -> str:
    """A length as a field begins with it: exact, so in a shop of inches with its own unit."""
    return f"{mm:g}" if current_settings().units == "mm" else f"{mm:g} mm"
