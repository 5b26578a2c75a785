"""What is mended, how far, and what is said of it; sizes and places by hand, areas by shoelace or closed form."""

import functools
import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shapely.ops import polygonize
from shop_for_tests import grows_at_most

from shopfloor.domain.errors import Refused
from shopfloor.drawings.areas import filled
from shopfloor.drawings.findings import Findings
from shopfloor.drawings.mending import (
    Chain,
    closed,
    is_speck,
    joined,
    once,
    say_crossings,
    without_loops,
)


def called(place: int) -> str:
    return f"'{place}'"


def untangled(ring, rule):
    rings, crossings = without_loops(ring)
    return filled(rings, rule), crossings


def join(*chains):
    findings = Findings()
    return joined(
        [Chain(list(points), False) for points in chains], called, findings
    ), findings.all()


def square(x: float, y: float, side: float, slip: float = 0.0) -> list[Chain]:
    """Four lines, each drawn either way, their ends up to `slip` off."""

    def near(point):
        return point[0] + random.uniform(-slip, slip), point[1] + random.uniform(-slip, slip)

    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    sides = [
        (near(one), near(other))
        for one, other in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    return [Chain(list(random.choice((line, line[::-1]))), False) for line in sides]


@pytest.mark.parametrize("gap, kinds", [(0.0, []), (0.04, []), (0.3, ["gap"]), (0.5, ["gap"])])
def test_ends_meet_silently_up_to_a_twentieth_and_with_a_word_up_to_half_a_millimetre(gap, kinds):
    (ring,), findings = join([(0, 0), (20, 0), (20, 10)], [(0, gap), (0, 10), (20, 10)])
    assert ring.is_closed and ring.of == (0, 1)
    assert [finding.kind for finding in findings] == kinds
    assert Polygon(ring.points).area == pytest.approx(200, abs=20 * 0.5)


def test_a_gap_is_shown_where_it_is():
    _, (finding,) = join([(0, 0), (20, 0), (20, 10)], [(0, 0.3), (0, 10), (20, 10)])
    assert finding.sentence == "The outline '0' had a gap of 0.30 mm at 0.0, 0.1 mm. It was closed."
    assert finding.at == (0, 0.15) and set(finding.line) == {(0, 0), (0, 0.3)}


def test_ends_more_than_half_a_millimetre_apart_stay_open():
    (row,), findings = join([(0, 0), (20, 0), (20, 10)], [(0, 0.6), (0, 10), (20, 10)])
    assert not row.is_closed and findings == ()


def test_the_nearest_ends_are_joined_first():
    rows, _ = join([(0, 0), (9, 0)], [(9.3, 0), (20, 0)], [(9.1, 0), (9.1, 30)])
    assert [row.of for row in rows] == [(0, 2), (1,)]


def test_a_spur_at_a_corner_does_not_open_the_outline():
    rows, _ = join([(0, 0), (-9, -9)], [(0, 0), (20, 0)], [(20, 0), (20, 20)], [(20, 20), (0, 0)])
    assert [(row.of, row.is_closed) for row in rows] == [((0,), False), ((1, 2, 3), True)]


def test_a_curve_of_tiny_lines_is_one_outline():
    corners = [
        (10 * math.cos(n / 2000 * math.tau), 10 * math.sin(n / 2000 * math.tau))
        for n in range(2000)
    ]
    (ring,), findings = join(
        *zip(corners, corners[1:] + corners[:1], strict=True)
    )  # each 0.03 mm long
    assert ring.is_closed and len(ring.points) == 2000 and findings == ()


def test_strays_are_dropped_and_counted():
    rows, (finding,) = join(
        [(0, 0), (0, 0)], [(50, 0), (50, 0.04)], [(0, 0), (20, 0), (20, 10), (0, 0)]
    )
    assert len(rows) == 1
    assert (finding.kind, finding.sentence) == (
        "stray",
        "Bits shorter than 0.05 mm were left out: 2.",
    )


def test_ten_thousand_lines_are_joined_in_near_linear_time_and_agree_with_a_second_reader():
    random.seed(11)
    drawn = {}
    for boards in (250, 2500):
        chains = [
            line
            for n in range(boards)
            for line in square(n % 50 * 30, n // 50 * 30, 25, slip=0.015)
        ]
        random.shuffle(chains)
        drawn[boards] = chains
        rings = joined(chains, called, Findings())
        assert len(rings) == boards and all(
            ring.is_closed and len(ring.points) == 4 for ring in rings
        )
        snapped = [LineString([(round(x), round(y)) for x, y in chain.points]) for chain in chains]
        exact = sum(
            face.area for face in polygonize(snapped)
        )  # GEOS, over the ends that were meant
        assert sum(Polygon(ring.points).area for ring in rings) == pytest.approx(exact, rel=0.002)
    assert grows_at_most(20, lambda boards: joined(drawn[boards], called, Findings()), 250, 2500)


def test_joining_does_not_depend_on_chance():
    random.seed(5)
    chains = [line for n in range(40) for line in square(n * 30, 0, 25, slip=0.1)]
    assert joined(chains, called, Findings()) == joined(chains, called, Findings())


def test_a_crowd_of_ends_is_refused_in_one_sentence():
    with pytest.raises(Refused, match=r"Too many lines end within 0\.5 mm of each other"):
        join(*([(0.0001 * n, 0), (0.0001 * n, 900 + n)] for n in range(3000)))


def test_a_ring_closes_by_the_same_rule():
    side = [(0, 0), (20, 0), (20, 10), (0, 10)]
    findings = Findings()
    assert closed(side, True, "'bow'", findings) == side
    assert closed([*side, (0, 0.04)], False, "'bow'", findings) == [(0, 0.02), *side[1:]]
    assert findings.all() == ()
    assert closed([*side, (0, 0.3)], False, "'bow'", findings) == [*side, (0, 0.3)]
    assert [finding.line for finding in findings.all()] == [((0, 0.3), (0, 0))]
    with pytest.raises(Refused, match=r"The outline 'bow' is open by 0\.7 mm at 0\.0, 0\.7 mm"):
        closed([*side, (0, 0.7)], False, "'bow'", findings)


def test_a_double_is_found_backwards_and_begun_elsewhere():
    ring = [(0, 0), (20, 0), (20, 10), (0, 10)]
    off = [(x + 0.0002, y) for x, y in ring]
    other = [(0, 0), (20, 0), (20, 10), (0, 11)]
    findings = Findings()
    chains = [Chain(points, True) for points in (ring, ring[::-1], other, off[2:] + off[:2])]
    lines = [Chain([(0, 0), (5, 5)], False), Chain([(5, 5), (0, 0)], False)]
    assert once([*chains, *lines], called, findings) == [0, 2, 4]
    assert [finding.sentence for finding in findings.all()] == [
        "The outline '0' is drawn 3 times in one place. One was kept.",
        "The outline '4' is drawn twice in one place. One was kept.",
    ]


def test_specks_are_counted():
    findings = Findings()
    speck, patch = Polygon([(3, 3), (3.1, 3), (3, 3.1)]), Polygon([(0, 0), (1, 0), (0, 1)])
    assert [is_speck(area, findings) for area in (speck, patch, speck)] == [True, False, True]
    assert (
        findings.all()[0].sentence
        == "Areas under 0.01 mm² were left out: 2. Check the drawing's scale."
    )


@pytest.mark.parametrize("rule", ["nonzero", "evenodd"])
def test_a_bow_tie_is_split_at_its_knot(rule):
    areas, (crossing,) = untangled([(0, 0), (20, 20), (20, 0), (0, 20)], rule)
    assert sorted(area.area for area in areas) == [100, 100]
    assert (crossing.kind, crossing.at) == ("split", (10, 10))
    assert crossing.line


LOOP_OUT = [(0, 0), (20, 0), (20, 10), (9.6, 10), (9.6, 10.6), (10.2, 10.6), (10.2, 9.9), (0, 9.9)]
LOOP_IN = [(0, 0), (20, 0), (20, 10), (9.6, 10), (9.6, 9.4), (10.2, 9.4), (10.2, 10.1), (0, 10.1)]


@pytest.mark.parametrize("rule", ["nonzero", "evenodd"])
@pytest.mark.parametrize(
    "ring, exact, knot",
    [
        (
            LOOP_OUT,
            200 - 10.2 * 0.1,
            (10.2, 10),
        ),  # the loop of 0.36 mm² is gone, and the strip above 9.9
        (LOOP_IN, 200 + 10.2 * 0.1, (10.2, 10)),  # the loop inside is filled: a loop, not a hole
    ],
)
def test_a_small_loop_is_dropped_and_drawn(ring, exact, knot, rule):
    for way in (ring, ring[::-1]):
        (area,), (crossing,) = untangled(way, rule)
        assert area.area == pytest.approx(exact, abs=0.01)
        assert (crossing.kind, crossing.at) == ("loop", pytest.approx(knot))
        assert Polygon(crossing.line).area == pytest.approx(0.36)


def test_a_tangle_keeps_what_its_rule_says_and_is_said_once():
    star = [
        (50 + 45 * math.sin(n * 0.8 * math.pi), 50 + 45 * math.cos(n * 0.8 * math.pi))
        for n in range(5)
    ]
    full, crossings = untangled(star, "nonzero")
    tips, _ = untangled(star, "evenodd")
    assert len(full) == 1 and len(tips) == 5
    findings = Findings()
    say_crossings(crossings, "'star'", findings)
    (finding,) = findings.all()
    assert finding.kind == "crossing" and finding.at and finding.line
    assert (
        "The outline 'star' crosses itself at" in finding.sentence and "tangled" in finding.sentence
    )


def test_a_ring_that_only_touches_itself_is_left_alone():
    bore = [(10, 15), (12, 15), (12, 5), (8, 5), (8, 15), (10, 15)]
    key = [(0, 0), (20, 0), (20, 20), (10, 20), *bore, (10, 20), (0, 20)]
    (area,), crossings = untangled(key, "nonzero")
    assert crossings == [] and area.area == 400 - 4 * 10 and len(area.interiors) == 1
    corner = [(0, 0), (10, 0), (10, 10), (20, 10), (20, 20), (10, 20), (10, 10), (0, 10)]
    areas, crossings = untangled(corner, "evenodd")
    assert crossings == [] and [area.area for area in areas] == [100, 100]


@settings(max_examples=150)
@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=3, max_size=9))
def test_evenodd_keeps_what_a_fan_of_triangles_covers_an_odd_number_of_times(ring):
    fan = [Polygon([ring[0], one, other]) for one, other in itertools.pairwise(ring)]
    exact = functools.reduce(Polygon.symmetric_difference, fan, Polygon()).area  # GEOS
    areas, crossings = untangled(ring, "evenodd")
    dropped = sum(crossing.kind == "loop" for crossing in crossings)
    assert sum(area.area for area in areas) == pytest.approx(
        exact, abs=0.05 * len(ring) + 1.0 * dropped
    )
