"""The map of the vacuum zones on a printed setup sheet, measured in the PDF's own paths and figures."""

from ctypes import c_float

import pypdfium2
import pytest
from printed_setup_sheets import MM, pages_of, points_of, printed_on
from pypdfium2 import raw
from shapely import box, unary_union
from sheets_for_tests import letters, setup_sheet_of

from shopfloor.paper.notes import ZoneMap
from shopfloor.paper.words import Box, empty_pdf


def _width(path):
    width = c_float()
    raw.FPDFPageObj_GetStrokeWidth(path, width)
    return width.value


def _around(path):
    xs, ys = zip(*points_of(path), strict=True)
    return box(min(xs), min(ys), max(xs), max(ys))


def _assert_map_is_whole(figures, paths, block, grid):
    """Each figure in its zone of the grid and clear of every edge, and none of the map outside its block."""
    assert sorted(int(said) for said, _ in figures) == list(range(1, grid[0] * grid[1] + 1))
    assert all(block.contains(box(*where)) for _, where in figures)
    assert all(block.contains(_around(path).buffer(_width(path) / 2)) for path in paths)
    left, low, right, top = unary_union([_around(path) for path in paths]).bounds
    wide, high = (right - left) / grid[0], (top - low) / grid[1]
    for said, where in figures:
        row, column = divmod(int(said) - 1, grid[0])
        x, y = left + column * wide, low + row * high
        assert box(x, y, x + wide, y + high).contains(box(*where)), said
        for path in paths:
            if _width(path) > 1:  # points: the sheet's edge and the white beside it
                edge = _around(path).exterior.buffer(_width(path) / 2)
                assert not edge.intersects(box(*where)), (said, edge.bounds)


SHARES = [
    (n / 40, m) for n in range(1, 43) for m in (0.46, 0.9)
]  # of the table; 42 / 40 hangs over its edge


@pytest.mark.parametrize(
    "grid, table", [((4, 2), (2440, 1220)), ((3, 3), (1300, 1300)), ((6, 2), (3050, 1525))]
)
@pytest.mark.parametrize("pt", [7.5, 9.0])
def test_no_edge_of_a_sheet_crosses_a_figure_on_the_map_of_zones_and_none_leaves_its_block(
    grid, table, pt
):
    pdf, everything = empty_pdf((100, 60), "zones"), frozenset(range(1, grid[0] * grid[1] + 1))
    for share in SHARES:
        pdf.add_page()
        note = ZoneMap("", "", grid, everything, table, share, pt)
        note.draw(pdf, Box(20, 10, 60, note.height(pdf, 60)))
    low = 60 - 10 - note.height(pdf, 60)
    block = box(20 * MM, low * MM, 80 * MM, 50 * MM).buffer(0.01)
    for page in pypdfium2.PdfDocument(bytes(pdf.output())):
        figures = [(said, bounds) for said, bounds in printed_on(page) if said]
        _assert_map_is_whole(
            figures, list(page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])), block, grid
        )


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("length, width", [(2100, 1100), (2440, 1220), (1900, 640)])
def test_all_zones_of_a_large_offcut_are_whole_on_the_page(paper, length, width):
    """With long cautions beside them. White figures are those of open zones."""
    tall = tuple(
        f"Caution {n}: keep the hose away from the dots, which lie on tape, and look twice."
        for n in range(7)
    )
    setup_sheet = setup_sheet_of(
        letters(9, largest=300), length, width, zones=tuple(range(1, 9)), cautions=tall
    )
    page = pages_of(setup_sheet, paper)[0]
    figures = [(said, where) for said, where in printed_on(page, is_white=True) if said]
    middle = unary_union([box(*where) for _, where in figures]).envelope
    paths = [
        path
        for path in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
        if middle.buffer(5 * MM).contains(_around(path)) and raw.FPDFPath_CountSegments(path) > 2
    ]
    width, height = page.get_size()
    _assert_map_is_whole(
        figures, paths, box(7 * MM, 7 * MM, width - 7 * MM, height - 7 * MM), (4, 2)
    )
