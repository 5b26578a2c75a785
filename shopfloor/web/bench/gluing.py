"""The glue panel: in which order and groups a level is glued, with what, and what is against it.

What is glued is written by the Bench (`bench.glue`). What a person has put into the form comes with every request, so that
nothing typed is lost.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from flask import Blueprint, Response, request

from ...actions.unit_of_work import moment, stamp
from ...domain import codes
from ...domain.bench import bonds, climate, gluing
from ...domain.bench import steps as rules
from ...domain.bench.cements import Batch, Cement, broken_limits
from ...domain.bench.gluing import Pace, Placed
from ...domain.bench.steps import Sign, Step
from ...domain.errors import Refused
from ...domain.fields import read_number
from ...store import bench, cements, jobs
from ...store import gluing as store
from ...store.db import Connection
from ...wording import bench as bench_wording
from ...wording import cements as cement_wording
from ...wording import climate as climate_wording
from ...wording import gluing as wording
from ...wording.message import Message, first_few, joined
from ..page import NOT_OURS, current_settings, fragment, local_now, snapshot, whole
from ..pictures.sign_pictures import shape_of
from .climate import ClimateFields, fields_now
from .film import film_at, outlines_of

MOST_NAMES = 12  # of a group's parts in its heading
MOST_CROSSED = 2  # arms over wet glue that are named
MM2_PER_CM2 = 100.0
SLACK = 1e-9  # a group that fills a minute exactly takes no further one

pages = Blueprint("gluing", __name__)


@dataclass(frozen=True)
class Chip:
    """A part to be glued: `turn` is its place in the order."""

    part: int
    turn: int
    name: str
    is_chosen: bool


@dataclass(frozen=True)
class Group:
    """A run of parts that is glued within one open time. `is_open`: it is shown with its parts."""

    words: Message
    chips: tuple[Chip, ...]
    is_open: bool


@dataclass(frozen=True)
class Running:
    """An open time that runs: `until` is its end as stored, '' where the cement's is not known; `now` the server's clock."""

    words: Message
    since: Message
    until: str
    now: str
    is_over: bool


@dataclass(frozen=True)
class BatchChoice:
    """A batch that the shop has; `note` says until when it is good, where the tin does."""

    batch: str
    note: Message | None
    is_chosen: bool


@dataclass(frozen=True)
class Other:
    """Another sign's gluing that can be done in the same session: all its `parts` that are set out."""

    step: int
    words: Message
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

    `grouped_for` names what the groups depend on: with another cement, or from another side, the chosen group is another one.
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
        """The parts that are left for later."""
        return tuple(part for part in self.in_order if part not in self.chosen)

    @property
    def joining(self) -> tuple[Other, ...]:
        """The other signs that are glued with it."""
        return tuple(other for other in self.others if other.is_chosen)

    @property
    def open_min(self) -> float:
        """How long the cement stays open; 0 where that is not known."""
        return self.cement.open_min if self.cement else 0.0


@pages.get("/bench/<code>/gluing")
def look(code: str) -> Response:
    """Answer with the form's fields, worked out for what has been chosen and typed so far."""
    with snapshot() as db:
        stored, now = jobs.sign_by_code(db, codes.parse(code)), local_now()
        sign = bench.sign_of(db, stored.id)
        asked = whole(request.args.get("step", ""))
        step = next((own for own in sign.steps if own.id == asked and own.kind == "glue"), None)
        if step is None:
            raise Refused(NOT_OURS)
        view = {"glue": glue_form(db, stored, sign, step, now)}
        return fragment("bench/_glue_look.html", view)


def glue_form(
    db: Connection, stored: jobs.Sign, sign: Sign, step: Step, now: datetime
) -> dict[str, Any]:
    """Return the form for the gluing `step` of a sign, with what was typed in this request.

    `numbers` is the order by part, for the drawing; `problems` are broken limits, `cautions` what is awkward; `cements` those
    to choose with the limits of their data sheets; `has_thermometer`: a button reads it; `near` is where the assembler stands.
    """
    typed, known = _typed(db, step), cements.in_use(db)
    cement = next((cement for cement in known if cement.id == typed.cement), None)
    session = _session(db, stored, sign, step, typed, cement, now)
    batches = cements.batches(db, cement.id) if cement else []
    turns = {part: turn for turn, part in enumerate(session.in_order, len(step.ticks) + 1)}
    return {
        "code": stored.code,
        "step": step.id,
        "running": _running(db, step, now),
        "groups": _groups(session, sign, turns),
        "glued": wording.glued_so_far(len(step.ticks), len(step.parts)) if step.ticks else None,
        "pace": _pace(session.pace),
        "need": _need(db, sign, session),
        "film": film_at(db, sign, step, cement),
        "cautions": _cautions(db, sign, step, session, now),
        "problems": _problems(cement, typed, batches, now),
        "cements": tuple((choice, _limits(choice)) for choice in known),
        "batches": _batch_choices(batches, typed, now),
        "others": session.others,
        "near": session.near,
        "near_choices": tuple((near, wording.near(near)) for near in gluing.NEAR),
        "typed": typed,
        "has_thermometer": bool(current_settings().thermometer),
        "grouped_for": session.grouped_for,
        "numbers": {str(part): turn for part, turn in turns.items()},
    }


# What was typed. ------------------------------------------------------------------------------------------------------


def _typed(db: Connection, step: Step) -> Typed:
    """Return what the request says of this form; without it what the last glue-up and the last reading suggest."""
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
    """Return temperature and humidity as typed, or as the thermometer shows where the panel's own button asked for that."""
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
    """Return the level's last glue-up; of a level that is not begun, the shop's last one."""
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
    groups, of = [], len(session.groups)
    for place, parts in enumerate(session.groups, 1):
        chips = tuple(
            Chip(part, turns[part], _short(sign, part), part in session.chosen) for part in parts
        )
        time = _time(len(chips), session.pace.minutes_a_part)
        if of > 1:
            names = " ".join(chip.name for chip in chips[:MOST_NAMES])
            names += " …" if len(chips) > MOST_NAMES else ""
            heading = wording.group(place, of, names, time, session.open_min)
        else:
            heading = wording.only_group(len(chips), time, session.open_min)
        groups.append(Group(heading, chips, place == 1 or any(chip.is_chosen for chip in chips)))
    return tuple(groups)


def _short(sign: Sign, part: int) -> str:
    return str(bench_wording.short_part(sign.parts[part].number, sign.parts[part].name))


def _time(parts: int, minutes_a_part: float) -> Message:
    minutes = parts * minutes_a_part
    return wording.time(0 if minutes < 1 else math.ceil(minutes - SLACK))


def _pace(pace: Pace) -> Message:
    """Say how long a part takes, and where that figure comes from."""
    minutes = float(f"{pace.minutes_a_part:.2g}")
    if pace.sessions:
        parts, glue_ups = wording.part_count(pace.parts), wording.glue_up_count(pace.sessions)
        message = wording.measured_pace(minutes, parts, glue_ups)
    else:
        message = wording.usual_pace(minutes)
    return joined([message, wording.left_out(pace.left_out) if pace.left_out else None])


def _others(db: Connection, sign: Sign, typed: Typed, now: datetime) -> tuple[Other, ...]:
    others = []
    for other in bench.benches(db):
        for step in other.steps if other.id != sign.id else ():
            if step.kind == "glue" and (can := rules.can_be_glued(step, other, now)):
                title = bench_wording.task_of_sign(other.called, step.task)
                others.append(Other(step.id, title, can, step.id in typed.steps))
    return tuple(others)


def _running(db: Connection, step: Step, now: datetime) -> Running | None:
    """Return the open time that runs, where somebody pressed Begin."""
    under_way = bench.gluing_since(db, step.id)
    if under_way is None:
        return None
    cement, began = cements.cement(db, under_way[0]), moment(under_way[1])
    end = began + timedelta(minutes=cement.open_min)
    is_known = cement.open_min > 0
    is_over = is_known and end <= now
    known = wording.open_time_over if is_over else wording.open_since
    message = (known if is_known else wording.open_time_unknown)(cement.name, began)
    until = stamp(end) if is_known else ""
    return Running(message, wording.since(began), until, stamp(now), is_over)


# What is needed, and what is against it. ------------------------------------------------------------------------------


def _limits(cement: Cement) -> Message:
    limits = cement_wording.limits(
        cement.coldest_c, cement.warmest_c, cement.driest_percent, cement.dampest_percent
    )
    return cement_wording.with_open_time(limits, cement.open_min) if cement.open_min else limits


def _need(db: Connection, sign: Sign, session: Session) -> Message:
    """Say how much cement the chosen parts need."""
    area, cement = _area(db, sign, session.chosen), session.cement
    area += sum(
        _area(db, bench.sign_of_step(db, other.step), other.parts) for other in session.joining
    )
    joint = wording.joint(0 if area < MM2_PER_CM2 else round(area / MM2_PER_CM2))
    if cement is None:
        return wording.joint_only(joint)
    if cement.kind == "tape":
        return wording.joint_taped(joint)
    spare = current_settings().cement_spare_share
    ml = bonds.cement_ml(area, cement.ml_per_m2, spare)
    if ml is None:
        return wording.need_unknown(joint, cement.name)
    amount = wording.amount(0 if ml < 1 else math.ceil(ml))
    return wording.need(joint, amount, cement.name, spare)


def _area(db: Connection, sign: Sign, parts: Sequence[int]) -> float:
    outlines, thick = outlines_of(db, sign), store.thicknesses(db, sign.id)
    joints = []
    for part in parts:
        under = tuple(outlines[lower] for lower in sign.parts[part].needs_under)
        joints.append(bonds.Joint(part, outlines[part], under, thick[part]))
    return sum(bonds.bond_areas(joints).values())


def _cautions(
    db: Connection, sign: Sign, step: Step, session: Session, now: datetime
) -> tuple[Message, ...]:
    """Return what is awkward of this choice: it does not fit the open time, or an arm would cross wet glue."""
    each = session.pace.minutes_a_part
    count = len(session.chosen) + sum(len(other.parts) for other in session.joining)
    time = gluing.too_slow(each, session.open_min)
    if time is None and session.open_min and count * each > session.open_min + SLACK:
        time = wording.too_long(count, _time(count, each), session.open_min)
    wet = tuple(step.ticks) if rules.is_curing(step, now) else ()
    placed = _placed(db, sign, (*wet, *session.in_order))
    crossed = gluing.reaches_over((*wet, *session.chosen, *session.rest), placed, session.near)
    pairs = [
        (wording.over_just_glued if other in wet else wording.over)(
            sign.parts[part].called, sign.parts[other].called
        )
        for part, other in crossed
    ]
    wet_glue = wording.reached_over(first_few(pairs, MOST_CROSSED)) if pairs else None
    return tuple(caution for caution in (time, wet_glue) if caution)


def _problems(
    cement: Cement | None, typed: Typed, batches: Sequence[Batch], now: datetime
) -> tuple[Message, ...]:
    """Return the limits that are broken, as far as what was typed tells."""
    if cement is None:
        return ()
    tin = typed.batch.strip() or typed.known_batch
    expires = next((batch.expires for batch in batches if batch.batch == tin), None)
    celsius = _readable(climate.celsius, typed.climate.temperature)
    humidity = _readable(_percent, typed.climate.humidity)
    warm = cement.reference_c if celsius is None else celsius
    return tuple(broken_limits(cement, warm, humidity, expires, now.date()))


def _percent(text: str) -> float:
    return read_number(text.strip(), climate_wording.humidity(), 0, 100)


def _readable(read: Callable[[str], float], text: str) -> float | None:
    """Return the figure typed; None for nothing, and for what the glue-up itself will refuse."""
    try:
        return read(text)
    except Refused:
        return None


def _batch_choices(
    batches: Sequence[Batch], typed: Typed, now: datetime
) -> tuple[BatchChoice, ...]:
    """Return the batches of the chosen cement that are not used up; of another cement its first good one is chosen."""
    left = [batch for batch in batches if not batch.is_used_up]
    today = now.date()
    good = [batch.batch for batch in left if not batch.is_expired(today)]
    is_named = typed.batch.strip() or typed.known_batch in [batch.batch for batch in left]
    chosen = typed.known_batch if is_named else next(iter(good), None)
    return tuple(
        BatchChoice(batch.batch, _good_until(batch, today), batch.batch == chosen) for batch in left
    )


def _good_until(batch: Batch, today: date) -> Message | None:
    if batch.expires is None:
        return None
    is_expired = batch.is_expired(today)
    note = cement_wording.expired_on if is_expired else cement_wording.good_until
    return note(batch.expires, str(batch.expires.year))
