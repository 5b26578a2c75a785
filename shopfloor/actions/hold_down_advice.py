"""What would be advised today for a planned sheet, with all the figures, and why it is not what was advised before.

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
from .cutting_setup import CuttingSetup
from .holding import Choice, choices_on, known_on, lying_on

SAME_INHG = 0.05
SINCE = "What was cut since this sheet was nested has moved the chances."
NEVER = "How its pieces are held was not worked out yet."


@dataclass(frozen=True)
class Renewal:
    """The pieces (ids) of a planned sheet that would be held in another way today, and why, in a sentence. None where only the
    figures are others, since the pump is."""

    pieces: tuple[int, ...]
    why: str


def found_today(db: Connection, sheet: rules.Sheet, today: date) -> list[Choice]:
    """What is found today for each piece of a sheet. About 5 ms a piece, and kept: nothing is written."""
    lying = lying_on(db, sheet)
    now = known_on(db, sheet, lying, today)
    return choices_on(now, lying, sheet)


def renewal(db: Connection, sheet: rules.Sheet, today: date) -> Renewal | None:
    """What has changed since a planned sheet was nested; None where the advice is as it was."""
    held = store.of_nest(db, sheet.nest)
    found = found_today(db, sheet, today)
    other = [one for one in found if _is_other(one, held)]
    ids = tuple(one.lying.piece.id for one in other)
    if not held:
        return Renewal(ids, NEVER)
    if found and (pump := _other_pump(store.run_of(db, sheet.nest), found[0].cutting_setup)):
        return Renewal(ids, pump)
    return Renewal(ids, _why(db, sheet, found, other, today)) if other else None


def _other_pump(run: store.Run | None, cutting_setup: CuttingSetup) -> str | None:
    """That the pump, or what its gauge reads, is not what it was worked out for."""
    now, pump = cutting_setup.vacuum_inhg, cutting_setup.shop_settings.pump
    if run is None or (run.pump == pump and abs(run.vacuum_inhg - now) < SAME_INHG):
        return None
    return (
        f"The {pump} gives {now:.1f} inHg at the sheet now; this was worked out for a {run.pump} with "
        f"{run.vacuum_inhg:.1f} inHg."
    )


def _is_other(choice: Choice, held: dict[int, Held]) -> bool:
    kept = held.get(choice.lying.piece.id)
    return kept is None or (not kept.is_overruled and kept.way != choice.advice.best.way)


def _why(
    db: Connection,
    sheet: rules.Sheet,
    found: Sequence[Choice],
    other: Sequence[Choice],
    today: date,
) -> str:
    """The first sheet since then, the worst first, that alone accounts for the change of a piece; where only several do, the
    worst of them."""
    lying = [one.lying for one in found]
    now = known_on(db, sheet, lying, today)
    ids = {one.lying.piece.id for one in other}
    since = store.sheets_since(db, sheet.nest)
    together = [id for id, _ in since]
    alone = [([id], number, id) for id, number in since]
    for without, number, id in [*alone, *((together, number, id) for id, number in since)]:
        before = replace(now, tallies=store.tallies(db, without=without))
        outcomes = store.tallies(db, only=id)
        for was, is_now in zip(choices_on(before, lying, sheet), found):
            if was.lying.piece.id in ids and (
                told := hold_down_choice.changed(was.advice, is_now.advice, number, outcomes)
            ):
                return told
    return SINCE
