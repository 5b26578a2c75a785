"""A setup sheet: everything that the operator needs at the router, on one page.

Owns what is on it, for the screen and the paper alike. Must not draw it. Lengths are mm, sheet coordinates: x along the
blank's length, y across, from its lower left corner.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...wording.message import Message
from ..outlines import Outline
from .cutters import Cutter
from .feeds import Feeds
from .running_time import Estimate

Place = tuple[float, float]


@dataclass(frozen=True)
class TabOnSheet:
    """A tab: its middle on the outline, and the outline's angle there, in degrees counter-clockwise from x."""

    x_mm: float
    y_mm: float
    angle_deg: float


@dataclass(frozen=True)
class PieceOnSheet:
    """One piece at its place. `outline` is in sheet coordinates. `way` is its hold-down: 'full', 'skin', 'tabs' or 'tape';
    `verdict` what the vacuum alone does: 'holds', 'with a skin' or 'needs tabs or tape'. `order` is when it is freed, from 1."""

    code: str
    name: str | Message
    sign: str | Message
    outline: Outline
    way: str
    verdict: str
    margin: float
    tabs: tuple[TabOnSheet, ...]
    order: int


@dataclass(frozen=True)
class MachineFile:
    """A file that went to the machine. `nest_number` is the layout in it; `is_stale`: the sheet has changed since."""

    name: str
    sha256: str
    sent_at: str
    by_name: str
    nest_number: int
    is_stale: bool


@dataclass(frozen=True)
class SetupSheet:
    """The setup sheet of one sheet.

    `zones` are the vacuum zones to open, numbered from 1 at the lower left along the length, then across; `zone_grid` is how
    many there are (along, across) and `zones_mm` the size of the table. `mark` tells this layout with its hold-down from
    any other: the file's name has it too.
    """

    sheet: str
    code: str
    url: str
    stock: str
    colour: str
    thickness_mm: float
    blank: str | Message
    length_mm: float
    width_mm: float
    along: str
    used_mm: float
    margin_mm: float
    nest_number: int
    signs: tuple[str, ...]
    first_due: str | None
    pieces: tuple[PieceOnSheet, ...]
    zones: tuple[int, ...]
    zone_grid: tuple[int, int]
    zones_mm: tuple[float, float]
    cutter: Cutter
    feeds: Feeds
    tab_length_mm: float
    tab_thickness_mm: float
    pump: str
    estimate: Estimate
    cautions: tuple[Message | str, ...]
    file: MachineFile | None
    mark: str = ""
