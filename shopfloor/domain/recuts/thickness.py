"""How much the thickness of two acrylic sheets may differ, and whether that would be seen on one sign.

Owns the tolerances of sheet and the warning. Must not know where sheets are kept. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import Refused

EYE_FORGIVES_MM = 0.3  # a step between two letters side by side that nobody notices: from memory
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
    """How far a sheet may be from its nominal thickness, up or down, in mm. Raises Refused for an unknown kind.

    Cast: 0.4 + 0.1 t (ISO 7823-1). Extruded: 10 % under 3 mm, 5 % from 3 mm (ISO 7823-2). For other materials no
    standard is known here, so they are taken to vary as cast sheet does.
    """
    if kind == "extruded":
        return (0.10 if thickness_mm < 3 else 0.05) * thickness_mm
    if kind in ("cast", "other"):
        return 0.4 + 0.1 * thickness_mm
    raise Refused("A sheet is cast, extruded or other: choose one of these.")


def may_differ_mm(a: Lot, b: Lot) -> float:
    """The most by which two lots may differ in thickness, in mm.

    Nothing where both come from one full sheet: no figure for the variation within a sheet is published here, so none
    is taken. Else each is as thick as measured, or its nominal thickness with the tolerance up or down. The caliper's
    own error is left out.
    """
    if a.root == b.root:
        return 0.0
    (middle_a, spread_a), (middle_b, spread_b) = _range_mm(a), _range_mm(b)
    return abs(middle_a - middle_b) + spread_a + spread_b


def flag(new: Lot, others: Sequence[Lot], forgives_mm: float = EYE_FORGIVES_MM) -> str | None:
    """A warning where a blank may differ from the pieces of the sign by more than the eye forgives, in mm.

    `others` has one lot for each piece of the same stock on the sign. None where all is well.
    """
    seen = [lot for lot in others if may_differ_mm(new, lot) > forgives_mm + _HAIR_MM]
    if not seen:
        return None
    is_known = all(None not in (new.measured_mm, lot.measured_mm) for lot in seen)
    pieces = f"{'1 piece' if len(seen) == 1 else f'{len(seen)} pieces'} of the sign"
    differs = f"{max(may_differ_mm(new, lot) for lot in seen):.2f} mm in thickness from {pieces}"
    eye = f"the eye forgives {forgives_mm:g} mm"
    if is_known:
        return f"This sheet differs by up to {differs}; {eye}: take an offcut of the same sheet."
    return (
        f"This sheet may differ by up to {differs}; {eye}: measure both sheets with a caliper and type it in Stock, "
        "or take an offcut of the same sheet."
    )


def _range_mm(lot: Lot) -> tuple[float, float]:
    """The middle of what a lot may measure, and how far it may be from that."""
    if lot.measured_mm is not None:
        return lot.measured_mm, 0.0
    return lot.nominal_mm, tolerance_mm(lot.kind, lot.nominal_mm)
