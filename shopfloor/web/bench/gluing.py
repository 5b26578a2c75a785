"""The glue panel: in which order and groups a level is glued, with what, and what stands against it.

Owns how the form is filled and what is said beside it. What is glued is written by the Bench (`bench.glue`); the rules are
in the domain. What a person has put into the form comes with every request, so that nothing typed is lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from flask import Blueprint, Response, request

from ...actions.unit_of_work import moment, stamp
from ...domain import codes
from ...domain.bench import bench as wording
from ...domain.bench import bonds, climate, gluing, masking
from ...domain.bench import steps as rules
from ...domain.bench.cements import Batch, Cement, broken_limits
from ...domain.bench.gluing import Pace, Placed
from ...domain.bench.steps import Part, Sign, Step
from ...domain.errors import Refused
from ...domain.outlines import Outline
from ...domain.settings import number
from ...store import bench, cements, jobs
from ...store import gluing as store
from ...store.db import Connection
from ..page import NOT_OURS, current_actor, current_settings, fragment, local_now, snapshot, whole
from ..pictures.sign_pictures import shape_of
from . import gluing_words as words
from .climate import ClimateFields, fields_now
from .gluing_words import Chip, Group, Running

pages = Blueprint("gluing", __name__)


@dataclass(frozen=True)
class CementChoice:
    """A cement to choose; `limits` is what its data sheet says, in short."""

    id: int
    name: str
    limits: str
    is_chosen: bool


@dataclass(frozen=True)
class BatchChoice:
    """A batch that the shop has; `note` says until when it is good."""

    batch: str
    note: str
    is_chosen: bool


@dataclass(frozen=True)
class Other:
    """Another sign's gluing that can be done in the same session: all its `parts` that are set out."""

    step: int
    words: str
    parts: tuple[int, ...]
    is_chosen: bool


@dataclass(frozen=True)
class Typed:
    """What a person has put into the form so far. `parts` is None where nobody chose any, `cement` where none is chosen."""

    near: str
    cement: int | None
    batch: str
    known_batch: str | None
    climate: ClimateFields
    glued_at: str
    reason: str
    parts: frozenset[int] | None
    steps: frozenset[int]


@dataclass(frozen=True)
class Session:
    """A glue-up as it is planned: `chosen` are the parts of this sign now, `others` further signs, all in order.

    `grouped_for` names what the groups hang on: with another cement, or from another side, the chosen group is another one.
    """

    in_order: tuple[int, ...]
    groups: tuple[tuple[int, ...], ...]
    chosen: tuple[int, ...]
    others: tuple[Other, ...]
    cement: Cement | None
    near: str
    pace: Pace
    grouped_for: str

    @property
    def rest(self) -> tuple[int, ...]:
        """What is left for later."""
        return tuple(part for part in self.in_order if part not in self.chosen)

    @property
    def joining(self) -> tuple[Other, ...]:
        """The other signs that are glued with it."""
        return tuple(other for other in self.others if other.is_chosen)

    @property
    def open_min(self) -> float:
        """How long the cement stays open; 0 where that is not known."""
        return self.cement.open_min if self.cement else 0.0


@dataclass(frozen=True)
class GlueForm:
    """All that the panel shows. `numbers` is the order by part, for the drawing; `problems` are broken limits, `cautions`
    what is awkward; `has_thermometer`: a button reads how warm it is; `near` is where the assembler stands."""

    code: str
    step: int
    can_work: bool
    is_owner: bool
    running: Running | None
    groups: tuple[Group, ...]
    glued: str
    pace: str
    need: str
    film: tuple[str, ...]
    cautions: tuple[str, ...]
    problems: tuple[str, ...]
    cements: tuple[CementChoice, ...]
    batches: tuple[BatchChoice, ...]
    others: tuple[Other, ...]
    near: str
    near_choices: tuple[tuple[str, str], ...]
    typed: Typed
    has_thermometer: bool
    grouped_for: str
    numbers: dict[str, int]


@dataclass(frozen=True)
class Panel:
    """The form by itself, as it is sent again after each change."""

    glue: GlueForm


@pages.get("/bench/<code>/gluing")
def look(code: str) -> Response:
    """The form's fields again, worked out for what has been chosen and typed so far."""
    with snapshot() as db:
        stored, now = jobs.sign_by_code(db, codes.parse(code)), local_now()
        sign = bench.sign_of(db, stored.id)
        asked = whole(request.args.get("step", ""))
        step = next((own for own in sign.steps if own.id == asked and own.kind == "glue"), None)
        if step is None:
            raise Refused(NOT_OURS)
        return fragment("bench/_glue_look.html", Panel(glue_form(db, stored, sign, step, now)))


def glue_form(db: Connection, stored: jobs.Sign, sign: Sign, step: Step, now: datetime) -> GlueForm:
    """The form for the gluing `step` of a sign, with what was typed in this request."""
    typed, known = _typed(db, step), cements.in_use(db)
    cement = next((one for one in known if one.id == typed.cement), None)
    session = _session(db, stored, sign, step, typed, cement, now)
    batches = cements.batches(db, cement.id) if cement else []
    turns = {part: turn for turn, part in enumerate(session.in_order, len(step.ticks) + 1)}
    by = current_actor()
    return GlueForm(
        code=stored.code,
        step=step.id,
        can_work=by.holds("assembler"),
        is_owner=by.holds("owner"),
        running=_running(db, step, now),
        groups=_groups(session, sign, turns),
        glued=words.glued(len(step.ticks), len(step.parts)),
        pace=words.pace(session.pace),
        need=_need(db, sign, session),
        film=film_at(db, sign, step, cement),
        cautions=_cautions(db, sign, step, session, now),
        problems=_problems(cement, typed, batches, now),
        cements=tuple(
            CementChoice(one.id, one.name, words.limits(one), one.id == typed.cement)
            for one in known
        ),
        batches=_batch_choices(batches, typed, now),
        others=session.others,
        near=session.near,
        near_choices=words.NEAR,
        typed=typed,
        has_thermometer=bool(current_settings().thermometer),
        grouped_for=session.grouped_for,
        numbers={str(part): turn for part, turn in turns.items()},
    )


# What was typed. ------------------------------------------------------------------------------------------------------


def _typed(db: Connection, step: Step) -> Typed:
    """What the request says of this form; without it what the last glue-up and the last reading suggest."""
    form = request.values
    if form.get("gluing") != str(step.id):
        return _suggested(db, step)
    chosen = frozenset(part for part in map(whole, form.getlist("part")) if part is not None)
    was_glued = bool(
        chosen & step.ticks
    )  # the answer to a glue-up: the next group is another choice
    near = form.get("near", "")
    return Typed(
        near if near in gluing.NEAR else "",
        whole(form.get("cement", "")),
        form.get("batch", ""),
        form.get("known_batch"),
        _climate(db),
        "" if was_glued else form.get("glued_at", ""),
        "" if was_glued else form.get("reason", ""),
        None if was_glued else chosen,
        frozenset(other for other in map(whole, form.getlist("step")) if other is not None),
    )


def _climate(db: Connection) -> ClimateFields:
    """How warm and damp it is: as typed, or as the gauge shows where that was asked for, by the panel's own button."""
    typed = ClimateFields(
        request.values.get("temperature", ""), request.values.get("humidity", ""), None, False
    )
    if request.args.get("read") != "1":
        return typed
    read = fields_now(db, read=True)
    return (
        replace(typed, note=read.note, is_trouble=True)
        if read.is_trouble
        else replace(read, has_thermometer=False)
    )


def _suggested(db: Connection, step: Step) -> Typed:
    """As the level was glued so far; a level that is not begun, as the shop glued last."""
    last, known = (
        bench.last_glue_up(db, tuple(step.ticks)) or bench.last_glue_up(db),
        cements.in_use(db),
    )
    cement = last.cement if last else known[0].id if len(known) == 1 else None
    is_kept = bool(last and cements.batch_called(db, last.cement, last.batch))
    return Typed(
        "",
        cement,
        last.batch if last and not is_kept else "",
        last.batch if last and is_kept else None,
        replace(fields_now(db), has_thermometer=False),
        "",
        "",
        None,
        frozenset(),
    )


# The order and the groups. --------------------------------------------------------------------------------------------


def _session(
    db: Connection,
    stored: jobs.Sign,
    sign: Sign,
    step: Step,
    typed: Typed,
    cement: Cement | None,
    now: datetime,
) -> Session:
    near = typed.near or ("lower edge" if stored.width_mm >= stored.height_mm else "left edge")
    in_order = gluing.order(_placed(db, sign, rules.can_be_glued(step, sign, now)), near)
    pace = gluing.measured_pace(store.sessions(db), current_settings().glue_min_a_part)
    groups = gluing.groups(in_order, pace.minutes_a_part, cement.open_min if cement else 0.0)
    grouped_for = f"{typed.cement} {near}"
    chosen = next(iter(groups), ())
    if typed.parts is not None and request.values.get("grouped_for") == grouped_for:
        chosen = tuple(part for part in in_order if part in typed.parts)
    return Session(
        in_order, groups, chosen, _others(db, sign, typed, now), cement, near, pace, grouped_for
    )


def _placed(db: Connection, sign: Sign, parts: Sequence[int]) -> list[Placed]:
    wanted = set(parts)
    return [
        Placed(part.part, part.outline.bounds)
        for part in shape_of(db, sign.id).parts
        if part.part in wanted
    ]


def _groups(session: Session, sign: Sign, turns: Mapping[int, int]) -> tuple[Group, ...]:
    made = []
    for place, parts in enumerate(session.groups, 1):
        chips = tuple(
            Chip(part, turns[part], _called(sign.parts[part]), part in session.chosen)
            for part in parts
        )
        head = words.group(
            place, len(session.groups), chips, session.pace.minutes_a_part, session.open_min
        )
        made.append(Group(head, chips, place == 1 or any(chip.is_chosen for chip in chips)))
    return tuple(made)


def _called(part: Part) -> str:
    return part.name or f"no. {part.number}"


def _others(db: Connection, sign: Sign, typed: Typed, now: datetime) -> tuple[Other, ...]:
    found = []
    for other in bench.benches(db):
        for step in other.steps if other.id != sign.id else ():
            if step.kind == "glue" and (can := rules.can_be_glued(step, other, now)):
                title = f"{other.job} {other.mark}, {step.title[0].lower()}{step.title[1:]}"
                found.append(Other(step.id, title, can, step.id in typed.steps))
    return tuple(found)


def _running(db: Connection, step: Step, now: datetime) -> Running | None:
    """The open time that runs, where somebody pressed Begin."""
    under_way = bench.gluing_since(db, step.id)
    if under_way is None:
        return None
    cement, began = cements.cement(db, under_way[0]), moment(under_way[1])
    end, since = began + timedelta(minutes=cement.open_min), wording.clock(began, now, now.tzinfo)
    is_known = cement.open_min > 0
    is_over = is_known and end <= now
    said = words.running(cement.name, since, is_known=is_known, is_over=is_over)
    return Running(said, since, stamp(end) if is_known else "", stamp(now), is_over)


# What is needed, and what stands against it. --------------------------------------------------------------------------


def _need(db: Connection, sign: Sign, session: Session) -> str:
    area, cement = _area(db, sign, session.chosen), session.cement
    area += sum(
        _area(db, bench.sign_of_step(db, other.step), other.parts) for other in session.joining
    )
    spare = current_settings().cement_spare_share
    return words.need(
        area, bonds.cement_ml(area, cement.ml_per_m2, spare) if cement else None, spare, cement
    )


def _area(db: Connection, sign: Sign, parts: Sequence[int]) -> float:
    outlines, thick = _outlines(db, sign), store.thicknesses(db, sign.id)
    joints = []
    for part in parts:
        under = tuple(outlines[lower] for lower in sign.parts[part].needs_under)
        joints.append(bonds.Joint(part, outlines[part], under, thick[part]))
    return sum(bonds.bond_areas(joints).values())


def _outlines(db: Connection, sign: Sign) -> dict[int, Outline]:
    return {part.part: part.outline for part in shape_of(db, sign.id).parts}


def film_at(
    db: Connection, sign: Sign, step: Step, cement: Cement | None = None
) -> tuple[str, ...]:
    """What to do with the masking film at a step of a sign, one sentence each; of any kind of step."""
    left = [
        part for part in sign.parts.values() if step.kind != "glue" or part.id not in step.ticks
    ]
    faces = masking.faces(left, _outlines(db, sign))
    return masking.film_for(step.kind, step.level, faces, cement.kind if cement else "solvent")


def _cautions(
    db: Connection, sign: Sign, step: Step, session: Session, now: datetime
) -> tuple[str, ...]:
    """What is awkward of this choice: it does not fit the open time, or an arm would cross wet glue."""
    each, count = (
        session.pace.minutes_a_part,
        len(session.chosen) + sum(len(other.parts) for other in session.joining),
    )
    time = gluing.too_slow(each, session.open_min) or words.too_long(count, each, session.open_min)
    wet = tuple(step.ticks) if rules.is_curing(step, now) else ()
    placed = _placed(db, sign, (*wet, *session.in_order))
    crossed = gluing.reaches_over((*wet, *session.chosen, *session.rest), placed, session.near)
    names = {part.id: wording.called(part) for part in sign.parts.values()}
    return tuple(said for said in (time, words.reached_over(crossed, names, set(wet))) if said)


def _problems(
    cement: Cement | None, typed: Typed, batches: Sequence[Batch], now: datetime
) -> tuple[str, ...]:
    """The limits that are broken, as far as what was typed tells."""
    if cement is None:
        return ()
    batch = typed.batch.strip() or typed.known_batch
    expires = next((one.expires for one in batches if one.batch == batch), None)
    celsius, humidity = _celsius(typed.climate.temperature), _figure(typed.climate.humidity, 0, 100)
    warm = cement.reference_c if celsius is None else celsius
    return tuple(broken_limits(cement, warm, humidity, expires, now.date()))


def _celsius(text: str) -> float | None:
    """The same for the temperature."""
    try:
        return climate.celsius(text)
    except Refused:
        return None


def _figure(text: str, least: float, most: float) -> float | None:
    """What was typed; None for nothing, and for what the glue-up itself will refuse."""
    try:
        return number(text.strip(), "It", least, most)
    except Refused:
        return None


def _batch_choices(
    batches: Sequence[Batch], typed: Typed, now: datetime
) -> tuple[BatchChoice, ...]:
    """The batches of the chosen cement that are not used up."""
    left = [batch for batch in batches if not batch.is_used_up]
    today = now.date()
    good = [one.batch for one in left if not one.is_expired(today)]
    is_named = typed.batch.strip() or typed.known_batch in [one.batch for one in left]
    chosen = (
        typed.known_batch if is_named else next(iter(good), None)
    )  # of another cement: its first good one
    return tuple(
        BatchChoice(one.batch, words.good_until(one, today), one.batch == chosen) for one in left
    )
