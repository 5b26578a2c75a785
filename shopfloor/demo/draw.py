"""Draws the signs of the demo shop: six full-size SVG files, each written in its own way, as drawings come.

Owns the shapes and words of the demo's signs. Must not be needed to run the shop: it needs the test dependency
fonttools, and its results are shipped. Anew: `python -m shopfloor.demo.draw`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from xml.sax.saxutils import escape

from fontTools.pens.basePen import BasePen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

FONTS = Path(__file__).parent.parent / "paper" / "fonts"
DRAWINGS = Path(__file__).parent / "drawings"
CAP_HEIGHT = 1493  # font units, both faces: the top of H

RED, CREAM, GREEN, PLUM, WHITE, SAND = (
    "#8c2f39",
    "#f2e8cf",
    "#1f5c4d",
    "#4a2440",
    "#ffffff",
    "#e3c796",
)


class Letter(NamedTuple):
    """One letter of a line: what it is, its glyph, its origin in the units of the drawing (y down)."""

    name: str
    glyph: str
    x: float
    y: float


class CubicPen(SVGPathPen):  # type: ignore[misc]  # the library carries no types
    """Writes the font's quadratic curves as cubic ones, as some drawing programs do."""

    _qCurveToOne = BasePen._qCurveToOne


class Face:
    """A font's letters, set in lines and turned into path data."""

    def __init__(self, file: str):
        font = TTFont(FONTS / file)
        self.glyphs = font.getGlyphSet()
        self.names = font.getBestCmap()
        self.table = font["glyf"]
        self.kerning = font["kern"].kernTables[0].kernTable

    def line(
        self, text: str, cap: float, middle: float, baseline: float, tracking: float = 0.05
    ) -> list[Letter]:
        """The letters of a line centred on `middle` by their ink; `tracking` is a share of the em between them."""
        scale, pen, set_letters, last = cap / CAP_HEIGHT, 0.0, [], None
        for character in text:
            glyph = self.names[ord(character)]
            pen += self.kerning.get((last, glyph), 0) if last else 0
            set_letters.append((character, glyph, pen))
            pen += self.glyphs[glyph].width + tracking * 2048
            last = glyph
        left = set_letters[0][2] + self.table[set_letters[0][1]].xMin
        right = set_letters[-1][2] + self.table[set_letters[-1][1]].xMax
        start = middle - scale * (left + right) / 2
        return [
            Letter(c, glyph, start + scale * x, baseline) for c, glyph, x in set_letters if c != " "
        ]

    def data(
        self, letter: Letter, cap: float, places: int = 2, pen: type[SVGPathPen] = SVGPathPen
    ) -> str:
        """The letter's outline as path data, rounded to `places`."""
        scale = cap / CAP_HEIGHT
        writer = pen(self.glyphs, ntos=lambda value: f"{round(value, places) + 0.0:g}")
        self.glyphs[letter.glyph].draw(
            TransformPen(writer, (scale, 0, 0, -scale, letter.x, letter.y))
        )
        commands: str = writer.getCommands()
        return commands

    def units(self, letter: Letter) -> str:
        """The letter's outline in font units, y up, about its own origin."""
        writer = SVGPathPen(self.glyphs, ntos=lambda value: f"{value:g}")
        self.glyphs[letter.glyph].draw(writer)
        commands: str = writer.getCommands()
        return commands


SERIF, SANS = Face("DejaVuSerif-Bold.ttf"), Face("DejaVuSans-Bold.ttf")


def _titled(tag: str, name: str, attributes: str) -> str:
    return f"<{tag} {attributes}><title>{escape(name)}</title></{tag}>"


def _svg(head: str, *body: str) -> str:
    start = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {head}>',
    ]
    return "\n".join([*start, *body, "</svg>", ""])


def bakery() -> str:
    """Millimetres all through; a fill on each element. Board, panel, letters: three levels."""
    grain = "M{0} 333Q{1} 305 {2} 333Q{1} 361 {0} 333Z"
    letters = [
        *((letter, 150) for letter in SERIF.line("RYE & SALT", 148, 900, 230, tracking=0.09)),
        *((letter, 78) for letter in SERIF.line("BAKERY", 78, 900, 372, tracking=0.22)),
    ]
    return _svg(
        'width="1800mm" height="450mm" viewBox="0 0 1800 450"',
        "<title>Rye &amp; Salt Bakery</title>",
        _titled("rect", "board", f'width="1800" height="450" rx="45" fill="{RED}"'),
        _titled("rect", "panel", f'x="35" y="35" width="1730" height="380" rx="22" fill="{CREAM}"'),
        *(_titled("path", a.name, f'fill="{RED}" d="{SERIF.data(a, cap)}"') for a, cap in letters),
        *(
            _titled("path", "grain", f'fill="{RED}" d="{grain.format(x, x + 75, x + 150)}"')
            for x in (280, 1370)
        ),
    )


def library() -> str:
    """A viewBox in tenths of a millimetre about the middle, scaled groups, style attributes, cubic curves, arcs."""
    ring = "M-250 0A250 250 0 0 1 250 0A250 250 0 0 1 -250 0ZM-237 0A237 237 0 0 0 237 0A237 237 0 0 0 -237 0Z"
    page = "M5 -56C34 -78 84 -84 126 -70L126 -164C84 -178 34 -172 5 -150Z"
    big = SERIF.line("LIBRARY", 55, 0, 45, tracking=0.08)
    small = SANS.line("OPEN TO ALL", 28, 0, 138, tracking=0.14)
    return _svg(
        'width="540mm" height="540mm" viewBox="-2700 -2700 5400 5400"',
        "<title>Library</title>",
        '<g transform="scale(10)">',
        _titled("circle", "disc", f'r="270" style="fill:{PLUM}"'),
        f'<g style="fill:{SAND};stroke:none">',
        _titled("path", "ring", f'style="fill-rule:evenodd" d="{ring}"'),
        _titled("path", "right page", f'd="{page}"'),
        _titled("path", "left page", f'transform="scale(-1,1)" d="{page}"'),
        *(_titled("path", a.name, f'd="{SERIF.data(a, 55, pen=CubicPen)}"') for a in big),
        *(_titled("path", a.name, f'd="{SANS.data(a, 28, pen=CubicPen)}"') for a in small),
        "</g>",
        "</g>",
    )


def boatyard() -> str:
    """Centimetres outside; letters in font units, each under its own transform; fills on the groups."""

    def line(
        text: str, cap: float, middle: float, baseline: float, tracking: float
    ) -> Iterator[str]:
        scale = cap / CAP_HEIGHT
        for a in SANS.line(text, cap, middle, baseline, tracking):
            where = f"translate({a.x:.2f} {a.y:g}) scale({scale:.6f} {-scale:.6f})"
            yield _titled("path", a.name, f'transform="{where}" d="{SANS.units(a)}"')

    board = "M40 0H1280L1320 40V500L1280 540H40L0 500V40Z"
    return _svg(
        'width="132cm" height="54cm" viewBox="0 0 1320 540"',
        "<title>Boat yard</title>",
        _titled("path", "board", f'fill="{GREEN}" d="{board}"'),
        f'<g id="yard" fill="{CREAM}">',
        *line("BOAT", 136, 930, 206, tracking=0.152),
        *line("YARD", 136, 930, 378, tracking=0.121),
        '<g transform="translate(80 70)">',
        _titled("path", "hull", 'd="M0 316H400Q372 400 300 400H94Q22 400 0 316Z"'),
        "</g>",
        "</g>",
        f'<g id="slip" fill="{WHITE}">',
        *line("SLIPWAY 1 TO 4", 49, 930, 470, tracking=0.035),
        '<g transform="translate(80 70)">',
        _titled("polygon", "jib", 'points="156,84 156,290 22,290"'),
        _titled("path", "mainsail", 'd="M182 0Q352 132 378 290H182Z"'),
        "</g>",
        "</g>",
    )


def berths() -> str:
    """CSS classes; the plate and each figure drawn once and used again. Six signs of one drawing."""
    plate = (
        "M14 0h202a14 14 0 0 1 14 14v132a14 14 0 0 1 -14 14h-202a14 14 0 0 1 -14 -14v-132a14 14 0 0 1 14 -14z"
        "M15 80a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0zM208 80a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0z"
    )
    shapes = [Letter(figure, SANS.names[ord(figure)], 0, 0) for figure in "123456"]
    body = []
    for i in range(6):
        x, y = 270 * (i % 3), 200 * (i // 3)
        body.append(f'<g id="berth-{11 + i}"><title>berth {11 + i}</title>')
        body.append(f'<use href="#plate" class="plate" x="{x}" y="{y}"/>')
        for a in SANS.line(str(11 + i), 92, x + 115, y + 126):
            body.append(f'<use href="#figure-{a.name}" class="figure" x="{a.x:.2f}" y="{a.y:g}"/>')
        body.append("</g>")
    return _svg(
        'width="770mm" height="360mm" viewBox="0 0 770 360"',
        "<title>Berths 11 to 16</title>",
        f"<style>.plate{{fill:{GREEN};fill-rule:evenodd}} .figure{{fill:{CREAM}}}</style>",
        "<defs>",
        _titled("path", "plate", f'id="plate" d="{plate}"'),
        *(_titled("path", a.name, f'id="figure-{a.name}" d="{SANS.data(a, 92)}"') for a in shapes),
        "</defs>",
        *body,
    )


def tides() -> str:
    """Whole tenths of a millimetre; fills given by groups and handed down. Many small figures."""

    def line(
        text: str, cap: int, middle: float, baseline: float, tracking: float = 0.08
    ) -> Iterator[str]:
        for a in SANS.line(text, cap, middle, baseline, tracking):
            yield _titled("path", a.name, f'd="{SANS.data(a, cap, places=0)}"')

    figures: list[str] = []
    for column in range(4):
        figures += line(("HIGH", "LOW")[column % 2], 160, 3050 + 1500 * column, 2760)
    for row, day in enumerate(("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN")):
        baseline = 3480 + 800 * row
        figures += line(day, 200, 1580, baseline)
        for column in range(4):
            # An invented week: the tide turns every 6 h 12 min, and a day later it is 49 min later.
            hour, minute = divmod(8 + 49 * row + 372 * column, 60)
            figures += line(f"{hour:02d} {minute:02d}", 200, 3050 + 1500 * column, baseline)
    return _svg(
        'width="900mm" height="1200mm" viewBox="0 0 9000 12000"',
        "<title>Tide times</title>",
        _titled("rect", "board", f'width="9000" height="12000" rx="400" fill="{CREAM}"'),
        f'<g fill="{PLUM}">',
        *line("TIDE TIMES", 800, 4500, 1470),
        _titled("rect", "panel", 'x="500" y="2100" width="8000" height="9400" rx="250"'),
        "</g>",
        f'<g fill="{WHITE}">',
        *figures,
        "</g>",
        f'<g fill="{SAND}">',
        _titled("path", "wave", f'd="{_wave(9300, 700)}"'),
        _titled("path", "wave", f'd="{_wave(10350, 700)}"'),
        "</g>",
    )


def _wave(top: int, deep: int) -> str:
    """A band of five swells across the tide panel, tenths of a millimetre."""
    swells = "q350 -420 700 0t700 0" * 5
    back = "q-350 420 -700 0t-700 0" * 5
    return f"M1000 {top}{swells}v{deep - 300}{back}z"


def school() -> str:
    """Inches; no board: loose letters for a wall, held together by a group that is named as a sign."""
    lines = (("HARBOUR", 8.5), ("SCHOOL", 17.5))
    letters = [
        letter
        for text, baseline in lines
        for letter in SERIF.line(text, 6, 29, baseline, tracking=0.08)
    ]
    return _svg(
        'width="58in" height="20in" viewBox="0 0 58 20"',
        "<title>Harbour School</title>",
        f'<g id="sign-school" fill="{GREEN}"><title>sign school name</title>',
        *(_titled("path", a.name, f'd="{SERIF.data(a, 6, places=3)}"') for a in letters),
        "</g>",
    )


def drawings() -> dict[str, str]:
    """File name to SVG text, for every sign of the demo."""
    return {
        f"{draw.__name__}.svg": draw()
        for draw in (bakery, library, boatyard, berths, tides, school)
    }


def main(folder: Path = DRAWINGS) -> None:
    """Writes the drawings into `folder`."""
    for name, text in drawings().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
