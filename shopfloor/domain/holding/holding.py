"""Whether a piece stays where it is while the cutter frees it.

Owns the margin of holding: friction under vacuum, tabs and tape against the force of the cutter. Must not decide how
a piece is held, nor place its tabs. It tells which pieces to look at and no more: the machine's manual and trained
people decide what is safe to cut. Newtons, pascals, millimetres; 1 MPa is 1 N/mm².
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..errors import Refused
from ..settings import Settings

PA_PER_INHG = 3386.389  # one inch of mercury at 0 °C: NIST SP 811, appendix B.8
AIR_PA = 101_325.0  # the standard atmosphere at sea level, by definition
AIR_INHG = AIR_PA / PA_PER_INHG  # 29.92
BLOWER_INHG = 8.0  # a regenerative blower, at the sheet, at sea level: from memory
ROTARY_VANE_INHG = 24.0  # a rotary vane pump, likewise: from memory
PUMPS = ("blower", "rotary vane")
RATED_INHG = dict(zip(PUMPS, (BLOWER_INHG, ROTARY_VANE_INHG), strict=True))
LOWEST_M, HIGHEST_M = (
    -500.0,
    11_000.0,
)  # where the formula of the standard atmosphere's lowest layer is used
MM2_PER_M2 = 1e6
N_PER_MM2 = 1000.0  # of 1 J/mm³: one joule is one newton metre

HOLDS, WITH_A_SKIN, NEEDS_MORE = "holds", "with a skin", "needs tabs or tape"
WAYS = ("full", "skin", "tabs", "tape")


@dataclass(frozen=True, kw_only=True)
class HoldingRules:
    """What holding depends on.

    `tool_mm` the cutter's diameter; `full_depth_mm` the deepest full pass, at most one diameter whatever it says;
    `skin_mm` what a skin pass leaves to the last, and `skin_chip_share` the chip load of that pass as a share of the
    full one (slower is less). `vacuum_inhg` as it is at the sheet: see vacuum_at_sheet_inhg. `helix_deg` lifts where
    it is positive (up-cut). `kerf_inside_mm` is how far the kerf reaches into the outline: 0 where the cutter runs
    outside it, half the tool where the drawn line is the cutter's middle.

    `friction` of masked acrylic on the spoil board, `cutting_energy` of acrylic in J/mm³ and `chip_mm` a tooth are
    from memory (design, section 8). So are `tab_shear_mpa`, half of the 60 MPa or so at which acrylic shears, for
    tabs are rough and notched, and `tape_n_mm2`, the shear that double-sided tape stands. None found published: a
    shop measures its own.
    """

    tool_mm: float
    skin_mm: float
    vacuum_inhg: float = BLOWER_INHG
    friction: float = 0.3
    cutting_energy: float = 0.12
    chip_mm: float = 0.10
    helix_deg: float = 0.0
    kerf_inside_mm: float = 0.0
    skin_chip_share: float = 1.0
    tab_length_mm: float = 6.0
    tab_thickness_mm: float = 0.8
    tab_shear_mpa: float = 30.0
    tape_n_mm2: float = 0.2
    full_depth_mm: float = math.inf


@dataclass(frozen=True)
class Hold:
    """How well the vacuum holds one piece, in a full pass and in a skin pass; with a margin of 1 or more it stays.

    `verdict` is 'holds' (one full pass), 'with a skin' (the last pass is light) or 'needs tabs or tape'.
    `resistance_n` is what friction withstands where nothing lifts; a margin is that, less friction × lift, over the
    force.
    """

    margin_full: float
    margin_skin: float
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
    rated for at sea level, less by the thinner air of the altitude and by the share that leaks (0 to 1). Raises
    Refused.
    """
    if gauge_inhg is not None:
        if not 0 <= gauge_inhg <= AIR_INHG:
            raise Refused(f"A vacuum gauge reads from 0 to {AIR_INHG:.1f} inHg: read it again.")
        return gauge_inhg
    if pump not in RATED_INHG:
        raise Refused(f"Choose one of these pumps: {', '.join(PUMPS)}.")
    if not 0 <= leakage_share <= 1:
        raise Refused("The share that leaks is from 0 to 1: type it again.")
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
    """What a pump rated `inhg` at sea level gives where the air has `air_inhg` left: in proportion (pump makers' rule)."""
    return inhg * air_inhg / AIR_INHG


def atmosphere_inhg(altitude_m: float) -> float:
    """The pressure of the air in inHg at an altitude in m. Raises Refused.

    The standard atmosphere: p = p0 (1 − 2.25577e-5 h)^5.25588 (ISO 2533).
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise Refused(f"The altitude is from {LOWEST_M:g} to {HIGHEST_M:g} m: type it again.")
    return AIR_INHG * (1 - 2.25577e-5 * altitude_m) ** 5.25588


def vacuum_pa(inhg: float) -> float:
    """The pressure in Pa of a vacuum gauge's reading in inches of mercury: 1 inHg is 3386.389 Pa (NIST SP 811)."""
    return inhg * PA_PER_INHG


# Forces. --------------------------------------------------------------------------------------------------------------


def footprint_mm2(area_mm2: float, perimeter_mm: float, kerf_inside_mm: float) -> float:
    """What is left of a piece for the vacuum to press on once the kerf has been taken off all around: A − P k + π k².

    Steiner's formula: exact for a disc, a little too small for other convex shapes. A perimeter of 0, or one too
    short for the area, counts as a disc's. With holes, give the length of all rings; the answer is then π k² too
    large for each hole.
    """
    perimeter = max(perimeter_mm, 2 * math.sqrt(math.pi * area_mm2))
    kerf = min(
        kerf_inside_mm, perimeter / (2 * math.pi)
    )  # from there on nothing is left: the formula would grow again
    return max(0.0, area_mm2 - perimeter * kerf + math.pi * kerf**2)


def pressing_n(area_mm2: float, vacuum_inhg: float) -> float:
    """The force in N with which the vacuum presses a piece down: F = Δp A."""
    return vacuum_pa(vacuum_inhg) * area_mm2 / MM2_PER_M2


def resistance_n(
    area_mm2: float, vacuum_inhg: float, friction: float, lifted_n: float = 0.0
) -> float:
    """The push along the sheet, in N, that a piece withstands: friction × (Δp A − lift), never below 0 (Coulomb)."""
    return friction * max(0.0, pressing_n(area_mm2, vacuum_inhg) - lifted_n)


def cutting_force_n(depth_mm: float, chip_mm: float, cutting_energy: float) -> float:
    """The cutter's push on the piece, in N: specific cutting energy × depth of the pass × chip load.

    `cutting_energy` in J/mm³ (1 J/mm³ is 1000 N/mm²), `chip_mm` a tooth. The textbook relation of the mean force to the
    area of the chip, with one tooth cutting.
    """
    return cutting_energy * N_PER_MM2 * depth_mm * chip_mm


def lift_n(force_n: float, helix_deg: float) -> float:
    """The pull upwards, in N, of an up-cut helix: F × tan(helix) (textbook: axial component of a helical edge).

    A down-cut presses; that is not counted, for the chips that it packs below may lift as well.
    """
    return force_n * math.tan(math.radians(max(0.0, helix_deg)))


def tab_shear_n(tabs: int, rules: HoldingRules) -> float:
    """What this many tabs stand, in N: their length × thickness × the shear strength of `rules`."""
    return tabs * rules.tab_length_mm * rules.tab_thickness_mm * rules.tab_shear_mpa


# Margins. -------------------------------------------------------------------------------------------------------------


def hold(
    area_mm2: float, thickness_mm: float, rules: HoldingRules, perimeter_mm: float = 0.0
) -> Hold:
    """How the vacuum alone holds a piece of this net area (holes taken off) on a sheet of this thickness.

    The last pass frees it: a full one is as deep as the sheet, at most the deepest full pass; a skin pass as the
    skin. Passes of equal depth may be shallower than the deepest: the margin is then on the safe side.
    """
    footprint = footprint_mm2(area_mm2, perimeter_mm, rules.kerf_inside_mm)
    full, skin = _forces_n(thickness_mm, rules)
    lifts = lift_n(full, rules.helix_deg), lift_n(skin, rules.helix_deg)
    at_rest, in_full, in_skin = (
        resistance_n(footprint, rules.vacuum_inhg, rules.friction, lift) for lift in (0.0, *lifts)
    )
    verdict = HOLDS if in_full >= full else WITH_A_SKIN if in_skin >= skin else NEEDS_MORE
    return Hold(in_full / full, in_skin / skin, verdict, at_rest, full, skin, *lifts)


def margins(
    area_mm2: float, perimeter_mm: float, thickness_mm: float, rules: HoldingRules, tabs: int
) -> dict[str, float]:
    """The margin of each way in WAYS; 'tabs' is left out where the piece has none.

    Tabs add their shear to the friction, in a full pass; tape adds what it stands over the whole footprint, in a skin pass, since
    only small pieces are taped; less the lift that the vacuum does not hold down, which is then theirs to bear.
    """
    held = hold(area_mm2, thickness_mm, rules, perimeter_mm)
    footprint = footprint_mm2(area_mm2, perimeter_mm, rules.kerf_inside_mm)
    pressed = pressing_n(footprint, rules.vacuum_inhg)
    found = {"full": held.margin_full, "skin": held.margin_skin}
    if tabs > 0:
        aid = tab_shear_n(tabs, rules) - max(0.0, held.lift_full_n - pressed)
        found["tabs"] = held.margin_full + max(0.0, aid) / held.force_full_n
    aid = rules.tape_n_mm2 * footprint - max(0.0, held.lift_skin_n - pressed)
    return {**found, "tape": held.margin_skin + max(0.0, aid) / held.force_skin_n}


def _forces_n(thickness_mm: float, rules: HoldingRules) -> tuple[float, float]:
    """The cutter's force in the pass that frees the piece: a full one, and a skin pass.

    With no skin set, or on a sheet no thicker than it, the full pass is the last.
    """
    deepest = min(rules.tool_mm, rules.full_depth_mm)
    full = cutting_force_n(min(deepest, thickness_mm), rules.chip_mm, rules.cutting_energy)
    skin = min(deepest, rules.skin_mm)
    if not 0 < skin < thickness_mm:
        return full, full
    return full, cutting_force_n(skin, rules.chip_mm * rules.skin_chip_share, rules.cutting_energy)
