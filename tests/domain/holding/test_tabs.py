"""Where tabs are, against closed forms: squares, circles, frames, and forces by arithmetic."""

import cmath
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Point, Polygon, box
from shapely.ops import substring
from shop_for_tests import grows_at_most

from shopfloor.domain.holding.tabs import TabRules, place_tabs, placed, slug_tabs, tab_segments
from shopfloor.domain.outlines import Outline
from shopfloor.domain.pieces import usual_tabs
from shopfloor.wording import holding as wording

RULES = TabRules()
FORCE_N = 72.0  # a full pass of 6 mm, 0.10 mm a tooth, 0.12 J/mm³: arithmetic


def plate(width, height, *holes):
    """A rectangle in its own frame with holes (polygons)."""
    return Outline.of_polygon(
        Polygon(box(0, 0, width, height).exterior, [hole.exterior for hole in holes])
    )


def disc(radius, chord_mm=0.002):
    """A circle in chords that stray so far."""
    segments = math.ceil(math.pi / math.acos(1 - chord_mm / radius))
    points = [cmath.rect(radius, math.tau * n / segments) for n in range(segments)]
    return Outline.of_polygon(Polygon([(point.real, point.imag) for point in points])).at_origin()


def middles(found, ring=0):
    return sorted((tab.x_mm, tab.y_mm) for tab in found.tabs if tab.ring == ring)


# Squares. -------------------------------------------------------------------------------------------------------------


def test_a_square_of_300_mm_outline_has_two_tabs_in_the_middles_of_opposite_sides():
    found = place_tabs(plate(75, 75), RULES, FORCE_N)
    assert middles(found) in ([(0, 37.5), (75, 37.5)], [(37.5, 0), (37.5, 75)])
    assert found.why_none is None and found.safety_factor == pytest.approx(2 * 6 * 0.8 * 30 / 72)


def test_a_square_of_600_mm_outline_has_a_tab_in_the_middle_of_each_side():
    found = place_tabs(plate(150, 150), RULES, FORCE_N)
    assert middles(found) == [(0, 75), (75, 0), (75, 150), (150, 75)]


def test_a_square_of_1200_mm_outline_has_two_tabs_a_side_150_mm_apart():
    found = place_tabs(plate(300, 300), RULES, FORCE_N)
    on_side = [(75, 0), (225, 0), (75, 300), (225, 300)]
    assert middles(found) == sorted(on_side + [(y, x) for x, y in on_side])


def test_a_tab_knows_how_the_outline_runs_there():
    found = place_tabs(plate(150, 150), RULES, FORCE_N)
    angles = {(tab.x_mm, tab.y_mm): tab.angle_deg for tab in found.tabs}
    assert angles == {(75, 0): 0, (150, 75): 90, (75, 150): 180, (0, 75): 270}, "counter-clockwise"


def test_small_pieces_get_two_and_the_least_side_with_room_is_the_tab_with_its_corners():
    """6 + 2 × 3 mm: a square of 12.5 mm has room in the middle of its sides, one of 11.5 has none."""
    assert len(place_tabs(plate(12.5, 12.5), RULES, FORCE_N).tabs) == 2
    found = place_tabs(plate(11.5, 11.5), RULES, FORCE_N)
    assert found.tabs == () and found.safety_factor == 0
    assert found.why_none == wording.no_straight_stretch(6)


@pytest.mark.parametrize("width", [20, 40, 90])
def test_two_tabs_on_a_bar_stand_far_apart_and_not_across_its_middle(width):
    """Across the middle the bar could still turn: so they are at least half its length from one another."""
    one, two = middles(place_tabs(plate(width, 8), RULES, FORCE_N))
    assert math.dist(one, two) >= width / 2 and one[1] != two[1]


# Circles. -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("length", [4, 6, 10])
@pytest.mark.parametrize("share", [0.4, 0.7, 0.9, 0.98, 1.02, 1.1, 1.5, 3])
def test_a_circle_takes_tabs_when_its_radius_is_the_tabs_length_or_more(share, length):
    found = place_tabs(disc(share * length), TabRules(length_mm=length, apart_mm=2 * length), 30)
    if share > 1:
        one, two = middles(found)
        assert math.dist(one, two) == pytest.approx(2 * share * length, rel=1e-3), (
            "they lie opposite one another"
        )
    else:
        assert found.why_none == wording.no_straight_stretch(length)


@pytest.mark.parametrize("radius", [5, 5.5, 6.5, 7.5, 20])
def test_a_circle_in_coarse_chords_is_taken_for_the_circle(radius):
    """Its chords stray by 0.05 mm, which is a fifteenth of the tab's sagitta (6² / 8 / 6 mm): so sharp is the limit."""
    assert bool(place_tabs(disc(radius, 0.05), RULES, FORCE_N).tabs) == (radius > 6)


@pytest.mark.parametrize(("radius", "count"), [(60, 3), (100, 4), (200, 8), (500, 21)])
def test_round_a_large_circle_the_tabs_are_even(radius, count):
    """2 π r / 150, rounded; the chord between two neighbours is 2 r sin(π / n)."""
    tabs = place_tabs(disc(radius), RULES, FORCE_N).tabs
    assert len(tabs) == count == round(math.tau * radius / 150)
    chords = [
        math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))
        for a, b in zip(tabs, (*tabs[1:], tabs[0]), strict=True)
    ]
    raster = 1.6  # places a millimetre or less apart are looked at
    assert chords == pytest.approx([2 * radius * math.sin(math.pi / count)] * count, abs=raster)


# How many. ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("force", "count"), [(72, 2), (144, 2), (145, 3), (360, 5), (720, 10)])
def test_the_force_asks_for_tabs_with_the_safety_that_is_set(force, count):
    """One tab bears 6 × 0.8 × 30 = 144 N: arithmetic."""
    found = place_tabs(plate(80, 80), RULES, force)
    assert (
        len(found.tabs) == count
        and found.safety_factor == pytest.approx(count * 144 / force)
        and found.safety_factor >= 2
    )


@pytest.mark.parametrize(
    ("changed", "count"),
    [
        ({}, 8),
        ({"every_mm": 100}, 12),
        ({"every_mm": 900}, 4),
        ({"fewest": 9}, 9),
        ({"longest_free_mm": 120}, 10),
        ({"shear_mpa": 5}, 8),
        ({"shear_mpa": 2}, 15),
    ],
)
def test_the_greatest_of_the_four_counts_is_taken(changed, count):
    """Of an outline of 1200 mm: each count by arithmetic."""
    assert len(place_tabs(plate(300, 300), TabRules(**changed), FORCE_N).tabs) == count


@given(st.integers(1, 4000), st.sampled_from([100.0, 150.0]))
def test_a_nest_and_a_recut_count_tabs_alike(halves, every_mm):
    """One rule: a half counts up, so 2.5 times the spacing gives three."""
    perimeter = halves * every_mm / 2
    rules = TabRules(every_mm=every_mm, longest_free_mm=10 * every_mm)
    assert rules.count(perimeter, 0) == usual_tabs(perimeter, every_mm, 2)
    assert rules.count(perimeter, 0) == max(2, (halves + 1) // 2)


def test_more_force_than_there_is_room_for_tabs_means_tape():
    """5 kN ask for 70 tabs, 12 mm apart; round the plate there are 400 mm."""
    found = place_tabs(plate(100, 100), RULES, 5000)
    assert found.tabs == () and found.why_none == wording.no_room_round_the_centre(70)


def test_no_force_leaves_a_margin_without_end():
    assert place_tabs(plate(100, 100), RULES, 0).safety_factor == math.inf


def test_a_stretch_without_room_that_is_too_long_means_tape():
    """Teeth of 5 mm along both long sides; only the ends are straight, and from one to the other it is more than 300 mm."""
    above = [(x, 50 + 5 * (x // 5 % 2)) for x in range(600, -1, -5)]
    below = [(x, -5 * (x // 5 % 2)) for x in range(0, 601, 5)]
    outline = Outline.of_polygon(Polygon(below + above)).at_origin()
    found = place_tabs(outline, RULES, FORCE_N)
    assert found.tabs == ()
    (longest,) = re.fullmatch(
        r"No room for a tab along ([\d.]+) mm of its edge\. Use tape\.", str(found.why_none)
    ).groups()
    along = (
        600 * math.sqrt(2) + 12
    )  # along the teeth, and to the ends' first places beyond two corners
    assert float(longest) == pytest.approx(along, abs=3)
    assert place_tabs(outline, TabRules(longest_free_mm=1000, every_mm=1000), FORCE_N).tabs, (
        "unless that is allowed"
    )


# Neighbours and slots. ------------------------------------------------------------------------------------------------


def test_a_place_that_a_neighbours_tab_has_is_left_free():
    """Four tabs would stand in the middles of the sides; one of them is taken."""
    found = place_tabs(plate(150, 150), RULES, FORCE_N, taken=[(158, 75)])
    (right,) = [y for x, y in middles(found) if x == 150]
    reach = math.sqrt(12**2 - 8**2)  # of a circle of 12 mm round the neighbour's tab
    assert reach - 0.01 <= abs(right - 75)


def test_no_tab_is_placed_where_a_neighbours_cut_would_take_it_away():
    """A neighbour 8 mm to the right: the two cuts, 6.35 mm each, meet. One 13 mm off leaves waste between them."""
    for gap, sides in ((8, 0), (13, 1)):
        found = place_tabs(plate(150, 150), RULES, FORCE_N, beside=box(150 + gap, -20, 300, 170))
        assert sum(x == 150 for x, _ in middles(found)) == sides and len(found.tabs) >= 4


def test_a_piece_among_close_neighbours_is_left_to_tape():
    beside = box(-100, -100, 200, 200).difference(box(-8, -8, 108, 108))
    found = place_tabs(plate(100, 100), RULES, FORCE_N, beside=beside)
    assert found.tabs == () and found.why_none == wording.tabs_meet_no_waste()


@pytest.mark.parametrize(("slot", "has_some"), [(8, False), (12, False), (13.5, True), (30, True)])
def test_a_slot_holds_a_tab_only_if_waste_stands_in_it(slot, has_some):
    """Between two legs: the cutter takes 6.35 mm beside each, so a slot of 12.7 mm is empty."""
    outline = Outline.of_polygon(box(0, 0, 40 + slot, 120).difference(box(20, 20, 20 + slot, 130)))
    found = place_tabs(
        outline, TabRules(every_mm=30), FORCE_N
    )  # more than find room outside the slot: then there are fewer
    inside = [
        point for point in middles(found) if 19.9 < point[0] < 20.1 + slot and point[1] > 20.1
    ]
    assert found.tabs and bool(inside) == has_some


# Slugs. ---------------------------------------------------------------------------------------------------------------


def test_the_slug_of_a_hole_gets_one_tab_in_the_middle_of_a_side():
    found = place_tabs(plate(120, 120, box(30, 30, 90, 90)), RULES, FORCE_N)
    (point,) = middles(found, ring=1)
    assert point in [(30, 60), (90, 60), (60, 30), (60, 90)]
    assert found.safety_factor == pytest.approx(144 * len(middles(found)) / 72), (
        "a slug's tab adds nothing to the piece's safety_factor"
    )


@pytest.mark.parametrize(("side", "tabs"), [(12.5, 0), (13, 0), (13.8, 1), (40, 1)])
def test_a_hole_that_the_cutter_empties_leaves_no_slug(side, tabs):
    """A square of s leaves one of s - 2 × 6.35 mm: nothing of 12.7 mm, and of 13 mm less than a square millimetre."""
    found = place_tabs(plate(120, 120, box(30, 30, 30 + side, 30 + side)), RULES, FORCE_N)
    assert len(middles(found, ring=1)) == tabs


def test_a_slug_that_the_vacuum_holds_gets_none():
    asked = []

    def holds(area):
        asked.append(area)
        return area > 1000

    holes = box(30, 30, 90, 90), box(100, 30, 130, 60)
    (tab,) = slug_tabs(plate(160, 120, *holes), RULES, slug_holds=holds)
    assert sorted(asked) == pytest.approx([(30 - 12.7) ** 2, (60 - 12.7) ** 2])
    assert Point(tab.x_mm, tab.y_mm).distance(holes[1].exterior) < 0.002


def test_a_slug_in_a_hole_that_is_too_round_gets_none():
    """With tabs of 12 mm: in a hole of 10 mm radius a slug of 3.65 mm radius is left, and no tab fits."""
    hole = Point(60, 60).buffer(10, quad_segs=64)
    outline = plate(120, 120, hole, box(5, 5, 40, 40))
    found = place_tabs(outline, TabRules(length_mm=12, apart_mm=24), FORCE_N)
    (round_one,) = (
        number
        for number, ring in enumerate(outline.rings)
        if abs(Polygon(ring).area - hole.area) < 1
    )
    assert found.tabs and middles(found, ring=round_one) == []
    assert len(middles(found, ring=3 - round_one)) == 1


def test_two_slugs_of_one_hole_get_one_tab_each():
    """Two rooms joined by a passage that the cutter empties."""
    hole = box(20, 20, 60, 60).union(box(60, 35, 90, 45)).union(box(90, 20, 130, 60))
    tabs = slug_tabs(plate(150, 80, hole), RULES)
    assert sorted(tab.x_mm > 75 for tab in tabs) == [False, True]


# For drawings and files. ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", [0, 1, 37.5, 98.5, 150, 299.5])
def test_the_stretch_that_a_tab_covers_is_as_long_as_the_tab_and_goes_round_the_first_point(at):
    outline = plate(75, 75)
    line = LinearRing(outline.rings[0])
    points = tab_segments(outline, 0, at, 6)
    assert LineString(points).length == pytest.approx(6) and all(
        line.distance(Point(p)) < 0.001 for p in points
    )
    assert points[0] == pytest.approx(line.interpolate((at - 3) % 300).coords[0])
    assert points[-1] == pytest.approx(line.interpolate((at + 3) % 300).coords[0])


@pytest.mark.parametrize("at", [3.01, 20, 61.7, 122])
def test_the_stretch_follows_every_chord_of_a_curve(at):
    """Against shapely's own piece of a line."""
    outline = disc(20, 0.05)
    line = LineString([*outline.rings[0], outline.rings[0][0]])
    expected = substring(line, at - 3, at + 3)
    points = tab_segments(outline, 0, at, 6)
    assert len(points) >= 4 and LineString(points).equals_exact(expected, 0.001)


@pytest.mark.parametrize("at", [10, 90])
def test_a_stretch_that_ends_at_a_corner_has_that_corner_once(at):
    stretch = tab_segments(plate(100, 100), 0, at, 20)
    assert len(stretch) == 2 and math.dist(*stretch) == pytest.approx(20)


@pytest.mark.parametrize("turn", [0, 90, 33.3, 270])
def test_a_tab_goes_with_its_piece_onto_the_sheet(turn):
    outline = plate(120, 60, box(30, 10, 90, 50))
    there = outline.placed(400, 250, turn)
    for tab in place_tabs(outline, RULES, FORCE_N).tabs:
        x, y, angle = placed(tab, 400, 250, turn)
        line = LinearRing(there.rings[tab.ring])
        assert line.interpolate(tab.at_mm).distance(Point(x, y)) < 0.01
        (ax, ay), *_, (bx, by) = tab_segments(there, tab.ring, tab.at_mm, 6)
        assert math.cos(math.radians(angle) - math.atan2(by - ay, bx - ax)) == pytest.approx(
            1, abs=1e-6
        )
        assert 0 <= angle < 360


# Growth. --------------------------------------------------------------------------------------------------------------


def test_ten_times_the_outline_takes_about_ten_times_as_long():
    """A wavy disc: ten times the radius, the waves and the points. Growth with the square would take a hundred times; what
    the small one gains by fitting into the machine's caches is allowed for."""

    def wavy(size):
        rays = [
            (n / size, 100 * size + 4 * math.sin(math.tau * n / 200))
            for n in range(round(math.tau * 100 * size / 2))
        ]
        return Outline.of_polygon(
            Polygon([(r * math.cos(a / 50), r * math.sin(a / 50)) for a, r in rays])
        )

    outlines = {size: wavy(size) for size in (6, 60)}
    assert all(outline.polygon.is_valid for outline in outlines.values())

    def work(size):
        assert place_tabs(outlines[size], RULES, FORCE_N).tabs

    assert grows_at_most(25, work, 6, 60)
