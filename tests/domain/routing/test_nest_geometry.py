"""The check of a nest, the offcut and the walk along the table: pure geometry, no packing library."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry import Polygon

from shopfloor.domain.outlines import Outline
from shopfloor.domain.recuts.recut_planning import Tried
from shopfloor.domain.routing.nests import (
    Item,
    NestRules,
    Placed,
    Strip,
    better_of,
    faults,
    fitting_turns,
    offcut_size,
    sheet_of,
    solid,
    turned_box,
    walking_order,
    why_left_out,
)
from shopfloor.domain.routing.shelf_packing import shelved, shelved_sheets

LENGTH, WIDTH = 1000.0, 600.0
RULES = NestRules(gap_mm=8.0, margin_mm=12.0)


def plate(key, wide, high):
    return Item(key, Outline.of_polygon(box(0, 0, wide, high)), f"plate {key}")


def sheet(items, *places, along="length"):
    placed = [Placed(item.key, *place) for item, place in zip(items, places, strict=True)]
    return sheet_of(placed, items, along, LENGTH, WIDTH, RULES)


def wasted_mm2(one, net_mm2, length_mm, width_mm, *from_mm):
    """What of a blank is neither piece nor kept offcut, as the choice among offcuts counts it."""
    kept = offcut_size(one, length_mm, width_mm, *from_mm) or (0.0, 0.0)
    return Tried("blank", length_mm * width_mm, net_mm2, kept[0] * kept[1]).waste_mm2


TWO = [plate("a", 100, 50), plate("b", 100, 50)]


def test_a_nest_that_keeps_gap_and_margin_has_no_faults():
    good = sheet(TWO, (12, 12, 0), (12, 70, 0))  # 12 + 50 + 8 = 70
    assert faults(good, TWO, LENGTH, WIDTH, RULES) == []


def test_outlines_nearer_than_the_gap_are_named_with_their_distance():
    near = sheet(TWO, (12, 12, 0), (12, 69.5, 0))
    assert [str(fault) for fault in faults(near, TWO, LENGTH, WIDTH, RULES)] == [
        "The parts “plate a” and “plate b” are 7.5 mm apart; the gap must be 8.0 mm."
    ]


@pytest.mark.parametrize("place", [(11.9, 12, 0), (12, 11.9, 0), (888.1, 12, 0), (12, 538.1, 0)])
def test_an_outline_past_the_margin_is_named_on_each_side(place):
    (fault,) = faults(sheet(TWO[:1], place), TWO[:1], LENGTH, WIDTH, RULES)
    assert "plate a" in str(fault) and "12 mm" in str(fault)


def test_a_piece_placed_twice_is_a_fault():
    twice = sheet([TWO[0], TWO[0]], (12, 12, 0), (12, 200, 0))
    assert any("2 times" in str(fault) for fault in faults(twice, TWO, LENGTH, WIDTH, RULES))


def test_a_piece_nobody_asked_for_is_a_fault():
    assert faults(sheet(TWO, (12, 12, 0), (12, 70, 0)), TWO[:1], LENGTH, WIDTH, RULES)


def test_a_piece_in_the_counter_of_another_is_a_fault():
    ring = Item(
        "o",
        Outline.of_polygon(Polygon(box(0, 0, 200, 200).exterior, [box(40, 40, 160, 160).exterior])),
        "O",
    )
    dot = plate("dot", 20, 20)
    assert faults(sheet([ring, dot], (12, 12, 0), (100, 100, 0)), [ring, dot], LENGTH, WIDTH, RULES)


def test_with_no_gap_outlines_may_touch_but_not_overlap():
    rules = NestRules(gap_mm=0, margin_mm=0)
    touching, over = sheet(TWO, (0, 0, 0), (0, 50, 0)), sheet(TWO, (0, 0, 0), (0, 49, 0))
    assert faults(touching, TWO, LENGTH, WIDTH, rules) == []
    assert len(faults(over, TWO, LENGTH, WIDTH, rules)) == 1


def test_used_length_ends_one_gap_behind_the_last_outline_and_the_yield_follows():
    along_length = sheet(
        TWO, (12, 12, 0), (12, 70, 90)
    )  # turned by 90°, b reaches x = 12 and y = 170
    assert along_length.used_mm == 12 + 100 + 8
    assert math.isclose(along_length.yield_share, 2 * 100 * 50 / (120 * WIDTH))
    along_width = sheet(TWO, (12, 12, 0), (12, 70, 0), along="width")
    assert along_width.used_mm == 70 + 50 + 8
    assert math.isclose(along_width.yield_share, 2 * 100 * 50 / (128 * LENGTH))


def test_the_used_length_never_passes_the_blank():
    assert sheet(TWO[:1], (888, 12, 0)).used_mm == 996
    assert sheet([plate("c", 976, 50)], (20, 12, 0)).used_mm == LENGTH


def test_holes_do_not_count_as_yield():
    holed = Outline.of_polygon(Polygon(box(0, 0, 100, 50).exterior, [box(10, 10, 90, 40).exterior]))
    one = sheet([Item("h", holed, "h")], (12, 12, 0))
    assert math.isclose(one.yield_share, (5000 - 2400) / (120 * WIDTH))


def test_an_offcut_lies_beyond_the_used_length_and_is_kept_from_100_mm():
    assert offcut_size(sheet(TWO, (12, 12, 0), (12, 70, 0)), LENGTH, WIDTH) == (880, 600)
    assert offcut_size(sheet(TWO, (12, 12, 0), (12, 70, 0), along="width"), LENGTH, WIDTH) == (
        1000,
        472,
    )
    assert offcut_size(sheet(TWO[:1], (792, 12, 0)), LENGTH, WIDTH) == (100, 600)
    assert offcut_size(sheet(TWO[:1], (793, 12, 0)), LENGTH, WIDTH) is None


@pytest.mark.parametrize(
    ("along", "from_mm", "wasted"),
    [  # the pieces end at 120 mm along the length, at 128 mm along the width: 880 or 472 mm are left
        ("length", 100, 120 * 600 - 10_000),
        ("length", 600, 120 * 600 - 10_000),  # the shorter side is the blank's width
        ("length", 601, 1000 * 600 - 10_000),
        ("width", 472, 1000 * 128 - 10_000),
        ("width", 473, 1000 * 600 - 10_000),
    ],
)
def test_what_is_neither_piece_nor_kept_offcut_is_wasted(along, from_mm, wasted):
    one = sheet(TWO, (12, 12, 0), (12, 70, 0), along=along)
    assert wasted_mm2(one, 2 * 100 * 50, LENGTH, WIDTH, from_mm) == pytest.approx(wasted, abs=1e-6)


def test_the_offcut_and_the_waste_and_the_pieces_make_up_the_blank():
    holed = Item(
        "h",
        Outline.of_polygon(Polygon(box(0, 0, 100, 50).exterior, [box(10, 10, 90, 40).exterior])),
        "h",
    )
    one = sheet([holed], (12, 12, 0))
    wasted = wasted_mm2(one, holed.outline.area_mm2, LENGTH, WIDTH)
    assert wasted == pytest.approx(120 * WIDTH - (5000 - 2400)), "the slug of a hole is waste"
    beside = box(0, 0, one.used_mm, WIDTH).difference(holed.outline.placed(12, 12, 0).polygon)
    assert wasted == pytest.approx(beside.area), "as shapely measures it"


def test_labels_are_walked_out_band_by_band_along_the_table():
    items = [plate(key, 50, 50) for key in "abcdef"]
    places = [(700, 20, 0), (100, 400, 0), (20, 20, 0), (110, 20, 0), (400, 300, 0), (350, 500, 0)]
    assert walking_order(sheet(items, *places), items) == ["c", "d", "b", "e", "f", "a"]


def test_the_band_is_told_by_the_middle_of_the_turned_piece():
    items = [plate("long", 200, 20), plate("dot", 20, 20)]
    turned = sheet(
        items, (310, 12, 90), (100, 400, 0)
    )  # lies from x = 290 to 310: its middle is at 300
    assert walking_order(turned, items) == ["dot", "long"]


@given(
    st.floats(0, 360),
    st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=3, max_size=9),
)
@settings(max_examples=40)
def test_a_turned_box_is_the_box_of_the_turned_outline(turn, points):
    outline = Outline((tuple(points),))
    assert turned_box(outline, turn) == pytest.approx(outline.turned(turn).bounds, abs=0.002)


@pytest.mark.parametrize("along", ["length", "width"])
@given(st.floats(0, 300), st.floats(0, 300), st.sampled_from([0.0, 90.0, 180.0, 270.0, 35.0]))
@settings(max_examples=20)
def test_a_place_in_the_strip_is_the_same_place_on_the_sheet(along, x, y, turn):
    outline = Outline.of_polygon(Polygon([(0, 0), (90, 0), (20, 60)]))
    strip = Strip.of_blank(along, LENGTH, WIDTH, 12)
    placed = strip.on_sheet("t", x, y, turn)
    on_sheet = outline.placed(placed.x, placed.y, placed.turn).bounds
    left, bottom, right, top = outline.turned(strip.quarter).placed(x, y, turn).bounds
    if along == "length":
        expected = (left + 12, bottom + 12, right + 12, top + 12)
    else:  # up in the strip is left on the sheet
        expected = (LENGTH - 12 - top, left + 12, LENGTH - 12 - bottom, right + 12)
    assert on_sheet == pytest.approx(expected, abs=0.005)


def test_only_allowed_turns_are_tried_and_odd_ones_only_where_no_other_fits():
    tall = plate("t", 100, 900).outline
    assert fitting_turns(tall, LENGTH, WIDTH, NestRules(turns="any")) == (90.0, 270.0)
    assert fitting_turns(tall, LENGTH, WIDTH, NestRules(turns="180")) == ()
    lath = plate(
        "l", 1050, 10
    ).outline  # the blank less its margins is 1135 mm from corner to corner
    turns = fitting_turns(lath, LENGTH, WIDTH, NestRules(turns="any"))
    assert turns and all(turn % 90 for turn in turns)
    assert fitting_turns(plate("l", 1140, 10).outline, LENGTH, WIDTH, NestRules()) == ()


@pytest.mark.parametrize(
    "rings",
    [
        (),
        ((),),
        (((0, 0), (10, 0)),),
        (((0, 0), (10, 0), (20, 0)),),
        (((0, 0), (float("nan"), 0), (5, 5)),),
        (((0, 0), (float("inf"), 0), (5, 5)),),
        (((0, 0), (10, 0), (10, 10)), ((1, 1), (2, 1))),
    ],
)
def test_an_outline_without_area_is_left_out_by_name(rings):
    assert "“board”" in str(why_left_out(Item("k", Outline(rings), "board"), LENGTH, WIDTH, RULES))


def test_a_ring_that_crosses_itself_is_held_apart_as_its_hull():
    bow = Outline((((0, 0), (100, 100), (100, 0), (0, 100)),))
    assert solid(bow).area == 10_000
    items = [Item("bow", bow, "bow"), plate("a", 5, 5)]
    assert faults(sheet(items, (12, 12, 0), (60, 100, 0)), items, LENGTH, WIDTH, RULES)


def test_of_two_sheets_the_one_that_holds_more_wins_then_the_better_yield():
    full, half = sheet(TWO, (12, 12, 0), (12, 70, 0)), sheet(TWO[:1], (12, 12, 0), along="width")
    assert better_of(half, full, TWO).placed == full.placed
    across = sheet(TWO, (12, 12, 0), (12, 70, 0), along="width")
    kept = better_of(across, full, TWO)
    assert (kept.along, kept.other_yield_share) == ("length", across.yield_share)


@given(st.lists(st.tuples(st.floats(5, 900), st.floats(5, 500)), min_size=1, max_size=30))
@settings(max_examples=30)
def test_the_plain_layout_places_every_piece_once_and_without_faults(sizes):
    items = [plate(str(i), round(w, 3), round(h, 3)) for i, (w, h) in enumerate(sizes)]
    sheets = shelved_sheets(items, LENGTH, WIDTH, RULES)
    assert sorted(p.key for s in sheets for p in s.placed) == sorted(item.key for item in items)
    assert [fault for s in sheets for fault in faults(s, items, LENGTH, WIDTH, RULES)] == []


def test_the_plain_layout_fills_a_grid_exactly():
    items = [
        plate(str(i), 114, 114) for i in range(32)
    ]  # 8 × 4 plates, 122 mm from one to the next: 968 × 480 mm
    one = shelved(items, LENGTH, 480 + 24, RULES, "length")
    assert len(one.placed) == 32
    assert one.used_mm == 12 + 8 * 122
