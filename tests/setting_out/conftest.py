"""Signs laid on a bench by plain rows, with outlines of the test's own choosing."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from shop_for_tests import box

from shopfloor.actions.desk import Answer, Desk, act
from shopfloor.domain.outlines import Outline
from shopfloor.store import bench, jobs, outlines, pieces

# The door sign of test_setting_out.py: five letters of 80 mm on a board of 600 × 200 mm.
BOARD = ("board", 0, box(0, 0, 600, 200))
DOOR = [(52.3, 61.4), (135.2, 48.0), (203.9, 72.6), (297.0, 20.0), (339.1, 66.2)]
LETTERS = [(name, 1, box(x, 60, wide, 80)) for name, (x, wide) in zip("ABCDE", DOOR)]


@act("laid a sign for a test")
def _lay(act, placed: Sequence[tuple[str, int, Outline]], width: float, height: float, state: str) -> Answer:
    db = act.db
    db.execute("""INSERT OR IGNORE INTO stock
                  VALUES (1, 'cream-6', 'cream', '#f2e8cf', 'gloss', 'cast', 6, 2440, 1220, 'any', 90)""")
    db.execute("""INSERT OR IGNORE INTO cement (id, name, cure_hours, reference_c, coldest_c, warmest_c)
                  VALUES (1, 'Solvent cement', 24, 23, 16, 38)""")
    job = jobs.add_job(db, "Harbour office", "Door sign", "2026-12-01", "0" * 64, act.at)
    levels = max(level for _, level, _ in placed) + 1
    code = act.new_code("sign")
    sign = jobs.add_sign(db, code, job, "A", "Door", width, height, levels)
    ids: dict[str, int] = {}
    codes: dict[str, str] = {}
    for number, (name, level, shape) in enumerate(placed, start=1):
        outline = _outline(db, shape)
        left, bottom, _, _ = shape.bounds
        ids[name] = jobs.add_part(
            db, sign=sign, number=number, name=name, level=level, line=1, lies_on=ids[placed[0][0]] if level else None,
            colour="#f2e8cf", stock=1, outline=outline, x_mm=left, y_mm=bottom, baseline_mm=bottom,
        )  # fmt: skip
        codes[name] = act.new_code("piece")
        piece = pieces.add(db, codes[name], outline, 1, 1, 0)
        pieces.assign(db, piece, ids[name], act.at)
        db.execute("UPDATE piece SET state = ? WHERE id = ?", (state, piece))
    bench.add_recipe(db, sign)
    return Answer("Laid.", data={"sign": sign, "code": code, "parts": ids, "codes": codes})


def _outline(db, shape: Outline) -> int:
    own = shape.at_origin()
    id = outlines.next_outline(db)
    rings = json.dumps(own.as_lists(), separators=(",", ":"))
    sizes = (round(own.area_mm2, 3), round(own.perimeter_mm, 3), own.width_mm, own.height_mm)
    db.execute("INSERT INTO outline VALUES (?, 1, ?, ?, ?, ?, ?, ?)", (id, rings, *sizes, id))
    return id


@dataclass(frozen=True)
class Laid:
    """A sign on the bench: its ids and codes, its parts and their pieces' codes by name."""

    desk: Desk
    sign: int
    code: str
    parts: dict[str, int]
    codes: dict[str, str]

    def step(self, title: str = "Lay out level 1"):
        return next(step for step in bench.sign_of(self.desk.read(), self.sign).steps if step.title == title)

    def ticked(self) -> str:
        """The names of what sits right, in order."""
        return "".join(name for name, part in self.parts.items() if part in self.step().ticks)

    def measured(self) -> list[tuple]:
        """What is kept of what was measured: (part, piece's code, across, up, allowed)."""
        rows = self.desk.read().execute(
            """SELECT m.part, p.code, m.across_mm, m.up_mm, m.allowed_mm FROM measured_place m
               JOIN piece p ON p.id = m.piece ORDER BY m.id"""
        )
        return [tuple(row) for row in rows]


@pytest.fixture
def lay(desk, owner):
    """Lays a sign on the bench: `lay(parts, width, height)`; the door sign without any."""

    def laid(parts=(), width=600, height=200, state="ready") -> Laid:
        data = _lay(desk, owner, [BOARD, *(parts or LETTERS)], width, height, state).data
        return Laid(desk, **data)

    return laid


@pytest.fixture
def door(lay) -> Laid:
    return lay()
