"""Shops made up to be measured: many pieces on the table, many closed jobs behind the open ones.

Owns what they hold. The closed jobs are written straight into the tables, past the ledger: ten thousand jobs would take an
hour to play, and only the pages that read past them are measured.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from ..actions import drawings, jobs, nests, people, sheets
from ..actions.unit_of_work import Caller, Shop
from ..demo.recording import Tape
from ..domain.drawing.signs import Order
from ..domain.people import Actor
from ..domain.routing.shelf_packing import shelved_sheets
from ..store import people as people_store
from ..store.db import Database

PIN = "2580"
PARTS, STEPS, ACTS = 10, 6, 4  # of each closed job


def busy_shop(path: Path, pieces: int) -> list[tuple[str, list[str]]]:
    """A shop with an owner whose PIN is PIN, and at least `pieces` pieces on started sheets.

    Gives each sheet's code with the codes of its pieces. The nests are plain ones: only the marks are measured.
    """
    database = Database(path)
    try:
        shop = Shop(database)
        people.first_owner(shop)
        owner = people_store.owner_by(shop.read(), "measuring")
        people.set_first_pin(shop, PIN)
        return [_started(shop, owner, sheet) for sheet in _take_in(shop, owner, pieces)]
    finally:
        database.close()


def _take_in(shop: Shop, owner: Actor, pieces: int) -> list[str]:
    proposed = drawings.proposal(shop, [Tape().reading("library.svg")])
    copies = -(-pieces // sum(len(sign.parts) for sign in proposed.signs))
    order = Order("Harbour Library", "Doors", "2030-01-31", copies)
    told = jobs.take_in(Caller(shop, owner), proposed, order)
    made: list[str] = []
    for stock_id in told.data["stocks"]:
        work = nests.gather(shop, stock_id, None, (), 1.0, False)
        laid = shelved_sheets(work.items, work.stock.length_mm, work.stock.width_mm, work.rules)
        made += nests.save(
            Caller(shop, owner), work, [nests.Layout(sheet, None) for sheet in laid], ()
        ).codes
    return made


def _started(shop: Shop, owner: Actor, sheet: str) -> tuple[str, list[str]]:
    sheets.start(Caller(shop, owner), sheet)
    db = shop.read()
    rows = db.execute(
        "SELECT p.code FROM piece p JOIN sheet s ON s.id = p.sheet WHERE s.code = ? ORDER BY p.id",
        (sheet,),
    )
    return sheet, [row["code"] for row in rows]


def add_closed_jobs(path: Path, count: int) -> None:
    """Writes `count` closed jobs behind what the database holds, each with a sign of ten parts that was handed over."""
    db = sqlite3.connect(path, isolation_level=None)
    try:
        db.execute("BEGIN")
        _Behind(db, count).write()
        db.execute("COMMIT")
    finally:
        db.close()


class _Behind:
    """Writes many rows of a table at a time; in its expressions `i` counts from 1."""

    def __init__(self, db: sqlite3.Connection, jobs: int):
        self.db, self.jobs = db, jobs
        self.last = {
            table: db.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()[0]
            for table in ("job", "sign", "part", "piece", "step", "sheet")
        }
        self.act = db.execute("SELECT max(act) FROM ledger").fetchone()[0]
        self.like = db.execute("SELECT outline, stock FROM piece LIMIT 1").fetchone()
        self.blank = db.execute("SELECT max(id) FROM blank").fetchone()[0]

    def write(self) -> None:
        """All of it: a sheet for each ten jobs, and acts that touched the signs."""
        then = "'2026-01-05T09:00:00.000Z'"
        self.job_and_sign(then)
        self.sheets()
        self.parts_and_pieces(then)
        self.rows(
            self.jobs * STEPS,
            "step",
            sign=f"{self.last['sign']} + (i - 1) / {STEPS} + 1",
            number=f"(i - 1) % {STEPS} + 1",
            kind="'other'",
            title="'Done'",
            done_at=then,
            done_by=1,
        )
        self.acts(then)

    def sheets(self) -> None:
        """A closed sheet for each ten jobs."""
        last, stock = self.last, self.like[1]
        self.rows(self.jobs // 10, "code", code="printf('t%07d', i)", kind="'sheet'")
        self.rows(
            self.jobs // 10,
            "sheet",
            id=f"{last['sheet']} + i",
            number="'S-' || (500000 + i)",
            code="printf('t%07d', i)",
            stock=stock,
            blank=self.blank,
            state="'closed'",
        )

    def parts_and_pieces(self, then: str) -> None:
        """The parts of the signs, each with a glued piece."""
        last, (outline, stock) = self.last, self.like
        parts = self.jobs * PARTS
        of_sign = f"{last['sign']} + (i - 1) / {PARTS} + 1"
        self.rows(
            parts,
            "part",
            id=f"{last['part']} + i",
            sign=of_sign,
            number=f"(i - 1) % {PARTS} + 1",
            name="'A'",
            level=1,
            line=1,
            colour="'#ffffff'",
            stock=stock,
            outline=outline,
            x_mm=10,
            y_mm=10,
            baseline_mm=10,
        )
        self.rows(parts, "code", code="printf('p%07d', i)", kind="'piece'")
        self.rows(
            parts,
            "piece",
            id=f"{last['piece']} + i",
            code="printf('p%07d', i)",
            outline=outline,
            stock=stock,
            state="'fixed'",
            attempt=1,
            tabs=0,
            sheet=f"{last['sheet']} + (i - 1) / {10 * PARTS} + 1",
        )
        self.rows(
            parts,
            "assignment",
            piece=f"{last['piece']} + i",
            part=f"{last['part']} + i",
            begun_at=then,
        )

    def job_and_sign(self, then: str) -> None:
        """The jobs, a sign each."""
        self.rows(
            self.jobs,
            "job",
            id=f"{self.last['job']} + i",
            number="'J-' || (500000 + i)",
            customer="'School'",
            title="'Old job'",
            due="'2026-02-01'",
            state="'closed'",
            drawing="'none'",
            taken_in_at=then,
        )
        self.rows(self.jobs, "code", code="printf('s%07d', i)", kind="'sign'")
        self.rows(
            self.jobs,
            "sign",
            id=f"{self.last['sign']} + i",
            code="printf('s%07d', i)",
            job=f"{self.last['job']} + i",
            mark="'A'",
            name="'Old sign'",
            width_mm=900,
            height_mm=300,
            levels=2,
            state="'handed over'",
        )

    def acts(self, then: str) -> None:
        """The ledger's part: ACTS acts a sign."""
        answer = """'{"sentence":"Done.","codes":[],"data":{}}'"""
        self.rows(
            self.jobs * ACTS,
            "ledger",
            act=f"{self.act} + i",
            at=then,
            person=1,
            by_name="'Owner'",
            tablet="'measuring'",
            what="'finished a step'",
            key="'measured ' || i",
            form=1,
            events="'[]'",
            changes="'[]'",
            answer=answer,
        )
        self.rows(
            self.jobs * ACTS,
            "touched",
            tbl="'sign'",
            record=f"{self.last['sign']} + (i - 1) / {ACTS} + 1",
            act=f"{self.act} + i",
            is_written=1,
        )

    def rows(self, count: int, table: str, **expressions: object) -> None:
        """`count` rows of a table."""
        columns, values = ", ".join(expressions), ", ".join(map(str, expressions.values()))
        self.db.execute(f"""WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {count})
                            INSERT INTO {table} ({columns}) SELECT {values} FROM n""")
