"""A scene drawn twice, as SVG and as PDF: read back from both, every shape is where the sheet or the sign has it.

The SVG is read from its markup by svgpathtools, the PDF's path objects by pypdfium2.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from ctypes import c_float
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pypdfium2
import pytest
import shapely
from printed_setup_sheets import MM, points_of, text_of
from pypdfium2 import raw
from records_for_tests import record
from shapely import LinearRing, Polygon
from sheets_for_tests import letter, setup_sheet_of
from svgpathtools import parse_path
from templates_for_tests import environment

from shopfloor.domain.bench.records import RecordedPart
from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.setup_sheets import TabOnSheet
from shopfloor.paper.records import print_record
from shopfloor.paper.setup_sheets import print_setup_sheet
from shopfloor.scenes.nest import of_setup_sheet
from shopfloor.scenes.scene import Shape
from shopfloor.web.pictures.paths import UNIT
from shopfloor.web.pictures.svg import MARGIN_PX, sheet_picture, sign_picture

OFF = 0.1  # mm
BOX = (8000, 8000)  # pixels: so large that whole drawing units are a hundredth of a millimetre
PIECES = [
    letter("R", 190),
    letter("&", 120),
    letter("S", 90),
    Outline.of_polygon(shapely.box(0, 0, 60, 40) - shapely.box(20, 10, 45, 30)),
]
WAYS = ("tabs", "tape", "skin", "full")  # from the smallest piece, which is the plate


@pytest.fixture(scope="module")
def setup_sheet():
    """Four pieces with holes, each held in another way, so few that the page draws them larger than a quarter."""
    made = setup_sheet_of(PIECES, 420, 240)
    return replace(
        made,
        pieces=tuple(
            replace(piece, way=way, tabs=tabs_on(piece.outline) if way == "tabs" else ())
            for piece, way in zip(made.pieces, WAYS, strict=True)
        ),
    )


def tabs_on(plate: Outline) -> tuple[TabOnSheet, ...]:
    """One in the middle of its left edge, one a third along its lower edge."""
    left, bottom, right, top = plate.bounds
    upright = TabOnSheet(left, (bottom + top) / 2, 90.0)
    return upright, TabOnSheet(left + (right - left) / 3, bottom, 0.0)


@pytest.fixture(scope="module")
def macros():
    """The macros that write pictures as markup."""
    return environment().get_template("_pictures.html").module


# Reading back. ----------------------------------------------------------------------------------


def svg_paths(markup: str, scale: float, high_mm: float) -> Iterator[tuple[str, list[np.ndarray]]]:
    """Each path of an SVG: its class and its subpaths as points in mm, y up."""
    for css, d in re.findall(r'<path class="([^"]*)"[^>]* d="([^"]*)"', markup):
        subpaths = []
        for part in parse_path(d).continuous_subpaths():
            points = [part[0].start, *(segment.end for segment in part)]
            subpaths.append(np.array([(p.real / scale, high_mm - p.imag / scale) for p in points]))
        yield css, subpaths


def pdf_paths(
    page, scale: float, origin: tuple[float, float]
) -> Iterator[tuple[float, np.ndarray]]:
    """Each path of a page: the width of its line and its points in mm of the scene, y up, from an origin in points."""
    width = c_float()
    for path in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        raw.FPDFPageObj_GetStrokeWidth(path, width)
        points = np.array(list(points_of(path)))
        yield width.value / MM, (points - origin) / MM * scale


def scale_of(page) -> float:
    return float(re.search(r"1 : (\d+(?:\.\d+)?)", text_of(page))[1])


def as_ring(points: np.ndarray) -> LinearRing | None:
    return LinearRing(points) if len(np.unique(points.round(3), axis=0)) > 2 else None


def off_by(ring: LinearRing, drawn: list[LinearRing]) -> float:
    """How far the nearest of the drawn rings is from a ring, at the place where it is farthest."""
    return min(shapely.hausdorff_distance(ring, one, densify=0.05) for one in drawn)


def rings_of(polygon: Polygon) -> list[LinearRing]:
    return [LinearRing(ring.coords) for ring in (polygon.exterior, *polygon.interiors)]


# A nest. ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def nest_as_svg(setup_sheet, macros):
    """Paths by their class, in mm on the sheet."""
    picture = sheet_picture("s", of_setup_sheet(setup_sheet), box=BOX)
    scale = picture.width_px * UNIT / setup_sheet.length_mm
    found: dict[str, list[np.ndarray]] = {}
    for css, subpaths in svg_paths(str(macros.sheet_svg(picture)), scale, setup_sheet.width_mm):
        found.setdefault(
            next(iter(css.split()), "piece").replace("heavier", "piece").replace("heavy", "piece"),
            [],
        ).extend(subpaths)
    return found


@pytest.fixture(scope="module")
def nest_as_pdf(setup_sheet):
    """(width of the line, points in mm on the sheet) of each path; the sheet's own edge says where it lies."""
    page = pypdfium2.PdfDocument(print_setup_sheet(setup_sheet))[0]
    scale = scale_of(page)
    assert scale <= 2.5, "what is simplified on paper stays under a tenth of a millimetre"
    size = np.array((setup_sheet.length_mm, setup_sheet.width_mm)) / scale
    edges = [
        points
        for width, points in pdf_paths(page, 1.0, (0, 0))
        if abs(width - 0.5) < 0.01 and np.ptp(points, axis=0) == pytest.approx(size, abs=0.05)
    ]
    assert len(edges) == 1
    return list(pdf_paths(page, scale, tuple(edges[0].min(axis=0) * MM)))


def test_every_piece_of_a_nest_is_at_the_same_place_on_screen_and_paper(
    setup_sheet, nest_as_svg, nest_as_pdf
):
    on_screen = [ring for points in nest_as_svg["piece"] if (ring := as_ring(points))]
    on_paper = [ring for _, points in nest_as_pdf if (ring := as_ring(points))]
    rings = [ring for piece in setup_sheet.pieces for ring in rings_of(piece.outline.polygon)]
    assert len(rings) == 4 + 3  # all but the S have a hole
    for ring in rings:
        assert off_by(ring, on_screen) < OFF
        assert off_by(ring, on_paper) < OFF


def test_tape_lies_at_the_same_place(setup_sheet, nest_as_svg, nest_as_pdf):
    on_paper = [ring for _, points in nest_as_pdf if (ring := as_ring(points))]
    strips = [as_ring(points) for points in nest_as_svg["hold-tape"]]
    assert len(strips) >= 2
    assert max(off_by(strip, on_paper) for strip in strips) < OFF


def test_tabs_are_at_the_same_place_and_as_long(setup_sheet, nest_as_svg, nest_as_pdf):
    bars = nest_as_svg["hold-tab"]
    tabs = [tab for piece in setup_sheet.pieces for tab in piece.tabs]
    assert len(bars) == len(tabs) > 1
    printed = [Polygon(points) for _, points in nest_as_pdf if len(points) in (4, 5)]
    for bar, tab in zip(bars, tabs, strict=True):
        assert bar.mean(axis=0) == pytest.approx((tab.x_mm, tab.y_mm), abs=OFF)
        assert np.hypot(*(bar[1] - bar[0])) == pytest.approx(setup_sheet.tab_length_mm, abs=OFF)
        at = shapely.Point(tab.x_mm, tab.y_mm)
        (box,) = [one for one in printed if one.centroid.distance(at) < OFF]
        ends = [side.centroid for side in sides_of(box)]
        assert min(shapely.Point(bar[0]).distance(end) for end in ends) < OFF
        assert min(shapely.Point(bar[1]).distance(end) for end in ends) < OFF


def sides_of(box: Polygon) -> list[shapely.LineString]:
    corners = list(box.exterior.coords)
    return [shapely.LineString(ends) for ends in pairwise(corners)]


def test_the_line_of_the_used_length_is_at_the_same_place(setup_sheet, nest_as_svg, nest_as_pdf):
    used = setup_sheet.used_mm
    (line,) = nest_as_svg["used"]
    assert line[:, 0] == pytest.approx([used, used], abs=OFF)
    printed = [
        points for width, points in nest_as_pdf if abs(width - 0.35) < 0.01 and len(points) == 2
    ]
    assert any(
        points[:, 0] == pytest.approx([used, used], abs=OFF)
        and sorted(points[:, 1]) == pytest.approx([0, setup_sheet.width_mm], abs=OFF)
        for points in printed
    )


# A sign. ----------------------------------------------------------------------------------------


def test_every_part_of_a_sign_is_at_the_same_place_on_screen_and_paper(macros):
    board = Outline.of_polygon(shapely.box(0, 0, 170, 90))
    outlines = [board, letter("R", 70).moved(8, 15), letter("&", 50).moved(80, 20)]
    parts = tuple(RecordedPart(n, n, "", min(n - 1, 1), one) for n, one in enumerate(outlines, 1))
    (page,) = pypdfium2.PdfDocument(
        print_record(record(0, parts=parts, width_mm=170.0, height_mm=90.0))
    )
    scale = scale_of(page)
    edges = [
        points
        for _, points in pdf_paths(page, 1.0, (0, 0))
        if np.ptp(points, axis=0) == pytest.approx((170 / scale, 90 / scale), abs=0.05)
    ]
    origin = tuple(edges[0].min(axis=0) * MM)
    on_paper = [ring for _, points in pdf_paths(page, scale, origin) if (ring := as_ring(points))]

    shapes = [Shape(str(n), n, "", one, "#35658a", "ready") for n, one in enumerate(outlines, 1)]
    picture = sign_picture("s", shapes, 170, 90, box=BOX)
    markup = str(macros.sign_svg(picture))
    units = (picture.width_px - 2 * MARGIN_PX) * UNIT / 170
    on_screen = [
        ring
        for css, subpaths in svg_paths(markup, units, 90)
        if css == "ready"
        for points in subpaths
        if (ring := as_ring(points))
    ]
    for outline in outlines:
        for ring in rings_of(outline.polygon):
            assert off_by(ring, on_screen) < OFF
            assert off_by(ring, on_paper) < OFF
