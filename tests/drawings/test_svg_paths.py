"""Path data against svgpathtools, which reads the same grammar with other code."""

import math

import pytest
import svgpathtools
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from shopfloor.drawings.svg.lengths import Unreadable
from shopfloor.drawings.svg.paths import draw_path
from shopfloor.drawings.svg.pen import Pen

PLAIN = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

numbers = st.integers(-900, 900).map(lambda n: n / 10)
flags = st.sampled_from(["0", "1"])
radii = st.integers(1, 600).map(lambda n: n / 10)
counts = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}
plain = st.sampled_from([*counts, *map(str.lower, counts)]).flatmap(
    lambda letter: st.lists(
        numbers, min_size=counts[letter.upper()], max_size=counts[letter.upper()]
    ).map(lambda values: f"{letter} {' '.join(map(str, values))}")
)
arcs = st.tuples(
    st.sampled_from("Aa"), radii, radii, st.integers(-180, 180), flags, flags, numbers, numbers
).map(lambda parts: f"{parts[0]} {' '.join(map(str, parts[1:]))}")


def tracks(data: str):
    pen = Pen(PLAIN)
    draw_path(pen, data)
    return pen.finish()


@settings(max_examples=300)
@given(st.lists(st.one_of(plain, arcs, st.just("z"), st.just("m 3 5")), min_size=1, max_size=6))
def test_the_pen_goes_where_svgpathtools_goes(commands):
    data = "M 10 20 " + " ".join(commands)
    try:
        segments = svgpathtools.parse_path(data)
    except (
        AssertionError
    ):  # it takes no arc that ends where it starts; the standard drops such an arc
        assume(False)
    drawn = [
        LineString(
            [*track.points, track.points[0]]
            if track.is_closed or len(track.points) == 1
            else track.points
        )
        for track in tracks(data)
    ]
    for segment in segments:
        if segment.start == segment.end:
            continue
        for t in (0.0, 0.21, 0.5, 0.83, 1.0):
            point = segment.point(t)
            assert min(line.distance(Point(point.real, point.imag)) for line in drawn) <= 0.0501


def test_the_grammar_as_it_is_squeezed():
    assert tracks("M1.5.5-3-.5 5.e0+4z") == tracks("M 1.5 0.5 L -3 -0.5 L 5 4 Z")
    assert tracks("m1 1 2 2,3-3zm1 1h1v1") == tracks("M1 1L3 3L6 0ZM2 2L3 2L3 3")
    assert tracks("M0 0a5 5 0 1110 0") == tracks("M 0 0 a 5 5 0 1 1 10 0")
    (half,) = tracks("M0 0a5 5 0 1110 0")
    assert min(y for _, y in half.points) == pytest.approx(-5)
    (enlarged,) = tracks("M0 0A1 1 0 0 1 20 0")
    assert min(y for _, y in enlarged.points) == pytest.approx(
        -10
    )  # as large as the chord asks for
    assert tracks("M0 0A0 5 0 0 1 20 0L20 9") == tracks("M0 0H20V9")


@pytest.mark.parametrize(
    "data", ["L5 5", "M5", "M0 0L", "M0 0C1 2 3", "M0 0A5 5 0 2 0 9 9", "M0 0A5 5 0 00 9", "M0 0x"]
)
def test_what_breaks_the_grammar_is_not_guessed(data):
    with pytest.raises(Unreadable):
        tracks(data)


def test_numbers_beyond_reason_are_unreadable():
    for data in (
        "M0 0L1e999 5",
        "M0 0A1e308 1e308 1e308 0 1 9 9",
        "M0 0A1e-320 1e-320 0 0 1 1e-320 0L5 5z",
    ):
        try:
            points = [point for track in tracks(data) for point in track.points]
        except Unreadable:
            continue
        assert all(math.isfinite(x) and math.isfinite(y) for x, y in points)
