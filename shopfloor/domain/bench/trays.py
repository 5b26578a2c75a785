"""Trays and the picking list: what a piece may lie in, what goes into what, and which pieces of a sign to fetch.

A piece lies in a bag, the bag in a tray, the tray on a shelf. A piece is picked when it lies ready for its sign's assembly.
Owns the rules. Must not know the order of gluing: it is given.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...wording import bench as bench_wording
from ...wording import trays as wording
from ...wording.message import Message, joined
from .. import pieces as life
from ..errors import Conflict, Refused
from . import waiting
from .steps import Part

KINDS = ("bag", "tray", "shelf", "rack")  # none of them goes into a smaller one
CARRIED = ("bag", "tray")  # taken in the hand when they are picked
STOOD_ON = ("shelf", "rack")
LOOSE = ("cut", "ready")  # states of a piece that can lie in a tray
MOST_NAME = 30  # letters: what a label has room for


@dataclass(frozen=True)
class Tray:
    """Anything with a code that pieces lie in. `stands_in` is the id of the tray that it is in or on."""

    id: int
    code: str
    kind: str
    name: str
    stands_in: int | None = None
    is_retired: bool = False

    @property
    def called(self) -> Message:
        """'bag 3', or 'bench tray 2' where the name says what it is."""
        return wording.tray(self.kind, self.name)

    @property
    def title(self) -> Message:
        """The same at the start of a sentence: 'Bag 3'."""
        return wording.tray_at_start(self.kind, self.name)

    @property
    def place(self) -> Message:
        """'in bag 3', 'on shelf A'"""
        return wording.on(self.called) if self.kind in STOOD_ON else wording.inside(self.called)


# Trays. ---------------------------------------------------------------------------------------------------------------


def checked_name(kind: str, name: str, others: Sequence[Tray]) -> str:
    """Return the name of a new tray among the `others` in use; the next free number where none is given.

    Raises Refused for an unknown kind and a name that is too long, Conflict for one that is taken.
    """
    if kind not in KINDS:
        raise Refused(wording.choose_a_kind())
    tidy = " ".join(name.split())
    if len(tidy) > MOST_NAME:
        raise Refused(wording.name_too_long(MOST_NAME))
    if not tidy:
        names = [other.name for other in others if other.kind == kind]
        numbers = [int(name) for name in names if name.isascii() and name.isdigit()]
        return str(max(numbers, default=0) + 1)
    called = str(wording.tray(kind, tidy)).lower()
    if any(str(other.called).lower() == called for other in others):
        raise Conflict(wording.name_taken(wording.tray(kind, tidy)))
    return tidy


def chain(tray: int | None, trays: Mapping[int, Tray]) -> tuple[Tray, ...]:
    """Return a tray and what it is in, the innermost first. Ends where it would go round in a circle."""
    around: dict[int, Tray] = {}
    while tray is not None and tray not in around:
        around[tray] = trays[tray]
        tray = trays[tray].stands_in
    return tuple(around.values())


def whereabouts(tray: int | None, trays: Mapping[int, Tray]) -> Message:
    """'in bag 3, in bench tray 2, on shelf A'; on the bench itself where `tray` is None."""
    return wording.whereabouts([around.place for around in chain(tray, trays)])


def summed_up(
    counts: Mapping[int, Mapping[str, int]], trays: Mapping[int, Tray]
) -> Mapping[int, Mapping[str, int]]:
    """Return how many pieces for each sign are in a tray and in all that is in it.

    `counts` are the pieces that lie in each tray itself.
    """
    total: dict[int, Counter[str]] = defaultdict(Counter)
    for tray, counted in counts.items():
        for around in chain(tray, trays):
            total[around.id].update(counted)
    return total


def inner_and_outer(here: Tray, scanned: Tray) -> tuple[Tray, Tray]:
    """Return which of two trays goes into the other: the smaller into the larger.

    Of two alike what is scanned goes into `here`, whose page it is.
    """
    return (
        (scanned, here) if KINDS.index(scanned.kind) <= KINDS.index(here.kind) else (here, scanned)
    )


def moves(tray: Tray, into: Tray | None, trays: Mapping[int, Tray]) -> bool:
    """Return True if a tray, put with all that is in it into another one or (None) on its own, was not there already.

    Raises Conflict for a smaller or retired one, for a shelf on a shelf, and where it would end up in itself.
    """
    must_be_in_use(tray)
    if into is None:
        return tray.stands_in is not None
    must_be_in_use(into)
    if tray.id == into.id:
        raise Conflict(wording.cannot_go_into_itself(tray.title))
    if tray in chain(into.id, trays):
        raise Conflict(wording.is_inside_already(into.title, tray.called))
    is_larger = KINDS.index(tray.kind) > KINDS.index(into.kind)
    if is_larger or (tray.kind == into.kind and tray.kind not in CARRIED):
        kinds = wording.kind_word(tray.kind), wording.kind_word(into.kind)
        raise Conflict(wording.does_not_go_into(*kinds))
    return tray.stands_in != into.id


def is_carried_off(tray: Tray, trays: Mapping[int, Tray]) -> bool:
    """Return True if picking a tray takes it out of another one: a bag or tray is in the hand then, a shelf or rack stays."""
    return tray.kind in CARRIED and moves(tray, None, trays)


def carried_off(tray: Tray, trays: Mapping[int, Tray]) -> Message | None:
    """'Bag 1 is now off shelf A', 'Bag 1 is now out of tray 2'; None for a tray that is in no other."""
    if tray.stands_in is None:
        return None
    was = trays[tray.stands_in]
    taken = wording.is_off if was.kind in STOOD_ON else wording.is_out_of
    return taken(tray.title, was.called)


def must_be_empty(tray: Tray, pieces: int, inside: Sequence[Tray]) -> None:
    """Raises Conflict while `pieces` or other trays (`inside`) are in a tray."""
    held = [wording.pieces(pieces)] if pieces else []
    held += [other.called for other in inside[: wording.MOST_NAMED]]
    if held:
        raise Conflict(wording.not_empty(tray.title, tuple(held)))


def must_be_in_use(tray: Tray) -> None:
    """Raises Conflict for a tray that is retired."""
    if tray.is_retired:
        raise Conflict(wording.is_retired(tray.title))


def must_be_loose(piece: life.Piece, called: Message | str) -> None:
    """Raises Conflict for a piece that cannot lie in a tray: not cut yet, glued, or gone."""
    if piece.state in LOOSE:
        return
    refusals = {
        "fixed": wording.glued_to_its_sign,
        "nested": wording.not_marked_cut,
        "lost": wording.marked_lost,
        "waiting": wording.waits_for_a_sheet,
        "damaged": wording.is_damaged,
    }
    raise Conflict(refusals.get(piece.state, wording.not_needed)(called))


# The picking list. ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wanted:
    """A part of a sign on its picking list. `line` is its line of reading; `lies` says where its piece is, None where nobody
    wrote it down; `is_picked`: it lies ready for this sign."""

    part: Part
    line: int
    lies: Message | None = None
    is_picked: bool = False

    @property
    def status(self) -> str:
        """'glued', 'picked', 'to pick' or 'missing'."""
        if self.part.state == "fixed":
            return "glued"
        if self.part.state not in LOOSE:
            return "missing"
        return "picked" if self.is_picked else "to pick"

    @property
    def whereabouts(self) -> Message:
        """Where to fetch it: 'in bag 3, on shelf A'; 'on sheet S-207, off the table and not marked yet'."""
        part = self.part
        if self.status == "missing":
            where = wording.missing_where(
                part.state or "", part.sheet or "", part.sheet_state or ""
            )
            if part.gone and part.code and part.state in ("waiting", "nested"):
                return wording.recut_where(part.gone, part.code, where)
            return where
        if self.status == "glued":
            return wording.status("glued")
        return self.lies or wording.loose(part.sheet or "")


def in_order(wanted: Sequence[Wanted], order: Sequence[int]) -> list[Wanted]:
    """Return the parts level by level, within a level in the given order of their ids. What it leaves out comes last."""
    places = {part: place for place, part in enumerate(order)}
    return sorted(
        wanted,
        key=lambda row: (row.part.level, places.get(row.part.id, len(places)), row.part.number),
    )


def what_is_missing(wanted: Sequence[Wanted]) -> Message:
    """'2 of 18 missing: 'R' (no. 4) waits for a sheet. 'E' (no. 5) is on sheet S-207.'"""
    missing = [row.part for row in wanted if row.status == "missing"]
    if missing:
        named = waiting.whereabouts(missing[: wording.MOST_NAMED])
        if len(missing) > wording.MOST_NAMED:
            named.append(bench_wording.and_more(len(missing) - wording.MOST_NAMED))
        return wording.missing(len(missing), len(wanted), joined(named))
    to_pick = sum(row.status == "to pick" for row in wanted)
    return wording.still_to_pick(to_pick, len(wanted)) if to_pick else wording.everything_is_here()


def place_on_sign(wanted: Wanted, all_of_it: Sequence[Wanted]) -> Message:
    """Where a part goes, for the largest line of the screen: "No. 7 'A', level 1, line 2\""""
    part = wanted.part
    name = "" if part.name == f"no. {part.number}" else part.name
    title = wording.part_title(part.number, name)
    lines = sorted({row.line for row in all_of_it if row.part.level == part.level})
    if len(lines) < 2:
        return wording.place_on_sign(title, part.level)
    return wording.place_on_line(title, part.level, lines.index(wanted.line) + 1)


@dataclass(frozen=True)
class Belongs:
    """Where a piece belongs: a sign by its name, the place on it, and where other pieces of that sign lie (None: unknown)."""

    sign: str
    spot: Message
    near: Message | None = None


def must_be_for(
    piece: life.Piece, called: Message | str, sign: str, belongs: Belongs | None
) -> None:
    """Raises Conflict, saying what the piece is instead, for one that is not to be picked for the sign called `sign`.

    `called` is its own name ("'6' of J-1002 C"); `belongs` is None for a spare.
    """
    if piece.part is None and piece.state in LOOSE:
        raise Conflict(wording.is_a_spare(piece.code))
    must_be_loose(piece, called)
    if belongs and belongs.sign != sign:
        refusal = wording.for_another_sign(sign, called, belongs.spot)
        near = wording.its_pieces_are(belongs.near) if belongs.near else None
        raise Conflict(joined([refusal, near]))


def picked(piece: life.Piece, called: Message | str, into: Tray | None, *, is_new: bool) -> Message:
    """The answer to a scan that picked a piece, or found it picked, and what to do with it first."""
    trim = wording.trim_tabs_first() if piece.state == "cut" else None
    if not is_new:
        return joined([wording.already_picked(called), trim])
    return joined([wording.picked(called), trim, wording.put_it(into.place) if into else None])
