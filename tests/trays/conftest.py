"""A small job with its pieces off the table, and trays for them."""

from __future__ import annotations

import pytest

from shopfloor.actions import pieces
from shopfloor.actions import trays as acts
from shopfloor.store import trays


class Bench:
    """The trays of a shop as a test asks for them."""

    def __init__(self, desk, by, codes):
        self.desk, self.by, self.codes = desk, by, codes

    def made(self, kind: str, name: str = "") -> str:
        return acts.make_tray(self.desk, self.by, kind, name).codes[0]

    def do(self, action, *args, **named):
        return action(self.desk, self.by, *args, **named)

    def lies(self, name: str) -> tuple[str, bool] | None:
        """Where a piece lies, and whether it is picked for the sign that its name begins with; None: nowhere."""
        db = self.desk.read()
        sign = db.execute("SELECT id FROM sign WHERE mark = ?", (name[0],)).fetchone()[0]
        row = db.execute("SELECT id FROM piece WHERE code = ?", (self.codes[name],)).fetchone()
        one = trays.lying(db, [row["id"]]).get(row["id"])
        if one is None:
            return None
        held = trays.all_trays(db)[one.tray].called if one.tray else "the bench"
        return held, one.picked_for == sign


@pytest.fixture
def bench(desk, owner, assembler, small_job) -> Bench:
    """J-1001 with all its pieces good but 'A O', which is on its sheet still."""
    cut = [code for name, code in small_job.items() if len(name) > 1 and name != "A O"]
    pieces.mark(desk, owner, cut, "cut")
    return Bench(desk, assembler, small_job)
