"""Trays and the picking list: what a piece may lie in, what stands in what, and what of a sign is still to fetch.

Read it aloud: a piece lies in a bag, the bag stands in a tray, the tray on a shelf. A piece is picked when it lies ready for
its sign's assembly. Owns the rules and their wording. Must not know the order of gluing: it is given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .. import pieces as life
from ..errors import Conflict, Refused
from . import bench as wording
from .steps import Part

KINDS = ("bag", "tray", "shelf", "rack")  # none of them goes into a smaller one
CARRIED = ("bag", "tray")  # taken in the hand when they are picked
LOOSE = ("cut", "ready")  # states of a piece that lies about
MOST_NAME = 30  # letters: what a label has room for
MOST_NAMED = 3
ON_THE_BENCH = "on the bench"
_NTH = (
    "",
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)


@dataclass(frozen=True)
class Tray:
    """Anything with a code that pieces lie in. `stands_in` is the id of the tray that it stands in or on."""

    id: int
    code: str
    kind: str
    name: str
    stands_in: int | None = None
    is_retired: bool = False

    @property
    def called(self) -> str:
        """'bag 3', or 'bench tray 2' where the name says already what it is."""
        return self.name if self.kind in self.name.lower() else f"{self.kind} {self.name}"

    @property
    def place(self) -> str:
        """'in bag 3', 'on shelf A'"""
        return f"{'on' if self.kind in ('shelf', 'rack') else 'in'} {self.called}"


@dataclass(frozen=True)
class TrayMade:
    """A tray has a code from now on."""

    code: str
    kind: str
    name: str


@dataclass(frozen=True)
class TrayMoved:
    """It stands in another tray, or (None) by itself."""

    tray: int
    into: int | None


@dataclass(frozen=True)
class TrayRetired:
    """It is not used any more."""

    tray: int


@dataclass(frozen=True)
class PieceLaid:
    """A piece lies in a tray."""

    piece: int
    tray: int


@dataclass(frozen=True)
class PieceTakenOut:
    """A piece lies in that tray no longer."""

    piece: int
    tray: int


@dataclass(frozen=True)
class PiecePicked:
    """A piece lies ready for a sign's assembly: in a tray, or (None) on the bench itself."""

    piece: int
    sign: int
    tray: int | None


@dataclass(frozen=True)
class PiecePutBack:
    """A picked piece was put back: it does not lie ready for its sign any more."""

    piece: int
    sign: int


# Trays. ---------------------------------------------------------------------------------------------------------------


def checked_name(kind: str, name: str, others: Sequence[Tray]) -> str:
    """The name of a new tray among the `others` in use; the next free number where none is given.

    Raises Refused for an unknown kind and a name that is too long, Conflict for one that is taken.
    """
    if kind not in KINDS:
        raise Refused(f"Choose what it is: {', '.join(KINDS[:-1])} or {KINDS[-1]}.")
    tidy = " ".join(name.split())
    if len(tidy) > MOST_NAME:
        raise Refused(f"A name has {MOST_NAME} letters at the most: say it shorter.")
    alike = [other for other in others if other.kind == kind]
    if not tidy:
        numbers = [
            int(other.name) for other in alike if other.name.isascii() and other.name.isdigit()
        ]
        return str(max(numbers, default=0) + 1)
    called = Tray(0, "", kind, tidy).called
    if any(other.called.lower() == called.lower() for other in others):
        raise Conflict(f"There is a {called} already: give this one another name.")
    return tidy


def chain(tray: int | None, trays: Mapping[int, Tray]) -> tuple[Tray, ...]:
    """A tray and what it stands in, the innermost first. Ends where it would come round again."""
    found: dict[int, Tray] = {}
    while tray is not None and tray not in found:
        found[tray] = trays[tray]
        tray = trays[tray].stands_in
    return tuple(found.values())


def whereabouts(tray: int | None, trays: Mapping[int, Tray]) -> str:
    """'in bag 3, in bench tray 2, on shelf A'; on the bench itself where `tray` is None."""
    return ", ".join(one.place for one in chain(tray, trays)) or ON_THE_BENCH


def summed_up(
    counts: Mapping[int, Mapping[str, int]], trays: Mapping[int, Tray]
) -> dict[int, dict[str, int]]:
    """How many pieces for each sign are in a tray with all that stands in it, from what lies in each tray itself."""
    found: dict[int, dict[str, int]] = {}
    for tray, counted in counts.items():
        for around in chain(tray, trays):
            inside = found.setdefault(around.id, {})
            for sign, pieces in counted.items():
                inside[sign] = inside.get(sign, 0) + pieces
    return found


def inner_and_outer(here: Tray, scanned: Tray) -> tuple[Tray, Tray]:
    """Of two trays the one that goes into the other: the smaller; of like ones what is scanned goes in `here`, whose page it is."""
    return (
        (scanned, here) if KINDS.index(scanned.kind) <= KINDS.index(here.kind) else (here, scanned)
    )


def moved(tray: Tray, into: Tray | None, trays: Mapping[int, Tray]) -> list:
    """A tray, with all that is in it, stands in another one or by itself.

    Raises Conflict for a smaller or retired one, for a shelf on a shelf, and where it would come to stand in itself.
    """
    must_be_in_use(tray)
    if into is None:
        return [TrayMoved(tray.id, None)] if tray.stands_in is not None else []
    must_be_in_use(into)
    if tray in chain(into.id, trays):
        why = "is the same one" if tray.id == into.id else f"stands in {tray.called} itself"
        raise Conflict(f"{start(into.called)} {why}: choose another one.")
    if KINDS.index(tray.kind) > KINDS.index(into.kind) or (
        tray.kind == into.kind and tray.kind not in CARRIED
    ):
        raise Conflict(f"A {tray.kind} does not go into a {into.kind}: scan the larger one.")
    return [] if tray.stands_in == into.id else [TrayMoved(tray.id, into.id)]


def carried_off(tray: Tray, trays: Mapping[int, Tray]) -> list:
    """A bag or tray that is picked is in the hand: it stands by itself from then on. A shelf or rack stays where it is."""
    return moved(tray, None, trays) if tray.kind in CARRIED else []


def off_words(tray: Tray, trays: Mapping[int, Tray]) -> str:
    """'Bag 1 is off shelf A', 'Bag 1 is out of tray 2': what it was taken from."""
    was = trays[tray.stands_in]
    return (
        f"{start(tray.called)} is {'off' if was.place.startswith('on ') else 'out of'} {was.called}"
    )


def retired(tray: Tray, pieces: int, holds: Sequence[Tray]) -> list:
    """It is not used any more. Raises Conflict while `pieces` or other trays (`holds`) are in it."""
    if tray.is_retired:
        return []
    if pieces or holds:
        what = [f"{pieces} piece{'s' if pieces > 1 else ''}"] if pieces else []
        what += [other.called for other in holds[:MOST_NAMED]]
        raise Conflict(f"{start(tray.called)} is not empty ({', '.join(what)}): empty it first.")
    return [TrayRetired(tray.id)]


def must_be_in_use(tray: Tray) -> None:
    """Raises Conflict for a tray that is retired."""
    if tray.is_retired:
        raise Conflict(f"{start(tray.called)} is retired: take its label off and use another one.")


def must_be_loose(piece: life.Piece, called: str) -> None:
    """Raises Conflict for a piece that cannot lie in a tray: not cut yet, glued, or gone."""
    if piece.state in LOOSE:
        return
    if piece.state == "fixed":
        raise Conflict(f"{called} is glued to its sign: it lies nowhere else.")
    if piece.state == "nested":
        raise Conflict(f"{called} is not marked cut yet: mark it Cut, good first.")
    if piece.state == "lost":
        raise Conflict(f"{called} is marked lost: if this is it, mark it Found first.")
    what = {
        "waiting": "waits for a sheet: this label is not its own yet",
        "damaged": "is damaged: put it aside",
    }
    raise Conflict(f"{called} {what.get(piece.state, 'is no longer needed: put it aside')}.")


def start(words: str) -> str:
    """The words with a capital, at the start of a sentence."""
    return words[:1].upper() + words[1:]


# The picking list. ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wanted:
    """A part of a sign on its picking list. `line` is its line of reading; `lies` says where its piece is, '' where nobody
    wrote it down; `is_picked`: it lies ready for this sign."""

    part: Part
    line: int
    lies: str = ""
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
    def whereabouts(self) -> str:
        """Where to go for it: 'in bag 3, on shelf A'; 'is on sheet S-207, off the table and not marked yet'."""
        if self.status == "missing":
            said = wording.missing_sentences([self.part])[0]
            return said.removeprefix(f"{wording.called(self.part)} ")
        if self.status == "glued":
            return "glued"
        from_sheet = f"loose, from sheet {self.part.sheet}" if self.part.sheet else "loose"
        return self.lies or f"{from_sheet}: in no tray or bag"


def in_order(wanted: Sequence[Wanted], order: Sequence[int]) -> list[Wanted]:
    """The parts in the order that is given, by their ids; level by level all the same. What it leaves out comes last."""
    places = {part: place for place, part in enumerate(order)}
    return sorted(
        wanted,
        key=lambda one: (one.part.level, places.get(one.part.id, len(places)), one.part.number),
    )


def what_is_missing(wanted: Sequence[Wanted]) -> str:
    """One sentence: "2 of 18 are missing: 'R' (no. 4) waits for a sheet; 'E' (no. 5) is on sheet S-207.\""""
    missing = [one.part for one in wanted if one.status == "missing"]
    if missing:
        named = wording.missing_sentences(missing[:MOST_NAMED])
        more = len(missing) - MOST_NAMED
        named += [f"and {more} more"] if more > 0 else []
        verb = "is" if len(missing) == 1 else "are"
        return f"{len(missing)} of {len(wanted)} {verb} missing: {'; '.join(named)}."
    to_pick = sum(one.status == "to pick" for one in wanted)
    if to_pick:
        return f"Nothing is missing; {to_pick} of {len(wanted)} {'is' if to_pick == 1 else 'are'} still to pick."
    return "Everything is here."


def place_words(wanted: Wanted, all_of_it: Sequence[Wanted]) -> str:
    """Where a part goes, for the largest line of the screen: "No. 7 'A', level 1, second line\""""
    part = wanted.part
    named = "" if part.name in ("", f"no. {part.number}") else f" '{part.name}'"
    lines = {one.line for one in all_of_it if one.part.level == part.level}
    if len(lines) < 2:
        return f"No. {part.number}{named}, level {part.level}"
    nth = sorted(lines).index(wanted.line) + 1
    line = f"{_NTH[nth]} line" if nth < len(_NTH) else f"line {nth}"
    return f"No. {part.number}{named}, level {part.level}, {line}"


def some_of(names: Sequence[str]) -> str:
    """A few names, then how many more: "'6' of J-1002 C, 'A' of J-1003 A and 4 more\""""
    shown, more = list(names[:MOST_NAMED]), len(names) - MOST_NAMED
    if more > 0:
        return f"{', '.join(shown)} and {more} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def must_be_for(
    piece: life.Piece, called: str, sign: str, of_sign: str, spot: str, near: str
) -> None:
    """Raises Conflict for a piece that is not to be picked for the sign called `sign`, and says what it is instead.

    `called` is its own name ("'6' of J-1002 C"), `of_sign` and `spot` ('level 1, no. 2') where it belongs ('' for a spare),
    `near` where other pieces of its sign lie ('in tray 2', '' where that is not known).
    """
    if piece.part is None and piece.state in LOOSE:
        raise Conflict(f"{called} is for no sign: put it with the spares of its stock.")
    must_be_loose(piece, called)
    if of_sign != sign:
        lie = f"; its pieces lie {near}" if near else ""
        raise Conflict(f"Not for {sign}: {called} goes on {spot}{lie}.")


def picked_words(piece: life.Piece, called: str, *, is_new: bool) -> str:
    """ "'A' of J-1004 A is picked", where it is not new "Picked already: 'A' of J-1004 A", and what is to do first."""
    trim = "trim its tabs first" if piece.state == "cut" else ""
    if is_new:
        return f"{called} is picked" + (f": {trim}" if trim else "")
    return f"Picked already: {called}" + (f"; {trim}" if trim else "")
