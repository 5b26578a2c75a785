"""What the Bench's pages show: a sign's rows, its drawing, its steps, the form of a glue-up. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from flask import url_for

from ...actions.unit_of_work import stamp
from ...domain.bench import headline as headlines
from ...domain.bench import steps as rules
from ...domain.bench.headline import READY, Headline
from ...domain.bench.steps import Sign, Step
from ...domain.bench.waiting import end_of, waits_for
from ...domain.people import Actor
from ...scenes.scene import Shape
from ...store import bench, jobs
from ...store import outlines as outline_store
from ...store.db import Connection
from ...wording import bench as wording
from ...wording.message import Message
from ..page import current_settings, reader
from ..pictures.svg import SignPicture, sign_picture
from . import setting_out_pages
from .damage_report import spoilt
from .film import film_at
from .finishing import finish_panel
from .gluing import glue_form

IN_LIST, ON_PAGE, TO_TAP = (560, 170), (720, 300), (720, 420)  # room for a drawing, px
LIVE = ("open", "on hold", "packed")


@dataclass(frozen=True)
class SignRow:
    """A sign in the list."""

    sign: Sign
    is_late: bool
    will_be_late: bool
    headline: Headline
    waits: list[Message]
    picture: SignPicture | None


@dataclass(frozen=True)
class StepLine:
    """A step in a sign's list. `mark` as in the drawings; `note` says who did it, how far it is, or what it waits for."""

    step: Step
    mark: str
    note: Message | None
    is_next: bool


@dataclass(frozen=True)
class Asked:
    """What the page was asked for beside the sign: another `step` than the next (its id), and the part whose piece was
    `spoilt` (its id; 0: still to be chosen in the drawing)."""

    step: int | None = None
    spoilt: int | None = None


def all_signs(db: Connection, now: datetime) -> dict[str, list[SignRow]]:
    """Return what can be worked on `now` (in the shop's zone) and what cannot yet: `ready` and `others`."""
    rows = [_row(db, sign, now) for sign in bench.benches(db)]
    rows.sort(key=lambda row: (row.headline.rank, row.sign.due, row.sign.called))
    return {
        "ready": [row for row in rows if row.headline.rank == READY],
        "others": [row for row in rows if row.headline.rank != READY],
    }


def _row(db: Connection, sign: Sign, now: datetime) -> SignRow:
    headline, step = headlines.headline(sign, now), rules.next_step(sign, now)
    waits = [headline.small] if headline.small else []
    if headline.kind == "waiting" and step is not None:
        waits = waits_for(step, sign, now)
    picture = None
    if headline.rank == READY:
        stored = jobs.sign(db, sign.id)
        picture = _picture(f"b{sign.id}", _drawn(db, stored), stored, IN_LIST)
    return SignRow(
        sign, _is_late(sign, now), _will_be_late(db, sign, now), headline, waits, picture
    )


def _is_late(sign: Sign, now: datetime) -> bool:
    return sign.due < f"{now:%Y-%m-%d}"


def _will_be_late(db: Connection, sign: Sign, now: datetime) -> bool:
    zone = ZoneInfo(current_settings().zone)
    return rules.will_be_late(sign, now, zone, bench.shortest_cure(db))


def one_sign(
    db: Connection, stored: jobs.Sign, by: Actor, now: datetime, asked: Asked
) -> dict[str, Any]:
    """Return one sign's page; `panel` says what is large: lay out, glue, cure, finish, waits, done, state or spoilt.

    `can_glue` is how many parts of the level that is set out can be glued before the rest, `gluing` that step's id.
    `can_set`: a tap on a part sets it out; `taps` are its attributes. `has_ways`: a tap asks what happened to its piece.
    """
    sign = bench.sign_of(db, stored.id)
    next_step = rules.next_step(sign, now)
    step = next((own for own in sign.steps if own.id == asked.step), next_step)
    is_live = sign.state in LIVE
    report = spoilt(db, sign, asked.spoilt) if asked.spoilt is not None and is_live else None
    panel = "spoilt" if report else _panel(step, sign, now)
    setting = _setting(db, stored, sign, step, panel, by)
    gluing, can_glue = _early_gluing(step, sign, now) if panel == "lay out" else (None, 0)
    glue = glue_form(db, stored, sign, step, now) if step and panel == "glue" else None
    can_set = setting is not None and panel == "lay out" and by.holds("assembler")
    picking = asked.spoilt if report else setting.picking if setting and can_set else None
    return {
        "code": sign.code,
        "sign": sign,
        "is_late": _is_late(sign, now) and is_live,
        "will_be_late": _will_be_late(db, sign, now),
        "why": stored.why_in_state if sign.state in ("on hold", "cancelled") else "",
        "headline": headlines.headline(sign, now),
        "panel": panel,
        "step": step,
        "asked": asked,
        "spoilt": report,
        "can_glue": can_glue,
        "gluing": gluing,
        "waits": waits_for(step, sign, now) if step else [],
        "lines": [_line(own, next_step, sign, now) for own in sign.steps],
        "picture": _large_picture(db, stored, sign, step, panel, picking, glue),
        "setting": setting,
        "glue": glue,
        "cure": _cure(step, sign, now),
        "finish": finish_panel(db, sign, step, by, now),
        "film": film_at(db, sign, step) if step and panel == "finish" else (),
        "glue_ups": [
            (glued, headlines.stages(glued.fixture_at, glued.handling_at, glued.cured_at, now))
            for glued in bench.glue_ups_of(db, sign.id)
        ],
        "can_set": can_set,
        "taps": setting.taps if setting and can_set else {},
        "has_ways": panel != "lay out" and is_live,
    }


def _setting(
    db: Connection, stored: jobs.Sign, sign: Sign, step: Step | None, panel: str, by: Actor
) -> setting_out_pages.Setting | None:
    """Return the lines of a setting out, where the panel shows its figures."""
    if step is None or step.kind != "lay out" or panel not in ("lay out", "done", "waits"):
        return None
    return setting_out_pages.setting(db, stored, sign, step, by)


def _cure(step: Step | None, sign: Sign, now: datetime) -> dict[str, object] | None:
    """Return the cure that keeps a step shut: `until` is its end, ISO, and None where it is paused; `then` is what comes
    after it."""
    if step is None or step.shut_until is None:
        return None
    end = end_of(step)
    then = headlines.while_curing(step, sign, now) if rules.is_curing(step, now) else None
    return {
        "until": stamp(end) if end else None,
        "words": wording.until(end),
        "now": stamp(now),
        "then": then,
    }


def _panel(step: Step | None, sign: Sign, now: datetime) -> str:
    """Return what is large: what can be done with the step now, or why nothing can."""
    if step is None or sign.state in ("on hold", "handed over", "cancelled"):
        return "state"
    if step.kind == "glue" and rules.can_be_glued(step, sign, now):
        return "glue"  # what is set out of it, even where some parts are still to come
    if rules.is_curing(step, now):
        return "cure"
    is_glued = any(rules.is_done(other, now) for other in sign.steps if step.id in other.after)
    is_shut = is_glued or rules.undone_before(step, sign, now) or not rules.is_allowed(step, sign)
    if step.kind == "lay out" and not is_shut:
        return "lay out"  # what is in hand of it, even where some parts are still to come
    if not rules.is_ready(step, sign, now):
        return "done" if rules.is_done(step, now) else "waits"
    return "glue" if step.kind == "glue" else "finish"


def _early_gluing(step: Step | None, sign: Sign, now: datetime) -> tuple[int | None, int]:
    """Return the gluing that a setting out leads to, and how many parts of it can be glued before the rest is there."""
    for gluing in sign.steps if step else ():
        if step and gluing.kind == "glue" and step.id in gluing.after and rules.missing(step, sign):
            return gluing.id, len(rules.can_be_glued(gluing, sign, now))
    return None, 0


def _line(step: Step, next_step: Step | None, sign: Sign, now: datetime) -> StepLine:
    is_next = next_step is not None and step.id == next_step.id
    return StepLine(step, *_mark_and_note(step, sign, now), is_next)


def _mark_and_note(step: Step, sign: Sign, now: datetime) -> tuple[str, Message | None]:
    so_far = _so_far(step)
    if rules.is_curing(step, now):
        until = wording.until(end_of(step))
        return "curing", wording.note_until(so_far, until) if so_far else until
    if rules.is_done(step, now):
        return "done", _done_note(step)
    if rules.is_ready(step, sign, now):
        return "ready", so_far
    missing = len(rules.missing(step, sign))
    return "waiting", so_far or (wording.to_come(missing) if missing else None)


def _so_far(step: Step) -> Message | None:
    if not step.ticks or step.kind not in ("lay out", "glue"):
        return None
    so_far = wording.set_out_so_far if step.kind == "lay out" else wording.glued_so_far
    return so_far(len(step.ticks), len(step.parts))


def _done_note(step: Step) -> Message | None:
    if step.opened_why:
        return wording.opened_early_by(step.done_by or "", step.opened_why)
    if step.done_at is not None:
        return wording.done_by(step.done_at, step.done_by or "")
    return wording.cured(step.shut_until) if step.shut_until else None


# The drawing ---------------------------------------------------------------------------------------------------------


def _large_picture(
    db: Connection,
    stored: jobs.Sign,
    sign: Sign,
    step: Step | None,
    panel: str,
    picking: int | None,
    glue: Mapping[str, Any] | None,
) -> SignPicture:
    """Return the sign as its page draws it: up to the level of the step, while the sign is open."""
    is_up_to_level = step and step.level and sign.state == "open" and panel != "spoilt"
    highest = step.level if step and is_up_to_level else None
    ticks = step.ticks if step and panel == "lay out" else frozenset()
    has_ways = panel != "lay out" and sign.state in LIVE
    parts = _drawn(db, stored, highest, ticks, picking, has_ways)
    box = TO_TAP if panel == "lay out" else ON_PAGE
    return _picture("sign", parts, stored, box, glue["numbers"] if glue else {})


def _drawn(
    db: Connection,
    sign: jobs.Sign,
    highest: int | None = None,
    ticks: frozenset[int] = frozenset(),
    picking: int | None = None,
    has_ways: bool = False,
) -> list[Shape]:
    """Return a sign's parts as drawn, up to the level `highest`. What is set out has the tick of what is fixed.

    With `has_ways` each part leads to the question what happened to its piece: lost, damaged, come off.
    """
    parts = [
        part for part in jobs.parts_of(db, sign.id) if highest is None or part.level <= highest
    ]
    outlines = outline_store.by_ids(db, [part.outline for part in parts])
    parts.sort(key=lambda part: (part.level, part.number))
    return [
        Shape(
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
    parts: list[Shape],
    sign: jobs.Sign,
    box: tuple[int, int],
    numbers: Mapping[str, int] = MappingProxyType({}),
) -> SignPicture:
    """Return the sign drawn; `numbers` (by key) are written on their parts."""
    return sign_picture(
        id,
        parts,
        sign.width_mm,
        sign.height_mm,
        title=f"{sign.called}, {sign.name}",
        box=box,
        width_text=reader().show("length", sign.width_mm),
        height_text=reader().show("length", sign.height_mm),
        numbers=[(numbers[part.key], part.outline) for part in parts if part.key in numbers],
    )
