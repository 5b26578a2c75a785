"""The baselines that are found against those of the fonts: fontTools draws the words, the tables say where letters stand.

`letters_for_tests` holds the figures of the fonts (advance widths of hmtx, bounds of glyf); round a circle they are put by
closed form. A baseline is held to 0.2 mm at every letter.
"""

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from letters_for_tests import BOLD, SANS, SERIF, Word, cap_units, font, moved, on_arc, turned, word
from shapely import Point, Polygon
from shapely import box as rectangle
from shop_for_tests import grows_at_most

from shopfloor.domain.outlines import Outline
from shopfloor.domain.setting_out.baselines import find_baselines

FONTS = (SANS, BOLD, SERIF)
WITHIN_MM = 0.2
DIPS = (
    29 / 1493
)  # of a capital's height: the overshoot of the fonts' round letters (glyf: yMin of O by yMax of H)
ROUND = 0.06  # of a capital's height: what the fonts let go deeper descends (their least descent is 264 of 1493 units)


def only_line(lettering: Word):
    """The only baseline found, its members those of the word in reading order (a dot may come before its i)."""
    lines = find_baselines(lettering.outlines)
    assert len(lines) == 1, [
        "".join(lettering.drawn[member.index].sign for member in line.members) for line in lines
    ]
    assert "".join(lettering.drawn[member.index].sign for member in lines[0].members) == "".join(
        d.sign for d in lettering.drawn
    )
    return lines[0]


def kind_of(drawn, cap_mm):
    """What the font's tables say about a letter."""
    if drawn.below_mm < -0.08 * cap_mm:
        return "floats"
    if drawn.below_mm > ROUND * cap_mm:
        return "descends"
    return "round" if drawn.below_mm > 0.005 * cap_mm else "flat"


def assert_stands_as_the_font_says(lettering: Word, edges_mm: float = WITHIN_MM):
    line = only_line(lettering)
    begun = min(drawn.left_mm for drawn in lettering.drawn)
    for member in line.members:
        drawn = lettering.drawn[member.index]
        along, above = line.place_of(drawn.foot)
        assert abs(above) <= WITHIN_MM, f"the baseline under {drawn.sign}"
        assert line.point_at(along, above) == pytest.approx(drawn.foot, abs=1e-6)
        assert member.kind == kind_of(drawn, lettering.cap_mm), drawn.sign
        assert member.below_mm == pytest.approx(drawn.below_mm, abs=edges_mm), drawn.sign
        edges = (member.left_mm, member.centre_mm, member.right_mm)
        wanted = (drawn.left_mm - begun, drawn.right_mm - begun)
        assert (edges[0], edges[2]) == pytest.approx(wanted, abs=edges_mm), drawn.sign
        assert edges[0] < edges[1] < edges[2]
        assert abs(math.remainder(member.turn_deg - drawn.turn_deg, 360)) <= 0.1 + edges_mm * 10, (
            drawn.sign
        )
    return line


def test_the_words_for_the_tests_are_those_of_the_font():
    """Bounds of the glyf table, advance widths of hmtx."""
    for name, sign in itertools.product(FONTS, "HOgQ&J8"):
        glyph = font(name)["glyf"][font(name).getBestCmap()[ord(sign)]]
        drawn = word(sign, name, cap_units(name)).drawn[0]
        assert (drawn.left_mm, -drawn.below_mm) == pytest.approx((glyph.xMin, glyph.yMin), abs=0.6)
        assert (drawn.right_mm, drawn.above_mm) == pytest.approx((glyph.xMax, glyph.yMax), abs=0.6)
    i_and_dot = word("i", SANS, 100).drawn
    assert [lettering.sign for lettering in i_and_dot] == ["i", "i"] and i_and_dot[1].below_mm < -60


CAPITALS = ("HARBOUR", "BERTH 16", "SLIP & SONS")
WORDS = (
    *CAPITALS,
    "Rye & Salt Bakery",
    "boat yard",
    "quay pilots",
    "Jetty-Quay No. 7",
    "Tide's Inn",
)


@pytest.mark.parametrize("name", FONTS)
@pytest.mark.parametrize("text", [*WORDS, "0123456789", "Fish, Chips & Co.", "OPEN 24"])
def test_a_straight_line_stands_where_the_font_says_at_any_angle(text, name):
    for cap_mm, degrees in itertools.product((15, 500), (0, 7.5, -30, 90)):
        line = assert_stands_as_the_font_says(turned(word(text, name, cap_mm), degrees))
        assert line.shape == "straight" and line.centre is None
        assert line.angle_deg == pytest.approx(degrees, abs=0.02)


@pytest.mark.parametrize("is_up", [True, False])
@pytest.mark.parametrize("name", FONTS)
@pytest.mark.parametrize("text", WORDS)
def test_letters_round_a_circle_stand_where_the_font_says(text, name, is_up):
    """Up to 60 mm high within 0.3 mm at the edges; the baseline itself within 0.2 mm, also at 500 mm."""
    for cap_mm, caps in itertools.product((15, 60), (2, 3, 6, 20)):
        if word(text, name, cap_mm).drawn[-1].right_mm > caps * cap_mm * (5.5 if is_up else 3.3):
            continue  # it would not fit round
        line = assert_stands_as_the_font_says(
            on_arc(text, name, cap_mm, caps * cap_mm, is_up), edges_mm=0.3
        )
        assert (line.shape, line.is_bulging_up) == ("arc", is_up)
        assert line.radius_mm == pytest.approx(caps * cap_mm, rel=0.02)
        assert line.centre == pytest.approx((0, 0), abs=0.02 * caps * cap_mm)


@pytest.mark.parametrize("is_up", [True, False])
@pytest.mark.parametrize("name", FONTS)
def test_the_edges_of_great_letters_round_a_circle_are_off_by_a_four_hundredth_at_the_most(
    name, is_up
):
    """Nothing tells the turn of a 6 or a comma exactly: it is turned by the middle of its box, not of its advance width."""
    for text, caps in itertools.product(("BERTH 16", "SLIP & SONS", "0123456789"), (3, 20)):
        if word(text, name, 500).drawn[-1].right_mm <= caps * 500 * (5.5 if is_up else 3.3):
            assert_stands_as_the_font_says(
                on_arc(text, name, 500, caps * 500, is_up), edges_mm=500 / 400
            )


@pytest.mark.parametrize("name", FONTS)
def test_the_height_is_that_of_capitals_and_of_small_letters_where_there_are_none(name):
    glyphs, names = font(name)["glyf"], font(name).getBestCmap()
    high = {sign: glyphs[names[ord(sign)]].yMax * 100 / cap_units(name) for sign in "Hlx"}
    for text, sign in (
        ("HARBOUR", "H"),
        ("Rye & Salt Bakery", "H"),
        ("hill land", "l"),
        ("vixen zoo", "x"),
    ):
        lines = (only_line(word(text, name, 100)), only_line(turned(word(text, name, 100), 20)))
        if text == "vixen zoo":  # the dot stands on nothing
            assert "floats" in {member.kind for member in lines[0].members}
        assert [line.height_mm for line in lines] == pytest.approx([high[sign]] * 2, abs=0.15), text


@pytest.mark.parametrize("name", FONTS)
@pytest.mark.parametrize("text", ["COCOS", "SOCO 608"])
def test_where_all_letters_are_round_the_baseline_runs_through_their_lowest_points(text, name):
    """Nobody can tell from round letters alone how far they dip: it lies lower than the font's, by the overshoot."""
    placed = [turned(word(text, name, 60), degrees) for degrees in (0, 7.5, -30)]
    placed += [
        on_arc(text, name, 60, 60 * caps, is_up) for caps in (5, 20) for is_up in (True, False)
    ]
    for lettering in placed:
        line = only_line(lettering)
        assert {member.kind for member in line.members} == {"round"}
        for drawn in lettering.drawn:
            assert line.place_of(drawn.foot)[1] == pytest.approx(DIPS * 60, abs=0.2)


def test_one_flat_letter_among_round_ones_tells_the_baseline():
    for text, degrees in itertools.product(("SOCKO", "COSY", "NO", "OK"), (0, 20)):
        line = only_line(turned(word(text, SANS, 60), degrees))
        assert line.place_of(turned(word(text, SANS, 60), degrees).drawn[-1].foot)[
            1
        ] == pytest.approx(0, abs=0.05)
        assert line.angle_deg == pytest.approx(degrees, abs=0.05)


# Several lines. ----------------------------------------------------------------------------------------------------------


def assert_come_apart(words: list[Word], seed: int = 1):
    """Each word is found as one line, in whatever order the outlines are given."""
    areas = [(which, drawn) for which, lettering in enumerate(words) for drawn in lettering.drawn]
    random.Random(seed).shuffle(areas)
    lines = find_baselines([drawn.outline for _, drawn in areas])
    read = [
        (areas[line.members[0].index][0], "".join(areas[m.index][1].sign for m in line.members))
        for line in lines
    ]
    wanted = [
        (which, "".join(drawn.sign for drawn in lettering.drawn))
        for which, lettering in enumerate(words)
    ]
    assert sorted(read) == wanted
    return lines


@pytest.mark.parametrize("name", FONTS)
@pytest.mark.parametrize(
    ("above", "below", "middle"),
    [
        ("HARBOUR BAKERY", "RYE & SALT", ("1962",)),
        ("Harbour Bakery", "Rye and Salt", ("EST 24",)),
        ("HARBOUR BAKERY", "RYE & SALT BREAD", ("WHARF", "Quay 7")),
    ],
)
def test_the_lines_of_a_roundel_come_apart(above, below, middle, name):
    """An upper arc, a lower one with the letters inside the circle that the upper ones' tops touch, and level words."""
    level = [moved(word(text, name, 60), -110, 10 - 80 * at) for at, text in enumerate(middle)]
    words = [on_arc(above, name, 40, 200), on_arc(below, name, 40, 240, up=False), *level]
    for line, shape in zip(
        assert_come_apart(words), ["arc", *["straight"] * len(middle), "arc"], strict=True
    ):
        assert line.shape == shape


@pytest.mark.parametrize("name", FONTS)
def test_lines_beside_and_over_one_another_come_apart(name):
    upper, lower = "HARBOUR BAKERY", "Rye & Salt Co."
    assert_come_apart([on_arc(upper, name, 40, 300), on_arc(lower, name, 40, 240)])
    for degrees in (0, 20, -35, 90):
        assert_come_apart(
            [
                turned(word(upper, name, 40), degrees),
                turned(moved(word(lower, name, 40), 0, -60), degrees),
            ]
        )
    rows = ("11 Hut", "12 Pier", "13 Inn", "14 Ebb", "15 Tide", "16 Keel")
    assert_come_apart([moved(word(text, name, 40), 0, -60 * at) for at, text in enumerate(rows)])
    assert_come_apart(
        [
            moved(word(text, name, 40), 0, -60 * at)
            for at, text in enumerate(("11", "12", "14", "15", "17"))
        ]
    )
    slant = turned(word("Fresh bread", name, 40), 10)
    assert_come_apart(
        [
            moved(word("HARBOUR", name, 60), 0, 200),
            slant,
            moved(word("Est. 1962", name, 40), 0, -80),
        ]
    )


def test_a_ring_of_letters_is_one_line_that_begins_behind_its_widest_gap():
    ring = on_arc("THE HARBOUR BAKERY OF EAST QUAY ", SANS, 40, 195)
    line = only_line(ring)
    assert line.is_bulging_up and line.members[-1].right_mm < 2 * math.pi * line.radius_mm
    assert line.radius_mm == pytest.approx(195, abs=0.2)


def test_what_is_no_letter_is_a_line_of_its_own():
    letters = moved(word("WHARF", SANS, 60), 100, 100)
    panel = Outline.of_polygon(rectangle(0, 0, 900, 300))
    disc = Outline.of_polygon(Point(450, 700).buffer(140))
    lines = find_baselines([panel, *letters.outlines, disc])
    kinds = {
        frozenset(member.index for member in line.members): line.members[0].kind for line in lines
    }
    assert kinds == {
        frozenset({0}): "flat",
        frozenset(range(1, 6)): "flat",
        frozenset({6}): "round",
    }
    assert {line.origin[1] for line in lines} == {0, 100, 560}
    panels = [Outline.of_polygon(rectangle(0, -60 * at, 300, 50 - 60 * at)) for at in range(5)]
    assert [[member.index for member in line.members] for line in find_baselines(panels)] == [
        [0],
        [1],
        [2],
        [3],
        [4],
    ]
    assert find_baselines([]) == []


# What must hold for any drawing. -----------------------------------------------------------------------------------------

places = st.floats(-500, 500)
shapes = st.one_of(
    st.builds(
        lambda x, y, w, h: rectangle(x, y, x + w, y + h),
        places,
        places,
        st.floats(1, 200),
        st.floats(1, 200),
    ),
    st.builds(lambda x, y, r: Point(x, y).buffer(r), places, places, st.floats(1, 100)),
    st.lists(st.tuples(places, places), min_size=3, max_size=6).map(
        lambda corners: Polygon(corners).convex_hull
    ),
)
outlines = shapes.filter(lambda shape: isinstance(shape, Polygon) and shape.area > 1).map(
    Outline.of_polygon
)


texts = st.text("ABCEHIJLOQSTUaegijlopqy-.'&018", min_size=1, max_size=6)
straight = st.builds(word, texts, st.sampled_from(FONTS), st.sampled_from([15, 40, 100]))
curved = st.builds(
    on_arc,
    texts,
    st.sampled_from(FONTS),
    st.just(40),
    st.sampled_from([100, 200, 800]),
    st.booleans(),
)
turns = st.sampled_from([0, 0, 15, 90, -45, 180, -90])
placed = st.builds(
    lambda lettering, turn, x, y: moved(turned(lettering, turn), x, y).outlines,
    straight | curved,
    turns,
    places,
    places,
)


@settings(max_examples=60)
@given(st.lists(outlines.map(lambda outline: [outline]) | placed, max_size=6))
def test_every_outline_is_in_exactly_one_line(mixed):
    level = [outline for outlines in mixed for outline in outlines]
    lines = find_baselines(level)
    assert sorted(member.index for line in lines for member in line.members) == list(
        range(len(level))
    )
    assert all(line.height_mm > 0 and line.members[0].left_mm == 0 for line in lines)
    assert find_baselines(level) == lines


@settings(max_examples=30)
@given(st.floats(-3000, 3000), st.floats(-3000, 3000), st.sampled_from(WORDS), st.booleans())
def test_a_drawing_that_is_moved_has_the_same_lines(dx, dy, text, is_arc):
    lettering = on_arc(text, SANS, 40, 400) if is_arc else word(text, SANS, 40)
    here, there = only_line(lettering), only_line(moved(lettering, dx, dy))
    assert there.place_of((here.origin[0] + dx, here.origin[1] + dy)) == pytest.approx(
        (0, 0), abs=0.05
    )
    for before, after in zip(here.members, there.members, strict=True):
        assert (before.index, before.kind) == (after.index, after.kind)
        assert after.left_mm == pytest.approx(before.left_mm, abs=0.05)


@settings(max_examples=30)
@given(
    st.floats(-60, 60).filter(lambda degrees: abs(degrees) > 1),
    st.sampled_from(WORDS),
    st.sampled_from(FONTS),
    st.booleans(),
)
def test_a_line_that_is_turned_has_the_turned_baseline(degrees, text, name, is_arc):
    lettering = turned(on_arc(text, name, 40, 480) if is_arc else word(text, name, 40), degrees)
    line = assert_stands_as_the_font_says(lettering)
    assert line.shape == ("arc" if is_arc else "straight")


def many(count: int, place) -> list[Outline]:
    """So many letters in words of ten, ten words a row."""
    words = [
        moved(place(word("HARBOUR 16B", SANS, 60)), 700 * (at % 10), -300 * (at // 10))
        for at in range(count // 10)
    ]
    return [outline for lettering in words for outline in lettering.outlines]


@pytest.mark.parametrize(
    "place", [lambda lettering: lettering, lambda lettering: turned(lettering, 20)]
)
def test_ten_times_the_letters_take_about_ten_times_as_long(place):
    """Half as much again is left to the machine."""
    letters = {count: many(count, place) for count in (100, 1000)}
    assert grows_at_most(15, lambda count: find_baselines(letters[count]), 100, 1000)
