"""Speed, feed, passes and power: how a cutter of the list goes through a sheet.

Owns the textbook formulas, the depths of the passes and the cautions about them. Must not compute hold-down
(holding.py does) nor running times. These are figures to start from: the machine's manual, the cutter's data sheet and
trained people decide what is run. Millimetres, minutes, watts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...wording import routing as wording
from ...wording.message import Message
from .cutters import Cutter

FIRST_CHIP_MM = 0.10  # a tooth, to start with: 0.004 in for a two- or three-flute O-flute of 1/4 in (Amana Tool's chart)
PROVEN_CHIP_MM = 0.15  # a tooth, once the edge has come out clean: common practice
USUAL_CHIPS_MM = (
    0.0762,
    0.254,
)  # 0.003 to 0.010 in a tooth, a 1/4 in cutter in acrylic: from memory
START_SHARE = 0.7  # of the feed, on the first sheet: from memory
PLUNGE_SHARE = 1 / 3  # of the feed, straight down: from memory
SPINDLE_SHARE = 0.8  # of the rated power that a spindle gives for long: from memory

# Each figure that the screen shows, and where it comes from. The feed, power and force are the textbook's formulas;
# 1 inHg is from NIST SP 811, pressure at altitude from ISO 2533; speed and chip load from Amana Tool's speed charts.
SOURCES: tuple[tuple[Message, Message], ...] = tuple(
    (wording.figure_of(what), wording.source_of(what))
    for what in (
        "feed",
        "power",
        "force",
        "lift",
        "vacuum",
        "speed",
        "chip",
        "energy",
        "friction",
        "first feed",
        "passes",
        "plunge",
        "spindle",
    )
)


@dataclass(frozen=True)
class Feeds:
    """How one cutter goes through one sheet.

    `chip_mm` is a tooth; `start_feed_mm_min` the feed of the first sheet, raised to `feed_mm_min` if the edge is
    clean; `skin_feed_mm_min` that of the onion-skin pass. `passes` are the depths, from the top, without an onion skin,
    `skin_passes` with one; both add up to the sheet. `power_w` is what the deepest pass takes at the full feed,
    `spindle_w` the rated power. `proven`: the chip load is the one for proven work.
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
    cautions: tuple[Message, ...]


def feed_mm_min(rev_per_min: float, flutes: int, chip_mm: float) -> float:
    """Return the feed in mm/min: rev/min × flutes × chip load in mm a tooth (textbook)."""
    return rev_per_min * flutes * chip_mm


def cutting_power_w(
    energy_j_mm3: float, depth_mm: float, width_mm: float, feed_mm_min: float
) -> float:
    """Return the power of a cut in W: specific cutting energy in J/mm³ × mm³ removed in a second (textbook).

    The width of a slot is the cutter's diameter.
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
) -> Feeds:
    """Return speed, feeds, passes and power for a sheet of this thickness.

    `cutting_energy` is in J/mm³; `skin_share` is a share of the full feed.
    """
    full = feed_mm_min(rev_per_min, cutter.flutes, chip_mm)
    passes = _passes(thickness_mm, cutter.diameter_mm)
    skin_passes = _skin_passes(thickness_mm, cutter.diameter_mm, skin_mm)
    power = cutting_power_w(cutting_energy, max(*passes, *skin_passes), cutter.diameter_mm, full)
    return Feeds(
        rev_per_min=rev_per_min,
        chip_mm=chip_mm,
        feed_mm_min=full,
        start_feed_mm_min=START_SHARE * full,
        skin_feed_mm_min=skin_share * full,
        plunge_mm_min=PLUNGE_SHARE * full,
        passes=passes,
        skin_passes=skin_passes,
        power_w=power,
        spindle_w=spindle_w,
        proven=chip_mm >= PROVEN_CHIP_MM,
        cautions=tuple(_cautions(cutter, thickness_mm, chip_mm, power, spindle_w)),
    )


def _passes(thickness_mm: float, deepest_mm: float) -> tuple[float, ...]:
    """Return the fewest passes of equal depth, none deeper than `deepest_mm`."""
    count = max(1, math.ceil(thickness_mm / deepest_mm - 1e-9))
    return (thickness_mm / count,) * count


def _skin_passes(thickness_mm: float, deepest_mm: float, skin_mm: float) -> tuple[float, ...]:
    """Return passes that end with the onion skin; a sheet no thicker than that gets plain passes."""
    skin = min(skin_mm, deepest_mm)
    if not 0 < skin < thickness_mm:
        return _passes(thickness_mm, deepest_mm)
    return (*_passes(thickness_mm - skin, deepest_mm), skin)


def _cautions(
    cutter: Cutter, thickness_mm: float, chip_mm: float, power_w: float, spindle_w: float
) -> list[Message]:
    cautions = []
    if cutter.reach_mm < thickness_mm:
        cautions.append(wording.cutter_too_short(cutter.reach_mm, thickness_mm))
    if power_w > SPINDLE_SHARE * spindle_w:
        cautions.append(
            wording.more_than_the_spindle_gives(
                round(power_w), round(100 * SPINDLE_SHARE), round(spindle_w)
            )
        )
    least, most = USUAL_CHIPS_MM
    if not least - 1e-9 <= chip_mm <= most + 1e-9:
        cautions.append(wording.unusual_chip_load(chip_mm, round(least, 3), round(most, 3)))
    return cautions
