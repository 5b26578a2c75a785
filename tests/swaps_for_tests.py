"""What the tests of swaps stand on: signs with letters of a few families, taken in, cut and lost.

Imported by its name, as shop_for_tests is.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime

from shop_for_tests import BLUE, CREAM, Cutting, box, new_shop

from shopfloor.actions import pieces as marks
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import swaps
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.outlines import Outline
from shopfloor.store import jobs, pieces
from shopfloor.store import people as people_store
from shopfloor.store.db import Database

NOW = datetime(2026, 11, 25, 14, 12, tzinfo=UTC)
LATER = "2026-12-11"
WIDE = {"A": 30, "B": 36, "C": 42}


def letter(name: str, x: float, y: float) -> Outline:
    """A box with a corner cut off, so that its turns differ; as wide as the letter is."""
    wide = WIDE[name]
    return Outline((((x, y), (x + wide, y), (x + wide, y + 60), (x + 10, y + 60), (x, y + 45)),))


def boards(*signs: str) -> Drawing:
    """One board for each word side by side, all alike, the word's letters on it."""
    drawn = []
    for at, word in enumerate(signs):
        drawn.append(DrawnOutline(box(420 * at, 0, 400, 100), BLUE, "board", None, len(drawn)))
        for place, name in enumerate(word):
            drawn.append(
                DrawnOutline(
                    letter(name, 420 * at + 20 + 50 * place, 20), CREAM, name, None, len(drawn)
                )
            )
    return Drawing(tuple(drawn), 420 * len(signs), 100, ())


class SwapShop(Cutting):
    """A shop that takes in words on boards."""

    taken = 0

    def order(self, *signs: str, due: str = LATER, nest: bool = True) -> list[str]:
        """Takes one job in; gives its sheets."""
        self.taken += 1
        return self.take_in(self.taken, due, drawing=boards(*signs), nest=nest)

    def piece(self, sign: str, name: str):
        """The live piece of 'J-1001 A' and a letter."""
        return next(piece for part, piece in self.of_sign(sign) if part.name == name)

    def of_sign(self, sign: str):
        db = self.shop.read()
        job, mark = sign.split()
        found = jobs.parts_of(db, jobs.sign_by_name(db, job, mark).id)
        return [(part, pieces.by_code(db, part.code)) for part in found]

    def sign(self, called: str) -> int:
        return jobs.sign_by_name(self.shop.read(), *called.split()).id

    def mark(self, mark: str, *codes: str):
        return marks.mark(Caller(self.shop, self.by), list(codes), mark)

    def cut(self, *but: str) -> None:
        """All live sheets come off the table, all pieces of them good, their tabs off; those of `but` (codes) are left."""
        for row in self.rows():
            if row.state == "planned":
                sheet_acts.start(Caller(self.shop, self.by), row.code)
            codes = [
                code
                for code, state in self.states(row.code).items()
                if state == "nested" and code not in but
            ]
            sheet_acts.mark_rest_cut(Caller(self.shop, self.by), row.code, codes)
            for code in codes:
                if pieces.by_code(self.shop.read(), code).state == "cut":
                    self.mark("trimmed", code)

    def proposal(self):
        return swaps.proposal(self.shop.read(), self.shop.clock().date())

    def moves(self):
        found = self.proposal()
        return [(move.piece, move.to_part) for move in found.plan.moves] if found else []

    def history(self, piece: int) -> list[tuple[int, str | None]]:
        """The parts that a piece was for, and why that ended."""
        rows = self.shop.read().execute(
            "SELECT part, why_ended FROM assignment WHERE piece = ? ORDER BY id", (piece,)
        )
        return [tuple(row) for row in rows]


def opened(path) -> tuple[SwapShop, Database]:
    """The shop in a file, at NOW, for fixtures of a whole module; a new one where there is no file."""
    dice = random.Random(26).randrange
    if path.exists():
        shop = Shop(Database(path), lambda: NOW, dice)
    else:
        shop = new_shop(path, lambda: NOW, dice)
    return SwapShop(shop, people_store.owner_by(shop.read(), "test tablet")), shop.database
