"""A recut: a piece that is cut once more, held with tabs. What stands still until it is there. Pure."""

from __future__ import annotations

from datetime import datetime

from . import steps as rules
from .steps import Sign, Step

_NTH = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth"}


def stopped_step(part: int, sign: Sign, now: datetime) -> Step | None:
    """The first step not done that needs the part: what its recut holds up. None where no step needs it any more."""
    for step in sign.steps:
        if not rules.is_done(step, now) and any(needed.id == part for needed in rules.needed(step, sign)):
            return step
    return None


def nth(attempt: int) -> str:
    """'second attempt'; from the sixth on 'attempt 6'."""
    return f"{_NTH[attempt]} attempt" if attempt in _NTH else f"attempt {attempt}"
