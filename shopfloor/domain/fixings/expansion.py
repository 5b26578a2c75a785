"""How much materials move against each other with warmth, and what joins them then: cement, soft tape, slots or a gap.

Owns the figures of linear expansion and the limits of each kind of joint. Must not know where stocks, signs and sites are
kept. Lengths mm, temperatures °C, expansion in millionths a kelvin.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..lengths import MM_PER_INCH

ACRYLIC = 70.0  # sheet makers' data for PMMA: 7e-5 a kelvin
ACRYLIC_KINDS = ("cast", "extruded")
GLUED_AT_C = 21.0  # where nobody wrote it down; from memory: an indoor bench
# The three limits below are from memory. The data sheet of the cement or the tape goes before them.
CEMENT_TO_MM = 0.2  # at each end of a bond
TAPE_SHARE = 0.5  # of a soft tape's thickness
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

    `difference` is the upper one's expansion less the lower one's, in millionths a kelvin.
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
        """The same at each end: the bond is held in its middle."""
        return self.most_mm / 2

    @property
    def closing_mm(self) -> float:
        """At each end, how far a gap between the upper one and what it is let into closes: the one that expands more fills
        it at the warmest, the one that expands less at the coldest."""
        return (self.warm_mm if self.difference > 0 else self.cold_mm) / 2


@dataclass(frozen=True)
class Advice:
    """What joins two unlike parts. `kind`: 'cement', 'soft tape', 'slots' or 'gap'; `sentence` says why."""

    kind: str
    movement: Movement
    sentence: str


def usual_per_k(kind: str) -> float | None:
    """The expansion of a stock by its kind; None where only its data sheet can say."""
    return ACRYLIC if kind in ACRYLIC_KINDS else None


def typed_per_k(mm: float) -> float:
    """Millionths a kelvin, from how far a material moves as people say it: mm for each metre and 10 °C (acrylic 0.7)."""
    return round(100 * mm, 6)


def shown_per_k(per_k: float) -> str:
    """The same the other way: '0.7' for 70 millionths a kelvin."""
    return f"{moved_mm(1000, per_k, 10):g}"


def moved_mm(length_mm: float, per_k: float, kelvin: float) -> float:
    """How far a length moves: L × α × ΔT (the definition of linear expansion); 0 where ΔT is not above 0."""
    return length_mm * per_k * 1e-6 * max(0.0, kelvin)


def advice(
    movement: Movement, tape_mm: float, *, is_let_in: bool = False, units: str = "mm"
) -> Advice:
    """What follows from a movement. `tape_mm` is the thickness of the shop's soft tape; `is_let_in`: the upper part fills a
    hole of the lower one, or stands beside it. `units` ('mm' or 'in') are those of the sentence."""
    end, tape_to = movement.at_end_mm, TAPE_SHARE * tape_mm
    moves = f"it moves {small_length(end, units)} at each end"
    if end <= CEMENT_TO_MM:
        return Advice(
            "cement",
            movement,
            f"Cement that bonds both by its data sheet will do: {moves} and no more.",
        )
    if end <= tape_to:
        return Advice(
            "soft tape",
            movement,
            f"Use soft tape, no cement: {moves}, and a tape of {small_length(tape_mm, units)} gives "
            f"{small_length(tape_to, units)}.",
        )
    if is_let_in:
        gap = at_least(movement.closing_mm, units)
        return Advice(
            "gap",
            movement,
            f"Leave a gap of {gap} all round and hold it in the middle alone: {moves}.",
        )
    return Advice(
        "slots",
        movement,
        f"Screw it on in slots that point to one fixed point in the middle: {moves}, more than the "
        f"{small_length(tape_to, units)} of soft tape.",
    )


def small_length(mm: float, units: str) -> str:
    """A small length as people read it: '0.62 mm' or '0.024 in'. A rule's fractions are too coarse for a movement."""
    return f"{mm / float(MM_PER_INCH):.3f} in" if units == "in" else f"{mm:.2f} mm"


def at_least(mm: float, units: str) -> str:
    """A length that something must have, never rounded down: '15.2 mm' or '0.60 in'."""
    if units == "in":
        return f"{math.ceil(round(100 * mm / float(MM_PER_INCH), 6)) / 100:.2f} in"
    return f"{up_to_tenth(mm):.1f} mm"


def drill(mm: float, units: str) -> str:
    """A drill's size: in mm to the tenth, and in inches beside it where the shop measures so, never rounded down."""
    tenths = f"{round(mm, 1):g} mm"
    return tenths if units == "mm" else f"{tenths} ({at_least(mm, 'in')})"


def up_to_tenth(mm: float) -> float:
    """The next tenth of a millimetre that is not less."""
    return math.ceil(round(mm * 10, 6)) / 10
