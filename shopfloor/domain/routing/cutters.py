"""The cutters of the shop's own list: what each is, and which values one may have. Pure; lengths are millimetres.

Must not compute speeds (feeds.py does) nor hold-down (holding.py does).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ...wording import routing as wording
from ...wording.message import Message
from ..errors import Refused
from ..fields import CHART, MEMORY, ON, choice, declared_by, number, read_all, text

# The edges that a shop buys, with the usual helix angle of each in degrees (common practice; a shop types its own).
# A positive angle lifts the chip, and the piece with it. A compression cutter ends in an up-cut, which frees the piece.
EDGES = {"straight": 0.0, "up-cut": 30.0, "down-cut": -30.0, "compression": 30.0}


@dataclass(frozen=True)
class Cutter:
    """One cutter of the list.

    `edge` is one of EDGES; `helix_deg` is positive for an up-cut, negative for a down-cut; `reach_mm` is the
    length that cuts: the thickest sheet that it goes through.
    """

    id: int
    name: str = text("", letters=(1, 40), group="cutter")
    diameter_mm: float = number(6.35, 0.5, 25, "mm", group="cutter", source=CHART)
    flutes: int = number(2, 1, 8, group="cutter", source=CHART)
    edge: str = choice("straight", tuple(EDGES), group="cutter", source=CHART)
    is_polished: bool = True
    helix_deg: float = number(0.0, -60, 60, "°", group="cutter", source=CHART)
    reach_mm: float = number(22.0, 1, 200, "mm", group="cutter", source=MEMORY)

    @property
    def called(self) -> Message:
        """'6.35 mm, 2 flutes, straight, polished'."""
        words = wording.polished_cutter if self.is_polished else wording.cutter
        return words(self.diameter_mm, self.flutes, wording.edge(self.edge))


FIELDS = declared_by("cutter", Cutter)

# The cutter of a shop that keeps no list: a two-flute O-flute of 1/4 in. The chip load that goes with it
# (feeds.FIRST_CHIP_MM) is that of Amana Tool's speed chart for plastic, double and triple O-flutes.
USUAL = Cutter(0, str(wording.usual_cutter()))


def checked_cutter(typed: Mapping[str, str]) -> dict[str, Any]:
    """Return a cutter's columns, all but its id, from what was typed. Raises Refused."""
    plain = {name: field for name, field in FIELDS.items() if name != "helix_deg"}
    columns = read_all(plain, typed)
    return {
        **columns,
        "is_polished": int(typed.get("is_polished") == ON),
        "helix_deg": _helix(str(columns["edge"]), typed.get("helix_deg", "").strip()),
    }


def _helix(edge: str, typed: str) -> float:
    """Return the helix in degrees with the sign of its edge: 30 typed for a down-cut is -30."""
    if not typed:
        return EDGES[edge]
    angle = abs(float(FIELDS["helix_deg"].read(typed)))
    if angle and not EDGES[edge]:
        raise Refused(wording.straight_has_no_helix())
    return -angle if angle and EDGES[edge] < 0 else angle
