"""Sheets of letters for the tests of setup sheets: drawn by fontTools from the project's fonts, laid by the plain shelves."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from functools import cache
from pathlib import Path

from fontTools.pens.basePen import decomposeQuadraticSegment
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from shapely import LineString, Point, Polygon, box

import shopfloor.paper
from shopfloor.domain import codes
from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.cutters import USUAL
from shopfloor.domain.routing.feeds import feeds
from shopfloor.domain.routing.nests import Item, NestRules
from shopfloor.domain.routing.running_time import Correction, Estimate
from shopfloor.domain.routing.setup_sheets import MachineFile, PieceOnSheet, SetupSheet, TabOnSheet
from shopfloor.domain.routing.shelf_packing import shelved

FONT = Path(shopfloor.paper.__file__).parent / "fonts" / "DejaVuSerif-Bold.ttf"
WORDS = "RYE AND SALT BAKERY harbour boats since 1904 mending & rope"
NOW = MachineFile(
    "S-207-nest-2-3f2a.dxf",
    "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b",
    "2026-11-25T14:12:00+00:00",
    "Ines",
    2,
    False,
)
CAUTIONS = (
    "The dots numbered 1 and 2 are smaller than anything that this vacuum holds: they lie on tape.",
    "Zone 3 is open under the offcut: cover it with a spare sheet.",
)


@cache
def _contours(sign: str) -> list[list[complex]]:
    font = TTFont(FONT)
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(sign)]].draw(pen)
    rings: list[list[complex]] = []
    for operator, points in pen.value:
        if operator == "moveTo":
            rings.append([complex(*points[0])])
        elif operator == "lineTo":
            rings[-1].append(complex(*points[0]))
        elif operator == "qCurveTo":
            for control, end in decomposeQuadraticSegment(points):
                a, b, c = rings[-1][-1], complex(*control), complex(*end)
                rings[-1] += [
                    (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c
                    for t in (n / 12 for n in range(1, 13))
                ]
    return rings


@cache
def letter(sign: str, em_mm: float) -> Outline:
    """The largest area of a letter with its holes, at its own origin."""
    scale = em_mm / TTFont(FONT)["head"].unitsPerEm
    areas = [Polygon([(p.real * scale, p.imag * scale) for p in ring]) for ring in _contours(sign)]
    areas.sort(key=lambda one: -one.area)
    holes = [
        one.exterior.coords for one in areas[1:] if areas[0].contains(one.representative_point())
    ]
    return Outline.of_polygon(Polygon(areas[0].exterior.coords, holes)).at_origin()


def letters(count: int, seed: int = 7, largest: float = 330) -> list[Outline]:
    """So many letters and some dots, of mixed sizes."""
    chance = random.Random(seed)
    signs = WORDS.replace(" ", "")
    sizes = (0.3, 0.45, 0.7, 1.0)
    found = [
        letter(signs[n % len(signs)], round(largest * chance.choice(sizes), 1))
        for n in range(count - count // 12)
    ]
    return found + [
        Outline.of_polygon(Point(9, 9).buffer(7.5)).at_origin() for _ in range(count // 12)
    ]


def setup_sheet_of(
    outlines: list[Outline], length: float = 2440, width: float = 1220, along="length", **changes
) -> SetupSheet:
    """A setup sheet of these pieces laid on shelves; what is given by name replaces what is on it."""
    items = [Item(str(n), outline, f"piece {n}") for n, outline in enumerate(outlines)]
    sheet = shelved(items, length, width, NestRules(), along)
    placed = [outlines[int(put.key)].placed(put.x, put.y, put.turn) for put in sheet.placed]
    placed.sort(key=lambda outline: outline.area_mm2)
    pieces = tuple(_piece(n, outline) for n, outline in enumerate(placed))
    setup_sheet = SetupSheet(
        sheet="S-207",
        code=codes.make(407_2915),
        url=codes.url("192.168.1.20:8080", codes.make(407_2915)),
        stock="cream, 6 mm",
        colour="#f2e8cf",
        thickness_mm=6,
        blank="full sheet",
        length_mm=length,
        width_mm=width,
        along=along,
        used_mm=sheet.used_mm,
        margin_mm=12,
        nest_number=2,
        signs=("J-1042 A", "J-1042 B", "J-1043 A"),
        first_due="2026-11-26",
        pieces=pieces,
        zones=(1, 2, 5, 6),
        zone_grid=(4, 2),
        zones_mm=(2440, 1220),
        cutter=USUAL,
        feeds=feeds(USUAL, 6),
        tab_length_mm=6,
        tab_thickness_mm=0.8,
        pump="blower, 8 inHg at the sheet",
        estimate=Estimate(18.2, 23.1, 18.7, 29.4, Correction(1.27, 1.03, 1.61, 14)),
        cautions=CAUTIONS,
        file=NOW,
        mark="3f2a",
    )
    return replace(setup_sheet, **changes)


def _piece(n: int, outline: Outline) -> PieceOnSheet:
    """The smaller it is, the more it is held."""
    area = outline.area_mm2
    way, verdict = next(
        said
        for most, said in (
            (400, ("tape", "needs tabs or tape")),
            (1600, ("tabs", "needs tabs or tape")),
            (6500, ("skin", "with a skin")),
            (float("inf"), ("full", "holds")),
        )
        if area < most
    )
    tabs = _tabs(outline) if way == "tabs" else ()
    return PieceOnSheet(
        codes.make(1_234_567 + 811 * n),
        f"letter {n}",
        f"J-104{n % 3} A",
        outline,
        way,
        verdict,
        area / 6500,
        tabs,
        n + 1,
    )


def _tabs(outline: Outline) -> tuple[TabOnSheet, ...]:
    ring = LineString([*outline.rings[0], outline.rings[0][0]])
    found = []
    for share in (0.1, 0.43, 0.77):
        a, b = (ring.interpolate(share + by, normalized=True) for by in (-0.002, 0.002))
        found.append(
            TabOnSheet(
                (a.x + b.x) / 2, (a.y + b.y) / 2, math.degrees(math.atan2(b.y - a.y, b.x - a.x))
            )
        )
    return tuple(found)


def board(width: float, height: float) -> Outline:
    """A plain rectangle."""
    return Outline.of_polygon(box(0, 0, width, height))
