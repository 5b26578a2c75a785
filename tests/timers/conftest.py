"""A sign that can be glued: the small job's board A, all its pieces in hand."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import bench as acts
from shopfloor.actions.desk import Answer, Desk, act
from shopfloor.domain.people import By
from shopfloor.store import bench as store
from shopfloor.store import jobs


@act("took all pieces in hand for a test")
def take_in_hand(act) -> Answer:
    act.db.execute("UPDATE piece SET state = 'ready'")
    return Answer("Taken.")


@dataclass
class Gluing:
    """Glues the letters of a sign."""

    desk: Desk
    by: By
    codes: dict[str, str]

    def steps(self, mark: str = "A"):
        return store.steps_of(self.desk.read(), jobs.sign_by_code(self.desk.read(), self.codes[mark]).id)

    def begin(self, mark: str = "A") -> None:
        """Sets the letters out; the cement is out."""
        laying, gluing = self.steps(mark)[:2]
        acts.set_out_rest(self.desk, self.by, laying.id, laying.parts)
        gluing_acts.begin_gluing(self.desk, self.by, [gluing.id], 1)

    def glue(self, *marks: str, celsius: float = 23, at=None) -> None:
        """Glues signs up in one session."""
        marks = marks or ("A",)
        for mark in marks:
            laying = self.steps(mark)[0]
            acts.set_out_rest(self.desk, self.by, laying.id, laying.parts)
        gluing_acts.glue_up(self.desk, self.by, [self.steps(mark)[1].id for mark in marks], 1, "7B", celsius, 45, at)


@pytest.fixture
def gluing(desk, owner, assembler, small_job):
    take_in_hand(desk, owner)
    return Gluing(desk, assembler, small_job)
