"""The page of a sign's materials and fixings, and the form for a stock's expansion."""

from __future__ import annotations

import math
import re

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from materials_for_tests import BLUE, take_in
from shapely import LineString, Point
from shop_for_tests import HTMX, SHOP, TABLETS, answered_by, runs_off, too_small, words
from svgpathtools import parse_path

from shopfloor.actions import fixings as acts
from shopfloor.actions import settings
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.fixings.fixings import Fixing
from shopfloor.domain.outlines import Outline
from shopfloor.store import replay
from shopfloor.web.pictures.fixing_pictures import fixing_picture, slot_path
from shopfloor.web.pictures.paths import UNIT

PLAN = {
    "key": "p",
    "columns": "3",
    "rows": "2",
    "screw": "4",
    "edge": "30",
    "wall": "masonry",
    "moves": "",
}


def path_of(sign) -> str:
    return f"/bench/{sign.code}/materials"


# Fixings. -------------------------------------------------------------------------------------------------------------


def test_a_sign_without_fixings_asks_for_a_plan(as_assembler, plain):
    page = words(as_assembler.get(path_of(plain)))
    for expected in (
        "J-1001 A: materials and fixings",
        "No fixings yet.",
        "Plan the fixings",
        "−10 to 50 °C , the shop's usual temperatures",
        "2 joints of materials that move alike need nothing.",
    ):
        assert expected in page
    assert "Drilling template" not in page


def test_a_planned_sign_shows_its_holes_with_their_sizes_and_leads_to_the_template(
    as_assembler, shop, plain
):
    answer = as_assembler.post(path_of(plain) + "/fixings", data=PLAN)
    shown = as_assembler.get(answer.location)
    page = words(shown, with_drawings=False)
    for expected in (
        "6 screws of 4 mm into masonry",
        "The wall moves 0.1 mm per metre per 10 °C, the base 0.7.",
        "1 30 mm 270 mm 5.7 mm",
        "2 350 mm 270 mm 4.5 mm fixed point",
        "6 screws of 4 mm are planned",
    ):
        assert expected in page
    assert (
        f'href="/bench/{plain.code}/paper#drilling"' in shown.text
        and "drawn oversize, centred on their true positions" in page
    )
    assert shown.text.count('class="fixed-ring"') == 2, "in the drawing and in the legend"
    assert replay.differences(shop.read()) == []


def test_the_forms_work_without_htmx_and_with_it(as_assembler, plain):
    answer = as_assembler.post(path_of(plain) + "/fixings", data=PLAN, headers=HTMX)
    assert answer.headers["HX-Redirect"].startswith(path_of(plain))
    answer = as_assembler.post(path_of(plain) + "/fixings/clear", data={"key": "c"})
    assert (answer.status_code, "No fixings yet." in words(as_assembler.get(answer.location))) == (
        303,
        True,
    )
    refused = as_assembler.post(
        path_of(plain) + "/fixings", data={**PLAN, "key": "r", "edge": "8"}, headers=HTMX
    )
    assert (refused.status_code, "needs 2 hole diameters" in words(refused)) == (422, True)


def test_the_table_shows_a_slot_and_a_covered_hole(as_owner, shop, owner, mixed):
    """Holes at x 210 and 1,590 of 1,800 mm: 1,380 × (70 − 5) millionths × 31 K = 2.781 mm each way, so a slot 5.6 mm longer
    than its width of 3.5 mm. The panel lies from 60 to 360 mm over the first."""
    acts.plan_fixings(Caller(shop, owner), mixed.id, 3, 210, 2, 1, "wood, along the grain")
    page = words(as_owner.get(path_of(mixed)), with_drawings=False)
    assert "1 210 mm 250 mm 3.5 mm fixed point; covered by 'panel': screw in before gluing" in page
    assert "2 1590 mm 250 mm slot 3.5 × 9.1 mm towards the fixed point" in page


def test_a_shop_of_inches_types_and_reads_inches_and_drills_in_both(as_owner, shop, owner, plain):
    settings.change_settings(Caller(shop, owner), {"units": "in"})
    as_owner.post(path_of(plain) + "/fixings", data={**PLAN, "screw": "5/32", "edge": "1 1/4"})
    hole = acts.fixings_of(shop.read(), plain.id)[1]
    assert (hole.wall_mm, hole.y_mm) == (
        pytest.approx(25.4 * 5 / 32, abs=1e-3),
        pytest.approx(300 - 31.75),
    )
    shown = as_owner.get(path_of(plain))
    assert "1 1/4 in 10 9/16 in 5.7 mm (0.23 in)" in words(shown, with_drawings=False)
    assert 'name="edge" value="31.75 mm"' in shown.text


def test_the_holes_of_a_drawing_stand_where_no_plan_was_made(as_owner, shop, owner, plain_nests):
    """Holes of 8 mm, 240 mm from the fixed point: × 60 millionths × 31 K = 0.446 mm, so 8 − 0.5 − 0.893 = 6.6: 6.5 mm."""
    board = shapely.box(0, 0, 600, 300)
    for x in (60, 300, 540):
        board = board.difference(Point(x, 150).buffer(4, quad_segs=8))
    sign = take_in(shop, owner, [(Outline.of_polygon(board), BLUE, "board")], "Pier Rowing Club")
    page = words(as_owner.get(path_of(sign)))
    assert "3 screws of at most 6.5 mm, in the round holes of the drawing" in page
    assert (
        "The wall, assumed to be masonry, moves 0.1 mm per metre per 10 °C, the base 0.7." in page
    )
    assert len(acts.fixings_of(shop.read(), sign.id)) == 3 and "Plan other holes" in page


# Dissimilar materials. ----------------------------------------------------------------------------------------------------


def test_dissimilar_materials_are_listed_by_group_with_what_joins_them(
    as_owner, shop, owner, mixed, composite
):
    page = words(as_owner.get(path_of(mixed)))
    assert (
        "composite, 3 mm on cream, 6 mm level 1, 6 joints not known No expansion is entered for composite, 3 mm."
        in page
    )
    answer = as_owner.post(
        f"/stock/{composite}/expansion",
        data={"key": "e", "moves": "0.24", "source": "its data sheet"},
    )
    page = words(as_owner.get(answer.location))
    assert "0.24 mm per metre per 10 °C Source its data sheet" in page
    page = words(as_owner.get(path_of(mixed)))
    for expected in (
        "level 1, 6 joints; longest: 'L', 288.5 mm",
        "grows 0.41 mm against it from 21 to −10 °C: 0.21 mm at each end",
        "shrinks 0.38 mm against it from 21 to 50 °C: 0.19 mm at each end",
        "foam tape Use foam tape, no cement. The joint moves 0.21 mm at each end; 1.00 mm "
        "tape takes 0.50 mm.",
        "2 joints of materials that move alike",
    ):
        assert expected in page


def test_the_site_of_one_sign_is_set_and_given_back(as_assembler, mixed):
    answer = as_assembler.post(
        path_of(mixed) + "/site", data={"key": "s", "coldest": "-30", "warmest": "60"}
    )
    assert "−30 to 60 °C , set for this sign" in words(as_assembler.get(answer.location))
    answer = as_assembler.post(path_of(mixed) + "/site", data={"key": "u", "usual": "1"})
    assert "−10 to 50 °C , the shop's usual temperatures" in words(
        as_assembler.get(answer.location)
    )
    empty = as_assembler.post(path_of(mixed) + "/site", data={"key": "t"}, headers=HTMX)
    assert (empty.status_code, "Coldest there: type" in words(empty)) == (422, True)


def test_a_stock_says_what_is_known_of_it_and_only_an_owner_may_change_it(
    as_owner, as_assembler, composite, plain
):
    assert "Expansion not known" in words(as_assembler.get(f"/stock/{composite}"))
    assert "Enter a figure" not in words(as_assembler.get(f"/stock/{composite}"))
    [cream] = {
        link
        for link in re.findall(r'href="/stock/([\w-]*cream[\w-]*)"', as_owner.get("/stock").text)
    }
    page = words(as_owner.get(f"/stock/{cream}"))
    assert "0.7 mm per metre per 10 °C Source sheet makers' data" in page
    as_owner.post(
        f"/stock/{composite}/expansion",
        data={"key": "e", "moves": "0.24", "source": "its data sheet"},
    )
    answer = as_owner.post(f"/stock/{composite}/expansion", data={"key": "f", "moves": ""})
    assert "Expansion not known" in words(as_owner.get(answer.location))


def test_who_only_looks_sees_no_forms_and_no_such_sign_is_told(as_operator, plain):
    page = words(as_operator.get(path_of(plain)))
    assert "Plan the fixings" not in page and "Other temperatures" not in page
    assert as_operator.post(path_of(plain) + "/fixings", data=PLAN).status_code == 403
    assert as_operator.get("/bench/40729153/materials").status_code == 404


# The drawing. ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("half", "turn"), [(0, 0), (20, 0), (20, 37), (35, 250)])
def test_a_slot_is_drawn_as_all_points_within_its_radius_of_its_middle_line(half, turn):
    """Second opinion: svgpathtools walks the path data; each point of it lies the radius from the middle line (shapely)."""
    dx, dy = half * math.cos(math.radians(turn)), -half * math.sin(math.radians(turn))
    middle = LineString([(100 - dx, 80 - dy), (100 + dx, 80 + dy)]) if half else Point(100, 80)
    drawn = parse_path(slot_path(100, 80, 12, half, turn))
    points = [drawn.point(nth / 200) for nth in range(200)]
    assert all(
        middle.distance(Point(one.real, one.imag)) == pytest.approx(12, abs=0.15) for one in points
    )
    assert drawn.length() == pytest.approx(2 * math.pi * 12 + 4 * half, rel=0.01)


@given(
    st.floats(60, 740),
    st.floats(60, 240),
    st.floats(0, 800),
    st.floats(0, 300),
    st.floats(5, 120),
    st.integers(1, 40),
)
def test_a_holes_number_lies_on_a_part_only_where_all_six_places_would(
    x, y, left, foot, size, number
):
    """Brute force: a number's box, 10 px a figure and 11.5 px high, against the part's outline, at each place beside the hole."""
    part = Outline.of_polygon(shapely.box(left, foot, left + size, foot + size))
    hole = Fixing(number, x, y, 5.0, 0.0, 0.0, False, 4.0)
    picture = fixing_picture(
        "", (800, 300), ("", ""), [], [part], [hole], {}, box=(816, 316)
    )  # one pixel a millimetre
    [drawn] = picture.fixings
    wide, across, down = 10 * len(str(number)), drawn.x / UNIT, 300 - drawn.y / UNIT
    chosen = shapely.box(
        across - (wide if drawn.anchor == "end" else 0),
        down,
        across + (wide if drawn.anchor == "start" else 0),
        down + 11.52,
    )
    if not chosen.buffer(-0.1).intersects(part.polygon.boundary):
        return
    for side in (-1, 1):
        for away, level in ((11.5, 10.5), (11.5, -21.5), (14.5, -5.76)):
            near = x + side * away
            box = shapely.box(
                min(near, near + side * wide),
                y + level,
                max(near, near + side * wide),
                y + level + 11.52,
            )
            assert box.buffer(3.2).intersects(part.polygon.boundary)


@pytest.mark.browser
def test_the_page_can_be_read_and_hit_on_both_tablets(as_owner, shop, owner, mixed, composite):
    acts.set_expansion(Caller(shop, owner), composite, "0.24", "its data sheet")
    acts.plan_fixings(Caller(shop, owner), mixed.id, 5, 40, 4, 2, "masonry")
    with answered_by(as_owner) as page:
        for size in TABLETS.values():
            page.set_viewport_size(size)
            for path in (path_of(mixed), f"/stock/{composite}"):
                page.goto(SHOP + path)
                assert (too_small(page), runs_off(page), page.faults) == ([], False, [])
        page.goto(SHOP + path_of(mixed))
        page.get_by_text("Change the plan").click()
        page.locator("input[name=columns]").fill("2")
        page.get_by_role("button", name="Plan the fixings").click()
        page.get_by_text("4 screws of 5 mm are planned for").wait_for()
