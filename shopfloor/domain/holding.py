"""Whether the vacuum holds a piece while the cutter frees it: a first estimate.

Owns the margin of holding: friction under vacuum against the force of the cutter. Must not decide how a piece is held;
it leaves out the lift of an up-cut helix, leaks, kerf and altitude. It tells which pieces to look at and no more: the
machine's manual and trained people decide what is safe to cut. Newtons, pascals, millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

PA_PER_INHG = 3386.389  # one inch of mercury at 0 °C: NIST SP 811, appendix B.8
BLOWER_INHG = 8.0  # a regenerative blower, read at the sheet: from memory
ROTARY_VANE_INHG = 24.0  # a rotary vane pump, read at the sheet: from memory
MM2_PER_M2 = 1e6
N_PER_MM2 = 1000.0  # of 1 J/mm³: one joule is one newton metre

HOLDS, WITH_A_SKIN, NEEDS_MORE = "holds", "with a skin", "needs tabs or tape"


@dataclass(frozen=True, kw_only=True)
class HoldingRules:
    """What holding depends on.

    `tool_mm` the cutter's diameter, which is also the deepest full pass; `skin_mm` what a skin pass leaves to the last;
    `vacuum_inhg` as read at the sheet. `friction` of masked acrylic on the spoil board, `cutting_energy` of acrylic in
    J/mm³ and `chip_mm` a tooth are from memory (design, section 8): none found published, a shop measures its own.
    """

    tool_mm: float
    skin_mm: float
    vacuum_inhg: float = BLOWER_INHG
    friction: float = 0.3
    cutting_energy: float = 0.12
    chip_mm: float = 0.10


@dataclass(frozen=True)
class Hold:
    """How well one piece is held: resistance over force, in a full pass and in a skin pass; from 1 on it stays.

    `verdict` is 'holds' (one full pass), 'with a skin' (the last pass is light) or 'needs tabs or tape'.
    """

    margin_full: float
    margin_skin: float
    verdict: str


def vacuum_pa(inhg: float) -> float:
    """The pressure in Pa of a vacuum gauge's reading in inches of mercury: 1 inHg is 3386.389 Pa (NIST SP 811)."""
    return inhg * PA_PER_INHG


def resistance_n(area_mm2: float, vacuum_inhg: float, friction: float) -> float:
    """The push along the sheet, in N, that a piece of this area withstands: friction × Δp × area (Coulomb)."""
    return friction * vacuum_pa(vacuum_inhg) * area_mm2 / MM2_PER_M2


def cutting_force_n(depth_mm: float, chip_mm: float, cutting_energy: float) -> float:
    """The cutter's push on the piece, in N: specific cutting energy × depth of the pass × chip load.

    `cutting_energy` in J/mm³ (1 J/mm³ is 1000 N/mm²), `chip_mm` a tooth. The textbook relation of the mean force to the
    area of the chip, with one tooth cutting.
    """
    return cutting_energy * N_PER_MM2 * depth_mm * chip_mm


def hold(area_mm2: float, thickness_mm: float, rules: HoldingRules) -> Hold:
    """How a piece of this net area (holes taken off) is held on a sheet of this thickness.

    The last pass frees it: a full one is as deep as the sheet, at most one cutter's diameter; a skin pass as the skin.
    """
    resistance = resistance_n(area_mm2, rules.vacuum_inhg, rules.friction)
    full, skin = (
        resistance / cutting_force_n(min(depth, thickness_mm), rules.chip_mm, rules.cutting_energy)
        for depth in (rules.tool_mm, rules.skin_mm or rules.tool_mm)  # no skin set: the full pass is the last
    )
    return Hold(full, skin, HOLDS if full >= 1 else WITH_A_SKIN if skin >= 1 else NEEDS_MORE)
