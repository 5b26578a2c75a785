"""A recut: a piece that is cut once more, held with tabs. What stands still until it is there, when and of what to cut it.

Must not know the queue's tables nor the layout of a sheet. Pure. Money is the shop's own, days are working days.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from ..bench import steps as rules
from ..bench.steps import Sign, Step
from ..errors import Refused

_NTH = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth"}


def stopped_step(part: int, sign: Sign, now: datetime) -> Step | None:
    """The first step not done that needs the part: what its recut holds up. None where no step needs it any more."""
    for step in sign.steps:
        if not rules.is_done(step, now) and any(
            needed.id == part for needed in rules.needed(step, sign)
        ):
            return step
    return None


def nth(attempt: int) -> str:
    """'second attempt'; from the sixth on 'attempt 6'."""
    return f"{_NTH[attempt]} attempt" if attempt in _NTH else f"attempt {attempt}"


# Now or wait. --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Queued:
    """One recut of a stock's queue.

    `slack_days` is by how many working days its sign is early if the recut is cut now; below 0 it is late even so; None:
    the sign has no due date. `blocks`: the sign stands still without it. A spare has no `sign`.
    """

    sign: int | None
    slack_days: float | None
    blocks: bool


@dataclass(frozen=True)
class RunCosts:
    """What one more sheet costs: minutes to set it up, money an hour, and the material that is wasted; and a late day."""

    set_up_min: float
    hour_money: float
    late_day_money: float
    material_money: float = 0.0

    @property
    def run_money(self) -> float:
        """One more set-up and its waste."""
        return self.set_up_min / 60 * self.hour_money + self.material_money


@dataclass(frozen=True)
class NextRun:
    """The next sheet of the stock that is planned anyway, in working days from now; None: none is planned."""

    in_days: float | None
    called: str = "the next sheet"


@dataclass(frozen=True)
class RunAdvice:
    """Whether to cut the queue now. Money of either way; `signs` would be late, or later, by `days_saved` in all."""

    is_now: bool
    now_money: float
    wait_money: float
    days_saved: float
    signs: tuple[int, ...]
    sentence: str


def now_or_wait(
    queue: Iterable[Queued], costs: RunCosts, next_run: NextRun, patience_days: float = 3.0
) -> RunAdvice:
    """Whether one more set-up costs less than the late days that waiting for the next sheet brings.

    A sign counts once however many pieces it lacks, with its least slack; slack for the whole wait costs nothing. With no
    sheet planned the set-up is due either way, so the queue waits for company only while each sign has `patience_days`
    of slack (from memory). Where both ways cost the same the queue is cut now. Raises Refused where nothing is queued.
    """
    queue = list(queue)
    if not queue:
        raise Refused("No recut of this stock waits: there is nothing to cut.")
    slack = _least_slack(queue)
    wait = patience_days if next_run.in_days is None else next_run.in_days
    late = {sign: wait - max(days, 0.0) for sign, days in slack.items() if max(days, 0.0) < wait}
    days, now = sum(late.values()), costs.run_money
    lateness = days * costs.late_day_money
    if next_run.in_days is None:
        is_now, waiting, sentence = (
            bool(late),
            now + lateness,
            _with_none_planned(slack, late, patience_days),
        )
    else:
        is_now, waiting = lateness >= now, lateness
        sentence = _against(next_run.called, late, costs, lateness)
    return RunAdvice(is_now, now, waiting, days, tuple(sorted(late)), sentence)


def _least_slack(queue: Iterable[Queued]) -> dict[int, float]:
    """The slack of each sign that stands still and has a due date, in days."""
    slack: dict[int, float] = {}
    for one in queue:
        if one.blocks and one.sign is not None and one.slack_days is not None:
            slack[one.sign] = min(one.slack_days, slack.get(one.sign, one.slack_days))
    return slack


def _with_none_planned(
    slack: Mapping[int, float], late: Mapping[int, float], patience_days: float
) -> str:
    none = "no other sheet of this stock is planned"
    if late:
        has = "the sign that waits has" if len(late) == 1 else f"{len(late)} signs that wait have"
        return f"Cut now: {none}, and {has} less than {_days(patience_days)} to spare after cutting and the bench."
    if slack:
        return f"It may wait up to {_days(min(slack.values()))} for company: {none}, and no sign is late by it."
    return f"It may wait for company: {none}, and no sign is late by it."


def _against(called: str, late: Mapping[int, float], costs: RunCosts, lateness: float) -> str:
    """The two ways against each other."""
    waste = " and its waste cost" if costs.material_money else " costs"
    run = f"a set-up{waste} {_money(costs.run_money)}"
    does = "Cut now" if lateness >= costs.run_money else f"Wait for {called}"
    if not late:
        return f"{does}: {run}, and waiting for {called} makes no sign late."
    many = (
        f"1 sign {_days(sum(late.values()), 'late ')}"
        if len(late) == 1
        else f"{len(late)} signs {_days(sum(late.values()), 'late ')} in all"
    )
    return (
        f"{does}: {run}, waiting for {called} would bring {many}, at a cost of {_money(lateness)}."
    )


def _money(amount: float) -> str:
    """'12.50', '90'"""
    return f"{amount:.2f}".removesuffix(".00")


def _days(days: float, kind: str = "") -> str:
    """'1 day', '2.5 late days'"""
    return f"{round(days, 1):g} {kind}{'day' if round(days, 1) == 1 else 'days'}"


# Of what. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Tried:
    """A blank on which the queue was laid out: its area, the net area of the pieces, and the area that is kept after; mm².

    `is_flagged`: its thickness may differ from the sign's other pieces by more than the eye forgives (thickness.py).
    """

    key: str
    area_mm2: float
    net_mm2: float
    kept_mm2: float
    is_flagged: bool = False

    @property
    def waste_mm2(self) -> float:
        """What is neither a piece nor kept as an offcut."""
        return self.area_mm2 - self.net_mm2 - self.kept_mm2


@dataclass(frozen=True)
class Choice:
    """The blank to cut from, and why."""

    key: str
    sentence: str


def least_waste(tried: Sequence[Tried]) -> Choice:
    """The blank to cut the queue from. Raises Refused where none was tried.

    Thickness comes first: a step that is seen spoils the sign, waste only costs. Then the least waste, to a whole cm²; then
    the smallest blank, so that a full sheet is broken into last.
    """
    if not tried:
        raise Refused("No blank of this stock holds these pieces: add a sheet in Stock.")
    best = min(
        tried, key=lambda one: (one.is_flagged, round(one.waste_mm2 / 100), one.area_mm2, one.key)
    )
    reasons = [f"Take {best.key}: it wastes {_cm2(best)}", _among(best, tried)]
    return Choice(best.key, ", ".join(reason for reason in reasons if reason) + ".")


def _among(best: Tried, tried: Sequence[Tried]) -> str:
    """What speaks for the best against the others."""
    if best.is_flagged:
        return "and its thickness may be seen to differ" + (
            ", and so may that of each other one" if len(tried) > 1 else ""
        )
    thriftier = [one for one in tried if one.is_flagged and one.waste_mm2 < best.waste_mm2]
    if thriftier:
        least = min(thriftier, key=lambda one: (one.waste_mm2, one.key))
        return f"{least.key} would waste {_cm2(least)}, but its thickness may be seen to differ"
    if any(one.key != best.key and not one.is_flagged and _cm2(one) == _cm2(best) for one in tried):
        return "no more than another, and none of these is smaller"
    return "the least of those that were tried" if len(tried) > 1 else ""


def _cm2(one: Tried) -> str:
    return f"{one.waste_mm2 / 100:.0f} cm²"
