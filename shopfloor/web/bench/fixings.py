"""The page of a sign's dissimilar materials and fixings, and its forms.

Owns what the page shows and how its forms are read. domain/fixings/ decides what follows from a movement.
"""

from __future__ import annotations

import math

from flask import Blueprint, Response, request, url_for

from ...actions import fixings as actions
from ...actions.fixings import SignMaterials
from ...domain import codes, lengths
from ...domain.fixings.expansion import Movement, mm_per_metre, shown_per_k
from ...domain.fixings.fixings import WALLS, Fixing, Layout, washer_for
from ...domain.fixings.mixed_materials import Group, too_tight
from ...domain.fixings.screw_places import FixingPlan
from ...store import jobs
from ...wording import fixings as wording
from ...wording.message import Message
from ..forms import Choice
from ..page import current_settings, do, done, reader, show, snapshot
from ..pictures.fixing_pictures import FixingPicture, fixing_picture
from .bench import id_of

BOX = (700, 430)
EVERY_MM = 600.0  # the form begins with about one screw every so many millimetres; from memory
SCREW_MM, EDGE_MM = 4.0, 25.0
MOST_JOINTS = 12  # gaps between sections that are listed one by one

pages = Blueprint("fixings", __name__)


@pages.get("/bench/<code>/materials")
def materials(code: str) -> Response:
    """One sign: its base with the fixings, its dissimilar materials, and the forms."""
    with snapshot() as db:
        sign = jobs.sign_by_code(db, codes.parse(code))
        view = _page(sign, actions.materials_of(db, sign.id))
        title = wording.title(sign.called)
        return show("bench/fixings/fixings.html", view, title=title, here="Bench")


@pages.post("/bench/<code>/materials/site")
def set_site(code: str) -> Response:
    """Set how cold and warm it gets there; `usual`: as at the shop's usual site."""
    form = request.form
    if form.get("usual"):
        coldest, warmest = "", ""
    else:  # an empty field is refused
        coldest, warmest = form.get("coldest", "") or "?", form.get("warmest", "") or "?"
    return done(do(actions.set_site, id_of(code), coldest, warmest), _back(code))


@pages.post("/bench/<code>/materials/fixings")
def plan_fixings(code: str) -> Response:
    """Plan how the sign is screwed to its wall."""
    form, units = request.form, current_settings().units
    screw, edge = (lengths.parse(form.get(name, ""), units) for name in ("screw", "edge"))
    columns, rows, wall, moves = (
        form.get(name, "") for name in ("columns", "rows", "wall", "moves")
    )
    answer = do(
        actions.plan_fixings, id_of(code), screw, edge, columns, rows, wall, wall_moves=moves
    )
    return done(answer, _back(code))


@pages.post("/bench/<code>/materials/fixings/clear")
def clear_fixings(code: str) -> Response:
    """Drop the plan."""
    return done(do(actions.clear_fixings, id_of(code)), _back(code))


def _back(code: str) -> str:
    return url_for("fixings.materials", code=code)


# What the page shows. -------------------------------------------------------------------------------------------------


def _page(sign: jobs.Sign, known: SignMaterials) -> dict[str, object]:
    """Return what the page shows. `fixings` and `wall` say how the sign is screwed on; `refusal` why its plan cannot be
    drawn. Of the gaps between sections `joints` are too tight, `more_tight` counts those that are not listed, `wide` those
    that are wide enough."""
    site, layout = known.site, known.layout
    tight = [too_tight(joint) for joint in known.joints if not joint.is_wide_enough]
    return {
        "code": sign.code,
        "called": sign.called,
        "name": sign.name,
        "picture": _picture(sign, known),
        "holes": tuple(_hole(fixing, layout) for fixing in layout.fixings),
        "fixings": _fixings(known),
        "wall": _wall(known),
        "moved": layout.moved,
        "warnings": layout.warnings,
        "refusal": layout.refusal,
        "is_planned": known.plan is not None,
        "groups": tuple(_group(group) for group in known.mixed.groups),
        "alike": known.mixed.alike,
        "joints": tuple(tight[:MOST_JOINTS]),
        "more_tight": len(tight[MOST_JOINTS:]),
        "wide": len(known.joints) - len(tight),
        "coldest": f"{site.coldest_c:g}",
        "warmest": f"{site.warmest_c:g}",
        "is_own_site": site.is_own,
        "plan": _plan_form(sign, known.plan),
        "units": current_settings().units,
    }


def _length(mm: float) -> str:
    return reader().show("length", mm)


def _picture(sign: jobs.Sign, known: SignMaterials) -> FixingPicture:
    return fixing_picture(
        wording.drawing(sign.called, len(known.layout.fixings)),
        (sign.width_mm, sign.height_mm),
        (_length(sign.width_mm), _length(sign.height_mm)),
        [base.outline for base in known.bases],
        [cover.outline for cover in known.covers],
        known.layout.fixings,
        dict(known.layout.covered),
        box=BOX,
    )


def _fixings(known: SignMaterials) -> Message | None:
    fixings, plan = known.layout.fixings, known.plan
    if known.layout.refusal or not fixings:
        return None
    if plan:
        return wording.screws_into_wall(len(fixings), plan.screw_mm, plan.wall)
    return wording.screws_in_drawn_holes(len(fixings), fixings[0].wall_mm)


def _wall(known: SignMaterials) -> Message:
    bases = [mm_per_metre(base.per_k) for base in known.bases if base.per_k is not None]
    return wording.wall_and_base(
        mm_per_metre(known.wall_per_k), tuple(dict.fromkeys(bases)), known.plan is None
    )


def _hole(fixing: Fixing, layout: Layout) -> dict[str, object]:
    """Return one fixing of the table; distances are from the sign's lower left corner, in the shop's units."""
    hole = wording.round_hole(fixing.hole_mm)
    notes = []
    if fixing.slot_mm:
        hole = wording.slot(fixing.hole_mm, fixing.hole_mm + fixing.slot_mm)
    if fixing.is_fixed_point:
        notes.append(wording.fixed_point())
    elif fixing.slot_mm:
        notes.append(wording.towards_fixed_point())
    washer, covered, touched = washer_for(fixing), dict(layout.covered), dict(layout.touched)
    if washer:
        notes.append(wording.needs_washer(washer))
    if fixing.number in covered:
        notes.append(wording.covered_by(wording.part(covered[fixing.number])))
    if fixing.number in touched:
        notes.append(wording.touches(wording.part(touched[fixing.number]), washer > 0))
    return {
        "number": fixing.number,
        "left": _length(fixing.x_mm),
        "foot": _length(fixing.y_mm),
        "hole": hole,
        "notes": tuple(notes),
    }


def _group(group: Group) -> dict[str, object]:
    """Return joints of one stock on another: where they are, how far they move, and what joins them."""
    title = wording.joints_title(group.upper, group.lower, group.is_let_in)
    where = wording.joints_at(group.level, group.count)
    if group.advice is None:
        missing = wording.stock_not_known(tuple(dict.fromkeys(group.missing)))
        return {
            "title": title,
            "where": (where,),
            "moves": (),
            "kind": wording.joint_kind(""),
            "advice": missing,
        }
    movement = group.advice.movement
    longest = wording.longest_joint(wording.part(group.part), movement.length_mm)
    kind = wording.joint_kind(group.advice.kind)
    return {
        "title": title,
        "where": (where, longest),
        "moves": _moves(movement),
        "kind": kind,
        "advice": group.advice.message,
    }


def _moves(movement: Movement) -> tuple[Message, Message]:
    """What the upper part does against the lower one, down to the coldest and up to the warmest."""
    grows_when_warm = movement.difference > 0
    joined, site = movement.joined_c, movement.site
    cold, warm = movement.cold_mm, movement.warm_mm
    return (
        wording.moves(not grows_when_warm, cold, joined, site.coldest_c, cold / 2),
        wording.moves(grows_when_warm, warm, joined, site.warmest_c, warm / 2),
    )


def _plan_form(sign: jobs.Sign, plan: FixingPlan | None) -> dict[str, object]:
    """What was planned; else as many holes as the size needs, at least two each way."""
    columns, rows = (max(2, math.ceil(mm / EVERY_MM)) for mm in (sign.width_mm, sign.height_mm))
    plan = plan or FixingPlan(SCREW_MM, EDGE_MM, columns, rows, *next(iter(WALLS.items())))
    names = [*WALLS, *([plan.wall] if plan.wall not in WALLS else [])]
    is_usual = WALLS.get(plan.wall) == plan.wall_per_k
    return {
        "screw": _typed(plan.screw_mm),
        "edge": _typed(plan.edge_mm),
        "columns": plan.columns,
        "rows": plan.rows,
        "walls": [Choice(name, _wall_option(name), "", name == plan.wall) for name in names],
        "moves": "" if is_usual else shown_per_k(plan.wall_per_k),
    }


def _wall_option(name: str) -> Message | str:
    return wording.wall_option(name, mm_per_metre(WALLS[name])) if name in WALLS else name


def _typed(mm: float) -> str:
    """A length as a field begins with it: exact, so in a shop of inches with its own unit."""
    return f"{mm:g}" if current_settings().units == "mm" else f"{mm:g} mm"
