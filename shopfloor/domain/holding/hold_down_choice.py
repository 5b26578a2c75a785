"""Which hold-down of a piece costs least, the chance of losing it counted.

Owns what a loss costs, what each hold-down costs, the choice and its reason. Must not estimate chances
(loss_statistics.py) or safety factors (holding.py), nor decide over a person: the owner may overrule it, and the results
of that are learned from as well. The machine's manual and trained people decide what is safe to cut. Money is the shop's
own.

It takes the least expected cost and tries nothing out for its own sake. In simulated shops (tests/domain/holding/
test_learning.py) that was enough: pieces differ in safety factor and in what a loss would cost, so a weaker hold-down is
used first where that is cheap, and the neighbouring size bands learn from it. Favouring hold-downs with little data was
tried too: it gained a little where the vacuum holds better than expected, and cost more pieces on the first ten sheets
everywhere else. What it cannot discover on its own is that a hold-down works although its safety factor calls it hopeless;
once the owner has overruled it for some pieces, it knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...wording import holding as wording
from ...wording.message import Message, joined
from ..errors import Refused
from ..settings import Settings
from .holding import HOLD_DOWNS
from .loss_statistics import Chance, Kind, Tally, band_name, band_of, chance

FOR_A_RECUT = ("tabs", "tape")  # in this order: they do not rely on the vacuum alone

# The reason quotes the shop's own results where they move the chance by this factor and by this much: a choice.
CLEARLY, BY_AT_LEAST = 1.5, 0.02
TROUBLE_MIN = 3.0  # to stop, look for a piece and have it cut again: from memory


@dataclass(frozen=True, kw_only=True)
class Stakes:
    """What the loss of one piece would cost.

    `recut_min`: minutes to cut it again and handle it. `material`: what it takes of a sheet, money. `set_up_share`: the
    share of one set-up that its recut bears, 0 to 1. `late_days`: how many more days late its sign would be.
    """

    recut_min: float
    material: float
    set_up_share: float
    late_days: float


@dataclass(frozen=True, kw_only=True)
class PieceToHold:
    """A piece that is to be cut.

    `safety_factors` and `minutes` give for each hold-down its safety factor and its work beyond a full pass, in minutes
    (see `work_minutes`); a hold-down that this piece cannot have is not among the safety factors.
    """

    area_mm2: float
    pump: str
    safety_factors: Mapping[str, float]
    minutes: Mapping[str, float]


@dataclass(frozen=True)
class Option:
    """One hold-down and what it costs: `total` = `work_money` + chance × `loss_money`."""

    hold_down: str
    chance: Chance
    work_money: float
    loss_money: float
    total: float


@dataclass(frozen=True)
class Advice:
    """The possible hold-downs of one piece, cheapest first, and the `best` of them.

    `best` is the cheapest, but for a recut, which is held by tabs or tape. `band` and `pump` say what was counted;
    `not_by` which hold-downs have lost this piece already.
    """

    options: tuple[Option, ...]
    best: Option
    band: int
    pump: str
    not_by: frozenset[str]

    @property
    def why(self) -> Message:
        """The reason with its figures, and how the shop's own results have changed them."""
        other = next((option for option in self.options if option is not self.best), None)
        reason = _why_recut(self.best, self.not_by) if self.not_by else _why(self.best, other)
        moved = [option for option in (self.best, other) if option and _is_moved(option.chance)]
        return joined([reason, *(_learned(option) for option in moved[:1])])


# What it costs. -------------------------------------------------------------------------------------------------------


def work_minutes(extra_pass_min: float, tabs: int, settings: Settings) -> dict[str, float]:
    """The work of each hold-down beyond a full pass, in minutes: the extra pass, trimming so many tabs, taping.

    Taping includes the extra pass, since a taped piece is freed with an onion skin too.
    """
    return {
        "full": 0.0,
        "skin": extra_pass_min,
        "tabs": tabs * settings.trim_min,
        "tape": settings.tape_min + extra_pass_min,
    }


def loss_money(stakes: Stakes, settings: Settings) -> float:
    """What a loss costs: the trouble, the recut, its share of a set-up, the sheet, the days late."""
    minutes = TROUBLE_MIN + stakes.recut_min + stakes.set_up_share * settings.set_up_min
    late = stakes.late_days * settings.late_day_cost
    return minutes * settings.hour_cost / 60 + stakes.material + late


def late_days(due_in_days: float, ready_in_days: float, recut_days: float) -> float:
    """By how many more days the sign is late if the piece is lost.

    It is ready in `ready_in_days` if nothing is lost, and `recut_days` later if it is. Days before the due day cost nothing, and days that are late anyway are not the loss's.
    """
    late = ready_in_days - due_in_days
    return max(0.0, late + recut_days) - max(0.0, late)


# The choice. ----------------------------------------------------------------------------------------------------------


def advise(
    piece: PieceToHold,
    tallies: Mapping[Kind, Tally],
    stakes: Stakes,
    settings: Settings,
    not_by: frozenset[str] = frozenset(),
) -> Advice:
    """Return the hold-down of a piece that costs least, chance of loss counted.

    `not_by` are the hold-downs that have lost this piece at the router. Its recut is held by tabs, else by tape, whichever
    has not lost it; where both have, by one of them with more care, and not by the vacuum alone. Raises Refused where
    nothing at all can hold the piece.
    """
    if not piece.safety_factors:
        raise Refused(wording.no_hold_down())
    band = band_of(piece.area_mm2)
    offered = [name for name in HOLD_DOWNS if name in piece.safety_factors]
    usable = [name for name in offered if name not in not_by] or offered
    if not_by and not set(usable) & set(FOR_A_RECUT):
        # rather the same again, held with more care, than the vacuum alone
        usable = [name for name in offered if name in FOR_A_RECUT] or usable
    costed = (_option(name, band, piece, tallies, stakes, settings) for name in usable)
    options = tuple(sorted(costed, key=lambda option: option.total))
    best = _for_a_recut(options) if not_by else options[0]
    return Advice(options, best, band, piece.pump, not_by)


def _option(
    hold_down: str,
    band: int,
    piece: PieceToHold,
    tallies: Mapping[Kind, Tally],
    stakes: Stakes,
    settings: Settings,
) -> Option:
    estimate = chance(piece.safety_factors[hold_down], Kind(band, hold_down, piece.pump), tallies)
    work, loss = piece.minutes[hold_down] * settings.hour_cost / 60, loss_money(stakes, settings)
    return Option(hold_down, estimate, work, loss, work + estimate.mean * loss)


def _for_a_recut(options: tuple[Option, ...]) -> Option:
    by_name = {option.hold_down: option for option in options}
    safest = min(options, key=lambda option: option.chance.mean)
    return next((by_name[name] for name in FOR_A_RECUT if name in by_name), safest)


# The reason. ----------------------------------------------------------------------------------------------------------


def changed(
    before: Advice, after: Advice, sheet: str, outcomes: Mapping[Kind, Tally]
) -> Message | None:
    """Why the advice for a piece has changed since a sheet came off the table; `outcomes` is what became of that sheet.

    None where the advice is the same, or where that sheet has cut nothing that the advice learns from.
    """
    old, new = before.best, after.best
    learned = [
        (kind.hold_down == old.hold_down, kind.band == before.band, tally.lost, kind, tally)
        for kind, tally in outcomes.items()
        if tally.cut and kind.pump == before.pump
        if kind.hold_down in (old.hold_down, new.hold_down) and abs(kind.band - before.band) <= 1
    ]
    if old.hold_down == new.hold_down or not learned:
        return None
    *_, kind, tally = max(learned, key=lambda each: each[:3])
    reason = wording.changed_after_sheet(
        wording.hold_down_first(new.hold_down),
        wording.with_hold_down(old.hold_down),
        sheet,
        tally.lost,
        tally.cut,
        band_name(kind.band),
        wording.with_hold_down(kind.hold_down),
    )
    was, now = (_chance_of(advice, kind.hold_down) for advice in (before, after))
    return joined([reason, wording.forecast_changed(now, was) if was and now else None])


def _chance_of(advice: Advice, hold_down: str) -> float | None:
    return next(
        (option.chance.mean for option in advice.options if option.hold_down == hold_down), None
    )


def _why_recut(best: Option, not_by: frozenset[str]) -> Message:
    name = wording.hold_down_first(best.hold_down)
    lost_with = tuple(wording.with_hold_down(each) for each in HOLD_DOWNS if each in not_by)
    if best.hold_down in FOR_A_RECUT and best.hold_down not in not_by:
        return wording.recut_held_better(name, lost_with, best.chance.mean)
    return wording.ask_before_the_recut(name, lost_with)


def _why(best: Option, other: Option | None) -> Message:
    name, chance = wording.hold_down_first(best.hold_down), best.chance.mean
    if other is None:
        return wording.only_choice(name, chance)
    other_name, others = wording.with_hold_down(other.hold_down), other.chance.mean
    if best.work_money > other.work_money:
        work = wording.extra_work(best.hold_down)
        return wording.worth_the_work(
            name, chance, other_name, others, work, best.work_money, best.loss_money
        )
    if chance <= others:
        return wording.better_for_no_more_work(name, chance, other_name, others)
    return wording.not_worth_the_work(
        name,
        chance,
        other_name,
        others,
        work=wording.extra_work(other.hold_down),
        cost=other.work_money,
        instead_of=best.work_money if best.work_money >= 0.005 else None,
        loss=best.loss_money,
    )


def _is_moved(chance: Chance) -> bool:
    low, high = sorted((chance.mean, chance.prior))
    return high >= low * CLEARLY and high - low >= BY_AT_LEAST


def _learned(option: Option) -> Message:
    chance, hold_down = option.chance, wording.with_hold_down(option.hold_down)
    between = wording.interval(chance.low, chance.high)
    own_say_so = chance.cut and (chance.lost / chance.cut > chance.prior) == (
        chance.mean > chance.prior
    )
    if own_say_so:
        return wording.learned_from_pieces_like_it(
            chance.lost, chance.cut, hold_down, chance.mean, between, chance.prior
        )
    return wording.learned_from_other_sizes(hold_down, chance.mean, between, chance.prior)
