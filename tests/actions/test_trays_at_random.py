"""Random days with trays: whatever is marked, glued, swapped, undone, the records agree and nothing lies where it cannot.

No source outside the project: these are properties that any record of trays must have. The shop's other random acts, in
tests/store, seldom come so far that a piece lies in a tray.
"""

from __future__ import annotations

import random
from collections import Counter
from contextlib import suppress

from shopfloor.actions import pieces, signs, swaps
from shopfloor.actions import trays as acts
from shopfloor.actions.unit_of_work import Answer, Caller, Transaction, command, undo
from shopfloor.domain import pieces as life
from shopfloor.domain.errors import Conflict, ShopError
from shopfloor.store import ledger, replay
from shopfloor.store import pieces as piece_store
from shopfloor.wording.message import plain

DONE = (
    "made a tray",
    "put pieces into a tray",
    "took pieces out of a tray",
    "moved a tray",
    "retired a tray",
    "picked pieces",
    "put picked pieces back",
    "marked pieces",
    "glued a piece",
    "undid",
)
WRONG = """
SELECT l.piece, p.state FROM lying l JOIN piece p ON p.id = l.piece LEFT JOIN tray t ON t.id = l.tray
LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL LEFT JOIN part pt ON pt.id = a.part
WHERE p.state NOT IN ('cut', 'ready') OR t.is_retired OR (l.picked_for IS NOT NULL AND l.picked_for IS NOT pt.sign)
   OR (l.tray IS NULL AND l.picked_for IS NULL)"""


@command("glued a piece", "assembler")
def glue(transaction: Transaction, code: str) -> Answer:
    """Stands in for a glue-up, as far as the piece is concerned."""
    piece = piece_store.by_code(transaction.db, code)
    if piece.part is None or piece.state != "ready":
        raise Conflict(plain("It cannot be glued."))
    piece_store.write(transaction.db, life.fixed(piece), transaction.at)
    return Answer(plain("It is glued."))


class Day:
    """A day with a seed: each call of `act` tries something, with what the shop holds then."""

    def __init__(self, shop, by, seed: int):
        self.shop, self.by, self.dice = shop, by, random.Random(seed)
        self.first = ledger.newest(shop.read()) + 1

    def one(self, sql: str) -> str | int:
        return self.dice.choice([row[0] for row in self.shop.read().execute(sql)] or ["00000000"])

    def act(self) -> None:
        piece, tray = self.one("SELECT code FROM piece"), self.one("SELECT code FROM tray")
        other = self.dice.choice([self.one("SELECT code FROM tray"), None])
        sign = self.one("SELECT code FROM sign")
        mark = self.dice.choice(["cut", "trimmed", "lost", "damaged", "found", "came off"])
        tried = [
            (acts.make_tray, self.dice.choice(["bag", "tray", "shelf"])),
            (acts.put_in, tray, [piece]),
            (acts.take_out, tray, [piece]),
            (acts.move_tray, tray, other),
            (acts.retire_tray, tray),
            (acts.pick, sign, piece, other),
            (acts.pick, sign, tray),
            (acts.put_back, sign, [piece]),
            (pieces.mark, [piece], mark),
            (undo, max(self.first, ledger.newest(self.shop.read()) - self.dice.randrange(8))),
            (self.swap,),
            (glue, piece),
            (signs.cancel, self.one("SELECT id FROM sign"), "the customer called it off"),
        ]
        weights = [3, 12, 4, 6, 2, 12, 4, 4, 6, 6, 2, 1, 0.01]
        action, *given = self.dice.choices(tried, weights)[0]
        with suppress(ShopError):  # what is refused changes nothing, which WRONG checks
            action(Caller(self.shop, self.by), *given)

    def swap(self, caller: Caller) -> None:
        found = swaps.proposal(self.shop.read(), self.shop.clock().date())
        if found:
            swaps.swap(caller, [(move.piece, move.to_part) for move in found.plan.moves])


def test_random_days_leave_records_that_agree(shop, owner, tray_bench):
    for seed in (1, 2, 3):
        day = Day(shop, owner, seed)
        for _ in range(400):
            day.act()
            assert shop.read().execute(WRONG).fetchall() == []
    done = Counter(
        row[0]
        for row in shop.read().execute(
            "SELECT what FROM ledger WHERE json_array_length(changes) > 0"
        )
    )
    assert not [what for what in DONE if not done[what]], "each of them came to pass"
    assert replay.differences(shop.read()) == []
