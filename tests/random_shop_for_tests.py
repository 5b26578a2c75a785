"""A shop for random acts: how it is opened, how an act is tried, and how a row, a step or a cement is picked by a number.

tests/store/test_random_acts.py says what may be tried, and what must hold afterwards.
"""

from __future__ import annotations

import random
import tempfile
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

from hypothesis.stateful import RuleBasedStateMachine
from random_drawings_for_tests import one_sign, two_signs
from shop_for_tests import new_shop

from shopfloor.actions import bench, drawings, gluing, jobs
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.bench import steps as step_rules
from shopfloor.domain.bench.steps import can_be_glued
from shopfloor.domain.drawing.signs import Order
from shopfloor.domain.errors import ShopError
from shopfloor.store import bench as bench_store
from shopfloor.store import cements, finishing, ledger, people

# How often each act succeeded and was refused, over the whole run.
done: Counter[str] = Counter()
refused: Counter[str] = Counter()


class RandomShop(RuleBasedStateMachine):
    """A shop of one owner; subclasses add the rules."""

    def open(self, seed: int) -> None:
        """Open a new shop, with dice that fall as `seed` says."""
        self.folder = tempfile.TemporaryDirectory()
        self.now = datetime(2026, 11, 2, 8, tzinfo=UTC)
        path, dice = Path(self.folder.name) / "shop.db", random.Random(seed).randrange
        self.shop = new_shop(path, lambda: self.now, dice)
        self.database = self.shop.database
        self.keys = 0
        self.by = people.by_named(self.shop.read(), None, "test")

    def shut(self) -> None:
        """Delete the shop."""
        self.database.close()
        self.folder.cleanup()

    def take_in_two_jobs(self) -> None:
        """Take in a job of two signs and a later one of one sign."""
        for mark, drawing, due in (
            ("0", two_signs(), "2026-11-04"),
            ("1", one_sign(), "2026-12-01"),
        ):
            read = drawings.ReadDrawing(mark * 64, "signs.svg", b"", drawing)
            proposed = drawings.proposal(self.shop, [read])
            stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
            order = Order("Harbour office", "Signs", due, stocks=stocks)
            jobs.intake(Caller(self.shop, self.by), proposed, order)

    def attempt(self, action, *args, **named) -> None:
        """Do an act, and at once a second time with the same key: the second changes nothing and answers the same."""
        self.keys += 1
        key = f"key {self.keys}"
        try:
            first = action(Caller(self.shop, self.by, key), *args, **named)
        except ShopError:
            refused[action.__name__] += 1
            return
        done[action.__name__] += 1
        acts = ledger.newest(self.shop.read())
        again = action(Caller(self.shop, self.by, key), *args, **named)
        assert (again.sentence, again.act) == (first.sentence, first.act)
        assert ledger.newest(self.shop.read()) == acts

    def rows(self, sql: str) -> list[tuple]:
        """Return the rows of a query as plain tuples."""
        return [tuple(row) for row in self.shop.read().execute(sql)]

    def row_at(self, sql: str, place: int):
        """Return one row of a query, counted round and round; None where there is none."""
        rows = self.shop.read().execute(sql).fetchall()
        return rows[place % len(rows)] if rows else None

    def ready_step(self, place: int):
        """Return a step that can be done now, of any sign; None where there is none."""
        ready = [
            step.id
            for sign in bench_store.benches(self.shop.read())
            for step in sign.steps
            if step_rules.is_ready(step, sign, self.now)
        ]
        if not ready:
            return None
        chosen = ready[place % len(ready)]
        return self.row_at(f"SELECT id, sign, kind FROM step WHERE id = {chosen}", 0)

    def work_on(self, step, place: int) -> None:
        """Try what finishes a step, by its kind."""
        if step["kind"] == "lay out":
            wanted = bench_store.sign_of_step(self.shop.read(), step["id"]).step(step["id"]).parts
            self.attempt(bench.set_out_rest, step["id"], wanted)
        elif step["kind"] == "glue":
            self.glue(step["id"], place)
        elif step["kind"] == "cure":
            self.attempt(gluing.open_early, step["id"], "the customer stands at the door")
        else:
            items = finishing.check_list(self.shop.read(), step["kind"]).items
            self.attempt(bench.finish_step, step["id"], items, "the harbour master")

    def glue(self, step: int, place: int) -> None:
        """Try to begin and finish a glue-up; now and then one part is left for later."""
        cement = cements.cements(self.shop.read())[0].id
        sign = bench_store.sign_of_step(self.shop.read(), step)
        can = can_be_glued(sign.step(step), sign, self.now)
        self.attempt(gluing.begin_gluing, [step], cement)
        parts = can[place % 2 :] or None
        temperature = 15.0 + place % 9
        self.attempt(
            gluing.glue_up,
            [step],
            cement,
            "B7",
            temperature,
            45.0,
            parts=parts,
            reason="it must",
        )
