"""A drawing that has been read: its outlines in millimetres, and what the shop should know about it.

Owns the form in which drawings travel between layers, and its JSON. Must not know about file formats: those
are read in `drawings`.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from ..outlines import Outline, Point


@dataclass(frozen=True)
class DrawnOutline:
    """One area of a drawing, in drawing coordinates: mm, y up, the page's lower left corner at (0, 0).

    `colour` is '#rrggbb'. `name` is the name that a person gave to it in the drawing. `group` is the sign that
    the drawing puts it on (a group called "sign …"). `order` counts up in the order of drawing: later lies on top. `layer` is
    what a DXF calls its material.
    """

    outline: Outline
    colour: str
    name: str | None
    group: str | None
    order: int
    layer: str | None = None


@dataclass(frozen=True)
class Finding:
    """Something in the drawing that a person should look at; it did not stop the reading.

    `at` is its place, and `line` what to draw there (a gap, a crossing, a corner's rest; empty: `at` alone), both in
    drawing coordinates: mm, y up.
    """

    kind: str
    message: str
    at: Point | None = None
    line: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Drawing:
    """All outlines of one file, the size of its page in mm, and the findings.

    `guessed_unit` is the unit that was taken because the file names none ('px', 'mm'), else None: then a person is asked.
    """

    outlines: tuple[DrawnOutline, ...]
    width_mm: float
    height_mm: float
    warnings: tuple[Finding, ...]
    guessed_unit: str | None = None

    def as_dict(self) -> dict:
        """The drawing as plain values, for JSON."""
        return {
            "outlines": [
                {
                    "rings": drawn.outline.rings,
                    "colour": drawn.colour,
                    "name": drawn.name,
                    "group": drawn.group,
                    "order": drawn.order,
                    "layer": drawn.layer,
                }
                for drawn in self.outlines
            ],
            "width_mm": self.width_mm,
            "height_mm": self.height_mm,
            "warnings": [asdict(finding) for finding in self.warnings],
            "guessed_unit": self.guessed_unit,
        }

    @classmethod
    def of_dict(cls, kept: dict) -> Drawing:
        """The drawing kept by `as_dict`, also after a way through JSON."""
        return cls(
            tuple(
                DrawnOutline(
                    Outline.of_lists(one["rings"]),
                    one["colour"],
                    one["name"],
                    one["group"],
                    one["order"],
                    one["layer"],
                )
                for one in kept["outlines"]
            ),
            kept["width_mm"],
            kept["height_mm"],
            tuple(
                Finding(
                    one["kind"],
                    one["message"],
                    tuple(one["at"]) if one["at"] else None,
                    tuple((x, y) for x, y in one["line"]),
                )
                for one in kept["warnings"]
            ),
            kept["guessed_unit"],
        )
