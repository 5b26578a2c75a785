"""The cutters of the shop's own list: what each is, and what may be said of one. Pure; lengths are millimetres.

Must not compute speeds (that is feeds.py) nor say what holds (that is holding.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..errors import Refused
from ..settings import number

# The edges that a shop buys, with the usual angle of their helix in degrees (common practice; a shop types its own).
# Positive lifts the chip, and the piece with it. The tip of a compression cutter is an up-cut, and the tip frees the piece.
EDGES = {"straight": 0.0, "up-cut": 30.0, "down-cut": -30.0, "compression": 30.0}

DIAMETER = ("The cutter's diameter, in mm,", 0.5, 25)
FLUTES = ("The number of flutes", 1, 8)
HELIX = ("The helix, in degrees,", -60, 60)
REACH = ("The length that cuts, in mm,", 1, 200)


@dataclass(frozen=True)
class Cutter:
    """One cutter of the list.

    `edge` is one of EDGES; `helix_deg` is positive where it lifts (up-cut), negative where it presses down;
    `reach_mm` is the length that cuts: the deepest sheet that it goes through.
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
    def called(self) -> str:
        """'6.35 mm, 2 flutes, straight, polished'"""
        flutes = "1 flute" if self.flutes == 1 else f"{self.flutes} flutes"
        return f"{self.diameter_mm:g} mm, {flutes}, {self.edge}{', polished' if self.is_polished else ''}"


USUAL = Cutter(
    0, "the usual one", 6.35, 2, "straight", True, 0.0, 22.0
)  # design, section 8; the reach is from memory


@dataclass(frozen=True)
class CutterAdded:
    """A further cutter is on the list."""

    name: str
    diameter_mm: float
    flutes: int


@dataclass(frozen=True)
class CutterRetired:
    """A cutter is worn out or gone: it is offered no more."""

    name: str


def checked_cutter(values: Mapping[str, str]) -> dict:
    """A cutter's columns, all but its id, from what was typed. Raises Refused."""
    name = " ".join(values.get("name", "").split())
    if not 1 <= len(name) <= 40:
        raise Refused("The cutter's name has 1 to 40 letters: type it again.")
    edge = values.get("edge", "")
    if edge not in EDGES:
        raise Refused(f"Choose one of these edges: {', '.join(EDGES)}.")
    return {
        "name": name,
        "diameter_mm": number(values.get("diameter_mm", "").strip(), *DIAMETER),
        "flutes": number(values.get("flutes", "").strip(), *FLUTES, is_whole=True),
        "edge": edge,
        "is_polished": int(values.get("is_polished") == "on"),
        "helix_deg": _helix(edge, values.get("helix_deg", "").strip()),
        "reach_mm": number(values.get("reach_mm", "").strip(), *REACH),
    }


def _helix(edge: str, text: str) -> float:
    """The helix in degrees. Its sign is the edge's: who types 30 for a down-cut means one that presses down."""
    if not text:
        return EDGES[edge]
    typed = abs(number(text, *HELIX))
    if typed and not EDGES[edge]:
        raise Refused(
            "A straight cutter has no helix: leave the angle empty or choose another edge."
        )
    return -typed if typed and EDGES[edge] < 0 else typed
