"""Whether a piece stays in place while the cutter frees it.

Owns the hold-down safety factor: friction under vacuum, tabs and tape against the force of the cutter. Must not decide
how a piece is held, nor place its tabs. It says which pieces to look at and no more: the machine's manual and trained
people decide what is safe to cut. Newtons, pascals, millimetres; 1 MPa is 1 N/mm².
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...wording import holding as wording
from ..errors import Refused
from ..settings import Settings

PA_PER_INHG = 3386.389  # one inch of mercury at 0 °C: NIST SP 811, appendix B.8
AIR_PA = 101_325.0  # the standard atmosphere at sea level, by definition
AIR_INHG = AIR_PA / PA_PER_INHG  # 29.92
BLOWER_INHG = 8.0  # a regenerative blower, at the sheet, at sea level: from memory
ROTARY_VANE_INHG = 24.0  # a rotary vane pump, likewise: from memory
PUMPS = ("blower", "rotary vane")
RATED_INHG = dict(zip(PUMPS, (BLOWER_INHG, ROTARY_VANE_INHG), strict=True))
# The lowest layer of the standard atmosphere, for which its formula holds (ISO 2533), from -500 m.
LOWEST_M, HIGHEST_M = -500.0, 11_000.0
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
    of the full one (slower is less). `vacuum_inhg` as it is at the sheet: see vacuum_at_sheet_inhg. `helix_deg` lifts
    where it is positive (up-cut). `kerf_inside_mm` is how far the kerf reaches into the outline: 0 where the cutter runs
    outside it, half the tool where the drawn line is the cutter's middle.

    From memory, since nothing is published (a shop measures its own): `friction` of masked acrylic on the spoilboard,
    `cutting_energy` of acrylic in J/mm³, `tab_shear_mpa` (half of the 60 MPa or so at which acrylic shears, since tabs
    are rough and notched) and `tape_n_mm2`, the shear strength of double-sided tape. `chip_mm` a tooth is that
    of a two-flute O-flute of 1/4 in: 0.004 in (Amana Tool, double and triple O-flute speed chart).
    """

    tool_mm: float
    onion_skin_mm: float
    vacuum_inhg: float = BLOWER_INHG
    friction: float = 0.3
    cutting_energy: float = 0.12
    chip_mm: float = 0.10
    helix_deg: float = 0.0
    kerf_inside_mm: float = 0.0
    onion_skin_chip_share: float = 1.0
    tab_length_mm: float = 6.0
    tab_thickness_mm: float = 0.8
    tab_shear_mpa: float = 30.0
    tape_n_mm2: float = 0.2
    full_depth_mm: float = math.inf


@dataclass(frozen=True)
class Hold:
    """How well the vacuum alone holds one piece, in a full pass and with an onion skin; from a factor of 1 on it stays.

    `verdict` is 'holds' (in one full pass), 'with a skin' (the last pass is light) or 'needs tabs or tape'.
    `resistance_n` is the friction where nothing lifts; a safety factor is that, less friction × lift, over the force.
    """

    safety_factor_full: float
    safety_factor_skin: float
    verdict: str
    resistance_n: float
    force_full_n: float
    force_skin_n: float
    lift_full_n: float
    lift_skin_n: float


# The vacuum. ----------------------------------------------------------------------------------------------------------


def vacuum_at_sheet_inhg(
    pump: str,
    *,
    gauge_inhg: float | None = None,
    altitude_m: float = 0.0,
    leakage_share: float = 0.0,
) -> float:
    """The vacuum under the sheet, in inHg.

    A gauge's reading at the sheet is taken as it is: altitude and leaks are in it. Without one it is what the pump is
    rated for at sea level, less for the thinner air of the altitude and for the share that leaks (0 to 1). Raises
    Refused.
    """
    if gauge_inhg is not None:
        if not 0 <= gauge_inhg <= AIR_INHG:
            raise Refused(wording.gauge_out_of_range(AIR_INHG))
        return gauge_inhg
    if pump not in RATED_INHG:
        raise Refused(wording.choose_a_pump([wording.pump(name) for name in PUMPS]))
    if not 0 <= leakage_share <= 1:
        raise Refused(wording.leakage_out_of_range())
    return at_altitude(RATED_INHG[pump], atmosphere_inhg(altitude_m)) * (1 - leakage_share)


def shop_vacuum_inhg(shop_settings: Settings) -> float:
    """The vacuum under the sheet by a shop's settings, in inHg; a gauge that reads 0 was not read. Raises Refused."""
    return vacuum_at_sheet_inhg(
        shop_settings.pump,
        gauge_inhg=shop_settings.gauge_inhg or None,
        altitude_m=shop_settings.altitude_m,
        leakage_share=shop_settings.leakage_share,
    )


def at_altitude(inhg: float, air_inhg: float) -> float:
    """What a pump rated `inhg` at sea level gives where the air has `air_inhg` left: in proportion (vacuum handbook)."""
    return inhg * air_inhg / AIR_INHG


def atmosphere_inhg(altitude_m: float) -> float:
    """The pressure of the air in inHg at an altitude in m. Raises Refused.

    The standard atmosphere: p = p0 (1 − 2.25577e-5 h)^5.25588 (ISO 2533, US Standard Atmosphere 1976).
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise Refused(wording.altitude_out_of_range(LOWEST_M, HIGHEST_M))
    return AIR_INHG * math.pow(1 - 2.25577e-5 * altitude_m, 5.25588)


def vacuum_pa(inhg: float) -> float:
    """The pressure in Pa of a vacuum gauge's reading in inches of mercury: 1 inHg is 3386.389 Pa (NIST SP 811)."""
    return inhg * PA_PER_INHG


# Forces. --------------------------------------------------------------------------------------------------------------


def footprint_mm2(area_mm2: float, perimeter_mm: float, kerf_inside_mm: float) -> float:
    """What is left of a piece for the vacuum to press on once the kerf is taken off all around: A − P k + π k².

    Steiner's formula: exact for a disc, a little too small for other convex shapes. A perimeter of 0, or one too
    short for the area, counts as a disc's. With holes, give the length of all rings; the answer is then π k² too
    large for each hole.
    """
    perimeter = max(perimeter_mm, 2 * math.sqrt(math.pi * area_mm2))
    # from this kerf on nothing is left: the formula would grow again
    kerf = min(kerf_inside_mm, perimeter / (2 * math.pi))
    return max(0.0, area_mm2 - perimeter * kerf + math.pi * kerf**2)


def pressing_n(area_mm2: float, vacuum_inhg: float) -> float:
    """The force in N with which the vacuum presses a piece down: F = Δp A."""
    return vacuum_pa(vacuum_inhg) * area_mm2 / MM2_PER_M2


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


def tab_shear_n(tabs: int, rules: HoldingRules) -> float:
    """What so many tabs can bear, in N: their length × thickness × the shear strength of `rules`."""
    return tabs * rules.tab_length_mm * rules.tab_thickness_mm * rules.tab_shear_mpa


# Safety factors. ------------------------------------------------------------------------------------------------------


def hold(
    area_mm2: float, thickness_mm: float, rules: HoldingRules, perimeter_mm: float = 0.0
) -> Hold:
    """How the vacuum alone holds a piece of this net area (holes taken off) on a sheet of this thickness.

    The last pass frees it: a full one is as deep as the sheet, at most the deepest full pass; one through an onion skin
    as deep as that. Passes of equal depth may be shallower than the deepest: the factor is then on the safe side.
    """
    footprint = footprint_mm2(area_mm2, perimeter_mm, rules.kerf_inside_mm)
    full, skin = _forces_n(thickness_mm, rules)
    lifts = lift_n(full, rules.helix_deg), lift_n(skin, rules.helix_deg)
    at_rest, in_full, in_skin = (
        resistance_n(footprint, rules.vacuum_inhg, rules.friction, lift) for lift in (0.0, *lifts)
    )
    verdict = HOLDS if in_full >= full else WITH_ONION_SKIN if in_skin >= skin else NEEDS_MORE
    return Hold(in_full / full, in_skin / skin, verdict, at_rest, full, skin, *lifts)


def safety_factors(
    area_mm2: float, perimeter_mm: float, thickness_mm: float, rules: HoldingRules, tabs: int
) -> dict[str, float]:
    """The safety factor of each of HOLD_DOWNS; 'tabs' is left out where the piece has none.

    Tabs add their shear to the friction, in a full pass. Tape adds its shear over the whole footprint, with an onion skin,
    since only small pieces are taped. Both lose what the cutter lifts beyond the vacuum: they have to bear that.
    """
    held = hold(area_mm2, thickness_mm, rules, perimeter_mm)
    footprint = footprint_mm2(area_mm2, perimeter_mm, rules.kerf_inside_mm)
    pressed = pressing_n(footprint, rules.vacuum_inhg)
    factors = {"full": held.safety_factor_full, "skin": held.safety_factor_skin}
    if tabs > 0:
        by_tabs = tab_shear_n(tabs, rules) - max(0.0, held.lift_full_n - pressed)
        factors["tabs"] = held.safety_factor_full + max(0.0, by_tabs) / held.force_full_n
    by_tape = rules.tape_n_mm2 * footprint - max(0.0, held.lift_skin_n - pressed)
    factors["tape"] = held.safety_factor_skin + max(0.0, by_tape) / held.force_skin_n
    return factors


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
