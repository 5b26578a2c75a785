"""The record of a sign: what it was made of, by whom, when and how, and what became of it; put into plain sentences.

Owns what is said and in which order. How much of it has room on one page is the paper's matter. Moments are aware and in the
shop's zone, lengths mm, temperatures °C.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from .. import codes, lengths
from ..outlines import Outline
from .cure import NO_END

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# How the states of pieces are said, in this order.
STATES = ("fixed", "ready", "cut", "nested", "waiting")


@dataclass(frozen=True)
class RecordedPart:
    """A part at its place on the sign; `outline` in mm from the sign's lower left corner, y up."""

    id: int
    number: int
    name: str
    level: int
    outline: Outline

    @property
    def called(self) -> str:
        """ "no. 7 'R'", or 'no. 7' where nobody named it."""
        number = f"no. {self.number}"
        return number if self.name in ("", number) else f"{number} '{self.name}'"


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
    """A step. `done_at` is None where it is not done; of a cure it is the end. `checks` are what was found right."""

    title: str
    kind: str
    done_at: datetime | None
    by_name: str
    checks: tuple[str, ...] = ()


@dataclass(frozen=True)
class OpenedEarly:
    """A cure that an owner opened before its end."""

    title: str
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
        """True where neither error is more than was allowed."""
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
    """All that is kept about one sign. `people` are (where they worked, names); `more_photos` are kept and not printed;
    `received` is (by whom, when, who handed it over), None where nobody had it yet."""

    shop: str
    job: str
    mark: str
    name: str
    code: str
    customer: str
    title: str
    state: str
    taken_in: date
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
    """Some sentences under a heading. Where there is room for a few only, the first ones count most, and the `last` ones."""

    head: str
    rows: tuple[str, ...]
    last: int = 0


def day(when: date) -> str:
    """'26 Nov 2026'. The names are written out here: those of the machine may be in another language."""
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def moment(when: datetime) -> str:
    """'26 Nov 2026 14:12'"""
    return f"{day(when)} {when:%H:%M}"


def sections(record: SignRecord, units: str) -> list[Section]:
    """What the record says, those headings only under which there is something. `units` is 'mm' or 'in'."""
    names = {part.id: part.called for part in record.parts}
    found = [
        Section("Pieces", (_pieces_said(record), *_spoiled(record, names))),
        Section("Sheets", _sheets(record.pieces)),
        Section("Glue-ups", tuple(_gluing(one) for one in record.gluings)),
        Section("Cures opened early", tuple(_opened(one) for one in record.opened)),
        Section("Steps", tuple(_step(step) for step in record.steps), last=5),
        Section(
            "Found right",
            tuple(f"{s.title}: {'; '.join(s.checks)}" for s in record.steps if s.checks),
        ),
        Section("Places measured", _places(record.places, names, units)),
        Section("Fixings", _fixings(record, units)),
        Section(
            "People",
            tuple(f"{where}: {', '.join(people)}" for where, people in record.people if people),
        ),
    ]
    return [section for section in found if section.rows]


def _pieces_said(record: SignRecord) -> str:
    """'40 parts on 3 levels: 39 fixed, 1 waiting; 2 pieces were spoiled'"""
    live = Counter(piece.state for piece in record.pieces if piece.is_live)
    spoiled = sum(not piece.is_live for piece in record.pieces)
    levels = len({part.level for part in record.parts})
    said = f"{_count(len(record.parts), 'part')} on {_count(levels, 'level')}"
    if states := ", ".join(f"{live[state]} {state}" for state in STATES if live[state]):
        said += f": {states}"
    if spoiled:
        said += f"; {_count(spoiled, 'piece')} spoiled on the way"
    return said + "."


def _spoiled(record: SignRecord, names: dict[int, str]) -> tuple[str, ...]:
    """Each part that took more than one piece, those that took most first."""
    gone: dict[int, list[RecordedPiece]] = {}
    for piece in record.pieces:
        if not piece.is_live and piece.part in names:
            gone.setdefault(piece.part, []).append(piece)
    live = {piece.part: piece.code for piece in record.pieces if piece.is_live}
    return tuple(
        f"{names[part]}, {_ordinal(len(lost) + 1)} attempt{f' {codes.show(live[part])}' if part in live else ''}: "
        + ", ".join(_gone_said(piece) for piece in lost)
        for part, lost in sorted(gone.items(), key=lambda item: -len(item[1]))
    )


def _gone_said(piece: RecordedPiece) -> str:
    return f"{codes.show(piece.code)} {piece.state}" + (f" ({piece.cause})" if piece.cause else "")


def _sheets(pieces: Sequence[RecordedPiece]) -> tuple[str, ...]:
    """One sentence a stock: 'cream 6 mm: S-201 (12), S-204 (1)'."""
    found: dict[str, Counter[str]] = {}
    for piece in pieces:
        if piece.is_live and piece.sheet:
            found.setdefault(piece.stock, Counter())[piece.sheet] += 1
    return tuple(
        f"{stock}: {', '.join(f'{sheet} ({count})' for sheet, count in sorted(sheets.items()))}"
        for stock, sheets in sorted(found.items())
    )


def _gluing(one: RecordedGluing) -> str:
    cure = (
        "its cure stands still: too cold"
        if one.cured_at >= NO_END
        else f"cure to {moment(one.cured_at)}"
    )
    said = (
        f"{moment(one.at)}, {one.by_name}: {_count(one.pieces, 'piece')}, {one.cement}, batch {one.batch}, "
        f"{one.temperature_c:g} °C, {one.humidity_percent:g} % humidity; {cure}"
    )
    return f"{said}; outside its limits: {one.overruled}" if one.overruled else said


def _opened(one: OpenedEarly) -> str:
    return (
        f"{one.title}: {moment(one.at)} instead of {moment(one.until)}, {one.by_name}: {one.reason}"
    )


def _step(step: RecordedStep) -> str:
    if step.done_at is None:
        return f"{step.title}: not done"
    who = f", {step.by_name}" if step.by_name else ""
    return f"{step.title}: {moment(step.done_at)}{who}"


def _places(places: Sequence[RecordedPlace], names: dict[int, str], units: str) -> tuple[str, ...]:
    if not places:
        return ()
    outside = [place for place in places if not place.is_within]
    said = f"{_count(len(places), 'part')} measured, {len(places) - len(outside)} within what is allowed."
    return (
        said,
        *(f"{names.get(place.part, 'a part')}: {_error(place, units)}" for place in outside),
    )


def _error(place: RecordedPlace, units: str) -> str:
    """'1.8 mm to the right (1 mm allowed)'"""
    ways = ((place.across_mm, "to the right", "to the left"), (place.up_mm, "too high", "too low"))
    said = [
        f"{lengths.fine(off, units)} {more if off > 0 else less}" for off, more, less in ways if off
    ]
    return f"{', '.join(said)} ({lengths.fine(place.allowed_mm, units)} allowed)"


def _fixings(record: SignRecord, units: str) -> tuple[str, ...]:
    said = []
    if plan := record.fixings:
        said.append(
            f"{plan.columns} × {plan.rows} screws of {lengths.show(plan.screw_mm, units)}, "
            f"{lengths.show(plan.edge_mm, units)} from the edges, on {plan.wall}."
        )
    if record.site_c:
        said.append(
            f"Made for {_degrees(record.site_c[0])} to {_degrees(record.site_c[1])} °C where it hangs."
        )
    return tuple(said)


def _degrees(c: float) -> str:
    return f"{c:g}".replace("-", "−")


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _ordinal(number: int) -> str:
    last = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in (11, 12, 13) else last}"
