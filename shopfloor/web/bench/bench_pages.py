"""What the Bench's pages show: a sign's rows, its drawing, its checklist, the form of a glue-up. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo

from flask import url_for

from ...actions.unit_of_work import stamp
from ...domain import lengths
from ...domain.bench import bench as wording
from ...domain.bench import steps as rules
from ...domain.bench.cure import NO_END
from ...domain.bench.cure_words import stage_words
from ...domain.bench.steps import Sign, Step
from ...domain.people import Actor
from ...store import bench, jobs
from ...store import outlines as outline_store
from ...store.db import Connection
from ..page import Notice, current_settings
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from . import setting_out_pages
from .damage_report import Spoilt, spoilt
from .finishing import FinishPanel, finish_panel
from .gluing import GlueForm, film_at, glue_form

IN_LIST, ON_PAGE, TO_TAP = (560, 170), (720, 300), (720, 420)  # room for a drawing, px
LIVE = ("open", "on hold", "packed")


@dataclass(frozen=True)
class SignRow:
    """A sign in the list."""

    code: str
    called: str
    name: str
    customer: str
    due: str
    is_late: bool
    will_be_late: bool
    headline: wording.Headline
    waits: list[str]
    picture: SignPicture | None


@dataclass(frozen=True)
class AllSigns:
    """The Bench: what can be worked on, and the rest with what it waits for. `seen` is the version shown."""

    ready: list[SignRow]
    others: list[SignRow]
    seen: str


@dataclass(frozen=True)
class StepLine:
    """A step in a sign's list. `mark` as in the drawings; `note` says who did it, or what it waits for."""

    id: int
    title: str
    mark: str
    note: str
    is_next: bool


@dataclass(frozen=True)
class Asked:
    """What the page was asked for beside the sign: another `step` than the next (its id), and the part whose piece was
    `spoilt` (its id; 0: still to be chosen in the drawing)."""

    step: int | None = None
    spoilt: int | None = None


@dataclass(frozen=True)
class SignPage:
    """One sign. `panel` names what stands large: 'lay out', 'glue', 'cure', 'finish', 'waits', 'done', 'state' or 'spoilt'.

    `can_glue` is how many parts of the level that is laid out can be glued before the rest, `gluing` that step's id.
    """

    code: str
    called: str
    name: str
    customer: str
    due: str
    is_late: bool
    will_be_late: bool
    state: str
    why: str
    headline: wording.Headline
    panel: str
    step: Step | None
    asked: Asked
    spoilt: Spoilt | None
    can_glue: int
    gluing: int | None
    waits: list[str]
    lines: list[StepLine]
    picture: SignPicture
    taps: dict[str, dict[str, str]]
    setting: setting_out_pages.Setting | None
    can_set: bool
    units: str
    glue: GlueForm | None
    finish: FinishPanel
    film: tuple[str, ...]
    glue_ups: list[tuple[bench.GlueUp, str]]
    until: str
    until_words: str
    stands_still: bool
    has_ways: bool
    now: str
    can_work: bool
    is_owner: bool
    notice: Notice | None
    seen: str


def all_signs(db: Connection, seen: str, now: datetime) -> AllSigns:
    """The list, as it is `now` (in the shop's zone)."""
    rows = [_row(db, sign, now) for sign in bench.benches(db)]
    rows.sort(key=lambda row: (row.headline.rank, row.due, row.called))
    ready = [row for row in rows if row.headline.rank == wording.READY]
    return AllSigns(ready, [row for row in rows if row.headline.rank != wording.READY], seen)


def _row(db: Connection, sign: Sign, now: datetime) -> SignRow:
    headline = wording.headline(sign, now, now.tzinfo)
    step = rules.next_step(sign, now)
    is_waiting = headline.kind == "waiting" and step is not None
    waits = (
        wording.waits_for(step, sign, now, now.tzinfo)
        if is_waiting
        else [headline.small]
        if headline.small
        else []
    )
    picture = None
    if headline.rank == wording.READY:
        stored = jobs.sign(db, sign.id)
        picture = _picture(f"b{sign.id}", _drawn(db, stored), stored, IN_LIST)
    late = sign.due < f"{now:%Y-%m-%d}"
    will_be = rules.will_be_late(sign, now, now.tzinfo, bench.shortest_cure(db))
    words = (sign.code, _called(sign), sign.name, sign.customer, sign.due)
    return SignRow(*words, late, will_be, headline, waits, picture)


def _called(sign: Sign) -> str:
    return f"{sign.job} {sign.mark}"


def one_sign(
    db: Connection,
    stored: jobs.Sign,
    by: Actor,
    now: datetime,
    seen: str,
    asked: Asked,
    notice: Notice | None,
) -> SignPage:
    """One sign's page."""
    sign, zone = bench.sign_of(db, stored.id), now.tzinfo
    next_step = rules.next_step(sign, now)
    step = next((own for own in sign.steps if own.id == asked.step), next_step)
    told = (
        spoilt(db, sign, asked.spoilt) if asked.spoilt is not None and sign.state in LIVE else None
    )
    panel = "spoilt" if told else _panel(step, sign, now)
    gluing, can_glue = _early_gluing(step, sign, now) if panel == "lay out" else (None, 0)
    has_figures = (
        step is not None and step.kind == "lay out" and panel in ("lay out", "done", "waits")
    )
    setting = setting_out_pages.setting(db, stored, sign, step, by) if has_figures else None
    can_set = panel == "lay out" and by.holds("assembler")
    picking = setting.picking if can_set else asked.spoilt if told else None
    has_ways = panel != "lay out" and sign.state in LIVE  # there a tap says that a part sits right
    highest = step.level if step and step.level and sign.state == "open" and not told else None
    drawn = _drawn(
        db, stored, highest, step.ticks if panel == "lay out" else frozenset(), picking, has_ways
    )
    glue = glue_form(db, stored, sign, step, now) if panel == "glue" else None
    return SignPage(
        code=sign.code,
        called=_called(sign),
        name=sign.name,
        customer=sign.customer,
        due=sign.due,
        is_late=sign.due < f"{now:%Y-%m-%d}" and sign.state in LIVE,
        state=sign.state,
        why=bench.why_in_its_state(db, sign.id) if sign.state in ("on hold", "cancelled") else "",
        will_be_late=rules.will_be_late(sign, now, zone, bench.shortest_cure(db)),
        headline=wording.headline(sign, now, zone),
        panel=panel,
        step=step,
        asked=asked,
        spoilt=told,
        can_glue=can_glue,
        gluing=gluing,
        waits=wording.waits_for(step, sign, now, zone) if step else [],
        lines=[_line(own, next_step, sign, now) for own in sign.steps],
        picture=_picture(
            "sign",
            drawn,
            stored,
            TO_TAP if panel == "lay out" else ON_PAGE,
            glue.numbers if glue else None,
        ),
        taps=setting.taps if can_set else {},
        setting=setting,
        can_set=can_set,
        units=current_settings().units,
        glue=glue,
        glue_ups=[
            (glued, stage_words(glued, now, zone)) for glued in bench.glue_ups_of(db, sign.id)
        ],
        finish=finish_panel(db, sign, step, by, now),
        film=film_at(db, sign, step) if panel == "finish" else (),
        until=stamp(step.shut_until) if step and step.shut_until else "",
        until_words=wording.clock(step.shut_until, now, zone) if step and step.shut_until else "",
        stands_still=bool(step and step.shut_until and step.shut_until >= NO_END),
        has_ways=has_ways,
        now=stamp(now),
        can_work=by.holds("assembler"),
        is_owner=by.holds("owner"),
        notice=notice,
        seen=seen,
    )


def _panel(step: Step | None, sign: Sign, now: datetime) -> str:
    """What stands large: what can be done with the step now, or why nothing can."""
    if step is None or sign.state in ("on hold", "handed over", "cancelled"):
        return "state"
    if step.kind == "glue" and rules.can_be_glued(step, sign, now):
        return "glue"  # what is set out of it, even where some parts are still to come
    if rules.is_curing(step, now):
        return "cure"
    is_glued = any(rules.is_done(other, now) for other in sign.steps if step.id in other.after)
    is_shut = is_glued or rules.undone_before(step, sign, now) or not rules.is_allowed(step, sign)
    if step.kind == "lay out" and not is_shut:
        return "lay out"  # what is in hand of it may be set out, even where some parts are still to come
    if rules.is_done(step, now):
        return "done"
    if not rules.is_ready(step, sign, now):
        return "waits"
    return "glue" if step.kind == "glue" else "finish"


def _early_gluing(laying: Step, sign: Sign, now: datetime) -> tuple[int | None, int]:
    """The gluing that a laying out leads to, and how many parts of it can be glued before the rest is there."""
    for gluing in sign.steps:
        if gluing.kind == "glue" and laying.id in gluing.after and rules.missing(laying, sign):
            return gluing.id, len(rules.can_be_glued(gluing, sign, now))
    return None, 0


def _line(step: Step, next_step: Step | None, sign: Sign, now: datetime) -> StepLine:
    is_next = next_step is not None and step.id == next_step.id
    if rules.is_curing(step, now):
        end = wording.until(step.shut_until, now, now.tzinfo)
        so_far = f"{_so_far(step)}, " if step.kind == "glue" else ""
        return StepLine(step.id, step.title, "curing", so_far + end, is_next)
    if rules.is_done(step, now):
        return StepLine(step.id, step.title, "done", _done_note(step, now, now.tzinfo), is_next)
    note = _so_far(step)
    if rules.is_ready(step, sign, now):
        return StepLine(step.id, step.title, "ready", note, is_next)
    lacking = len(rules.missing(step, sign))
    return StepLine(
        step.id, step.title, "waiting", note or (f"{lacking} to come" if lacking else ""), is_next
    )


def _so_far(step: Step) -> str:
    word = {"lay out": "set out", "glue": "glued"}.get(step.kind, "")
    return f"{len(step.ticks)} of {len(step.parts)} {word}" if step.ticks and word else ""


def _done_note(step: Step, now: datetime, zone: tzinfo) -> str:
    if step.opened_why:
        return f"opened early by {step.done_by}: {step.opened_why}"
    if step.done_at is None:
        return f"cured {wording.clock(step.shut_until, now, zone)}"
    return f"{wording.clock(step.done_at, now, zone)}, {step.done_by}"


# The drawing and the checklist ---------------------------------------------------------------------------------------


def _drawn(
    db: Connection,
    sign: jobs.Sign,
    highest: int | None = None,
    ticks: frozenset[int] = frozenset(),
    picking: int | None = None,
    has_ways: bool = False,
) -> list[PicturePart]:
    """A sign's parts as drawn, up to the level `highest`. What sits right bears the tick of what is fixed.

    With `has_ways` each part leads to the question what happened to its piece: lost, spoiled, come off.
    """
    parts = [
        part for part in jobs.parts_of(db, sign.id) if highest is None or part.level <= highest
    ]
    outlines = outline_store.by_ids(db, [part.outline for part in parts])
    parts.sort(key=lambda part: (part.level, part.number))
    return [
        PicturePart(
            str(part.id),
            part.number,
            part.name,
            outlines[part.outline].placed(part.x_mm, part.y_mm, 0),
            part.colour,
            "fixed" if part.id in ticks else part.state or "waiting",
            is_picked=part.id == picking,
            href=url_for("bench.sign", code=sign.code, spoilt=part.id) if has_ways else None,
        )
        for part in parts
    ]


def _picture(
    id: str,
    parts: list[PicturePart],
    sign: jobs.Sign,
    box: tuple[int, int],
    numbers: Mapping[str, int] | None = None,
) -> SignPicture:
    """The sign drawn; `numbers` (by key) stand on their parts."""
    units = current_settings().units
    fraction = current_settings().inch_fraction
    width, height = (
        lengths.show(sign.width_mm, units, fraction),
        lengths.show(sign.height_mm, units, fraction),
    )
    title = f"{sign.called}, {sign.name}"
    return sign_picture(
        id,
        parts,
        sign.width_mm,
        sign.height_mm,
        title=title,
        box=box,
        width_text=width,
        height_text=height,
        numbers=[(numbers[part.key], part.outline) for part in parts if part.key in numbers]
        if numbers
        else (),
    )
