"""How much the thickness of two acrylic sheets may differ, and whether that would show on one sign.

Owns the tolerances of sheet and the warning. Must not know where sheets are kept. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...wording import recuts as wording
from ...wording.message import Message, joined
from ..errors import Refused

EYE_FORGIVES_MM = 0.3  # a step between two letters side by side that nobody notices; from memory
_HAIR_MM = 1e-9  # keeps 6.3 - 6.0 from counting as more than 0.3


@dataclass(frozen=True)
class Lot:
    """The full sheet that a piece or a blank was cut from in the end: an offcut has the `root` of its parent.

    `kind` is cast, extruded or other; `measured_mm` is what a caliper said, None where nobody measured.
    """

    kind: str
    nominal_mm: float
    measured_mm: float | None
    root: int


def tolerance_mm(kind: str, thickness_mm: float) -> float:
    """Return how far a sheet may be from its nominal thickness, up or down, in mm. Raises Refused for an unknown kind.

    Cast: 0.4 + 0.1 t (ISO 7823-1). Extruded: 10 % under 3 mm, 5 % from 3 mm (ISO 7823-2). For other materials no
    standard is known here, so they count as cast sheet.
    """
    if kind == "extruded":
        return (0.10 if thickness_mm < 3 else 0.05) * thickness_mm
    if kind in ("cast", "other"):
        return 0.4 + 0.1 * thickness_mm
    raise Refused(wording.unknown_kind_of_sheet())


def may_differ_mm(a: Lot, b: Lot) -> float:
    """Return the most by which two lots may differ in thickness, in mm.

    Nothing where both come from one full sheet: no figure for the variation within a sheet is published here, so none
    is taken. Else each is as thick as measured, or its nominal thickness with the tolerance up or down. The caliper's
    own error is left out.
    """
    if a.root == b.root:
        return 0.0
    (middle_a, spread_a), (middle_b, spread_b) = _range_mm(a), _range_mm(b)
    return abs(middle_a - middle_b) + spread_a + spread_b


def flag(new: Lot, others: Sequence[Lot], forgives_mm: float = EYE_FORGIVES_MM) -> Message | None:
    """Return a warning where a blank may differ from the pieces of the sign by more than the eye forgives, in mm.

    `others` has one lot for each piece of the same stock on the sign. None where all is well.
    """
    visible = [lot for lot in others if may_differ_mm(new, lot) > forgives_mm + _HAIR_MM]
    if not visible:
        return None
    most = f"{max(may_differ_mm(new, lot) for lot in visible):.2f}"
    if all(None not in (new.measured_mm, lot.measured_mm) for lot in visible):
        differs, advice = wording.differs, wording.take_an_offcut()
    else:
        differs, advice = wording.may_differ, wording.measure_or_take_an_offcut()
    return joined([differs(most, len(visible), forgives_mm), advice])


def _range_mm(lot: Lot) -> tuple[float, float]:
    """Return the middle of what a lot may measure, and how far it may be from that."""
    if lot.measured_mm is not None:
        return lot.measured_mm, 0.0
    return lot.nominal_mm, tolerance_mm(lot.kind, lot.nominal_mm)
