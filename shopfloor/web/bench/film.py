"""What to do with the masking film at a step of a sign."""

from __future__ import annotations

from ...domain.bench import masking
from ...domain.bench.cements import Cement
from ...domain.bench.steps import Sign, Step
from ...domain.outlines import Outline
from ...store.db import Connection
from ...wording.message import Message
from ..pictures.sign_pictures import shape_of


def film_at(
    db: Connection, sign: Sign, step: Step, cement: Cement | None = None
) -> tuple[Message, ...]:
    """Return what to do with the film at a step of any kind, a sentence each."""
    left = [
        part for part in sign.parts.values() if step.kind != "glue" or part.id not in step.ticks
    ]
    faces = masking.faces(left, outlines_of(db, sign))
    return masking.film_for(step.kind, step.level, faces, cement.kind if cement else "solvent")


def outlines_of(db: Connection, sign: Sign) -> dict[int, Outline]:
    """Return the outlines of a sign's parts at their places, by part."""
    return {part.part: part.outline for part in shape_of(db, sign.id).parts}
