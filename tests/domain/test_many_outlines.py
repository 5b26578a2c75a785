"""Many outlines at once come out as each one by itself."""

from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.many_outlines import moved, polygons
from shopfloor.domain.outlines import Outline

thousandths = st.integers(-5_000_000, 5_000_000).map(lambda n: n / 1000)
points = st.tuples(thousandths, thousandths)
rings = st.lists(points, min_size=3, max_size=6).map(tuple)
outlines = st.lists(
    st.lists(rings, min_size=1, max_size=3).map(lambda some: Outline(tuple(some))), max_size=5
)


@given(outlines)
def test_their_areas_are_those_of_each(some):
    assert [one.wkb for one in polygons(some)] == [one.polygon.wkb for one in some]


@given(outlines, points)
def test_moved_together_they_are_as_moved_alone(some, shift):
    shifts = [(shift[0] * n, shift[1]) for n in range(len(some))]
    assert moved(some, shifts) == [one.moved(*by) for one, by in zip(some, shifts, strict=True)]
