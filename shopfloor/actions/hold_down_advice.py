"""What would be advised today for a planned sheet, with all the figures, and why that differs from what was advised before.

Reads only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from ..domain.holding import hold_down_choice
from ..domain.routing import sheets as rules
from ..store import holding as store
from ..store.db import Connection
from ..store.holding import Held
from ..wording import holding as wording
from ..wording.message import Message
from .cutting_setup import CuttingSetup
from .holding import Choice, choices_on, inputs_on, placed_pieces

SAME_INHG = 0.05  # less is the gauge's own unrest: a choice


@dataclass(frozen=True)
class Renewal:
    """The pieces (ids) of a planned sheet that would be held another way today, and why. None where only the figures
    differ, since the pump does."""

    pieces: tuple[int, ...]
    why: Message


def choices_today(db: Connection, sheet: rules.Sheet, today: date) -> list[Choice]:
    """Return what is worked out today for each piece of a sheet. About 5 ms a piece, and kept: nothing is written."""
    placed = placed_pieces(db, sheet)
    return choices_on(inputs_on(db, sheet, placed, today), placed, sheet)


def renewal(db: Connection, sheet: rules.Sheet, today: date) -> Renewal | None:
    """Return what has changed since a planned sheet was nested; None where the advice is the same."""
    held = store.of_nest(db, sheet.nest)
    choices = choices_today(db, sheet, today)
    changed = tuple(choice.placed.piece.id for choice in choices if _differs(choice, held))
    if not held:
        return Renewal(changed, wording.never_worked_out())
    if choices:
        vacuum = _other_vacuum(store.run_of(db, sheet.nest), choices[0].cutting_setup)
        if vacuum:
            return Renewal(changed, vacuum)
    return Renewal(changed, _why(db, sheet, choices, set(changed), today)) if changed else None


def _other_vacuum(run: store.Run | None, setup: CuttingSetup) -> Message | None:
    """Return that the pump, or what its gauge reads, is not what the sheet was worked out for; None where it is."""
    now, pump = setup.vacuum_inhg, setup.shop_settings.pump
    if run is None or (run.pump == pump and abs(run.vacuum_inhg - now) < SAME_INHG):
        return None
    return wording.another_vacuum(wording.pump(pump), now, wording.pump(run.pump), run.vacuum_inhg)


def _differs(choice: Choice, held: dict[int, Held]) -> bool:
    kept = held.get(choice.placed.piece.id)
    return kept is None or (
        not kept.is_overruled and kept.hold_down != choice.advice.best.hold_down
    )


def _why(
    db: Connection,
    sheet: rules.Sheet,
    choices: Sequence[Choice],
    changed: set[int],
    today: date,
) -> Message:
    """Return the first sheet since then, the worst first, that alone accounts for the change of a piece.

    Where only several together do, the worst of them.
    """
    placed = [choice.placed for choice in choices]
    now = inputs_on(db, sheet, placed, today)
    since = store.sheets_since(db, sheet.nest)
    together = [id for id, _ in since]
    alone = [([id], number, id) for id, number in since]
    for without, number, id in [*alone, *((together, number, id) for id, number in since)]:
        before = replace(now, tallies=store.tallies(db, without=without))
        outcomes = store.tallies(db, only=id)
        for was, is_now in zip(choices_on(before, placed, sheet), choices, strict=True):
            if was.placed.piece.id in changed and (
                reason := hold_down_choice.changed(was.advice, is_now.advice, number, outcomes)
            ):
                return reason
    return wording.results_since()
