"""The record of a sign: what it was made of, by whom, when and how, and what became of it.

Owns what belongs in the record and in which order. How it is worded is in `wording.records`, how much of it has room on one
page in `paper.records`. Moments are aware, lengths mm, temperatures °C.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from ...wording import pieces as piece_wording
from ...wording import records as wording
from ...wording.message import Message, joined
from ..outlines import Outline
from .cure import NO_END

STATES = ("fixed", "ready", "cut", "nested", "waiting")  # of live pieces, as they are counted
LAST_STEPS = 5  # shown even where there is no room for all steps


@dataclass(frozen=True)
class RecordedPart:
    """A part at its place on the sign; `outline` in mm from the sign's lower left corner, y up."""

    id: int
    number: int
    name: str
    level: int
    outline: Outline

    @property
    def called(self) -> Message:
        """ "No. 7 'R'", or 'No. 7' where nobody named it."""
        return wording.part(self.number, "" if self.name == f"no. {self.number}" else self.name)


@dataclass(frozen=True)
class RecordedPiece:
    """A piece that is for a part, or (`is_live` False) was and is spoiled. `cause` is '' where nobody knows it, `sheet` ''
    before it is nested."""

    part: int
    code: str
    state: str
    cause: str
    is_live: bool
    sheet: str
    stock: str
    thickness_mm: float


@dataclass(frozen=True)
class RecordedGluing:
    """One glue-up and how many pieces of this sign it joined. `overruled` is the reason to glue outside a limit, or ''."""

    at: datetime
    cured_at: datetime
    cement: str
    batch: str
    temperature_c: float
    humidity_percent: float
    overruled: str
    pieces: int
    by_name: str


@dataclass(frozen=True)
class RecordedStep:
    """A step. `done_at` is None where it is not done; of a cure it is the end. `checks` are the items that were ticked."""

    title: Message | str
    kind: str
    done_at: datetime | None
    by_name: str
    checks: tuple[str, ...] = ()


@dataclass(frozen=True)
class OpenedEarly:
    """A cure that an owner opened before its end."""

    title: Message | str
    at: datetime
    until: datetime
    reason: str
    by_name: str


@dataclass(frozen=True)
class RecordedPlace:
    """A part's measured error in mm, along its line and across it (None: not measured), and what was allowed."""

    part: int
    across_mm: float | None
    up_mm: float | None
    allowed_mm: float

    @property
    def is_within(self) -> bool:
        """True if neither error is more than was allowed."""
        return max(abs(self.across_mm or 0.0), abs(self.up_mm or 0.0)) <= self.allowed_mm


@dataclass(frozen=True)
class Fixings:
    """How the sign is fixed to its wall."""

    columns: int
    rows: int
    screw_mm: float
    edge_mm: float
    wall: str


@dataclass(frozen=True)
class RecordedPhoto:
    """A photo: a JPEG, its size in pixels, what it shows."""

    file: bytes
    wide_px: int
    high_px: int
    note: str


@dataclass(frozen=True)
class SignRecord:
    """All that is kept about one sign. `people` are (where they worked: 'router' or 'bench', names); `more_photos` are kept and
    not printed; `received` is (by whom, when, who handed it over), None where nobody had it yet."""

    shop: str
    job: str
    mark: str
    name: str
    code: str
    customer: str
    title: str
    state: str
    taken_in: datetime | date
    due: date
    made_at: datetime
    width_mm: float
    height_mm: float
    parts: tuple[RecordedPart, ...]
    pieces: tuple[RecordedPiece, ...]
    gluings: tuple[RecordedGluing, ...]
    opened: tuple[OpenedEarly, ...]
    steps: tuple[RecordedStep, ...]
    places: tuple[RecordedPlace, ...]
    fixings: Fixings | None
    site_c: tuple[float, float] | None
    people: tuple[tuple[str, tuple[str, ...]], ...]
    photos: tuple[RecordedPhoto, ...]
    more_photos: int
    received: tuple[str, datetime, str] | None

    @property
    def called(self) -> str:
        """'J-1042 A'"""
        return f"{self.job} {self.mark}"


@dataclass(frozen=True)
class Section:
    """Some rows under a heading. Where there is room for a few only, the first ones count most, and the `last` ones."""

    head: Message
    rows: tuple[Message, ...]
    last: int = 0


def sections(record: SignRecord) -> list[Section]:
    """Return what the record says, with those headings only under which there is something."""
    names = {part.id: part.called for part in record.parts}
    rows: dict[str, tuple[Message, ...]] = {
        "pieces": (_pieces(record), *_recuts(record, names)),
        "sheets": _sheets(record.pieces),
        "glue-ups": tuple(_gluing(gluing) for gluing in record.gluings),
        "opened": tuple(
            wording.opened_early(
                opened.title, opened.at, opened.until, opened.by_name, opened.reason
            )
            for opened in record.opened
        ),
        "steps": tuple(_step(step) for step in record.steps),
        "checked": tuple(
            wording.checked(step.title, "; ".join(step.checks))
            for step in record.steps
            if step.checks
        ),
        "places": _places(record.places, names),
        "fixings": _fixings(record),
        "people": tuple(wording.people(where, names) for where, names in record.people if names),
    }
    return [
        Section(wording.heading(head), rows[head], LAST_STEPS if head == "steps" else 0)
        for head in rows
        if rows[head]
    ]


def _pieces(record: SignRecord) -> Message:
    """'40 parts on 3 levels: 39 glued and 1 waiting for a sheet. 2 pieces lost or damaged.'"""
    live = Counter(piece.state for piece in record.pieces if piece.is_live)
    gone = sum(not piece.is_live for piece in record.pieces)
    levels = len({part.level for part in record.parts})
    states = tuple(wording.in_state(live[state], state) for state in STATES if live[state])
    parts = wording.parts_on_levels(
        wording.parts(len(record.parts)), wording.levels(levels), states
    )
    return joined([parts, wording.lost_on_the_way(gone) if gone else None])


def _recuts(record: SignRecord, names: Mapping[int, Message]) -> tuple[Message, ...]:
    """Return each part that took more than one piece, those that took most first."""
    gone: dict[int, list[RecordedPiece]] = {}
    for piece in record.pieces:
        if not piece.is_live and piece.part in names:
            gone.setdefault(piece.part, []).append(piece)
    live = {piece.part: piece.code for piece in record.pieces if piece.is_live}
    return tuple(
        wording.recut(
            names[part],
            len(lost),
            live.get(part),
            tuple(
                wording.gone(
                    piece.code, piece.state, piece_wording.cause(piece.cause) if piece.cause else ""
                )
                for piece in lost
            ),
        )
        for part, lost in sorted(gone.items(), key=lambda item: -len(item[1]))
    )


def _sheets(pieces: Sequence[RecordedPiece]) -> tuple[Message, ...]:
    """Return one row a material: 'cream 6 mm: S-201 (12) and S-204 (1)'."""
    counts: dict[tuple[str, float], Counter[str]] = {}
    for piece in pieces:
        if piece.is_live and piece.sheet:
            counts.setdefault((piece.stock, piece.thickness_mm), Counter())[piece.sheet] += 1
    return tuple(
        wording.sheets(
            *material,
            tuple(wording.on_sheet(sheet, count) for sheet, count in sorted(sheets.items())),
        )
        for material, sheets in sorted(counts.items())
    )


def _gluing(gluing: RecordedGluing) -> Message:
    is_paused = gluing.cured_at >= NO_END
    glue_up = wording.glue_up(
        gluing.at,
        gluing.by_name,
        wording.pieces(gluing.pieces),
        cement=gluing.cement,
        batch=gluing.batch,
        celsius=gluing.temperature_c,
        humidity=gluing.humidity_percent,
        cure=wording.cure_paused() if is_paused else wording.cure_until(gluing.cured_at),
    )
    return wording.outside_limits(glue_up, gluing.overruled) if gluing.overruled else glue_up


def _step(step: RecordedStep) -> Message:
    if step.done_at is None:
        return wording.step_not_done(step.title)
    return wording.step_done(step.title, step.done_at, step.by_name)


def _places(places: Sequence[RecordedPlace], names: Mapping[int, Message]) -> tuple[Message, ...]:
    if not places:
        return ()
    outside = [place for place in places if not place.is_within]
    measured = wording.measured(wording.parts(len(places)), len(places) - len(outside))
    return (measured, *(_out_of_place(place, names) for place in outside))


def _out_of_place(place: RecordedPlace, names: Mapping[int, Message]) -> Message:
    """ "No. 3 'B': 1.8 mm to the right (1.0 mm allowed)\""""
    errors = ((place.across_mm, "right", "left"), (place.up_mm, "high", "low"))
    off = tuple(
        wording.off_by(error, more if error > 0 else less) for error, more, less in errors if error
    )
    part = names.get(place.part) or wording.a_part()
    return wording.out_of_place(part, off, place.allowed_mm)


def _fixings(record: SignRecord) -> tuple[Message, ...]:
    rows = []
    if plan := record.fixings:
        rows.append(wording.screws(plan.columns, plan.rows, plan.screw_mm, plan.edge_mm, plan.wall))
    if record.site_c:
        coldest, warmest = record.site_c
        rows.append(wording.temperatures_on_site(_degrees(coldest), _degrees(warmest)))
    return tuple(rows)


def _degrees(celsius: float) -> str:
    return f"{celsius:g}".replace("-", "−")
