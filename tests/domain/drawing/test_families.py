"""Which outlines may stand in for one another."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from outlines_for_tests import mirrored, shaken, turn_onto
from shapely import Point, Polygon, affinity, box

from shopfloor.domain.drawing.families import Families, grouped, sort_into
from shopfloor.domain.outlines import Outline


def outline(*points, holes=()):
    return Outline.of_polygon(Polygon(points, holes))


def letter_f(size=1.0):
    points = [
        (0, 0),
        (8, 0),
        (8, 22),
        (25, 22),
        (25, 30),
        (8, 30),
        (8, 42),
        (30, 42),
        (30, 50),
        (0, 50),
    ]
    return outline(*[(x * size, y * size) for x, y in points])


def letter_l():
    return outline((0, 0), (30, 0), (30, 8), (8, 8), (8, 50), (0, 50))


def sunburst(rays):
    return star_shape([50, 44] * rays)


def star_shape(spokes):
    """A polygon round the origin, with a spoke length in mm for each corner."""
    step = 2 * math.pi / len(spokes)
    return outline(
        *[(r * math.cos(n * step), r * math.sin(n * step)) for n, r in enumerate(spokes)]
    )


def laid_on(one: Outline, reference: Outline, turn: float) -> float:
    """How far apart the two lie after the turn, centroid on centroid, by shapely's own Hausdorff distance."""
    turned = affinity.rotate(one.polygon, turn, origin=(0, 0))
    moved = [
        affinity.translate(p, -p.centroid.x, -p.centroid.y) for p in (turned, reference.polygon)
    ]
    return moved[0].boundary.hausdorff_distance(moved[1].boundary)


spokes = st.lists(st.floats(20, 100), min_size=4, max_size=12)


@given(spokes, st.floats(0, 360), st.floats(-1000, 1000), st.floats(-1000, 1000))
def test_a_turned_and_moved_copy_is_of_the_family(lengths, turn, x, y):
    one = star_shape(lengths)
    copy = one.placed(x, y, turn)
    back = turn_onto(copy, one, "any")
    assert back is not None
    assert laid_on(copy, one, back) <= 0.1


@settings(max_examples=30)
@given(spokes)
def test_a_mirrored_copy_is_never_of_the_family(lengths):
    one = star_shape(lengths)
    behind = mirrored(one)
    # outlines that are their own mirror image, or nearly, are no test of this: look at every turn, by shapely alone
    assume(min(laid_on(behind, one, turn) for turn in range(360)) > 1.0)
    assert turn_onto(behind, one, "any") is None


@pytest.mark.parametrize("letter", [letter_f(), letter_l()])
def test_a_letter_seen_from_behind_is_another_family(letter):
    assert turn_onto(mirrored(letter), letter, "any") is None
    assert turn_onto(mirrored(letter).turned(90), letter, "any") is None


@pytest.mark.parametrize("turn", [0, 0.5, 17, 33.3, 90, 180, 270, 359.5])
def test_the_turn_leads_from_the_outline_back_to_the_reference(turn):
    back = turn_onto(letter_f().placed(120, -40, turn), letter_f(), "any")
    assert (back + turn) % 360 == pytest.approx(0, abs=0.02) or (
        back + turn
    ) % 360 == pytest.approx(360, abs=0.02)
    assert 0 <= back < 360


def test_a_stock_with_a_grain_takes_no_turn_or_half_a_turn_only():
    half, quarter = letter_f().turned(180), letter_f().turned(90)
    assert turn_onto(half, letter_f(), "180") == 180
    assert turn_onto(half, letter_f(), "none") is None
    assert turn_onto(quarter, letter_f(), "180") is None
    assert turn_onto(letter_f().moved(5, 5), letter_f(), "none") == 0
    bar = Outline.of_polygon(box(0, 0, 100, 10))
    assert turn_onto(bar.turned(180), bar, "none") == 0


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize(
    "shape", [letter_f(), letter_l(), sunburst(24), star_shape([40, 42, 41]), star_shape([30] * 6)]
)
def test_half_a_tenth_of_shake_stays_in_the_family(shape, seed):
    assert turn_onto(shaken(shape, 0.05, seed).turned(71), shape, "any") is not None


@pytest.mark.parametrize("corner", range(10))
@pytest.mark.parametrize("turns", ["any", "180", "none"])
def test_a_corner_that_is_three_tenths_off_leaves_the_family(corner, turns):
    points = list(letter_f().rings[0])
    (x0, y0), (x, y), (x1, y1) = (
        points[corner - 1],
        points[corner],
        points[(corner + 1) % len(points)],
    )
    # along the bisector, off the line of both edges; even shared out by a shift, half of it is left somewhere
    away = (
        math.copysign(0.3 / math.sqrt(2), 2 * x - x0 - x1),
        math.copysign(0.3 / math.sqrt(2), 2 * y - y0 - y1),
    )
    points[corner] = x + away[0], y + away[1]
    assert turn_onto(outline(*points), letter_f(), turns) is None


def test_a_stroke_three_tenths_wider_is_another_family():
    wider = Outline.of_polygon(letter_f().polygon.buffer(0.3, join_style="mitre"))
    assert turn_onto(wider, letter_f(), "any") is None
    assert (
        turn_onto(
            Outline.of_polygon(box(0, 0, 100.3, 40)), Outline.of_polygon(box(0, 0, 100, 40)), "any"
        )
        is None
    )


def test_where_a_hole_sits_tells_outlines_apart():
    def plate(x, y):
        return outline(
            (0, 0), (80, 0), (80, 40), (0, 40), holes=[Point(x, y).buffer(4, 16).exterior.coords]
        )

    assert turn_onto(plate(10, 10), plate(70, 30), "any") == 180
    assert turn_onto(plate(10, 10), plate(70, 10), "any") is None
    assert turn_onto(plate(10, 10), plate(12, 10), "any") is None
    assert turn_onto(plate(10, 10), outline((0, 0), (80, 0), (80, 40), (0, 40)), "any") is None


def test_discs_match_however_their_circles_were_cut_into_segments():
    disc = Outline.of_polygon(Point(0, 0).buffer(50, 64))
    other = Outline.of_polygon(affinity.rotate(Point(7, 7).buffer(50, 50), 1.3))
    assert turn_onto(other, disc, "any") is not None
    assert turn_onto(Outline.of_polygon(Point(0, 0).buffer(50.3, 64)), disc, "any") is None


@pytest.mark.parametrize("rays", [3, 5, 9, 24, 40])
def test_a_shape_that_repeats_itself_matches_at_each_of_its_turns(rays):
    burst = sunburst(rays)
    for n in range(0, rays, 3):
        turn = turn_onto(burst.turned(n * 360 / rays + 2), burst, "any")
        assert turn is not None and laid_on(burst.turned(n * 360 / rays + 2), burst, turn) <= 0.1
    assert turn_onto(burst, sunburst(rays + 1), "any") is None


def test_a_nearly_round_shape_is_turned_by_what_is_not_round():
    disc = Point(0, 0).buffer(50, 64)
    notched = Outline.of_polygon(disc.difference(box(46, -2, 60, 2)))
    turn = turn_onto(notched.turned(123), notched, "any")
    assert laid_on(notched.turned(123), notched, turn) <= 0.1
    assert turn_onto(notched, Outline.of_polygon(disc), "any") is None


def test_outlines_join_the_families_that_are_there_and_start_the_others():
    result = sort_into(
        [letter_l(), letter_f().turned(90), letter_l().placed(9, 9, 30)], [letter_f()], "any"
    )
    assert [match.family for match in result.matches] == [1, 0, 1]
    assert [round(match.turn, 1) for match in result.matches] == [0, 270, 330]
    assert result.references == (letter_f(), letter_l())


def test_an_outline_joins_the_nearest_reference():
    def bar(length):
        return Outline.of_polygon(box(0, 0, length, 20))

    result = sort_into([bar(100.22)], [bar(100.06), bar(100.24)], "any")
    assert result.matches[0].family == 1


def test_a_family_keeps_its_first_reference_and_does_not_creep():
    bars = [Outline.of_polygon(box(0, 0, 100 + 0.1 * n, 20)) for n in range(11)]
    result = sort_into(bars, [], "none")
    for bar, match in zip(bars, result.matches, strict=True):
        assert laid_on(bar, result.references[match.family], match.turn) <= 0.1001
    assert len(result.references) > 3


def test_an_outline_on_the_border_of_two_sizes_is_found():
    for size in (49.99, 50.0, 50.01, 50.25):
        families = Families([Outline.of_polygon(Point(0, 0).buffer(size, 64))], "any")
        assert (
            families.place_all([Outline.of_polygon(Point(3, 3).buffer(size + 0.03, 64))])[0].family
            == 0
        )


def test_groups_come_in_the_order_in_which_they_are_met_with_the_places_of_their_members():
    drawn = [
        letter_l(),
        letter_f(),
        letter_l().placed(9, 9, 30),
        mirrored(letter_f()),
        letter_f().moved(0, 80),
    ]
    groups = grouped(drawn, "any")
    assert [group.reference for group in groups] == [drawn[0], drawn[1], drawn[3]]
    assert [group.members for group in groups] == [(0, 2), (1, 4), (3,)]
    assert [group.members for group in grouped(drawn, "none")] == [(0,), (1, 4), (2,), (3,)]
    assert grouped([], "any") == []


def test_one_by_one_and_all_at_once_give_the_same_families():
    drawn = [
        one
        for turn in (0, 40, 200)
        for one in (letter_f().turned(turn), letter_l().turned(turn), sunburst(9))
    ]
    families = Families([letter_l()], "any")
    assert [families.place_all([one])[0] for one in drawn] == list(
        sort_into(drawn, [letter_l()], "any").matches
    )
