"""Puts the record of a sign together from all that is kept about it. Reads only."""

from __future__ import annotations

from datetime import date, datetime

from ..domain.bench import finishing as rules
from ..domain.bench import steps as step_rules
from ..domain.bench.records import RecordedPart, RecordedPhoto, RecordedStep, SignRecord
from ..domain.bench.steps import Step
from ..paper import records as paper
from ..paper import words
from ..store import bench, finishing, fixings, jobs, outlines, settings
from ..store import records as store
from ..store.db import Connection
from ..wording.formatting import Reader
from .unit_of_work import moment

PAPERS = tuple(words.PAPERS)
MOST_PHOTOS = paper.MOST_PHOTOS


def record_of(db: Connection, code: str, now: datetime) -> SignRecord:
    """Return the record of the sign with this code, as it is `now`. Raises NotFound."""
    sign = jobs.sign_by_code(db, code)
    job = jobs.job(db, sign.job)
    photos, more = _photos(db, sign.id)
    received = finishing.handing_over_of(db, sign.id)
    return SignRecord(
        shop=settings.load(db).shop_name,
        job=sign.job_number,
        mark=sign.mark,
        name=sign.name,
        code=sign.code,
        customer=sign.customer,
        title=sign.title,
        state=sign.state,
        due=date.fromisoformat(sign.due),
        taken_in=moment(job.taken_in_at),
        made_at=now,
        width_mm=sign.width_mm,
        height_mm=sign.height_mm,
        parts=_parts(db, sign.id),
        pieces=tuple(store.pieces_of(db, sign.id)),
        gluings=tuple(store.gluings_of(db, sign.id)),
        opened=tuple(store.opened_early(db, sign.id)),
        steps=tuple(_step(db, step, now) for step in bench.steps_of(db, sign.id)),
        places=tuple(store.places_of(db, sign.id)),
        fixings=store.fixings_of(db, sign.id),
        site_c=fixings.site_of(db, sign.id),
        people=store.people_of(db, sign.id),
        photos=photos,
        more_photos=more,
        received=(received.to_name, moment(received.at), received.by_name) if received else None,
    )


def printed(record: SignRecord, paper_name: str, reader: Reader) -> bytes:
    """Return the record as a PDF of one page. Raises Refused for an unknown paper."""
    return paper.print_record(record, paper_name, reader)


def _parts(db: Connection, sign: int) -> tuple[RecordedPart, ...]:
    parts = jobs.parts_of(db, sign)
    drawn = outlines.by_ids(db, [part.outline for part in parts])
    return tuple(
        RecordedPart(
            part.id,
            part.number,
            part.name,
            part.level,
            drawn[part.outline].placed(part.x_mm, part.y_mm, 0),
        )
        for part in parts
    )


def _step(db: Connection, step: Step, now: datetime) -> RecordedStep:
    """Return a step as it is recorded; a cure that ran to its end was done by nobody."""
    is_done = step_rules.is_done(step, now)
    at = step.done_at or step.shut_until if is_done else None
    ticked = (
        [tick.item for tick in finishing.ticks_of(db, step.id)] if step.kind in rules.KINDS else []
    )
    checks = rules.as_listed(ticked, finishing.check_list(db, step.kind).items)
    by_name = step.done_by or "" if is_done else ""
    return RecordedStep(step.called, step.kind, at, by_name, checks)


def _photos(db: Connection, sign: int) -> tuple[tuple[RecordedPhoto, ...], int]:
    """Return the newest photos whose file is here, and how many there are besides."""
    kept = finishing.photos_of(db, sign)
    shown = [photo for photo in kept if photo.is_here][-MOST_PHOTOS:]
    printed_ones = tuple(
        RecordedPhoto(
            finishing.photo_file(db, photo.sha256), photo.wide_px, photo.high_px, photo.note
        )
        for photo in shown
    )
    return printed_ones, len(kept) - len(shown)
