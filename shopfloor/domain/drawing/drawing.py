"""A drawing that has been read: its outlines in millimetres, and what the shop should know about it.

Owns the form in which drawings travel between layers, and its JSON. Must not know about file formats: those
are read in `drawings`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ...wording.message import Message, as_dict, of_dict, text
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
    drawing coordinates: mm, y up. The message of a drawing kept by an older version is a plain sentence.
    """

    kind: str
    message: Message | str
    at: Point | None = None
    line: tuple[Point, ...] = ()

    @property
    def sentence(self) -> str:
        """The message in English, for the command line."""
        return text(self.message)

    def as_dict(self) -> dict[str, Any]:
        """The finding as plain values, for JSON."""
        message = self.message if isinstance(self.message, str) else as_dict(self.message)
        return {"kind": self.kind, "message": message, "at": self.at, "line": self.line}

    @classmethod
    def of_dict(cls, kept: Mapping[str, Any]) -> Finding:
        """The finding that `as_dict` gave, also after a way through JSON."""
        message = kept["message"]
        return cls(
            kept["kind"],
            message if isinstance(message, str) else of_dict(message),
            tuple(kept["at"]) if kept["at"] else None,
            tuple((x, y) for x, y in kept["line"]),
        )


@dataclass(frozen=True)
class Drawing:
    """All outlines of one file, the size of its page in mm, and the findings.

    `guessed_unit` is the unit assumed because the file names none ('px', 'mm'): a person is asked. None where it names one.
    """

    outlines: tuple[DrawnOutline, ...]
    width_mm: float
    height_mm: float
    warnings: tuple[Finding, ...]
    guessed_unit: str | None = None

    def as_dict(self) -> dict[str, Any]:
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
            "warnings": [finding.as_dict() for finding in self.warnings],
            "guessed_unit": self.guessed_unit,
        }

    @classmethod
    def of_dict(cls, kept: Mapping[str, Any]) -> Drawing:
        """The drawing that `as_dict` gave, also after a way through JSON."""
        return cls(
            tuple(
                DrawnOutline(
                    Outline.of_lists(drawn["rings"]),
                    drawn["colour"],
                    drawn["name"],
                    drawn["group"],
                    drawn["order"],
                    drawn["layer"],
                )
                for drawn in kept["outlines"]
            ),
            kept["width_mm"],
            kept["height_mm"],
            tuple(Finding.of_dict(warning) for warning in kept["warnings"]),
            kept["guessed_unit"],
        )
