"""The cutters of the shop's own list: what each is, and which values one may have. Pure; lengths are millimetres.

Must not compute speeds (feeds.py does) nor hold-down (holding.py does).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypedDict

from ...wording import routing as wording
from ...wording.message import Message
from ..errors import Refused
from ..settings import number

# The edges that a shop buys, with the usual helix angle of each in degrees (common practice; a shop types its own).
# A positive angle lifts the chip, and the piece with it. A compression cutter ends in an up-cut, which frees the piece.
EDGES = {"straight": 0.0, "up-cut": 30.0, "down-cut": -30.0, "compression": 30.0}

DIAMETER = ("The cutter's diameter, in mm,", 0.5, 25)
FLUTES = ("The number of flutes", 1, 8)
HELIX = ("The helix, in degrees,", -60, 60)
REACH = ("The length that cuts, in mm,", 1, 200)


@dataclass(frozen=True)
class Cutter:
    """One cutter of the list.

    `edge` is one of EDGES; `helix_deg` is positive for an up-cut, negative for a down-cut; `reach_mm` is the
    length that cuts: the thickest sheet that it goes through.
    """

    id: int
    name: str
    diameter_mm: float
    flutes: int
    edge: str
    is_polished: bool
    helix_deg: float
    reach_mm: float

    @property
    def called(self) -> Message:
        """'6.35 mm, 2 flutes, straight, polished'."""
        words = wording.polished_cutter if self.is_polished else wording.cutter
        return words(self.diameter_mm, self.flutes, wording.edge(self.edge))


# The cutter of a shop that keeps no list: a two-flute O-flute of 1/4 in. The chip load that goes with it
# (feeds.FIRST_CHIP_MM) is that of Amana Tool's speed chart for plastic, double and triple O-flutes. Its reach is
# from memory.
USUAL = Cutter(0, str(wording.usual_cutter()), 6.35, 2, "straight", True, 0.0, 22.0)


class CutterColumns(TypedDict):
    """A cutter as it is stored, without its id."""

    name: str
    diameter_mm: float
    flutes: int
    edge: str
    is_polished: int
    helix_deg: float
    reach_mm: float


def checked_cutter(values: Mapping[str, str]) -> CutterColumns:
    """Return a cutter's columns from what was typed. Raises Refused."""
    name = " ".join(values.get("name", "").split())
    if not 1 <= len(name) <= 40:
        raise Refused(wording.name_the_cutter())
    edge = values.get("edge", "")
    if edge not in EDGES:
        raise Refused(wording.choose_an_edge(tuple(EDGES)))
    return {
        "name": name,
        "diameter_mm": number(values.get("diameter_mm", "").strip(), *DIAMETER),
        "flutes": int(number(values.get("flutes", "").strip(), *FLUTES, is_whole=True)),
        "edge": edge,
        "is_polished": int(values.get("is_polished") == "on"),
        "helix_deg": _helix(edge, values.get("helix_deg", "").strip()),
        "reach_mm": number(values.get("reach_mm", "").strip(), *REACH),
    }


def _helix(edge: str, text: str) -> float:
    """Return the helix in degrees with the sign of its edge: 30 typed for a down-cut is -30."""
    if not text:
        return EDGES[edge]
    typed = abs(number(text, *HELIX))
    if typed and not EDGES[edge]:
        raise Refused(wording.straight_has_no_helix())
    return -typed if typed and EDGES[edge] < 0 else typed
