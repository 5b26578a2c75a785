"""Speed, feed, passes and power: how a cutter of the list goes through a sheet.

Owns the textbook formulas, the depths of the passes and the cautions about them. Must not say what holds (holding.py)
nor how long a sheet takes. It proposes figures to start from: the machine's manual, the cutter's maker and trained
people decide what is run. Millimetres, minutes, watts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..errors import Refused
from .cutters import Cutter

FIRST_CHIP_MM = 0.10  # a tooth, to start with; design, section 8: common practice
PROVEN_CHIP_MM = 0.15  # once it has proven itself; design, section 8: common practice
USUAL_CHIPS_MM = (
    0.0762,
    0.254,
)  # 0.003 to 0.010 in a tooth, a 1/4 in cutter in acrylic: from memory
PLUNGE_SHARE = 1 / 3  # of the feed, straight down: from memory
SPINDLE_SHARE = 0.8  # of the rated power that a spindle gives for long: from memory

# Of each figure that the screen shows, where it comes from.
SOURCES = (
    (
        "Speed and feed",
        "the textbook's formulas: n = 1000 v / (π D), feed = n × flutes × chip load",
    ),
    ("Power", "the textbook's formula: specific cutting energy × volume removed in a second"),
    (
        "Force of the cutter",
        "the textbook's formula: specific cutting energy × depth of the pass × chip load",
    ),
    (
        "Lift of an up-cut",
        "the textbook's axial part of a helical edge's force: force × tan(helix)",
    ),
    (
        "Pressure of the vacuum",
        "1 inHg is 3386.389 Pa (NIST SP 811); less high up by the standard atmosphere, ISO 2533",
    ),
    ("Revolutions a minute", "common practice: 18,000 for a small cutter in acrylic"),
    (
        "Chip load",
        "common practice: 0.10 mm a tooth to start with, 0.15 mm once proven; usual limits from memory",
    ),
    ("Cutting energy of acrylic", "from memory: 0.12 J/mm³; the shop measures its own"),
    ("Friction of the mask on the board", "from memory: 0.3; the shop measures its own"),
    ("First feed", "common practice: start at 70 %, raise it as it proves"),
    ("Depth of a pass", "common practice: at most one diameter; a skin of 0.4 mm for the last"),
    ("Plunge", "from memory: a third of the feed"),
    ("What the spindle gives", "from memory: 80 % of its rated power, for long"),
)


@dataclass(frozen=True)
class Feeds:
    """How one cutter goes through one sheet.

    `chip_mm` a tooth; `start_feed_mm_min` is the feed of the first sheet, to be raised to `feed_mm_min` as it proves;
    `skin_feed_mm_min` that of the skin pass. `passes` are the depths, from the top, of cutting without a skin,
    `skin_passes` with it; both add up to the sheet. `power_w` is what the deepest of them all takes at the full feed,
    `spindle_w` what the spindle is rated for. `proven`: the chip load has been raised to what the shop has proven.
    `cautions` are whole sentences.
    """

    rev_per_min: float
    chip_mm: float
    feed_mm_min: float
    start_feed_mm_min: float
    skin_feed_mm_min: float
    plunge_mm_min: float
    passes: tuple[float, ...]
    skin_passes: tuple[float, ...]
    power_w: float
    spindle_w: float
    proven: bool
    cautions: tuple[str, ...]


def spindle_rev_min(surface_m_min: float, diameter_mm: float) -> float:
    """The revolutions a minute that give this speed at the cutter's rim: n = 1000 v / (π D), v in m/min (textbook)."""
    return 1000 * surface_m_min / (math.pi * diameter_mm)


def surface_m_min(rev_per_min: float, diameter_mm: float) -> float:
    """The speed at the cutter's rim in m/min: v = π D n / 1000 (textbook)."""
    return math.pi * diameter_mm * rev_per_min / 1000


def feed_mm_min(rev_per_min: float, flutes: int, chip_mm: float) -> float:
    """The feed in mm/min: revolutions a minute × flutes × chip load in mm a tooth (textbook)."""
    return rev_per_min * flutes * chip_mm


def cutting_power_w(
    energy_j_mm3: float, depth_mm: float, width_mm: float, feed_mm_min: float
) -> float:
    """The power in W of a cut: specific cutting energy in J/mm³ × mm³ removed in a second (textbook).

    In a slot the width is the cutter's diameter.
    """
    return energy_j_mm3 * depth_mm * width_mm * feed_mm_min / 60


def feeds(
    cutter: Cutter,
    thickness_mm: float,
    *,
    rev_per_min: float = 18_000,
    chip_mm: float = FIRST_CHIP_MM,
    cutting_energy: float = 0.12,
    spindle_w: float = 2200,
    skin_mm: float = 0.4,
    skin_share: float = 0.7,
    start_share: float = 0.7,
) -> Feeds:
    """Speed, feeds, passes and power for a sheet of this thickness.

    `cutting_energy` in J/mm³; `skin_share` and `start_share` are shares of the full feed. Raises Refused where a
    figure is 0 or less. For the sources see SOURCES.
    """
    _refuse_nothing(thickness_mm, rev_per_min, chip_mm)
    full = feed_mm_min(rev_per_min, cutter.flutes, chip_mm)
    passes = _passes(thickness_mm, cutter.diameter_mm)
    skin_passes = _skin_passes(thickness_mm, cutter.diameter_mm, skin_mm)
    power = cutting_power_w(cutting_energy, max(*passes, *skin_passes), cutter.diameter_mm, full)
    return Feeds(
        rev_per_min=rev_per_min,
        chip_mm=chip_mm,
        feed_mm_min=full,
        start_feed_mm_min=start_share * full,
        skin_feed_mm_min=skin_share * full,
        plunge_mm_min=PLUNGE_SHARE * full,
        passes=passes,
        skin_passes=skin_passes,
        power_w=power,
        spindle_w=spindle_w,
        proven=chip_mm >= PROVEN_CHIP_MM,
        cautions=tuple(_cautions(cutter, thickness_mm, chip_mm, power, spindle_w)),
    )


def _refuse_nothing(thickness_mm: float, rev_per_min: float, chip_mm: float) -> None:
    named = (("thickness", thickness_mm), ("spindle's speed", rev_per_min), ("chip load", chip_mm))
    for name, value in named:
        if not 0 < value < math.inf:
            raise Refused(f"The {name} is a number above 0: type it again.")


def _passes(thickness_mm: float, deepest_mm: float) -> tuple[float, ...]:
    """The fewest passes of equal depth, none deeper than `deepest_mm`."""
    count = max(1, math.ceil(thickness_mm / deepest_mm - 1e-9))
    return (thickness_mm / count,) * count


def _skin_passes(thickness_mm: float, deepest_mm: float, skin_mm: float) -> tuple[float, ...]:
    """The passes that end with the skin; a sheet no thicker than the skin has no pass of its own for it."""
    skin = min(skin_mm, deepest_mm)
    if not 0 < skin < thickness_mm:
        return _passes(thickness_mm, deepest_mm)
    return (*_passes(thickness_mm - skin, deepest_mm), skin)


def _cautions(
    cutter: Cutter, thickness_mm: float, chip_mm: float, power_w: float, spindle_w: float
) -> list[str]:
    said = []
    if cutter.reach_mm < thickness_mm:
        said.append(
            f"The cutter cuts {cutter.reach_mm:g} mm deep and the sheet is {thickness_mm:g} mm thick: take a longer one."
        )
    if power_w > SPINDLE_SHARE * spindle_w:
        said.append(
            f"The deepest pass takes {power_w:.0f} W, more than {SPINDLE_SHARE:.0%} of the spindle's {spindle_w:.0f} W: "
            "lower the chip load or take a smaller cutter."
        )
    least, most = USUAL_CHIPS_MM
    if not least - 1e-9 <= chip_mm <= most + 1e-9:
        said.append(
            f"A chip load of {chip_mm:g} mm a tooth is outside the usual {least:.3f} to {most:.3f} mm (from memory, "
            "for a 6.35 mm cutter): keep to what the cutter's maker says."
        )
    return said
