"""A small shop with one sign on its bench, made by plain rows: a board, two panels on it, two letters on the first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import pytest

from shopfloor.actions.desk import Answer, Desk, act
from shopfloor.domain.people import By
from shopfloor.store import bench, jobs, outlines, pieces
from shopfloor.store.db import Database

# name, level, what it lies on (by name)
PARTS = [("board", 0, None), ("P", 1, "board"), ("Q", 1, "board"), ("X", 2, "P"), ("Y", 2, "P")]


@dataclass
class Bench:
    """The shop: its desk, its people, a clock that tests turn, and the one sign."""

    desk: Desk
    owner: By
    assembler: By
    operator: By
    now: datetime
    sign: int = 0
    cement: int = 0
    parts: dict[str, int] | None = None

    def later(self, **by) -> None:
        self.now += timedelta(**by)

    def at(self, sign: int | None = None):
        return bench.sign_of(self.desk.read(), sign or self.sign)

    def step(self, title: str):
        return next(step for step in self.at().steps if step.title == title)

    def piece(self, name: str):
        return pieces.of_part(self.desk.read(), self.parts[name])[0]

    def row(self, sql: str, *values):
        return self.desk.read().execute(sql, values).fetchone()


@act("set a bench up for a test")
def lay_bench(act, parts, state="ready") -> Answer:
    db = act.db
    for person in ((1, "Ona", "owner"), (2, "Asa", "assembler"), (3, "Rut", "operator")):
        db.execute("INSERT OR IGNORE INTO person VALUES (?, ?, ?, 1)", person)
    db.execute(
        """INSERT OR IGNORE INTO stock
           VALUES (1, 'cream-6', 'cream', '#f2e8cf', 'gloss', 'cast', 6, 2440, 1220, 'any', 90)"""
    )
    db.execute("""INSERT OR IGNORE INTO cement (id, name, cure_hours, reference_c, coldest_c, warmest_c)
           VALUES (1, 'Solvent cement', 24, 23, 16, 38)""")
    outline = outlines.next_outline(db)
    db.execute(
        "INSERT INTO outline VALUES (?, 1, '[[[0,0],[90,0],[90,40],[0,40]]]', 3600, 260, 90, 40, ?)", (outline, outline)
    )
    job = jobs.add_job(db, "Harbour office", "Door sign", "2026-12-01", "0" * 64, act.at)
    sign = jobs.add_sign(db, act.new_code("sign"), job, "A", "Door", 600, 300, max(level for _, level, _ in parts) + 1)
    ids: dict[str, int] = {}
    for number, (name, level, below) in enumerate(parts, start=1):
        ids[name] = jobs.add_part(
            db, sign=sign, number=number, name=name, level=level, line=1, lies_on=ids.get(below), colour="#f2e8cf",
            stock=1, outline=outline, x_mm=10.0 * number, y_mm=20.0, baseline_mm=20.0,
        )  # fmt: skip
        piece = pieces.add(db, act.new_code("piece"), outline, 1, 1, 0)
        pieces.assign(db, piece, ids[name], act.at)
        db.execute("UPDATE piece SET state = ? WHERE id = ?", (state, piece))
    bench.add_recipe(db, sign)
    return Answer("Laid.", data={"sign": sign, "parts": ids})


@pytest.fixture
def lay():
    """Sets the sign up on another desk: `lay(desk, owner, PARTS)`."""
    return lambda desk, owner, **other: lay_bench(desk, owner, PARTS, **other).data


@pytest.fixture
def shop(tmp_path):
    start = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    people = [By(n, name, frozenset({role}), "bench tablet")
              for n, name, role in ((1, "Ona", "owner"), (2, "Asa", "assembler"), (3, "Rut", "operator"))]  # fmt: skip
    numbers = iter(range(1000, 10_000))
    made = Bench(Desk(Database(tmp_path / "shop.db"), lambda: made.now, lambda _: next(numbers)), *people, now=start)
    laid = lay_bench(made.desk, made.owner, PARTS)
    made.sign, made.parts, made.cement = laid.data["sign"], laid.data["parts"], 1
    yield made
    made.desk.database.close()
