"""The layout of a sheet or a roll of labels: where each label lies on its page, and how large its code and text are.

Add a layout to LABEL_LAYOUTS, and its title to `wording.labels.layout_title`. What is drawn on a label is in `labels`.
Lengths are millimetres from the upper left corner of the page, y down; sizes of type are points.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..wording import labels as wording
from ..wording.message import Message
from .qr import DOT_203
from .words import Box


@dataclass(frozen=True)
class LabelLayout:
    """A sheet or a roll of labels. `first` is the upper left corner of the first label, `pitch` the way to the next."""

    name: str
    page: tuple[float, float]
    columns: int
    rows: int
    cell: tuple[float, float]
    first: tuple[float, float]
    pitch: tuple[float, float]
    pad: float
    qr: float  # the side that the QR symbol would like, quiet zone included
    dot: float  # the printer's dot, where modules must be whole dots; else 0
    code_pt: float
    text_pt: float

    @property
    def title(self) -> Message:
        """'A4, 3 × 8 labels of 70 × 37 mm'"""
        return wording.layout_title(self.name)

    @property
    def per_page(self) -> int:
        """How many labels a page holds."""
        return self.columns * self.rows

    def label_box(self, number: int) -> Box:
        """The box of a page's label; they are numbered from 0, row by row."""
        row, column = divmod(number, self.columns)
        x = self.first[0] + column * self.pitch[0]
        return Box(x, self.first[1] + row * self.pitch[1], *self.cell)


# Common sizes of label sheets and rolls (common practice).
A4_3X8 = LabelLayout(
    name="a4-3x8",
    page=(210, 297),
    columns=3,
    rows=8,
    cell=(70, 37),
    first=(0, 0.5),
    pitch=(70, 37),
    pad=4.5,
    qr=29,
    dot=0,
    code_pt=18,
    text_pt=7.5,
)
LETTER_3X10 = LabelLayout(
    name="letter-3x10",
    page=(215.9, 279.4),
    columns=3,
    rows=10,
    cell=(66.675, 25.4),
    first=(4.7625, 12.7),
    pitch=(69.85, 25.4),
    pad=2,
    qr=22.4,
    dot=0,
    code_pt=17,
    text_pt=6.6,
)
ROLL_50X25 = LabelLayout(
    name="roll-50x25",
    page=(50, 25),
    columns=1,
    rows=1,
    cell=(50, 25),
    first=(0, 0),
    pitch=(50, 25),
    pad=1.5,
    qr=21,
    dot=DOT_203,
    code_pt=13,
    text_pt=6.5,
)
LABEL_LAYOUTS = {layout.name: layout for layout in (A4_3X8, LETTER_3X10, ROLL_50X25)}
