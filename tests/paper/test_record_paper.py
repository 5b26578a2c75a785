"""The record as it is printed, read back by pypdfium2: one page whatever the sign, nothing outside its frame, to scale."""

from dataclasses import replace
from datetime import timedelta

import pypdfium2
import pytest
from printed_setup_sheets import boxes_of, printed_on
from records_for_tests import (
    IMAGE,
    MM,
    PATH,
    START,
    TEXT,
    WORDY,
    huge,
    pages_of,
    photo,
    reach_of,
    record,
    tall,
    text_of,
)

from shopfloor.domain.bench.cure import NO_END
from shopfloor.domain.bench.records import OpenedEarly, RecordedGluing, RecordedPlace, sections
from shopfloor.domain.errors import Refused
from shopfloor.paper import records as paper
from shopfloor.paper.records import EDGE, print_record
from shopfloor.paper.words import PAPERS
from shopfloor.wording import records as wording
from shopfloor.wording.formatting import Reader

SIGNS = {
    "small": record(3),
    "fifty": record(50, glue_ups=3, spoiled=4, photos=[photo()]),
    "huge": huge(),
    "tall": tall(),
    "bare": record(0, glue_ups=0, steps=(), people=(), received=None, state="open"),
    "five hundred": record(500, glue_ups=20, spoiled=37),
}


@pytest.fixture(scope="module")
def printed():
    return {name: pages_of(sign) for name, sign in SIGNS.items()}


@pytest.mark.parametrize("name", sorted(SIGNS))
def test_it_is_one_page_and_nothing_leaves_its_frame(printed, name):
    [page] = printed[name]
    wide, high = (side / MM for side in page.get_size())
    assert (wide, high) == pytest.approx(PAPERS["a4"], abs=0.01)
    for kind in (TEXT, PATH, *([IMAGE] if SIGNS[name].photos else [])):
        left, bottom, right, top = reach_of(page, kind)
        slack = 0.75  # pdfium adds the frame's own line, 0.7 mm, on each side
        assert left >= EDGE - slack and bottom >= EDGE - slack, kind
        assert right <= wide - EDGE + slack and top <= high - EDGE + slack, kind


@pytest.mark.parametrize("name", ["huge", "small"])
def test_it_is_one_page_of_letter_paper_too(name):
    [page] = pages_of(SIGNS[name], "letter", "in")
    assert [side / MM for side in page.get_size()] == pytest.approx(
        (215.9, 279.4), abs=0.01
    )  # ANSI/ASME Y14.1
    left, bottom, right, top = reach_of(page, TEXT)
    assert left >= EDGE and bottom >= EDGE and right <= 215.9 - EDGE and top <= 279.4 - EDGE


def texts(page):
    return [thing.get_bounds() for thing in page.get_objects(filter=[TEXT])]


@pytest.mark.parametrize("name", ["fifty", "huge"])
def test_no_words_stand_on_others(printed, name):
    boxes = sorted(texts(printed[name][0]))
    for at, (left, bottom, right, top) in enumerate(boxes):
        for other in boxes[at + 1 :]:
            if other[0] >= right - 0.5:
                break
            assert min(top, other[3]) - max(bottom, other[1]) < 0.5, (name, left, bottom)


def test_what_has_no_room_is_counted(printed):
    said = text_of(printed["huge"][0])
    for what in (
        "501 parts on 4 levels: 501 mounted. 60 pieces lost or damaged.",
        "500 parts measured, 0 within",
        "and 36 more",
        "4 × 2 screws of 5 mm, 25 mm from the edges, on brick",
        "Hand over: not done",
    ):
        assert what in said
    rows = {str(section.head): len(section.rows) for section in sections(SIGNS["huge"])}
    shown = said[said.index("Glue-ups") :].split("Cures ended")[0]
    left_out = int(shown.rsplit("and ", 1)[1].split(" more")[0])
    assert shown.count("batch A-") + left_out == rows["Glue-ups"] == 20


def test_where_nothing_helps_the_page_says_that_there_is_more(monkeypatch):
    monkeypatch.setattr(paper, "CAPS", ())
    [page] = pages_of(SIGNS["huge"])
    assert str(wording.no_room()) in text_of(page)
    left, bottom, right, top = reach_of(page, TEXT)
    assert left >= EDGE and bottom >= EDGE and right <= 210 - EDGE and top <= 297 - EDGE


def test_a_small_sign_says_all_of_it(printed):
    said = text_of(printed["fifty"][0])
    for what in (
        "J-1042 A",
        "6121 7020",
        "Harbour office",
        "Fascia",
        "20 Nov 2026",
        "1 Dec 2026",
        "P. Harbourmaster",
        "27 Nov 2026 09:00, by Ana",
        "No. 2 'A', recut 1 (0000 0002): 0000 9000 lost (went down the hose)",
        "batch A-116, 21.5 °C, 48 % humidity; cure to 26 Nov 2026 09:00",
        "outside its limits: cold morning",
        "Cure level 1: 26 Nov 2026 09:00",
        "Inspect: No scratch, no haze",
        "At the router: Ben",
    ):
        assert what in said, what
    assert " more" not in said and "…" not in said


def numbers_over(page, high_mm: float) -> list[int]:
    """The numbers that stand by themselves over a height of the page: those of the drawing."""
    return [
        int(said)
        for said, (_, bottom, _, _) in printed_on(page)
        if said.isdigit() and bottom > high_mm * MM
    ]


def test_each_part_that_has_room_bears_its_number_once(printed):
    assert sorted(numbers_over(printed["fifty"][0], 230)) == list(range(1, 52))
    assert "left out for lack of room" not in text_of(printed["fifty"][0])


def test_numbers_without_room_are_counted(printed):
    said = text_of(printed["five hundred"][0])
    without = int(said.split("Numbers left out for lack of room: ")[1].split(".")[0])
    numbers = numbers_over(printed["five hundred"][0], 90)
    assert without > 0 and without + len(numbers) == 501 and len(set(numbers)) == len(numbers)


def test_the_drawing_is_to_the_scale_that_is_said(printed):
    page = printed["fifty"][0]
    said = text_of(page)
    scale = float(said.split("1 : ")[1].split()[0])
    boards = [
        box for box in boxes_of(page) if box == pytest.approx((1300 / scale, 240 / scale), abs=0.02)
    ]
    assert boards, "the board of 1300 × 240 mm"


def test_photos_are_printed_in_their_own_proportions(printed):
    for thing in printed["huge"][0].get_objects(filter=[IMAGE]):
        left, bottom, right, top = thing.get_bounds()
        across, up = thing.get_px_size()
        assert (right - left) / (top - bottom) == pytest.approx(across / up, rel=0.01)
    assert len(list(printed["huge"][0].get_objects(filter=[IMAGE]))) == 4


def test_the_same_record_is_the_same_file():
    assert print_record(SIGNS["fifty"]) == print_record(SIGNS["fifty"])
    later = replace(SIGNS["fifty"], made_at=START + timedelta(days=1))
    assert print_record(later) != print_record(SIGNS["fifty"])


def test_inches_are_said_where_the_shop_has_them():
    [page] = pages_of(record(3), "letter", "in")
    assert "51 3/16 in × 5 7/8 in" in text_of(
        page
    )  # 1300 / 25.4 = 51.181, 150 / 25.4 = 5.906: nearest sixteenths


def test_another_paper_or_unit_is_refused():
    with pytest.raises(Refused, match="a4 or letter"):
        print_record(record(3), "a3")
    with pytest.raises(ValueError, match="mm or in"):
        print_record(record(3), "a4", Reader("cubits"))


# What is said. --------------------------------------------------------------------------------------------------------


def rows(head: str, made) -> tuple[str, ...]:
    for section in sections(made):
        if str(section.head) == head:
            return tuple(str(row) for row in section.rows)
    return ()


def test_a_part_outside_its_tolerance_says_which_way_and_how_far():
    places = (
        RecordedPlace(2, 0.5, None, 1.0),
        RecordedPlace(3, -1.84, 0.2, 1.0),
        RecordedPlace(4, None, 2.54, 1.0),
    )
    assert rows("Positions measured", record(3, places=places)) == (
        "3 parts measured, 1 within tolerance.",
        "No. 3 'B': 1.8 mm to the left and 0.2 mm too high (1.0 mm allowed)",
        "No. 4 'C': 2.5 mm too high (1.0 mm allowed)",
    )


def test_a_cure_that_was_opened_early_says_by_whom_and_why():
    opened = OpenedEarly(
        "Cure level 1", START, START + timedelta(hours=20), "held by a clamp", "Maud"
    )
    assert rows("Cures ended early", record(opened=(opened,))) == (
        "Cure level 1: 25 Nov 2026 09:00 instead of 26 Nov 2026 05:00, Maud: held by a clamp",
    )


def test_a_glue_up_outside_its_limits_gives_the_reason():
    one = RecordedGluing(START, START, "Cement", "7B", 12.0, 90.0, "the hall was cold", 1, "Ana")
    [said] = rows("Glue-ups", record(gluings=(one,)))
    assert said.startswith(
        "25 Nov 2026 09:00, Ana: 1 piece, Cement, batch 7B, 12 °C, 90 % humidity"
    )
    assert said.endswith("outside its limits: the hall was cold")


def test_a_paused_cure_has_no_end():
    one = RecordedGluing(START, NO_END, "Cement", "7B", 8.0, 50.0, "", 2, "Ana")
    [said] = rows("Glue-ups", record(gluings=(one,)))
    assert said.endswith("50 % humidity; cure paused: too cold") and "9999" not in said


def test_who_has_the_sign_is_in_the_title_block(printed):
    assert "nobody yet: the sign is open" in text_of(printed["bare"][0])
    [page] = pages_of(record(3, state="on hold"))
    assert "27 Nov 2026 09:00, by Ana; now on hold" in text_of(page)


def test_times_and_lengths_are_the_readers():
    east = Reader("in", denominator=32, zone="Europe/Helsinki")  # UTC+2 in November
    [page] = pypdfium2.PdfDocument(print_record(record(3), "a4", east))
    said = text_of(page)
    assert "25 Nov 2026 11:00, Ana" in said
    assert "51 3/16 in × 5 29/32 in" in said  # 5.9055 in: 5 29/32 is nearest, 5 7/8 to a sixteenth


def test_headings_without_anything_are_left_out():
    assert [str(section.head) for section in sections(SIGNS["bare"])] == ["Pieces", "Sheets"]


def test_words_without_end_stay_in_their_boxes(printed):
    said = text_of(printed["huge"][0])
    assert said.count(WORDY[:20]) >= 5 and WORDY.strip() not in said
