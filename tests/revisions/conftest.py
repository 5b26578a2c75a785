"""A job under way, and other drawings for it: boards with letters that are drawn as boxes of different sizes."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

import pytest
from shop_for_tests import box

from shopfloor.actions import comparing, drawings, jobs, revisions
from shopfloor.actions import pieces as marks
from shopfloor.actions import sheets as sheet_acts
from shopfloor.domain.drawing import DrawnOutline, Drawing
from shopfloor.domain.outlines import Outline
from shopfloor.domain.signs import Order
from shopfloor.store import jobs as store
from shopfloor.store import pieces, sheets, stock

BLUE, CREAM, RED = "#33658a", "#f2e8cf", "#c81e1e"
WIDE = {"A": 30, "B": 32, "C": 34, "D": 36, "E": 38, "F": 40}  # what tells one letter from another


def letter(name: str, x: float, y: float) -> Outline:
    """A box with a corner cut off, so that its turns differ; as wide as the letter is."""
    wide = WIDE[name]
    ring = ((x, y), (x + wide, y), (x + wide, y + 60), (x + 10, y + 60), (x, y + 45))
    return Outline((ring,))


def drawing(*lines: str, width: float = 600, at: dict | None = None, colour: str = CREAM) -> Drawing:
    """A blue board with lines of letters, 50 mm apart; `at` moves single letters: {(line, place): (dx, dy)}."""
    height = 100 * len(lines)
    drawn = [DrawnOutline(box(0, 0, width, height), BLUE, "board", None, 0)]
    for row, line in enumerate(lines):
        for place, name in enumerate(line):
            if name == " ":
                continue
            dx, dy = (at or {}).get((row, place), (0, 0))
            spot = (20 + 50 * place + dx, height - 100 * (row + 1) + 20 + dy)
            drawn.append(DrawnOutline(letter(name, *spot), colour, name, None, len(drawn)))
    return Drawing(tuple(drawn), width, height, ())


def read_of(drawn: Drawing) -> drawings.ReadDrawing:
    """The drawing as if it came from a file."""
    data = json.dumps(drawn.as_dict()).encode()
    return drawings.ReadDrawing(hashlib.sha256(data).hexdigest(), "board.svg", data, drawn)


@dataclass
class Changing:
    """A shop that takes a drawing in and is sent another one for the same job."""

    desk: object
    by: object
    job: str = ""

    def take_in(self, drawn: Drawing, quantity: int = 1) -> None:
        read = read_of(drawn)
        proposed = drawings.proposal(self.desk, [read])
        order = Order("Harbour Library", "Board", "2026-12-11", quantity, self.stocks(proposed))
        self.job = jobs.intake(self.desk, self.by, proposed, order, reads=[read]).data["job"]

    def stocks(self, proposed) -> dict[str, int]:
        known = {one.colour: one.id for one in stock.all_stocks(self.desk.read())}
        return {c.colour: known[c.colour] for c in proposed.colours if c.colour in known}

    def plan(self, drawn: Drawing, **more) -> comparing.Plan:
        proposed = drawings.proposal(self.desk, [read_of(drawn)])
        return comparing.plan(self.desk, self.job, proposed, self.stocks(proposed), **more)

    def change(self, drawn: Drawing, key: str | None = None, plan=None, **choices):
        made = plan or self.plan(drawn)
        return revisions.change(
            self.desk, self.by, made, comparing.Choices(**choices), reads=[read_of(drawn)], key=key
        )

    def all_pieces(self) -> dict[int, object]:
        """Every piece of the shop, by id."""
        return {piece.id: piece for piece in pieces.many(self.desk.read(), "ORDER BY p.id")}

    def named(self) -> dict[str, list]:
        """The live pieces by the name of their part."""
        found: dict[str, list] = {}
        for row in self.desk.read().execute(
            """SELECT pt.name, p.code FROM assignment a JOIN piece p ON p.id = a.piece JOIN part pt ON pt.id = a.part
               WHERE a.ended_at IS NULL ORDER BY pt.number, p.id"""
        ):
            found.setdefault(row["name"], []).append(pieces.by_code(self.desk.read(), row["code"]))
        return found

    def sheets(self):
        return sheets.live_rows(self.desk.read())

    def of_colour(self, colour: str):
        db = self.desk.read()
        return [row for row in self.sheets() if stock.stock(db, row.stock).colour == colour]


@pytest.fixture
def changing(desk, owner, plain_nests):
    return Changing(desk, owner)


# The same from files. ----------------------------------------------------------------------------------------------


FULL = 'xmlns="http://www.w3.org/2000/svg" width="600mm" height="200mm" viewBox="0 0 600 200"'
BOARD = '<rect id="board" width="600" height="200" fill="#33658a"/>'


def svg(*letters: tuple[str, int, int], board: str = BOARD) -> bytes:
    """Letters are boxes as wide as the letter's place in the alphabet says, at (x, y)."""
    shapes = "".join(
        f'<path id="{name}" fill="#f2e8cf" d="M{x} {y}h{30 + 2 * (ord(name) - 65)}v70h-20v-10z"/>' for name, x, y in letters
    )
    return f"<svg {FULL}>{board}{shapes}</svg>".encode()


OLD = svg(("A", 40, 60), ("B", 120, 60), ("C", 200, 60))
NEW = svg(("A", 40, 60), ("B", 160, 60), ("F", 240, 60))


@pytest.fixture
def under_way(desk, operator, plain_nests):
    """J-1001 with the letters A, B, C on a board; A and C are cut."""
    read = drawings.read_drawing(OLD, "board.svg")
    order = Order("Harbour Library", "Board", "2026-12-11")
    jobs.intake(desk, operator, drawings.proposal(desk, [read]), order, reads=[read])
    for row in sheets.live_rows(desk.read()):
        sheet_acts.start(desk, operator, row.code)
    code = {part.name: part.code for part in store.parts_of(desk.read(), 1)}
    marks.mark(desk, operator, [code["A"], code["C"]], "cut")
    return code
