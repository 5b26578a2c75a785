"""A sign on its bench: two plates that need no gluing, or the sign of three levels, built up to a step."""

from __future__ import annotations

import pytest
from bench.conftest import PARTS, lay_bench

from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import bench as acts
from shopfloor.domain import steps
from shopfloor.store import bench as store
from shopfloor.store import finishing

PLATES = [("front", 0, None), ("back", 0, None)]


class Bench:
    """A sign by its id, with its steps read afresh."""

    def __init__(self, desk, clock, by, sign: int):
        self.desk, self.clock, self.by, self.id = desk, clock, by, sign

    @property
    def sign(self):
        return store.sign_of(self.desk.read(), self.id)

    @property
    def code(self) -> str:
        return self.sign.code

    def step(self, title: str):
        return next(step for step in self.sign.steps if step.title == title)

    def items(self, kind: str) -> tuple[str, ...]:
        return finishing.check_list(self.desk.read(), kind).items

    def ticks(self, title: str) -> list[str]:
        return [tick.item for tick in finishing.ticks_of(self.desk.read(), self.step(title).id)]

    def build(self, until: str) -> None:
        """Does all steps before the one with this title."""
        for step in self.sign.steps:
            if step.title == until:
                return
            if not steps.is_done(self.step(step.title), self.clock()):
                self._do(step)

    def finish(self, title: str, to_name: str = "") -> None:
        step = self.step(title)
        acts.finish_step(self.desk, self.by, step.id, self.items(step.kind), to_name)

    def _do(self, step) -> None:
        if step.kind == "lay out":
            acts.set_out_rest(self.desk, self.by, step.id, step.parts)
        elif step.kind == "glue":
            gluing_acts.glue_up(self.desk, self.by, [step.id], 1, "7B", 23.0, 45.0)
        elif step.kind == "cure":
            self.clock.forward(hours=24)
        else:
            self.finish(step.title, "P. Harbourmaster")


@pytest.fixture
def plates(desk, clock, owner, assembler):
    """Two plates that lie ready: the first step is to clean them."""
    return Bench(desk, clock, assembler, lay_bench(desk, owner, PLATES).data["sign"])


@pytest.fixture
def levels(desk, clock, owner, assembler):
    """A board with two levels on it, which is laid out first."""
    return Bench(desk, clock, assembler, lay_bench(desk, owner, PARTS).data["sign"])
