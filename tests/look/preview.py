"""Writes an invented floor, sheet and bench as plain HTML, to look at: `python tests/look/preview.py FOLDER FONT.ttf`.

Needs no database and no server: letters come from the font, places and states from here.
"""

from __future__ import annotations

import gzip
import itertools
import shutil
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import jinja2
import templates_for_tests
from shapely import Point, Polygon, box

from shopfloor.domain.outlines import Outline
from shopfloor.scenes.nest import Nest, NestedPiece
from shopfloor.scenes.scene import DimensionLine, Shape
from shopfloor.web.pictures.svg import sheet_picture, sign_picture

ROOT = Path(__file__).resolve().parents[2]
NAV = [
    ("floor", "#", "Floor", ""),
    ("scan", "#", "Scan", ""),
    ("sheets", "#", "Sheets", "2 to cut"),
    ("recuts", "#", "Recuts", "2"),
    ("bench", "#", "Bench", "1 ready"),
    ("jobs", "#", "Jobs", ""),
    ("stock", "#", "Stock", ""),
    ("office", "#", "Office", ""),
]
RED, CREAM, PLUM, GREEN, WHITE, SAND, BLACK = [
    "#8c2f39",
    "#f2e8cf",
    "#4a2440",
    "#1f5c4d",
    "#ffffff",
    "#e3c796",
    "#16181a",
]


def environment() -> jinja2.Environment:
    """The templates as the server reads them, with a stand-in for the server's `url_for`."""
    made = templates_for_tests.environment()
    made.globals["url_for"] = lambda _endpoint, filename: f"static/{filename}"
    return made


def page(here: str) -> SimpleNamespace:
    """What base.html asks of a page."""
    return SimpleNamespace(
        title=here.title(),
        here=here,
        shop="Pier Street Signs",
        clock="Wed 25 Nov 14:12",
        person="Ines, bench",
        nav=NAV,
    )


class Letters:
    """Outlines of a font's letters, at a cap height in mm."""

    def __init__(self, file: str):
        from fontTools.ttLib import TTFont

        self.font = TTFont(file)
        self.glyphs, self.cmap = self.font.getGlyphSet(), self.font.getBestCmap()
        self.cap = 0.73 * self.font["head"].unitsPerEm

    def line(
        self, text: str, cap_mm: float, x: float, y: float, gap: float = 1.0
    ) -> list[tuple[str, Outline]]:
        """A line of text with its baseline's start at (x, y) mm."""
        scale, placed = cap_mm / self.cap, []
        for letter in text:
            glyph = self.glyphs[self.cmap[ord(letter)]]
            for area in self._areas(glyph, scale):
                placed.append((letter, Outline.of_polygon(area).moved(x, y)))
            x += glyph.width * scale * gap
        return placed

    def centred(self, text: str, cap_mm: float, middle: float, y: float, gap: float = 1.0):
        scale = cap_mm / self.cap
        width = sum(self.glyphs[self.cmap[ord(letter)]].width for letter in text) * scale * gap
        return self.line(text, cap_mm, middle - width / 2, y, gap)

    def _areas(self, glyph, scale: float) -> list[Polygon]:
        from fontTools.pens.recordingPen import DecomposingRecordingPen

        pen = DecomposingRecordingPen(self.glyphs)
        glyph.draw(pen)
        area = Polygon()
        for ring in _rings(pen.value, scale):
            area = area.symmetric_difference(Polygon(ring).buffer(0))
        return list(getattr(area, "geoms", [area])) if not area.is_empty else []


def _rings(commands, scale: float):
    ring = []
    for name, points in commands:
        if name == "moveTo":
            ring = [points[0]]
        elif name == "lineTo":
            ring.append(points[0])
        elif name == "qCurveTo":
            ring.extend(_flat(ring[-1], points))
        elif name in ("closePath", "endPath") and len(ring) > 2:
            yield [(x * scale, y * scale) for x, y in ring]


def _flat(start, points):
    from fontTools.pens.basePen import decomposeQuadraticSegment

    for control, end in decomposeQuadraticSegment(points):
        for step in range(1, 13):
            t = step / 12
            yield tuple(
                (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c
                for a, b, c in zip(start, control, end, strict=True)
            )
        start = end


def rounded(w: float, h: float, r: float, x: float = 0, y: float = 0) -> Outline:
    """A rectangle with round corners, its lower left at (x, y) mm."""
    return Outline.of_polygon(box(x + r, y + r, x + w - r, y + h - r).buffer(r, quad_segs=16))


def parts_of(*groups) -> list[Shape]:
    """Groups of (outlines or (name, outline) pairs, colour, states in turn), numbered through."""
    parts, numbers = [], itertools.count(1)
    for placed, colour, states in groups:
        cycle = itertools.cycle(states if isinstance(states, list) else [states])
        for name, outline in placed:
            number = next(numbers)
            parts.append(Shape(f"p{number}", number, name, outline, colour, next(cycle)))
    return parts


def bakery(serif: Letters) -> list[Shape]:
    """A fascia of which everything is in hand."""
    return parts_of(
        ([("board", rounded(1800, 450, 60))], RED, "ready"),
        ([("panel", rounded(1680, 330, 36, 60, 60))], CREAM, "ready"),
        (serif.centred("RYE & SALT BAKERY", 96, 900, 173), RED, "ready"),
    )


def library(serif: Letters) -> list[Shape]:
    """A round sign that cures."""
    return parts_of(
        (
            [("roundel", Outline.of_polygon(Point(270, 270).buffer(270, quad_segs=48)))],
            PLUM,
            "fixed",
        ),
        (serif.centred("LIBRARY", 66, 270, 238), SAND, "fixed"),
    )


def yard(sans: Letters) -> list[Shape]:
    """A gate board with letters lost, damaged and waiting."""
    return parts_of(
        ([("board", rounded(1320, 540, 20))], GREEN, "fixed"),
        (
            sans.centred("BOAT YARD", 118, 660, 305, 1.05),
            WHITE,
            ["ready", "ready", "lost", "ready", "ready", "fixed", "cut", "ready"],
        ),
        (
            sans.centred("SLIPWAY 1 TO 4", 78, 660, 125, 1.08),
            WHITE,
            ["ready"] * 6 + ["nested", "damaged", "nested", "cut", "waiting"],
        ),
    )


def berths(sans: Letters) -> list[Shape]:
    """Six like plates, each in another state."""
    plates = []
    for at, number in enumerate(range(11, 17)):
        state = ["fixed", "ready", "ready", "ready", "nested", "waiting"][at]
        left = at * 270
        plates.append(([("plate", rounded(240, 165, 16, left, 0))], GREEN, state))
        digits = {0: "fixed", 3: ["lost", "cut"], 4: "ready", 5: "waiting"}.get(at, "ready")
        plates.append((sans.centred(str(number), 100, left + 120, 33), CREAM, digits))
    return parts_of(*plates)


def slips(sans: Letters) -> list[Shape]:
    """A list with many small letters, few of them cut."""
    return parts_of(
        ([("board", rounded(900, 900, 12))], WHITE, "ready"),
        *[
            (
                sans.line(f"{row + 1:02d} SLIP {chr(65 + row)} NORTH", 34, 70, 800 - row * 92),
                [BLACK, GREEN][row % 2],
                [["ready"], ["ready", "cut"], ["nested"], ["waiting"], ["ready", "ready", "lost"]][
                    row
                ],
            )
            for row in range(5)
        ],
    )


def floor(serif: Letters, sans: Letters) -> list[SimpleNamespace]:
    """The tiles: each sign's picture and words."""
    rows = [
        (
            "bakery",
            "J-1042 · A",
            "Rye & Salt Bakery, fascia",
            "Thu 26 Nov",
            False,
            bakery(serif),
            1800,
            450,
            "ready",
            "Ready to set out level 1",
            "Everything is in hand: 16 of 16",
        ),
        (
            "library",
            "J-1039 · A",
            "Harbour Library, door roundel",
            "Thu 26 Nov",
            False,
            library(serif),
            540,
            540,
            "curing",
            "Curing until 15:40",
            "Do not move it. Clean and inspect after",
        ),
        (
            "yard",
            "J-1044 · A",
            "Boat Yard, gate board",
            "Tue 24 Nov",
            True,
            yard(sans),
            1320,
            540,
            "waiting",
            "Waits for 7",
            "A of line 1 is lost, its recut is queued; line 2 is on sheet S-207",
        ),
        (
            "berths",
            "J-1045 · A–F",
            "Berth numbers 11 to 16",
            "Tue 1 Dec",
            False,
            berths(sans),
            1590,
            165,
            "waiting",
            "Waits for 6",
            "1 of 14 went down the hose; its recut with tabs is on S-208",
        ),
        (
            "map",
            "J-1046 · A",
            "Slipway list, north wall",
            "Fri 4 Dec",
            False,
            slips(sans),
            900,
            900,
            "waiting",
            "Waits for 29",
            "Nothing to cut before Monday",
        ),
    ]
    names = ["id", "code", "title", "due", "late", "parts", "w", "h", "mark", "verdict", "reason"]
    return [SimpleNamespace(**dict(zip(names, row, strict=True))) for row in rows]


def nest(parts: list[Shape], used_mm: float, along: str, offcut: str) -> Nest:
    """A sheet of 1220 × 610 mm with these pieces."""
    axis, whole = ("x", 1220) if along == "length" else ("y", 610)
    dimensions = (
        DimensionLine("used", axis, 0, used_mm, f"used {used_mm:.0f}"),
        DimensionLine("offcut", axis, used_mm, whole, offcut),
    )
    pieces = tuple(map(NestedPiece, parts))
    return Nest(1220, 610, along, used_mm, pieces, dimensions=dimensions)


def sheet(serif: Letters) -> list[Shape]:
    text = "RYE SALT BAKERY LIBRARY STARBOARD HARBOUR WATERSIDE".replace(" ", "")
    pieces, x, y = [], 14.0, 14.0
    for at, letter in enumerate(text, 1):
        name, outline = serif.line(letter, 92, 0, 0)[0]
        outline = outline.turned([0, 90, 180, 270][at * 7 % 4]).at_origin()
        if y + outline.height_mm > 596:
            x, y = x + 104, 14.0
        state = {17: "lost", 30: "damaged", 8: "lost", 9: "nested", 41: "ready"}.get(at, "cut")
        pieces.append(Shape(f"4072915{at}", at, name, outline.moved(x, y), CREAM, state))
        y += outline.height_mm + 9
    return pieces


FLOOR = """{% extends "base.html" %}{% import "_pictures.html" as pictures %}{% block content %}
<h1 class="unseen">Floor</h1>
<div class="tiles">{% for s in signs %}
<a class="tile" href="#"><header class="sheet-head"><span class="figures">{{ s.code }}</span><b>{{ s.title }}</b>
<span class="stamp{{ ' late' if s.late }}">{{ s.due }}</span></header>{{ pictures.sign_svg(s.picture) }}
<p class="verdict">{{ pictures.mark(s.mark) }}{{ s.verdict }}</p><p class="reason">{{ s.reason }}</p>
</a>{% endfor %}</div>{% endblock %}"""

SHEET = """{% extends "base.html" %}{% import "_pictures.html" as pictures %}
{% block says %}<div id="says" class="says" role="status" data-sound="done">R is lost. Its recut is 4072 9153
<button class="act small">Undo</button></div>{% endblock %}
{% block content %}<header class="sheet-head"><h1>S-207</h1>{{ pictures.swatch("#f2e8cf") }}<span>cream, 6 mm</span>
<span>47 pieces of 5 signs</span><span class="stamp">holds up 3 signs, first due Thu 26 Nov</span></header>
{{ pictures.sheet_svg(picture, attrs) }}{{ pictures.legend("#f2e8cf") }}
<div class="acts stay"><button class="act">Undo</button><button class="act">Not cut</button>
<button class="next">2 lost, 1 damaged: mark the other 44 cut</button></div>{% endblock %}"""

BENCH = """{% extends "base.html" %}{% import "_pictures.html" as pictures %}
{% from "_keypad.html" import keypad %}{% block content %}
<header class="sheet-head"><span class="figures">J-1044 · A</span><h1>Boat Yard, gate board</h1>
<span class="stamp late">Tue 24 Nov</span></header>
{{ pictures.sign_svg(picture, attrs) }}
<div class="columns"><div><button class="next">Set out level 1</button>
<div class="caution">
<b>Eyes and vapour</b>Wear goggles, open the extraction, follow the cement's data sheet and local rules.</div>
<progress class="progress" max="10" value="6">6 of 10</progress>
<p>Cure ends in <span class="countdown" data-until="2026-11-25T15:40:00Z"
data-now="2026-11-25T14:12:00Z">1:28</span></p>
<ol class="rows"><li><span class="figures">7</span><b>R</b><span>cut, tabs to trim</span>
<a class="act small" href="#">Trimmed</a></li>
<li><span class="figures">3</span><b>A</b><span>lost; recut 4072 9153 waits</span>
<span class="stamp">Tue 24 Nov</span></li></ol>
<table class="rows"><tr><th>No.</th><th>Part</th><th class="number">Left</th><th class="number">Right</th>
<th class="number">Base</th></tr>
<tr><td>1</td><td>B</td><td class="number">112.5</td><td class="number">203.0</td><td class="number">340.0</td></tr>
<tr><td>2</td><td>O</td><td class="number">221.5</td><td class="number">345.5</td>
<td class="number">338.0</td></tr></table></div>
<form>{{ keypad() }}<label class="field"><span>Batch of cement</span><input value="B-118">
<small>On the tin's lid</small></label>
<fieldset class="choices"><label class="choice"><input type="radio" name="c" checked>Down the hose</label>
<label class="choice"><input type="radio" name="c">Dropped at the bench</label></fieldset>
</form></div>{% endblock %}"""


def write(folder: Path, serif_file: str, sans_file: str) -> None:
    serif, sans, env = Letters(serif_file), Letters(sans_file), environment()
    signs = floor(serif, sans)
    for sign in signs:
        sign.picture = sign_picture(sign.id, sign.parts, sign.w, sign.h, title=sign.title)
    pieces = sheet(serif)
    used = max(piece.outline.bounds[2] for piece in pieces) + 12
    blank = sheet_picture("s207", nest(pieces, used, "length", f"offcut {1220 - used:.0f} × 610"))
    across = sheet_picture("s208", nest(pieces[:20], 330, "width", "offcut 1220 × 280"))
    picked = [replace(part, is_picked=part.number == 7) for part in signs[2].parts]
    yard = sign_picture("yard", picked, 1320, 540, box=(1180, 420), height_text="540")
    tap = {"hx-post": "#", "hx-target": "#page"}
    pages = {
        "floor": (FLOOR, {"signs": signs}),
        "sheets": (SHEET, {"picture": blank, "attrs": {part.key: tap for part in blank.parts}}),
        "width": (SHEET, {"picture": across, "attrs": {}}),
        "bench": (BENCH, {"picture": yard, "attrs": {part.key: tap for part in yard.parts}}),
    }
    shutil.copytree(ROOT / "static", folder / "static", dirs_exist_ok=True)
    for name, (source, data) in pages.items():
        text = env.from_string(source).render(
            page=page("sheets" if name == "width" else name), **data
        )
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
        print(
            f"{name}: {len(text) / 1000:.1f} kB, {len(gzip.compress(text.encode())) / 1000:.1f} kB gzipped"
        )


if __name__ == "__main__":
    write(Path(sys.argv[1]), sys.argv[2], sys.argv[3] if len(sys.argv) > 3 else sys.argv[2])
