"""A sign on the bench, set out and ready to glue: a board with two lines of letters, made by plain rows."""

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest
from shop_for_tests import box

from shopfloor.actions import bench as acts
from shopfloor.actions.desk import Answer, act
from shopfloor.store import bench, jobs, outlines, pieces


@dataclass(frozen=True)
class Laid:
    """A sign of the fixture: ids by the parts' names ('board', 'A' …)."""

    sign: int
    code: str
    gluing: int
    parts: dict[str, int]

    @property
    def path(self) -> str:
        return f"/bench/{self.code}"


def board_of(letters: str, per_line: int = 4):
    """(name, level, x, y, width, height, lies on) of a board and its letters, 60 mm apart, the first line highest."""
    lines = -(-len(letters) // per_line)
    placed = [
        (name, 1, 20.0 + 60 * (n % per_line), 20.0 + 120 * (lines - 1 - n // per_line), 50.0, 100.0, "board")
        for n, name in enumerate(letters)
    ]
    return [("board", 0, 0.0, 0.0, 40.0 + 60 * per_line, 40.0 + 120 * lines, None), *placed]


@act("laid a sign for a test")
def _lay(act, rows) -> Answer:
    db = act.db
    db.execute(
        """INSERT OR IGNORE INTO stock
           VALUES (1, 'cream-6', 'cream', '#f2e8cf', 'gloss', 'cast', 6, 2440, 1220, 'any', 90)"""
    )
    db.execute("UPDATE cement SET open_min = 2, ml_per_m2 = 100, driest_percent = 20, dampest_percent = 70 WHERE id = 1")
    job = jobs.add_job(db, "Harbour office", "Door sign", "2026-12-01", "0" * 64, act.at)
    width, height = rows[0][4:6]
    sign = jobs.add_sign(db, act.new_code("sign"), job, "A", "Door", width, height, 1 + max(row[1] for row in rows))
    ids: dict[str, int] = {}
    for number, (name, level, x, y, wide, high, below) in enumerate(rows, start=1):
        outline = outlines.next_outline(db)
        shape = json.dumps(box(0, 0, wide, high).as_lists())
        row = (outline, 1, shape, wide * high, 2 * (wide + high), wide, high, outline)
        db.execute("INSERT INTO outline VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
        ids[name] = jobs.add_part(
            db, sign=sign, number=number, name=name, level=level, line=1, lies_on=ids.get(below), colour="#f2e8cf",
            stock=1, outline=outline, x_mm=x, y_mm=y, baseline_mm=y,
        )  # fmt: skip
        piece = pieces.add(db, act.new_code("piece"), outline, 1, 1, 0)
        pieces.assign(db, piece, ids[name], act.at)
        db.execute("UPDATE piece SET state = 'ready' WHERE id = ?", (piece,))
    bench.add_recipe(db, sign)
    return Answer("Laid.", data={"sign": sign, "parts": ids})


@pytest.fixture
def lay(desk, owner, assembler):
    """Lays a sign with these letters, and sets it out: `lay("ABCDEFGH")`."""

    def make(letters: str = "ABCDEFGH") -> Laid:
        data = _lay(desk, owner, board_of(letters)).data
        sign = bench.sign_of(desk.read(), data["sign"])
        laying, gluing = (next(step for step in sign.steps if step.kind == kind) for kind in ("lay out", "glue"))
        acts.set_out_rest(desk, assembler, laying.id, laying.parts)
        return Laid(sign.id, sign.code, gluing.id, data["parts"])

    return make


@pytest.fixture
def change(desk, owner):
    """Writes to the shop for a test: `change("UPDATE cement SET …")`."""

    @act("changed something for a test")
    def write(act, sql, *values) -> Answer:
        act.db.execute(sql, values)
        return Answer("Changed.")

    return lambda sql, *values: write(desk, owner, sql, *values)
