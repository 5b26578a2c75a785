"""Label pages rendered by pypdfium2 as a 203 dpi printer would, and read by zxing-cpp."""

import random
import re
from itertools import combinations

import numpy
import pypdfium2
import pytest
import segno
import zxingcpp
from shapely import Point, Polygon, box
from shop_for_tests import grows_at_most

from shopfloor.domain import codes
from shopfloor.domain.errors import Refused
from shopfloor.domain.outlines import Outline
from shopfloor.paper.label_layouts import LABEL_LAYOUTS
from shopfloor.paper.labels import Label, ThingLabel, print_labels
from shopfloor.paper.qr import LEAST_MODULE

MM = 72 / 25.4
SHAPES = [
    Point(60, 60).buffer(60).difference(Point(60, 60).buffer(35)),
    box(0, 0, 1800, 450),
    Polygon([(0, 0), (20, 0), (20, 180), (0, 180)]),
]
NAMES = [
    "Rye & Salt Bakery",
    "Śródmieście Кафе Ωμέγα with a name longer than any label",
    "雨の港 בית 🌊\x00\n\tsign",
]
PLACES = [
    "level 1, no. 7, 'A'",
    "level 2, no. 113, 'the third figure of the second time of Saturday'",
    "",
]
STOCKS = ["cream, 6 mm", "pale green-grey satin extruded, 12 mm", "green"]
ADDRESS = "192.168.1.20:8080"


def _label(number, address=ADDRESS, **changes):
    code = codes.make(random.Random(number).randrange(codes.NUMBERS))
    said = dict(
        sign=["J-1042 A", "J-1043 B", "J-104400 AA"][number % 3],
        sign_name=NAMES[number % 3],
        place=PLACES[number // 3 % 3],
        outline=Outline.of_polygon(SHAPES[number // 2 % 3]),
        stock=STOCKS[number // 5 % 3],
        attempt=1 + number % 2,
        tabs=number % 4,
    )
    return Label(code, codes.url(address, code), **{**said, **changes})


def _thing(number):
    code = codes.make(number)
    lines = ("red, 6 mm",) * (number % 8)
    return ThingLabel(code, codes.url(ADDRESS, code), "Offcut of " + "red " * (number % 9), lines)


def _read(page, dpi=203):
    picture = page.render(scale=dpi / 72, grayscale=True).to_numpy()
    return zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)


def _pages(labels, layout, **more):
    return pypdfium2.PdfDocument(print_labels(labels, layout, **more))


def _texts(page):
    """Each printed run of text with the box of its letters, points, y up."""
    words = page.get_textpage()
    for i in range(words.count_rects()):
        yield words.get_text_bounded(*words.get_rect(i)), box(*words.get_rect(i))


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
@pytest.mark.parametrize("dpi", [203, 300])
def test_every_label_read_back_from_paper_is_its_own(layout, dpi):
    labels = [*(_label(n) for n in range(32)), *(_thing(n) for n in range(8))]
    pages = _pages(labels, layout)
    read = [sorted(found.text for found in _read(page, dpi)) for page in pages]
    size = LABEL_LAYOUTS[layout].per_page
    assert read == [
        sorted(label.url for label in labels[i : i + size]) for i in range(0, len(labels), size)
    ]


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_labels_are_printed_row_by_row_in_the_order_given(layout):
    form = LABEL_LAYOUTS[layout]
    labels = [_label(n) for n in range(min(form.per_page, 12))]
    found = _read(_pages(labels, layout)[0])
    dots = 203 / 25.4

    def place(code):
        column = (code.position.top_left.x / dots - form.first[0]) // form.pitch[0]
        return (code.position.top_left.y / dots - form.first[1]) // form.pitch[1], column

    assert [code.text for code in sorted(found, key=place)] == [label.url for label in labels]


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
@pytest.mark.parametrize("length", [3, 20, 43, 72, 104])
def test_a_long_address_still_has_modules_of_four_dots_and_its_quiet_zone(layout, length):
    label = _label(1, address=("PIER-STREET-SIGNS." * 9)[: length - 1] + "X")
    (found,) = _read(_pages([label], layout)[0])
    assert found.text == label.url
    modules = 17 + 4 * segno.make(label.url, error="m", boost_error=False, micro=False).version
    corner = found.position
    module = (corner.top_right.x - corner.top_left.x) / (203 / 25.4) / modules
    assert module > LEAST_MODULE - 0.02  # the reader's corners are whole pixels
    form = LABEL_LAYOUTS[layout]
    if form.columns == 1:
        assert (
            corner.top_left.y / (203 / 25.4) > 0
            and corner.bottom_left.y / (203 / 25.4) < form.cell[1]
        )


@pytest.mark.parametrize("layout", ["letter-3x10", "roll-50x25"])
def test_an_address_too_long_for_the_label_is_refused(layout):
    with pytest.raises(Refused, match="too long for this label"):
        print_labels([_label(1, address="A" * 200)], layout)


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_no_two_texts_overlap_and_none_leaves_its_label_or_touches_the_qr(layout):
    form = LABEL_LAYOUTS[layout]
    labels = [*(_label(n) for n in range(30)), *(_thing(n) for n in range(18))]
    for number, page in enumerate(_pages(labels, layout)):
        found = list(_texts(page))
        assert len(found) >= 2 * min(form.per_page, len(labels) - number * form.per_page)
        cells = [_cell(form, n) for n in range(form.per_page)]
        for said, where in found:
            assert any(cell.buffer(0.01).contains(where) for cell in cells), said
        for (one, a), (other, b) in combinations(found, 2):
            assert a.intersection(b).area < 0.02 * min(a.area, b.area), (one, other)
        for code in _read(page):
            zone = _zone(code, form)
            for said, where in found:
                assert not zone.intersects(where), said


def _cell(form, n):
    left = (form.first[0] + n % form.columns * form.pitch[0]) * MM
    top = (form.page[1] - form.first[1] - n // form.columns * form.pitch[1]) * MM
    return box(left, top - form.cell[1] * MM, left + form.cell[0] * MM, top)


def _zone(code, form):
    """The symbol with three and a half modules round it (the reader's corners are whole pixels), points, y up."""
    corner, scale = code.position, 72 / 203
    right, bottom = corner.bottom_right.x * scale, form.page[1] * MM - corner.bottom_right.y * scale
    left, top = corner.top_left.x * scale, form.page[1] * MM - corner.top_left.y * scale
    return box(left, bottom, right, top).buffer(3.5 * (right - left) / 25, join_style="mitre")


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_a_label_says_code_sign_place_stock_attempt_and_tabs(layout):
    label = _label(0, attempt=2, tabs=3)
    said = re.sub(r"\s+", " ", _pages([label], layout)[0].get_textpage().get_text_bounded())
    assert codes.show(label.code) in said
    for words in ("J-1042 A", "level 1, no. 7, 'A'", "cream, 6 mm", "Recut 1", "TRIM TABS (3)"):
        assert words in said


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_a_piece_without_tabs_says_nothing_of_them(layout):
    assert "TABS" not in _pages([_label(0, tabs=0)], layout)[0].get_textpage().get_text_bounded()


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
@pytest.mark.parametrize("tabs", [0, 4])
def test_a_long_stock_never_costs_the_attempt_nor_the_thickness(layout, tabs):
    label = _label(
        0,
        stock="pale green-grey, 6 mm",
        attempt=2,
        tabs=tabs,
        outline=Outline.of_polygon(SHAPES[0]),
    )
    said = _pages([label], layout)[0].get_textpage().get_text_bounded()
    assert "6 mm" in said and "Recut 1" in said


def test_a_long_text_ends_in_an_ellipsis_and_a_strange_letter_becomes_a_box():
    said = _pages([_label(1), _label(2)], "a4-3x8")[0].get_textpage().get_text_bounded()
    assert "Śródmieście" in said and "…" in said and "□" in said


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_the_picture_of_a_piece_keeps_its_hole_open(layout):
    ring = Outline.of_polygon(SHAPES[0])
    (page,) = _pages([_label(0, outline=ring, tabs=0)], layout)
    ink = page.render(scale=12, grayscale=True).to_numpy() < 128
    form = LABEL_LAYOUTS[layout]
    right = int((form.first[0] + form.cell[0] - form.pad) * MM * 12)
    foot = int((form.first[1] + form.cell[1] - form.pad) * MM * 12)
    rows = numpy.flatnonzero(ink[: foot + 2, right - 3])
    picture = numpy.split(rows, numpy.flatnonzero(numpy.diff(rows) > 1) + 1)[
        -1
    ]  # the rows below the code's rule
    walk = ink[int(picture.mean()), :right][::-1]  # leftwards through the middle of the picture
    first, hole, second = numpy.diff(numpy.flatnonzero(numpy.diff(walk.astype(int), prepend=0)))[:3]
    assert first == pytest.approx(second, rel=0.06)
    assert hole / first == pytest.approx(70 / 25, rel=0.06)  # the ring's own measures


@pytest.mark.parametrize(
    "layout, page",
    [("a4-3x8", (210, 297)), ("letter-3x10", (215.9, 279.4)), ("roll-50x25", (50, 25))],
)
def test_pages_have_their_size_and_no_more_than_are_needed(layout, page):
    form = LABEL_LAYOUTS[layout]
    pages = _pages([_label(n) for n in range(form.per_page + 1)], layout)
    assert len(pages) == 2
    assert [pages[0].get_size()[i] / MM for i in (0, 1)] == pytest.approx(page, abs=0.01)


@pytest.mark.parametrize("layout", LABEL_LAYOUTS)
def test_the_labels_of_a_layout_lie_side_by_side_within_the_page(layout):
    form = LABEL_LAYOUTS[layout]
    page = box(0, 0, form.page[0] * MM, form.page[1] * MM).buffer(0.01)
    cells = [_cell(form, n) for n in range(form.per_page)]
    assert all(page.contains(cell) for cell in cells)
    assert all(a.intersection(b).area < 0.1 for a, b in combinations(cells, 2))


def test_labels_already_peeled_off_are_left_out():
    pages = _pages([_label(n) for n in range(3)], "a4-3x8", skip=22)
    assert [len(_read(page)) for page in pages] == [2, 1]


def test_an_unknown_layout_and_nothing_to_print_are_refused():
    with pytest.raises(Refused, match="Choose a4-3x8, letter-3x10 or roll-50x25"):
        print_labels([_label(1)], "a5")
    with pytest.raises(Refused, match="no labels to print"):
        print_labels([], "a4-3x8")


def test_ten_times_the_labels_take_about_ten_times_as_long():
    labels = [_label(n) for n in range(500)]
    assert grows_at_most(15, lambda count: print_labels(labels[:count], "a4-3x8"), 50, 500)
