"""What a drawing is made of: the marks of a scene, in millimetres of the thing that is drawn, y up.

A scene is described once, by `nest` or `sign`. Its two backends draw it: web/pictures/svg.py as SVG, paper/pdf.py as
PDF. How large it is drawn decides how long a tab's mark must be to be seen, so a scene is made for a `Surface`.
Must not know pixels, pages or colours of lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from shapely import Polygon

from ..domain.outlines import Outline, Point
from ..wording.message import Message

# lines of pieces that hold with an onion skin only, and not without tabs or tape
HEAVY, HEAVIER = "heavy", "heavier"
POINT = 25.4 / 72  # mm of a point of type
FIGURE_HEIGHT, LINE = 0.729, 1.17  # shares of the em, read from the font's own tables

Bounds = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True)
class Surface:
    """What a scene is drawn on, in units: a unit is a pixel of a screen or a millimetre of paper, and shows `unit_mm` mm.

    A drawn line strays at most `tolerance` from the outline. `insets` are how far inside it the second line of an onion
    skin is drawn, the first that fits; `outset` is how far outside where none does, 0 for no line. A tab's mark has at
    least `least_tab`, a strip of tape at most `widest_tape`. `is_turned`: the scene lies a quarter to the left.
    """

    unit_mm: float
    tolerance: float
    insets: tuple[float, ...]
    outset: float
    least_tab: float
    widest_tape: float
    is_turned: bool = False


def screen(unit_mm: float) -> Surface:
    """A screen whose pixel shows `unit_mm`. A tab of 8 pixels is seen from two metres, a line off by 0.4 is not."""
    return Surface(unit_mm, 0.4, (2.6,), 0.0, 8.0, float("inf"))


def sheet_of_paper(unit_mm: float, *, is_turned: bool = False) -> Surface:
    """Paper at a scale of 1 : `unit_mm`, read at arm's length."""
    return Surface(unit_mm, 0.03, (0.7, 0.5), 0.5, 0.7, 3.0, is_turned)


@dataclass(frozen=True)
class Shape:
    """An area with its holes: a part of a sign, or a piece on a sheet.

    `colour` is '#rrggbb' or '', `state` that of the piece. `weight` is how heavy its line is: HEAVY or HEAVIER where it
    holds badly. `level` counts from the wall. `href` is where a tap leads. `is_picked` stands out from the others. `is_plain` has no marks here.
    """

    key: str
    number: int
    name: Message | str
    outline: Outline
    colour: str = ""
    state: str = ""
    href: str | None = None
    is_picked: bool = False
    weight: str = ""
    level: int = 0
    is_plain: bool = False


@dataclass(frozen=True)
class OnionSkin:
    """The second line of a piece that keeps an onion skin."""

    areas: tuple[Outline, ...]


@dataclass(frozen=True)
class Tape:
    """The strips of tape under a piece, hatched."""

    areas: tuple[Outline, ...]


@dataclass(frozen=True)
class Tab:
    """A bar across the cut at a tab: its middle, its direction in degrees counter-clockwise, its length.

    `of_mm` is the shorter side of its piece: on a small piece the bar is finer.
    """

    x: float
    y: float
    angle_deg: float
    length: float
    of_mm: float


HoldMark = OnionSkin | Tape | Tab


@dataclass(frozen=True)
class Number:
    """A number at its place. (`x`, `y`) is its middle, `size` the em of its type, all in mm of the scene.

    `tail` is smaller type under it. `box` is the ground that it takes; `leader` the line to its piece, if it stands
    beside it. `is_tag`: it found no free ground and covers what is under it.
    """

    text: str
    x: float
    y: float
    size: float
    tail: str = ""
    box: Bounds = (0.0, 0.0, 0.0, 0.0)
    leader: tuple[Point, Point] | None = None
    is_tag: bool = False
    is_bold: bool = True


@dataclass(frozen=True)
class Line:
    """A straight line: `kind` is 'margin', 'zone' or 'used'."""

    kind: str
    start: Point
    end: Point


@dataclass(frozen=True)
class DimensionLine:
    """A dimension along the lower edge (`axis` 'x') or the left edge ('y'). `kind` is 'used', 'offcut' or 'whole'."""

    kind: str
    axis: str
    start: float
    end: float
    text: Message | str


@dataclass(frozen=True)
class Tick:
    """The tick of a part that is glued: its middle and its size."""

    key: str
    x: float
    y: float
    size: float


@dataclass(frozen=True)
class Scene:
    """All that is drawn of a thing of `width_mm` by `height_mm`. Later shapes lie on earlier ones."""

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    holds: tuple[HoldMark, ...] = ()
    numbers: tuple[Number, ...] = ()
    zone_numbers: tuple[Number, ...] = ()
    lines: tuple[Line, ...] = ()
    dimensions: tuple[DimensionLine, ...] = ()
    ticks: tuple[Tick, ...] = ()


@lru_cache(maxsize=8192)
def simple(outline: Outline, tolerance_mm: float) -> Outline:
    """The outline with fewer points, off by at most the tolerance."""
    fewer = outline.polygon.simplify(tolerance_mm, preserve_topology=True)
    if isinstance(fewer, Polygon) and not fewer.is_empty:
        return Outline.of_polygon(fewer)
    return outline
