"""Whether a piece stays in place while the cutter frees it.

Owns the hold-down safety factor: friction under vacuum, tabs and tape against the force of the cutter. Must not decide
how a piece is held, nor place its tabs. It says which pieces to look at and no more: the machine's manual and trained
people decide what is safe to cut. Newtons, pascals, millimetres; 1 MPa is 1 N/mm².
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..settings import Settings

PA_PER_INHG = 3386.389  # one inch of mercury at 0 °C: NIST SP 811, appendix B.8
BLOWER_INHG = 8.0  # a regenerative blower, at the sheet, at sea level: from memory
ROTARY_VANE_INHG = 24.0  # a rotary vane pump, likewise: from memory
RATED_INHG = {"blower": BLOWER_INHG, "rotary vane": ROTARY_VANE_INHG}
PUMPS = tuple(RATED_INHG)
MM2_PER_M2 = 1e6
N_PER_MM2 = 1000.0  # of 1 J/mm³: one joule is one newton metre

# How they are stored; `wording.holding.vacuum_alone` and `hold_down` have the words of the screens.
HOLDS, WITH_ONION_SKIN, NEEDS_MORE = "holds", "with a skin", "needs tabs or tape"
HOLD_DOWNS = ("full", "skin", "tabs", "tape")


@dataclass(frozen=True, kw_only=True)
class HoldingRules:
    """What holding depends on.

    `tool_mm` the cutter's diameter; `full_depth_mm` the deepest full pass, at most one diameter whatever it says;
    `onion_skin_mm` what is left for a light last pass, and `onion_skin_chip_share` the chip load of that pass as a share
    of the full one (slower is less). `vacuum_inhg` as it is at the sheet: see shop_vacuum_inhg. `helix_deg` lifts where it
    is positive (up-cut). `tab_n` is what one tab bears: see TabRules.

    From memory, since nothing is published (a shop measures its own): `friction` of masked acrylic on the spoilboard,
    `cutting_energy` of acrylic in J/mm³ and `tape_n_mm2`, the shear strength of double-sided tape. `chip_mm` a tooth is that
    of a two-flute O-flute of 1/4 in: 0.004 in (Amana Tool, double and triple O-flute speed chart).
    """

    tool_mm: float
    onion_skin_mm: float
    vacuum_inhg: float = BLOWER_INHG
    friction: float = 0.3
    cutting_energy: float = 0.12
    chip_mm: float = 0.10
    helix_deg: float = 0.0
    onion_skin_chip_share: float = 1.0
    tab_n: float = 144.0
    tape_n_mm2: float = 0.2
    full_depth_mm: float = math.inf


@dataclass(frozen=True)
class Hold:
    """How well the vacuum alone holds one piece, in a full pass and with an onion skin; from a factor of 1 on it stays.

    `verdict` is 'holds' (in one full pass), 'with a skin' (the last pass is light) or 'needs tabs or tape'. The forces
    are the cutter's.
    """

    safety_factor_full: float
    safety_factor_skin: float
    verdict: str
    force_full_n: float
    force_skin_n: float


def shop_vacuum_inhg(settings: Settings) -> float:
    """The vacuum under the sheet by the shop's settings, in inHg.

    A gauge's reading at the sheet is taken as it is: altitude and leaks are in it. A gauge that reads 0 was not read: then
    it is what the pump is rated for at sea level, less for the share that leaks and, in proportion, for the thinner air.
    """
    if settings.gauge_inhg:
        return settings.gauge_inhg
    rated, leaks = RATED_INHG[settings.pump], settings.leakage_share
    return rated * air_share(settings.altitude_m) * (1 - leaks)


def air_share(altitude_m: float) -> float:
    """The pressure of the air at an altitude, as a share of that at sea level, up to 11 km.

    The standard atmosphere: p = p0 (1 − 2.25577e-5 h)^5.25588 (ISO 2533, US Standard Atmosphere 1976).
    """
    return math.pow(1 - 2.25577e-5 * altitude_m, 5.25588)


# Forces. --------------------------------------------------------------------------------------------------------------


def pressing_n(area_mm2: float, vacuum_inhg: float) -> float:
    """The force in N with which the vacuum presses a piece down: F = Δp A."""
    return vacuum_inhg * PA_PER_INHG * area_mm2 / MM2_PER_M2


def resistance_n(
    area_mm2: float, vacuum_inhg: float, friction: float, lifted_n: float = 0.0
) -> float:
    """The push along the sheet, in N, that a piece resists: friction × (Δp A − lift), never below 0 (Coulomb)."""
    return friction * max(0.0, pressing_n(area_mm2, vacuum_inhg) - lifted_n)


def cutting_force_n(depth_mm: float, chip_mm: float, cutting_energy: float) -> float:
    """The cutter's push on the piece, in N: specific cutting energy × depth of the pass × chip load.

    `cutting_energy` in J/mm³ (1 J/mm³ is 1000 N/mm²), `chip_mm` a tooth. The mean force is the specific energy times the
    cross-section of the chip, with one tooth cutting: by the definition of specific cutting energy.
    """
    return cutting_energy * N_PER_MM2 * depth_mm * chip_mm


def lift_n(force_n: float, helix_deg: float) -> float:
    """The pull upwards, in N, of an up-cut helix: F × tan(helix), the axial part of the force on a helical edge.

    A down-cut presses; that is not counted, since the chips that it packs below may lift as well.
    """
    return force_n * math.tan(math.radians(max(0.0, helix_deg)))


# Safety factors. ------------------------------------------------------------------------------------------------------


def hold(area_mm2: float, thickness_mm: float, rules: HoldingRules) -> Hold:
    """How the vacuum alone holds a piece of this net area (holes taken off) on a sheet of this thickness.

    The last pass frees it: a full one is as deep as the sheet, at most the deepest full pass; one through an onion skin
    as deep as that. Passes of equal depth may be shallower than the deepest: the factor is then on the safe side.
    """
    full, skin = forces = _forces_n(thickness_mm, rules)
    in_full, in_skin = (
        resistance_n(area_mm2, rules.vacuum_inhg, rules.friction, lift_n(force, rules.helix_deg))
        for force in forces
    )
    verdict = HOLDS if in_full >= full else WITH_ONION_SKIN if in_skin >= skin else NEEDS_MORE
    return Hold(in_full / full, in_skin / skin, verdict, full, skin)


def safety_factors(
    area_mm2: float, thickness_mm: float, rules: HoldingRules, tabs: int
) -> dict[str, float]:
    """The safety factor of each of HOLD_DOWNS; 'tabs' is left out where the piece has none.

    Tabs add their shear to the friction, in a full pass. Tape adds its shear over the whole piece, with an onion skin,
    since only small pieces are taped. Both lose what the cutter lifts beyond the vacuum: they have to bear that.
    """
    held = hold(area_mm2, thickness_mm, rules)
    pressed = pressing_n(area_mm2, rules.vacuum_inhg)

    def more(bears_n: float, force_n: float) -> float:
        unheld = max(0.0, lift_n(force_n, rules.helix_deg) - pressed)
        return max(0.0, bears_n - unheld) / force_n

    factors = {"full": held.safety_factor_full, "skin": held.safety_factor_skin}
    if tabs > 0:
        factors["tabs"] = held.safety_factor_full + more(tabs * rules.tab_n, held.force_full_n)
    by_tape = more(rules.tape_n_mm2 * area_mm2, held.force_skin_n)
    return {**factors, "tape": held.safety_factor_skin + by_tape}


def _forces_n(thickness_mm: float, rules: HoldingRules) -> tuple[float, float]:
    """The cutter's force in the pass that frees the piece: a full one, and one through an onion skin.

    With no onion skin set, or on a sheet no thicker than it, the full pass is the last.
    """
    deepest = min(rules.tool_mm, rules.full_depth_mm)
    full = cutting_force_n(min(deepest, thickness_mm), rules.chip_mm, rules.cutting_energy)
    skin = min(deepest, rules.onion_skin_mm)
    if not 0 < skin < thickness_mm:
        return full, full
    chip_mm = rules.chip_mm * rules.onion_skin_chip_share
    return full, cutting_force_n(skin, chip_mm, rules.cutting_energy)
