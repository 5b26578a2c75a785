"""Recut now or wait, and from which sheet or offcut; nothing else of recuts.

(A loss and the recut that it queues are in `domain/pieces.py`.) Must not know the queue's tables nor the layout of a
sheet. Pure. Money is in the shop's own currency, days are working days.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from ...wording import recuts as wording
from ...wording.message import Message, joined
from ..bench import steps as rules
from ..bench.steps import Sign, Step
from ..errors import Refused
from ..settings import Settings

PATIENCE_DAYS = (
    3.0  # of slack that each sign keeps while the queue waits with no sheet planned: from memory
)


def stopped_step(part: int, sign: Sign, now: datetime) -> Step | None:
    """Return the first step not done that needs the part: it waits for the recut. None where no step needs it any more."""
    undone = (step for step in sign.steps if not rules.is_done(step, now))
    part_of_sign = sign.parts.get(part)
    return next((step for step in undone if part_of_sign in rules.needed(step, sign)), None)


# Now or wait. --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Queued:
    """One recut of a stock's queue.

    `slack_days` is by how many working days its sign is early if the recut is cut now; below 0 it is late even so; None:
    the sign has no due date. `blocks`: work on the sign stops without it. A spare has no `sign`.
    """

    sign: int | None
    slack_days: float | None
    blocks: bool


@dataclass(frozen=True)
class NextRun:
    """The next sheet of the stock that is planned anyway, in working days from now; None: none is planned."""

    in_days: float | None
    called: Message | str = field(default_factory=wording.the_next_sheet)


@dataclass(frozen=True)
class RunAdvice:
    """Whether to cut the queue now, and what either choice costs; `signs` would be late, or later, by `days_saved` in all."""

    is_now: bool
    now_money: float
    wait_money: float
    days_saved: float
    signs: tuple[int, ...]
    message: Message


def now_or_wait(queue: Sequence[Queued], settings: Settings, next_run: NextRun) -> RunAdvice:
    """Return whether one more set-up costs less than the late days that waiting for the next sheet brings.

    A sign counts once however many pieces it lacks, with its least slack; slack for the whole wait costs nothing. With no
    sheet planned the set-up is due either way, so the queue waits for more pieces only while each sign has PATIENCE_DAYS
    of slack. At equal cost the queue is cut now. Raises Refused where nothing is queued.
    """
    if not queue:
        raise Refused(wording.nothing_waits())
    slack = _least_slack(queue)
    wait = PATIENCE_DAYS if next_run.in_days is None else next_run.in_days
    late = {sign: wait - max(days, 0.0) for sign, days in slack.items() if max(days, 0.0) < wait}
    days, now = sum(late.values()), settings.set_up_min / 60 * settings.hour_cost
    lateness = days * settings.late_day_cost
    if next_run.in_days is None:
        is_now, waiting = bool(late), now + lateness
        message = _with_none_planned(slack, late)
    else:
        is_now, waiting = lateness >= now, lateness
        message = _against(next_run.called, late, now, lateness)
    return RunAdvice(is_now, now, waiting, days, tuple(sorted(late)), message)


def _least_slack(queue: Iterable[Queued]) -> dict[int, float]:
    """Return the slack, in days, of each sign that cannot go on and has a due date."""
    slack: dict[int, float] = {}
    for recut in queue:
        if recut.blocks and recut.sign is not None and recut.slack_days is not None:
            slack[recut.sign] = min(recut.slack_days, slack.get(recut.sign, math.inf))
    return slack


def _with_none_planned(slack: Mapping[int, float], late: Mapping[int, float]) -> Message:
    if late:
        return wording.cut_now_little_slack(len(late), _days(PATIENCE_DAYS))
    if slack:
        return wording.can_wait_days(_days(min(slack.values())))
    return wording.can_wait()


def _against(
    sheet: Message | str, late: Mapping[int, float], run: float, lateness: float
) -> Message:
    """Return the two choices compared."""
    is_now = lateness >= run
    if not late:
        return (wording.cut_now_none_late if is_now else wording.wait_none_late)(run, sheet)
    signs = wording.signs_late(len(late), _days(sum(late.values())))
    return (wording.cut_now if is_now else wording.wait)(run, sheet, signs, lateness)


def _days(days: float) -> Message:
    return wording.days(round(days, 1))


# From which sheet or offcut. -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Tried:
    """A sheet or offcut on which the queue was laid out: its area, the net area of the pieces, and the area kept after; mm².

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
    """The sheet or offcut to cut from, and why."""

    key: str
    message: Message


def least_waste(tried: Sequence[Tried]) -> Choice:
    """Return the sheet or offcut to cut the queue from. Raises Refused where none was tried.

    Thickness comes first: a visible step spoils the sign, waste only costs. Then the least waste, to a whole cm²; then
    the smallest one, so that a full sheet is cut into last.
    """
    if not tried:
        raise Refused(wording.nothing_large_enough())
    best = min(
        tried,
        key=lambda blank: (blank.is_flagged, _waste_cm2(blank), blank.area_mm2, blank.key),
    )
    return Choice(
        best.key, joined([wording.cut_from(best.key, _waste_cm2(best)), _reason(best, tried)])
    )


def _reason(best: Tried, tried: Sequence[Tried]) -> Message | None:
    """Return why the best is better than the others."""
    others = [blank for blank in tried if blank.key != best.key]
    if best.is_flagged:
        return wording.all_may_show() if others else wording.thickness_may_show()
    thriftier = [blank for blank in tried if blank.is_flagged and blank.waste_mm2 < best.waste_mm2]
    if thriftier:
        least = min(thriftier, key=lambda blank: (blank.waste_mm2, blank.key))
        return wording.thriftier_may_show(least.key, _waste_cm2(least))
    if any(_waste_cm2(blank) == _waste_cm2(best) for blank in others if not blank.is_flagged):
        return wording.none_smaller()
    return wording.least_of_all() if others else None


def _waste_cm2(blank: Tried) -> int:
    return round(blank.waste_mm2 / 100)
