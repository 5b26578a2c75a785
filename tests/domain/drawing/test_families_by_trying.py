"""Families beside a second opinion: every turn tried, and shapely's distances."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines_for_tests import least_distance, mirrored, shaken, turn_onto
from shapely import Point, Polygon

from shopfloor.domain.drawing.families import Families, sort_into
from shopfloor.domain.outlines import Outline

SURE, NOT_YET = (
    0.09,
    0.102,
)  # mm: clearly within the tenth of a millimetre; and not beyond it, as found by trying


def around(lengths) -> Outline:
    """A polygon round the origin, with a spoke length in mm for each corner."""
    step = 2 * math.pi / len(lengths)
    corners = [
        (length * math.cos(n * step), length * math.sin(n * step))
        for n, length in enumerate(lengths)
    ]
    return Outline.of_polygon(Polygon(corners))


shapes = st.lists(st.integers(20, 60), min_size=3, max_size=9).map(around)
copies = st.tuples(
    st.integers(0, 1), st.sampled_from([0, 0.04, 0.08, 0.2]), st.integers(0, 359), st.booleans()
)


def made(bases, wanted):
    """Copies of the bases: (which, shake in mm, turn in degrees, mirrored)."""
    for number, (which, by, turn, is_mirrored) in enumerate(wanted):
        one = shaken(bases[which], by, number) if by else bases[which]
        yield (mirrored(one) if is_mirrored else one).turned(turn)


def tried(one: Outline, reference: Outline) -> float:
    """The least distance in any turn."""
    return least_distance(one, reference, range(0, 360, 4))


@settings(max_examples=40)
@given(st.tuples(shapes, shapes), st.lists(copies, min_size=2, max_size=5))
def test_each_outline_joins_a_reference_that_is_near_and_starts_a_family_only_where_none_is(
    bases, wanted
):
    outlines = list(made(bases, wanted))
    found = sort_into(outlines, [], "any")
    begun = 0
    for one, match in zip(outlines, found.matches, strict=True):
        apart = [tried(one, reference) for reference in found.references[:begun]]
        if match.family == begun:
            assert all(distance > SURE for distance in apart)
            begun += 1
        else:
            joined = least_distance(one, found.references[match.family], [match.turn])
            assert joined <= NOT_YET, "by the turn that was found"
            assert joined <= max(min(apart), 0.05) + 0.03, "the nearest, as far as it is clear"
    assert begun == len(found.references)


@settings(max_examples=40)
@given(shapes, st.integers(0, 359))
def test_a_mirrored_polygon_joins_only_where_every_turn_was_tried_and_one_fits(one, turn):
    behind = mirrored(one).turned(turn)
    back = turn_onto(behind, one, "any")
    if back is None:
        assert tried(behind, one) > SURE
    else:
        assert least_distance(behind, one, [back]) <= NOT_YET


@given(st.floats(2, 400), st.floats(-0.09, 0.09), st.floats(0, 360))
def test_no_border_of_sizes_keeps_a_copy_from_its_reference(radius, wider, turn):
    """Every size is looked up: a copy 0.09 mm larger or smaller all round, in two shapes."""
    for size, other in ((radius, radius + wider), (radius + wider, radius)):
        disc = Outline.of_polygon(Point(0, 0).buffer(size, 200))
        assert (
            Families([disc], "any")
            .place_all([Outline.of_polygon(Point(5, 5).buffer(other, 200))])[0]
            .family
            == 0
        )
        bar = [
            Outline.of_polygon(Polygon([(0, 0), (3 * r, 0), (3 * r, r), (0, r)]))
            for r in (size, other)
        ]
        if abs(wider) <= 0.05:  # the end of a bar is then 0.075 mm off
            assert Families([bar[0]], "any").place_all([bar[1].turned(turn)])[0].family == 0


@pytest.mark.parametrize("seed", range(4))
def test_outlines_that_are_clearly_alike_or_not_are_grouped_in_any_order(seed):
    chance = random.Random(seed)
    bases = [
        around([chance.uniform(20, 60) for _ in range(chance.randint(3, 9))]) for _ in range(6)
    ]
    drawn = [
        (kind, shaken(base, 0.03, n).turned(chance.uniform(0, 360)))
        for kind, base in enumerate(bases)
        for n in range(5)
    ]
    for _ in range(3):
        chance.shuffle(drawn)
        found = sort_into([one for _, one in drawn], [], "any")
        pairs = {
            (kind, match.family) for (kind, _), match in zip(drawn, found.matches, strict=True)
        }
        assert len(pairs) == len(found.references) == 6
