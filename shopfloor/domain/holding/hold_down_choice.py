"""How a piece is best held while it is cut: the way that costs least, all counted.

Owns what a loss costs, what each way of holding costs, the choice and its reason in words. Must not estimate chances
(losses.py) or margins (holding.py), nor decide over a person: the owner may overrule it, and what comes of that is learned
from as well. The machine's manual and trained people decide what is safe to cut. Money in the shop's own.

It takes the least expected cost and tries nothing out for its own sake. In simulated shops (tests/losses/test_learning.py)
that was enough: pieces differ in margin and in what hangs on them, so a bolder way is used first where that is cheap, and
the bands beside it learn from it. Leaning towards ways that are little known was tried too: it gained a little where the
vacuum holds better than expected, and cost more pieces on the first ten sheets everywhere else. What it cannot find out by
itself is that a way is good whose margin calls it hopeless; once the owner has overruled it for some pieces, it knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..errors import Refused
from .holding import WAYS
from .loss_statistics import Chance, Kind, Tally, band_of, band_words, chance

WITH = {"full": "a full pass", "skin": "a skin pass", "tabs": "tabs", "tape": "tape"}
_WORK = {"full": "a full pass", "skin": "the extra pass", "tabs": "trimming", "tape": "taping"}
FOR_A_RECUT = ("tabs", "tape")  # in this order: they do not rest on the vacuum alone
_CLEARLY, _BY_AT_LEAST = (
    1.5,
    0.02,
)  # the reason names the ledger where it moves the chance by this factor and this much


@dataclass(frozen=True, kw_only=True)
class Prices:
    """What time costs. All from memory, to start with: a shop puts in its own.

    Money: `hour` of a person at the router or the bench; `late_day`, a sign that is a day late. Minutes: `set_up_min` to put
    a blank on, zero and clear up; `trouble_min` to stop, look for a piece and have it cut again; `trim_min` to trim a piece,
    and `trim_min_per_tab` for each of its tabs; `tape_min` to tape one piece down and peel it off.
    """

    hour: float = 40.0
    late_day: float = 25.0
    set_up_min: float = 15.0
    trouble_min: float = 3.0
    trim_min: float = 0.5
    trim_min_per_tab: float = 0.4
    tape_min: float = 2.5


@dataclass(frozen=True, kw_only=True)
class Stakes:
    """What hangs on one piece.

    `recut_min`: minutes to cut it again and handle it. `material`: what it takes of a sheet, money. `set_up_share`: the
    share of one set-up that its recut bears, 0 to 1. `late_days`: how many days later than due its sign gets, beyond what
    it is late anyway.
    """

    recut_min: float
    material: float
    set_up_share: float
    late_days: float


@dataclass(frozen=True, kw_only=True)
class PieceToHold:
    """What is known of a piece that is to be cut.

    `margins` and `minutes` give for each way that can be had its margin of holding and its work beyond a full pass, in
    minutes (see `work_minutes`); a way that cannot be had is not among the margins.
    """

    area_mm2: float
    pump: str
    margins: Mapping[str, float]
    minutes: Mapping[str, float]


@dataclass(frozen=True)
class Option:
    """One way of holding and what it costs: `total` = `work_money` + chance × `loss_money`."""

    way: str
    chance: Chance
    work_min: float
    work_money: float
    loss_money: float
    total: float


@dataclass(frozen=True)
class Advice:
    """The ways of holding one piece, cheapest first, and the `best` of them.

    `best` is the cheapest, but for a recut, which is held by tabs or tape. `band` and `pump` say what it was counted with;
    `not_by` which ways have lost this piece already.
    """

    options: tuple[Option, ...]
    best: Option
    band: int
    pump: str
    not_by: frozenset[str]

    @property
    def why(self) -> str:
        """The reason in words, with the figures; and what the shop's own ledger has changed about them, if it has."""
        other = next((one for one in self.options if one is not self.best), None)
        reason = _why_recut(self.best, self.not_by) if self.not_by else _why(self.best, other)
        learned = [_learned(one) for one in (self.best, other) if one and _is_moved(one.chance)]
        return " ".join([f"{WITH[self.best.way].capitalize()}: {reason}.", *learned[:1]])


# What it costs. -------------------------------------------------------------------------------------------------------


def work_minutes(extra_pass_min: float, tabs: int, prices: Prices) -> dict[str, float]:
    """The work of each way beyond a full pass, in minutes: the extra pass, trimming so many tabs, taping (with
    the extra pass, since a taped piece is freed by a skin pass too)."""
    trimming = prices.trim_min + tabs * prices.trim_min_per_tab
    return {
        "full": 0.0,
        "skin": extra_pass_min,
        "tabs": trimming,
        "tape": prices.tape_min + extra_pass_min,
    }


def loss_money(stakes: Stakes, prices: Prices) -> float:
    """What it costs when the piece is lost: the trouble, the recut, its share of a set-up, the sheet, the days late."""
    minutes = prices.trouble_min + stakes.recut_min + stakes.set_up_share * prices.set_up_min
    return minutes * prices.hour / 60 + stakes.material + stakes.late_days * prices.late_day


def late_days(now_day: float, due_day: float, ready_days: float, recut_days: float) -> float:
    """By how many days more its sign is late if the piece is lost.

    `now_day` and `due_day` on one count of days; the sign is ready in `ready_days` if nothing is lost, and `recut_days`
    later if it is. Days before the due day cost nothing, and days late anyway are not the loss's.
    """
    ready = now_day + ready_days
    return max(0.0, ready + recut_days - due_day) - max(0.0, ready - due_day)


# The choice. ----------------------------------------------------------------------------------------------------------


def advise(
    piece: PieceToHold,
    tallies: Mapping[Kind, Tally],
    stakes: Stakes,
    prices: Prices,
    not_by: frozenset[str] = frozenset(),
) -> Advice:
    """The way of holding a piece that costs least, chance of loss counted.

    `not_by` are the ways that have lost this piece at the router; its recut is held by tabs, else by tape, whichever has not
    lost it; where both have, by one of them with more care, and not by the vacuum alone. Raises Refused where no way can be
    had at all.
    """
    if not piece.margins:
        raise Refused("No way of holding this piece can be had: have somebody look at its drawing.")
    band = band_of(piece.area_mm2)
    offered = [way for way in WAYS if way in piece.margins]
    ways = [way for way in offered if way not in not_by] or offered
    if not_by and not set(ways) & set(
        FOR_A_RECUT
    ):  # rather the same again, held with more care, than the vacuum alone
        ways = [way for way in offered if way in FOR_A_RECUT] or ways
    found = (_option(way, band, piece, tallies, stakes, prices) for way in ways)
    options = tuple(sorted(found, key=lambda one: one.total))
    best = _for_a_recut(options) if not_by else options[0]
    return Advice(options, best, band, piece.pump, not_by)


def _option(
    way: str,
    band: int,
    piece: PieceToHold,
    tallies: Mapping[Kind, Tally],
    stakes: Stakes,
    prices: Prices,
) -> Option:
    found = chance(piece.margins[way], Kind(band, way, piece.pump), tallies)
    work, loss = piece.minutes[way] * prices.hour / 60, loss_money(stakes, prices)
    return Option(way, found, piece.minutes[way], work, loss, work + found.mean * loss)


def _for_a_recut(options: tuple[Option, ...]) -> Option:
    by_way = {one.way: one for one in options}
    safest = min(options, key=lambda one: one.chance.mean)
    return next((by_way[way] for way in FOR_A_RECUT if way in by_way), safest)


# The reason, in words. ------------------------------------------------------------------------------------------------


def percent(share: float) -> str:
    """'31 %', '2.4 %', '0.35 %': two figures, whole per cents from 10 on."""
    per_cent = 100 * share
    return f"{per_cent:.0f} %" if per_cent >= 9.95 else f"{per_cent:.2g} %"


def changed(
    before: Advice, after: Advice, sheet: str, outcomes: Mapping[Kind, Tally]
) -> str | None:
    """Why the advice for a piece is another since a sheet came off the table; `outcomes` is what became of that sheet.

    None where the way is the same, or where that sheet has cut nothing that the advice learns from.
    """
    old, new = before.best, after.best
    learned = [
        (kind.way == old.way, kind.band == before.band, tally.lost, kind, tally)
        for kind, tally in outcomes.items()
        if tally.cut and kind.pump == before.pump
        if kind.way in (old.way, new.way) and abs(kind.band - before.band) <= 1
    ]
    if old.way == new.way or not learned:
        return None
    *_, kind, tally = max(learned, key=lambda one: one[:3])
    was, now = (_of_way(advice, kind.way) for advice in (before, after))
    moved = (
        f", and the chance is now put at {percent(now)} instead of {percent(was)}"
        if was and now
        else ""
    )
    return (
        f"{WITH[new.way].capitalize()} instead of {WITH[old.way]}: on sheet {sheet}, {_lost_of(tally)} "
        f"{_of_band(kind.band)} {_were(tally)} lost or chipped with {WITH[kind.way]}{moved}."
    )


def _of_way(advice: Advice, way: str) -> float | None:
    return next((one.chance.mean for one in advice.options if one.way == way), None)


def _of_band(band: int) -> str:
    words = band_words(band)
    return words if words.startswith("from") else f"of {words}"


def _lost_of(tally: Tally) -> str:
    return f"{tally.lost or 'none'} of {tally.cut} {'piece' if tally.cut == 1 else 'pieces'}"


def _were(tally: Tally) -> str:
    return "was" if tally.lost == 1 or tally.cut == 1 else "were"


def _why_recut(best: Option, not_by: frozenset[str]) -> str:
    lost_by = " and ".join(WITH[way] for way in WAYS if way in not_by)
    if best.way in FOR_A_RECUT and best.way not in not_by:
        now = f"its recut is held by more than the vacuum; {percent(best.chance.mean)} of such pieces are lost"
    else:
        now = "ask somebody with experience how to hold it before it is cut again"
    return f"this piece was lost or chipped with {lost_by}, so {now}"


def _why(best: Option, other: Option | None) -> str:
    if other is None:
        return f"there is no other way for this piece; {percent(best.chance.mean)} of such pieces are lost"
    mine, theirs = percent(best.chance.mean), percent(other.chance.mean)
    work, loss = (
        f"{_WORK[best.way]} costs {best.work_money:.2f}",
        f"a loss costs {best.loss_money:.2f}",
    )
    if best.work_money > other.work_money:
        return f"{mine} of such pieces are lost instead of {theirs} with {WITH[other.way]}, and {work} where {loss}"
    if best.chance.mean <= other.chance.mean:
        return f"{mine} of such pieces are lost, {theirs} with {WITH[other.way]}, and it is no more work"
    instead = f" instead of {best.work_money:.2f}" if best.work_money >= 0.005 else ""
    return (
        f"{mine} of such pieces are lost and {loss}; with {WITH[other.way]} it is {theirs}, "
        f"but {_WORK[other.way]} costs {other.work_money:.2f}{instead}"
    )


def _is_moved(found: Chance) -> bool:
    low, high = sorted((found.mean, found.prior))
    return high >= low * _CLEARLY and high - low >= _BY_AT_LEAST


def _learned(option: Option) -> str:
    found = option.chance
    seen = Tally(found.cut, found.lost)
    is_own = found.cut and (found.lost / found.cut > found.prior) == (
        found.mean > found.prior
    )  # or its neighbours moved it
    if is_own:
        ground = f"After {seen.lost or 'none'} of {seen.cut} like it {_were(seen)} lost or chipped with {WITH[option.way]}"
    else:
        ground = f"After what became of pieces a little smaller or larger with {WITH[option.way]}"
    now = f"{percent(found.mean)} ({100 * found.low:.0f} to {percent(found.high)})"
    return f"{ground}, the chance is put at {now}, not {percent(found.prior)} as its margin says."
