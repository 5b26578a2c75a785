"""The laying out through the client: lines and figures, the datum, measuring, scanning."""

from __future__ import annotations

import itertools
import re

import pytest
from shapely import affinity
from shapely.geometry import Point
from shop_for_tests import HTMX, box, grows_at_most, words
from werkzeug.http import parse_cookie

from shopfloor.actions import pieces as piece_acts
from shopfloor.actions import settings as settings_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.codes import show
from shopfloor.domain.outlines import Outline
from shopfloor.scenes.numbers import spread


def url(sign, last="") -> str:
    return f"/bench/{sign.code}{last}"


def label(page: str, number: int) -> str:
    return re.search(rf'aria-label="({number} \w+: [^"]*)"', page)[1]


def measured(sign, name="A", **typed):
    return {
        "key": f"k{typed}",
        "step": sign.step().id,
        "part": sign.parts[name],
        "datum": "left edge",
        **typed,
    }


def test_each_line_shows_its_height_its_baseline_and_its_figures(as_assembler, door):
    page = as_assembler.get(url(door)).text
    assert "Line 1: 80 mm high, baseline 60 mm above the lower edge" in page
    # by hand, see test_setting_out.py
    assert label(page, 2) == "2 A: left 52.5, centre 83, right 113.5"
    assert label(page, 6) == "6 E: left 339, centre 372, right 405.5"
    assert "may be 0.8 mm off" in page


def test_the_drawing_bears_each_figure_once_and_a_tick_for_what_sits_right(as_assembler, door):
    page = as_assembler.get(url(door)).text
    drawing = re.search(r'<div class="running".*?</svg>', page, re.S)[0]
    shown = re.findall(r"rotate\(-90\)\">([^<]+)</text>", drawing)
    edges = ["52.5", "113.5", "135", "183", "204", "276.5", "297", "317", "339", "405.5"]
    assert sorted(shown, key=float) == sorted([*edges, "83", "159", "240", "307", "372"], key=float)
    assert drawing.count('class="tick"') == 0
    as_assembler.post(
        url(door, "/scan-place"), data={"key": "s", "step": door.step().id, "code": door.codes["A"]}
    )
    assert (
        re.search(r'<div class="running".*?</svg>', as_assembler.get(url(door)).text, re.S)[
            0
        ].count('class="tick"')
        == 1
    )


def test_the_datum_is_chosen_once_and_kept_by_the_tablet_through_taps(
    as_assembler, as_operator, door
):
    answer = as_assembler.get(url(door, "/datum?datum=centre+line"))
    assert answer.status_code == 303 and answer.headers["Location"] == url(door)
    assert parse_cookie(answer.headers["Set-Cookie"])["shopfloor_datum"] == "centre-line"
    assert "HttpOnly" in answer.headers["Set-Cookie"]
    assert (
        label(as_assembler.get(url(door)).text, 2) == "2 A: left −247.5, centre −217, right −186.5"
    )
    tap = {"key": "t", "step": door.step().id, "part": door.parts["A"]}
    after = as_assembler.post(url(door, "/set-out"), data=tap, headers=HTMX).text
    assert label(after, 2) == "2 A: left −247.5, centre −217, right −186.5, OK"
    assert label(as_operator.get(url(door)).text, 2).startswith("2 A: left 52.5")  # another tablet


def test_a_datum_that_is_none_is_refused(as_assembler, door):
    assert as_assembler.get(url(door, "/datum?datum=right+edge")).status_code == 422


def test_in_thirty_seconds_of_an_inch(as_assembler, shop, owner, door):
    settings_acts.change_settings(Caller(shop, owner), {"units": "in", "inch_fraction": "32"})
    page = as_assembler.get(url(door, "")).text
    # 52.3 mm = 65.89/32 in; 83.0 → 104.57/32; 113.7 → 143.24/32
    assert label(page, 2) == "2 A: left 2 1/16, centre 3 9/32, right 4 15/32"
    assert "Figures in inches to 1/32. Measure from:" in page


def test_letters_that_dip_by_design_say_so(as_assembler, lay_letters):
    shapes = [
        ("H", 1, box(20, 60, 50, 80)),
        ("O", 1, round_o(90, 59.1, 80)),
        ("E", 1, box(190, 60, 40, 80)),
    ]
    shapes += [("L", 1, box(240, 60, 40, 80)), ("T", 1, box(290, 60, 44, 80))]
    page = as_assembler.get(url(lay_letters(shapes))).text
    assert "0.9 mm below the line by design: leave it" in page


def round_o(left: float, foot: float, wide: float):
    """An ellipse with 0.9 mm of overshoot at the foot and at the head of a letter of 80 mm."""
    circle = affinity.scale(Point(0, 0).buffer(1, 24), wide / 2, 81.8 / 2)
    return Outline.of_polygon(affinity.translate(circle, left + wide / 2, foot + 81.8 / 2))


# Measuring. -----------------------------------------------------------------------------------------------------------


def test_the_form_of_a_measuring_opens_at_its_row_and_says_what_to_measure(as_assembler, door):
    page = as_assembler.get(url(door, f"?measure={door.parts['A']}"))
    shown = words(page, with_drawings=False)
    assert "Left edge from the sign's left edge should be 52.5 mm" in shown
    assert "Foot above the sign's lower edge should be 60 mm" in shown
    assert (
        page.text.count('name="across"') == 1 and "data-scan" not in page.text
    )  # the scan field would take the focus


def test_an_open_form_stays_open_when_the_page_refreshes_itself(as_assembler, door):
    current = {**HTMX, "HX-Current-URL": f"http://localhost{url(door)}?measure={door.parts['A']}"}
    assert 'name="across"' in as_assembler.get(url(door, "/now?seen=0"), headers=current).text
    assert 'name="across"' not in as_assembler.get(url(door, "/now?seen=0"), headers=HTMX).text


def test_what_is_right_closes_the_form_and_stands_in_the_row(as_assembler, door):
    answer = as_assembler.post(
        url(door, "/measure"), data=measured(door, across="52,6"), headers=HTMX
    )
    assert (
        "OK: 0.3 mm off, 0.8 mm allowed" in answer.text and "measured: 0.3 mm right" in answer.text
    )
    assert 'name="across"' not in answer.text and 'class="says refused"' not in answer.text
    assert answer.headers["HX-Replace-Url"] == url(door)
    assert door.ticked() == "A"


def test_what_is_off_leaves_the_form_open_and_says_where_to(as_assembler, door):
    answer = as_assembler.post(
        url(door, "/measure"), data=measured(door, across="53.8", up="60"), headers=HTMX
    )
    assert (
        answer.status_code == 200
        and 'class="says refused"' in answer.text
        and "Undo" in answer.text
    )
    assert (
        answer.text.count("1.5 mm too far right: move it left.") == 2
    )  # at the head, and in its row
    assert 'name="across"' in answer.text and door.ticked() == ""
    assert answer.headers["HX-Replace-Url"].endswith(f"measure={door.parts['A']}")


def test_from_the_centre_line_a_distance_is_typed_without_its_sign(as_assembler, door):
    as_assembler.get(url(door, "/datum?datum=centre+line"))
    page = words(as_assembler.get(url(door, f"?measure={door.parts['A']}")), with_drawings=False)
    assert "Left edge, left of the centre line should be 247.5 mm" in page  # 300 - 52.3 = 247.7
    as_assembler.post(
        url(door, "/measure"), data=measured(door, across="247.5", datum="centre line")
    )
    assert door.measured()[0][2] == 0.2  # 247.5 left of 300 is 52.5: 0.2 mm too far right


def test_in_an_inch_shop_fractions_are_typed(as_assembler, shop, owner, door):
    settings_acts.change_settings(Caller(shop, owner), {"units": "in"})
    for n, text in enumerate(("2 1/16", "2-1/16", "2.0625")):
        as_assembler.post(
            url(door, "/measure"), data=measured(door, across=text) | {"key": f"i{n}"}
        )
    assert {row[2] for row in door.measured()} == {0.0875}  # 2 1/16 in = 52.3875 mm


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"across": "", "up": ""}, "one of the two distances"),
        ({"across": "wide"}, "Type it like 106.5"),
        ({"up": "6O"}, "Type it like 106.5"),
        ({"across": "52", "datum": "door"}, "Choose one of the two"),
        ({"part": "x", "up": "60"}, "Reload the page"),
        ({"part": "999", "across": "60"}, "Reload the page"),
        ({"part": "999", "up": "60"}, "Reload the page"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence_and_nothing_is_kept(
    as_assembler, door, typed, sentence
):
    answer = as_assembler.post(url(door, "/measure"), data=measured(door) | typed, headers=HTMX)
    assert answer.status_code in (404, 422) and sentence in answer.text
    assert answer.headers["HX-Retarget"] == "#says" and door.measured() == []


def test_without_scripts_a_measuring_leads_back_to_the_sign(as_assembler, door):
    wrong = as_assembler.post(
        url(door, "/measure"), data=measured(door, across="50"), follow_redirects=True
    )
    assert (
        wrong.text.count("2.3 mm too far left: move it right.") == 2
    )  # at the head, and in its row
    assert 'name="across"' in wrong.text and "<html" in wrong.text
    right = as_assembler.post(
        url(door, "/measure"), data=measured(door, across="52.3"), follow_redirects=True
    )
    assert "OK: no difference on the rule." in right.text and 'name="across"' not in right.text


def test_who_is_no_assembler_measures_nothing(as_operator, door):
    page = as_operator.get(url(door, f"?measure={door.parts['A']}")).text
    assert 'name="across"' not in page and "Measure 2 A" not in page and "data-scan" not in page
    assert (
        as_operator.post(url(door, "/measure"), data=measured(door, across="52.3")).status_code
        == 403
    )


# Scanning. ------------------------------------------------------------------------------------------------------------


def scanned(sign, code):
    return {"key": code, "step": sign.step().id, "code": code}


def test_a_scan_sets_a_part_out(as_assembler, door):
    answer = as_assembler.post(
        url(door, "/scan-place"), data=scanned(door, show(door.codes["B"])), headers=HTMX
    )
    assert "&#39;B&#39; (no. 3): OK. 1 of 5 set out." in answer.text and door.ticked() == "B"


def test_a_scan_of_something_else_says_what_it_is(as_assembler, assembler, shop, lay_letters, door):
    other = lay_letters()
    answer = as_assembler.post(
        url(door, "/scan-place"), data=scanned(door, other.codes["B"]), headers=HTMX
    )
    assert answer.status_code == 409 and "for another sign, J-1002 A, level 1" in answer.text
    answer = as_assembler.post(
        url(door, "/scan-place"), data=scanned(door, door.code), headers=HTMX
    )
    assert answer.status_code == 422 and "not a piece" in answer.text
    piece_acts.mark(Caller(shop, assembler), [door.codes["A"]], "lost")
    answer = as_assembler.post(
        url(door, "/scan-place"), data=scanned(door, door.codes["A"]), headers=HTMX
    )
    assert answer.status_code == 409 and "is marked lost, and its recut is" in answer.text
    answer = as_assembler.post(
        url(door, "/scan-place"), data=scanned(door, "40729153"), headers=HTMX
    )
    assert answer.status_code == 404
    assert door.ticked() == ""


# The drawing's figures. -----------------------------------------------------------------------------------------------


def test_figures_that_would_lie_on_each_other_are_spread_about_their_middle():
    assert spread([0, 100, 200], 20) == [0, 100, 200]
    assert spread([50, 50], 20) == [40, 60]
    assert spread([50, 51, 52], 20) == [31, 51, 71]
    placed = spread([0, 5, 6, 80, 81, 300], 20)
    assert all(b - a >= 20 - 1e-9 for a, b in itertools.pairwise(placed))


# Ten times the letters. -----------------------------------------------------------------------------------------------


def test_a_sign_of_five_hundred_letters_is_shown_and_tapped_in_about_ten_times_the_time_of_one_of_fifty(
    as_assembler, lay_letters
):
    def letters(count):
        return [
            (f"x{n}", 1, box(20 + 60 * (n % 25), 20 + 90 * (n // 25), 30 + n % 7, 60))
            for n in range(count)
        ]

    signs = {count: lay_letters(letters(count), 1600, 2000) for count in (50, 500)}
    page = as_assembler.get(url(signs[500])).text
    assert page.count('class="place-row"') == 500

    def tap(count):
        sign = signs[count]
        tapped = {"key": f"{count}", "step": sign.step().id, "part": sign.parts["x7"]}
        assert (
            as_assembler.post(url(sign, "/set-out"), data=tapped, headers=HTMX).status_code == 200
        )

    assert grows_at_most(20, tap, 50, 500)
