"""How far two materials move against each other with temperature, and what can join them: cement, tape, slots, a gap.

Owns the figures of linear expansion and the limits of each kind of joint. Must not know where stocks, signs and sites
are stored. Lengths mm, temperatures °C, expansion in millionths per kelvin.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...wording import fixings as wording
from ...wording.message import Message

# Sheet makers' data for PMMA, 7e-5 per kelvin; Acrylite's sign fabrication guide gives 7.2e-5.
ACRYLIC = 70.0
ACRYLIC_KINDS = ("cast", "extruded")
# Where nobody wrote it down; from memory: an indoor bench. Drawings give dimensions at 20 °C (ISO 1:2022).
GLUED_AT_C = 21.0
# The three limits below are from memory. The data sheet of the cement or the tape overrules them.
CEMENT_TO_MM = 0.2  # at each end of a bond
TAPE_SHARE = (
    0.5  # of a soft tape's thickness; 3M's guide to foam tapes allows a shear strain of up to 3
)
SECTIONS_MM = 10.0  # bottom parts nearer than this are sections of one board


@dataclass(frozen=True)
class Site:
    """How cold and how warm it gets where a sign hangs, °C. `is_own`: set for this sign, else the shop's usual."""

    coldest_c: float
    warmest_c: float
    is_own: bool = False


@dataclass(frozen=True)
class Movement:
    """How far two joined parts move against each other over the bond's longest extent, held in its middle.

    `difference` is the expansion of the upper part less that of the lower one, in millionths per kelvin.
    """

    length_mm: float
    difference: float
    joined_c: float
    site: Site

    @property
    def cold_mm(self) -> float:
        """Over the whole length, from the joining to the coldest."""
        return moved_mm(self.length_mm, abs(self.difference), self.joined_c - self.site.coldest_c)

    @property
    def warm_mm(self) -> float:
        """Over the whole length, from the joining to the warmest."""
        return moved_mm(self.length_mm, abs(self.difference), self.site.warmest_c - self.joined_c)

    @property
    def most_mm(self) -> float:
        """The larger of the two, over the whole length."""
        return max(self.cold_mm, self.warm_mm)

    @property
    def at_end_mm(self) -> float:
        """The largest movement at each end: half, since the bond is held in its middle."""
        return self.most_mm / 2

    @property
    def closing_mm(self) -> float:
        """How far, at each end, a gap round a let-in upper part closes: at the warmest where that part expands more than
        what it is let into, at the coldest where it expands less."""
        return (self.warm_mm if self.difference > 0 else self.cold_mm) / 2


@dataclass(frozen=True)
class Advice:
    """What joins two dissimilar parts. `kind`: 'cement', 'soft tape', 'slots' or 'gap'; `message` says why."""

    kind: str
    movement: Movement
    message: Message


def usual_per_k(kind: str) -> float | None:
    """The expansion of a stock by its kind; None where only its data sheet can say."""
    return ACRYLIC if kind in ACRYLIC_KINDS else None


def typed_per_k(mm: float) -> float:
    """Millionths per kelvin, from the figure people type: mm per metre and 10 °C (acrylic 0.7)."""
    return round(100 * mm, 6)


def mm_per_metre(per_k: float) -> float:
    """The figure people type, mm per metre and 10 °C, for an expansion in millionths per kelvin: 0.7 for 70."""
    return moved_mm(1000, per_k, 10)


def shown_per_k(per_k: float) -> str:
    """The same as a form field begins with it: '0.7'."""
    return f"{mm_per_metre(per_k):g}"


def moved_mm(length_mm: float, per_k: float, kelvin: float) -> float:
    """How far a length moves: L × α × ΔT (the definition of linear expansion); 0 where ΔT is not above 0."""
    return length_mm * per_k * 1e-6 * max(0.0, kelvin)


def advice(movement: Movement, tape_mm: float, *, is_let_in: bool = False) -> Advice:
    """What joins two parts that move so. `tape_mm` is the thickness of the shop's soft tape; `is_let_in`: the upper part
    fills a hole of the lower one, or is beside it."""
    at_end, tape_to = movement.at_end_mm, TAPE_SHARE * tape_mm
    if at_end <= CEMENT_TO_MM:
        return Advice("cement", movement, wording.use_cement(at_end))
    if at_end <= tape_to:
        return Advice("soft tape", movement, wording.use_soft_tape(at_end, tape_mm, tape_to))
    if is_let_in:
        return Advice("gap", movement, wording.leave_a_gap(movement.closing_mm, at_end))
    return Advice("slots", movement, wording.use_slots(at_end, tape_to))


def up_to_tenth(mm: float) -> float:
    """The next tenth of a millimetre that is not less."""
    return math.ceil(round(mm * 10, 6)) / 10
