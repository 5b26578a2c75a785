"""Setup sheets rendered by pypdfium2, measured in the PDF's own path objects, and their symbol read by zxing-cpp."""

import re
from collections import Counter
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
import zxingcpp
from printed_setup_sheets import MM, boxes_of, pages_of, printed_on, text_of
from shapely import box, unary_union
from sheets_for_tests import CAUTIONS, NOW, board, letters, setup_sheet_of
from shop_for_tests import grows_at_most

from shopfloor.domain import codes
from shopfloor.domain.errors import Refused
from shopfloor.domain.routing.running_time import Correction, Estimate
from shopfloor.paper.nest_pages import Part, parts_of
from shopfloor.paper.router_notes import passes_in_words
from shopfloor.paper.setup_sheets import print_setup_sheet
from shopfloor.paper.words import Box
from shopfloor.scenes.nest import of_setup_sheet
from shopfloor.wording.formatting import Reader
from shopfloor.wording.safety import caution

LONG = "雨の港 Śródmieście Кафе Ωμέγα, the third figure of the second time that Saturday is written on the fascia"


@pytest.fixture(scope="module")
def fifty():
    return setup_sheet_of(letters(50))


@pytest.fixture(scope="module")
def fifty_on(fifty):
    """The fifty as they are printed on each paper."""
    return {paper: list(pages_of(fifty, paper)) for paper in ("a4", "letter")}


@pytest.fixture(scope="module")
def printed(fifty_on):
    """The fifty as they are printed by default."""
    return fifty_on["a4"]


@pytest.fixture(scope="module")
def crowd():
    """Small letters on a small part of their blank, and a plate whose sides no other piece has."""
    return setup_sheet_of([*letters(60, largest=60), board(61, 23)], 1220, 610)


@pytest.fixture(scope="module")
def crowd_on(crowd):
    """The crowd as it is printed on each paper."""
    return {paper: list(pages_of(crowd, paper)) for paper in ("a4", "letter")}


@pytest.fixture(scope="module")
def upright_on():
    """Such a crowd along the lower edge of a blank, whose larger pages need no turn."""
    setup_sheet = setup_sheet_of([*letters(60, largest=60), board(61, 23)], 610, 1220, "width")
    return {"letter": list(pages_of(setup_sheet, "letter"))}


def _larger(pages):
    return [page for page in pages if "The used part, larger" in text_of(page)]


def _numbers(page, lowest=0, head=15):
    """The figures printed within the frame, above `lowest` mm of it and below the `head` mm of a further page."""
    lowest, top = 7 + lowest, page.get_size()[1] - (7 + head) * MM
    for said, bounds in printed_on(page):
        if said.isdigit() and bounds[1] > lowest * MM and bounds[3] < top:
            yield said, bounds


def _sides(piece):
    left, low, right, high = piece.outline.polygon.bounds
    return right - left, high - low


def _scale(page):
    return float(re.search(r"1 : (\d+(?:\.\d+)?)", text_of(page))[1])


@pytest.mark.parametrize("paper, size", [("a4", (297, 210)), ("letter", (279.4, 215.9))])
def test_a_setup_sheet_lies_on_its_side_on_the_paper_asked_for(fifty_on, paper, size):
    pages = fifty_on[paper]
    assert len(pages) > 2
    assert [side / MM for page in pages for side in page.get_size()] == pytest.approx(
        [*size] * len(pages), abs=0.01
    )


@pytest.mark.parametrize(
    "length, width, along", [(2440, 1220, "length"), (1220, 610, "width"), (600, 580, "length")]
)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_and_its_pieces_measure_what_the_scale_says(length, width, along, paper):
    page = pages_of(setup_sheet_of([board(300, 140), board(77, 250)], length, width, along), paper)[
        0
    ]
    scale, found = _scale(page), list(boxes_of(page))
    assert any(one == pytest.approx((length / scale, width / scale), abs=0.1) for one in found)
    for wide, high in ((300, 140), (77, 250)):
        sides = sorted((wide / scale, high / scale))
        assert any(sorted(one) == pytest.approx(sides, abs=0.1) for one in found), (wide, high)


def test_the_drawing_is_as_large_as_the_page_allows(printed):
    assert _scale(printed[0]) <= 10.5
    assert _scale(pages_of(setup_sheet_of([board(300, 300)], 640, 600))[0]) <= 4.2


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_symbol_reads_back_from_a_common_printer(fifty, fifty_on, paper):
    page = fifty_on[paper][0]
    (read,) = zxingcpp.read_barcodes(page.render(scale=203 / 72, grayscale=True).to_numpy())
    assert read.text == fifty.url
    assert codes.show(fifty.code) in text_of(page)


@pytest.mark.parametrize("count, pages", [(1, 1), (8, 1), (9, 2), (60, 2), (100, 3)])
def test_a_short_list_stands_on_page_one_and_a_long_one_on_pages_of_its_own(count, pages):
    setup_sheet = setup_sheet_of(letters(count, largest=120))
    found = pages_of(setup_sheet)
    assert len(found) - len(_larger(found)) == pages and len(setup_sheet.pieces) == count
    said = " ".join(map(text_of, found))
    assert Counter(codes.show(piece.code) for piece in setup_sheet.pieces) == Counter(
        code
        for code in re.findall(r"\b\d{4} \d{4}\b", said)
        if code != codes.show(setup_sheet.code)
    )
    assert all(
        setup_sheet.sheet in text_of(page) and f"{n} of {len(found)}" in text_of(page)
        for n, page in enumerate(found, 1)
    )


@pytest.mark.parametrize("count, largest", [(8, 500), (24, 500)])
def test_each_piece_bears_its_number_on_a_drawing_that_is_not_crowded(count, largest):
    setup_sheet = setup_sheet_of(letters(count, largest=largest))
    pages = pages_of(setup_sheet)
    assert not _larger(pages)
    assert not {str(piece.order) for piece in setup_sheet.pieces} - {
        said for said, _ in _numbers(pages[0], 58, 0)
    }


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_piece_of_a_crowd_bears_its_number_on_one_larger_page_or_on_two_where_they_overlap(
    crowd, crowd_on, paper
):
    pages = _larger(crowd_on[paper])
    assert len(pages) > 1
    spans = [
        [
            float(mm)
            for mm in re.search(r"([\d.]+) to ([\d.]+) mm along the width", text_of(page)).groups()
        ]
        for page in pages
    ]
    assert all(other[0] < one[1] < other[0] + 0.15 * 610 for one, other in pairwise(spans))
    found = [Counter(said for said, _ in _numbers(page)) for page in pages]
    for piece in crowd.pieces:
        if piece.order > 2:  # 1 and 2 are also numbers of zones
            _, low, _, high = piece.outline.polygon.bounds
            expected = [int(start <= (low + high) / 2 <= end) for start, end in spans]
            assert [one[str(piece.order)] for one in found] == expected and 1 <= sum(expected) <= 2


@pytest.mark.parametrize("paper, is_turned", [("a4", True), ("letter", True), ("letter", False)])
def test_larger_pages_follow_the_first_and_measure_what_their_own_scale_says(
    crowd_on, upright_on, paper, is_turned
):
    pages = (crowd_on if is_turned else upright_on)[paper]
    larger = _larger(pages)
    assert larger == pages[1 : len(larger) + 1] != []
    for page in larger:
        assert _scale(page) < 0.6 * _scale(pages[0]) and "S-207" in text_of(page)
        assert ("turned 90° to the left" in text_of(page)) == is_turned
    drawn = [(sorted(one), _scale(page)) for page in larger for one in boxes_of(page)]
    assert any(one == pytest.approx((23 / scale, 61 / scale), abs=0.1) for one, scale in drawn)


def test_a_turned_drawing_turns_the_pieces_and_leaves_the_numbers_upright(crowd, crowd_on):
    plate = next(
        piece for piece in crowd.pieces if piece.outline.area_mm2 == pytest.approx(61 * 23)
    )
    wide, high = _sides(plate)
    for page in _larger(crowd_on["a4"]):
        turned = pytest.approx((high / _scale(page), wide / _scale(page)), abs=0.1)
        is_here = str(plate.order) in {said for said, _ in _numbers(page)}
        assert any(one == turned for one in boxes_of(page)) or not is_here
        lying = [
            right - left > top - bottom
            for said, (left, bottom, right, top) in _numbers(page)
            if int(said) > 9
        ]
        assert lying and all(lying)


@pytest.mark.parametrize(
    "wide, high, scale, is_turned",
    [(610, 186, 2.2, False), (186, 610, 2.2, True), (50, 40, 1, False)],
)
def test_a_part_is_turned_where_that_makes_it_larger(wide, high, scale, is_turned):
    view = Part(0, 0, wide, high, True, 1, 1).view(
        Box(10, 20, 280, 170)
    )  # 610 / 280 = 2.18; never more than full size
    assert (view.scale, view.is_turned) == (scale, is_turned)
    middle = view.at(wide / 2, high / 2)
    assert middle == pytest.approx((150, 105))
    up = view.at(
        wide / 2 + 1, high / 2
    )  # what lay to the right lies above, once turned to the left
    assert (up[0] - middle[0], up[1] - middle[1]) == pytest.approx(
        (0, -1 / scale) if is_turned else (1 / scale, 0)
    )


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_parts_cover_the_used_part_and_overlap_a_little(crowd, count):
    parts = parts_of(of_setup_sheet(crowd), count)
    used = unary_union([piece.outline.polygon for piece in crowd.pieces])
    assert unary_union([box(it.left, it.bottom, it.right, it.top) for it in parts]).covers(used)
    assert all(
        0 < one.top - other.bottom < 0.15 * (one.top - one.bottom) for one, other in pairwise(parts)
    )
    assert max(it.right for it in parts) < 1220 / 3


def test_page_one_of_a_crowd_leaves_out_the_numbers_that_would_blot_and_says_where_they_are(
    crowd, crowd_on
):
    pages = crowd_on["a4"]
    count = len(_larger(pages))
    assert f"marks and numbers are on the next {count} pages" in text_of(pages[0])
    blots = {
        str(piece.order)
        for piece in crowd.pieces
        if max(_sides(piece)) < 8 * _scale(pages[0])
        and piece.order > 8  # up to 8 they are numbers of zones too
    }
    assert blots and not blots & {said for said, _ in _numbers(pages[0], 58, 0)}


def test_at_most_four_larger_pages_are_printed():
    setup_sheet = setup_sheet_of(letters(30, largest=40), 1220, 610, "width")
    assert len(_larger(pages_of(setup_sheet))) == 4


@pytest.mark.parametrize("iso, said", [("2026-12-03", "Thu 3 Dec 2026"), (None, "no due date")])
def test_the_first_due_day_is_printed_as_a_day(crowd, iso, said):
    setup_sheet = replace(
        crowd, first_due=iso, pieces=crowd.pieces[-9:]
    )  # `cal 12 2026` says Thursday
    assert all(said in text_of(page) for page in pages_of(setup_sheet))


def test_page_one_says_how_to_hold_and_how_to_cut(printed):
    said = text_of(printed[0])
    for words in (
        "Open zones 1, 2, 5 and 6",
        "6.35 mm, 2 flutes, straight, polished",
        "22.0 mm; the sheet is 6 mm",
        "18,000 rpm",
        "start at 2,520 mm/min (70 %), raise to 3,600 if the edge is clean",
        "1,200 mm/min",
        "5.6 + 0.4 mm",
        "274 W of 2,200 W",
        "about 23 min (18 to 30)",
        "18.2 min by the path × 1.27 (1.03 to 1.61)",
        "from 14 sheets",
        "sent 25 Nov 2026 14:12 by Ines",
        "9f86d081884c,",
        "holes before outlines",
        "cream, 6 mm",
        "full sheet",
        "J-1042 A, J-1042 B, J-1043 A",
        "Thu 26 Nov 2026",
        "2440 mm × 1220 mm",
        "18 full pass, 25 onion skin, 3 with tabs and 4 on tape, with an onion skin",
        "9, each 6.0 × 0.8 mm thick",
        *CAUTIONS,
    ):
        assert words in said


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_page_one_ends_with_who_decides_what_is_safe(fifty_on, paper):
    assert str(caution()) in text_of(fifty_on[paper][0])


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_legend_and_the_list_say_that_tape_goes_with_an_onion_skin(fifty_on, paper):
    said = list(map(text_of, fifty_on[paper]))
    assert said[0].count("on tape, with an onion skin") == 2  # in the count and in the legend
    assert "On tape, with an onion skin: 4 pieces" in " ".join(said)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_no_hold_down_is_shortened(fifty_on, paper):
    """Neither in the legend nor in the list; a name of a piece or a sign may be."""
    said = "\n".join(map(text_of, fifty_on[paper]))
    assert said.count("with an onion skin") == 3  # in the count, the legend and the group
    assert "with onion skin" in said  # in the legend
    assert not re.search(r"(?:onion|skin|\bs|tabs|tape|pass)…", said)


def test_a_sheet_held_by_tape_alone_is_cut_with_skin_passes_only(fifty):
    taped = tuple(replace(piece, way="tape") for piece in fifty.pieces[:6])
    said = text_of(pages_of(replace(fifty, pieces=taped))[0])
    assert "with skin 5.6 + 0.4 mm" in said and "skin feed" in said and "passes 6.0 mm" not in said


@pytest.mark.parametrize(
    "estimate, said",
    [
        (
            Estimate(3.3, 8.02, 3.6, 17.1, Correction(2.43, 1.1, 5.2, 3)),
            ("about 8 min (3 to 18)", "3.3 min by the path × 2.43"),
        ),
        (
            Estimate(0.24, 0.24, 0.1, 0.9, Correction(1, 0.4, 2.6, 0)),
            ("about 1 min (0 to 1)", "0.2 min by the path × 1.00;"),
        ),
    ],
)
def test_minutes_are_whole_and_at_least_one_their_limits_never_too_narrow(crowd, estimate, said):
    page = text_of(pages_of(replace(crowd, estimate=estimate, pieces=crowd.pieces[-4:]))[0])
    assert all(words in page for words in said)


def test_paper_and_file_bear_the_same_mark(fifty, printed):
    assert all("2 · 3f2a" in text_of(page) for page in printed)
    sentence = "The file name must contain 3f2a."
    assert text_of(printed[0]).count(sentence) == 1 and "S-207-nest-2-3f2a.dxf" in text_of(
        printed[0]
    )
    bare = text_of(pages_of(replace(fifty, mark="", pieces=fifty.pieces[-6:]))[0])
    assert "2 ·" not in bare and sentence not in bare


@pytest.mark.parametrize(
    "stock, mm, units, said",
    [
        ("cream, 6 mm", 5.6, "mm", "measured 5.6 mm"),
        ("opal 3, 4.5 mm", 4.55, "mm", "measured 4.55 mm"),
        ("cream, 6 mm", 5.6, "in", "measured 0.220 in"),  # 5.6 / 25.4
        ("cream, 6 mm", 6.0, "mm", None),
        ("opal 3, 4.5 mm", 4.5, "mm", None),
        ("offcuts of all kinds", 5.6, "mm", None),
    ],
)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_thickness_other_than_the_name_says_is_printed_with_the_stock(
    crowd, stock, mm, units, said, paper
):
    setup_sheet = replace(crowd, stock=stock, thickness_mm=mm, pieces=crowd.pieces[-4:])
    page = text_of(pages_of(setup_sheet, paper, units)[0])
    assert stock in page and (said in page if said else "measured" not in page)


def test_power_agrees_with_the_formula_worked_by_hand(printed):
    watts = 0.12 * 6 * 6.35 * 3600 / 60  # J/mm³ × depth × width × feed in mm/s: textbook
    assert f"{watts:.0f} W of 2,200 W" in text_of(printed[0])


def test_inches_stand_where_inches_are_asked_for(fifty):
    said = text_of(pages_of(fifty, units="in")[0])
    for words in (
        "96 1/16 in × 48 1/16 in",
        "start at 99 in/min (70 %), raise to 142 if",
        "0.220 + 0.016 in",
    ):
        assert words in said


@pytest.mark.parametrize(
    "passes, said",
    [
        ((3.0, 3.0), "2 × 3.0 mm"),
        ((5.6, 0.4), "5.6 + 0.4 mm"),
        ((4.8, 4.8, 0.4), "2 × 4.8 + 0.4 mm"),
        ((6,), "6.0 mm"),
    ],
)
def test_equal_passes_are_counted(passes, said):
    assert passes_in_words(passes, "mm") == said


def test_a_file_of_an_older_nest_is_warned_of_and_only_that(fifty, printed):
    sentence = "S-207-nest-2-0b1c.dxf went to the machine 25 Nov 2026 14:12. The sheet has changed since: fetch the new file."
    old = replace(
        NOW, name="S-207-nest-2-0b1c.dxf", sent_at="2026-11-25T14:12:00+00:00", is_stale=True
    )
    for setup_sheet in (
        fifty,
        setup_sheet_of(letters(5, largest=200), 600, 420),
        setup_sheet_of(letters(14), 700, 640),
    ):
        assert sentence in text_of(pages_of(replace(setup_sheet, file=old))[0])
    assert "has changed since" not in text_of(printed[0])
    assert "none has gone to the machine yet" in text_of(pages_of(replace(fifty, file=None))[0])


def test_cautions_past_page_one_go_on_past_the_larger_pages_and_none_is_lost(fifty):
    many = tuple(
        f"Caution {n}: keep the hose away from the dots, which lie on tape, and look twice."
        for n in range(1, 31)
    )
    pages = pages_of(replace(fifty, cautions=many))
    further = 1 + len(_larger(pages))
    assert f"Continued on page {further + 1}" in text_of(pages[0])
    both = text_of(pages[0]) + " " + text_of(pages[further])
    assert all(one in both for one in many)
    assert many[-1] not in text_of(pages[0])


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "outlines, length, width", [(50, 2440, 1220), (8, 700, 640), (6, 1220, 300)]
)
def test_no_two_texts_overlap_and_none_leaves_the_frame(paper, outlines, length, width):
    plain = setup_sheet_of(letters(outlines, largest=160), length, width)
    pieces = tuple(replace(piece, name=LONG, sign=LONG[4:]) for piece in plain.pieces)
    setup_sheet = replace(
        plain,
        pieces=pieces,
        stock=LONG,
        blank=LONG,
        signs=(LONG, LONG),
        sheet="S-207411",
        pump=LONG,
        cautions=(LONG, "W" * 200),
        file=replace(NOW, name=LONG),
    )
    for page in pages_of(setup_sheet, paper):
        frame = box(7 * MM, 7 * MM, page.get_size()[0] - 7 * MM, page.get_size()[1] - 7 * MM)
        words = page.get_textpage()
        found = [words.get_rect(n) for n in range(words.count_rects())]
        texts = [(words.get_text_bounded(*rect), box(*rect)) for rect in found]
        assert all(frame.contains(where) for _, where in texts)
        for (one, a), (other, b) in combinations(texts, 2):
            assert a.intersection(b).area < 0.03 * min(a.area, b.area), (one, other)


def test_a_long_name_ends_in_an_ellipsis_and_a_strange_letter_becomes_a_box(fifty):
    setup_sheet = replace(fifty, pieces=tuple(replace(piece, name=LONG) for piece in fifty.pieces))
    said = text_of(list(pages_of(setup_sheet))[-1])
    assert "Śródm" in said and "…" in said and "□" in said


def test_ten_times_the_pieces_take_about_ten_times_as_long():
    few, many = setup_sheet_of(letters(50, largest=150)), setup_sheet_of(letters(500, largest=150))
    assert len(many.pieces) == 500

    sheets = {50: few, 500: many}
    assert grows_at_most(15, lambda count: print_setup_sheet(sheets[count]), 50, 500)


def test_what_cannot_be_printed_is_refused_with_a_sentence(fifty):
    with pytest.raises(Refused, match=r"a4 or letter, not on “a3”\. Choose one of them"):
        print_setup_sheet(fifty, "a3")
    with pytest.raises(ValueError, match="shown in mm or in, not in 'cm'"):
        print_setup_sheet(fifty, reader=Reader("cm"))
    with pytest.raises(Refused, match=r"There are no pieces on sheet S-207\. Nest it first"):
        print_setup_sheet(replace(fifty, pieces=()))
    with pytest.raises(Refused, match="too long for the setup sheet"):
        print_setup_sheet(replace(fifty, url="HTTP://" + "A" * 250))
