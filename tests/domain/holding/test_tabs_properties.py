"""What must hold of every tab, on the letters of two fonts at 15 to 500 mm and on random stars.

Checked by shapely and by other measures than the module's own: distances along shapely's rings, the circle through three
points, the outline's sagitta, the sum of the angles at its vertices, shapely's hulls, kerfs and insets.
"""

import cmath
import math
from functools import cache, lru_cache
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.pens.basePen import decomposeQuadraticSegment
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, LineString, MultiPoint, Point, Polygon, box

import shopfloor.paper
from shopfloor.domain.holding.tabs import TabRules, place_tabs, tab_segments
from shopfloor.domain.outlines import Outline

FONTS = Path(shopfloor.paper.__file__).parent / "fonts"
ALL = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789&"
SANS, SERIF = "DejaVuSans-Bold", "DejaVuSerif-Bold"
CHORD_MM = 0.05  # the readers flatten curves so far
FORCE_N = 72.0  # a full pass of 6 mm, 0.10 mm a tooth, 0.12 J/mm³: arithmetic
RULES = TabRules()


@cache
def opened(name):
    return TTFont(FONTS / f"{name}.ttf")


@cache
def contours(name, sign):
    """Each contour of a sign as curves (start, control, end), complex; a straight line has its middle as control."""
    font = opened(name)
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(sign)]].draw(pen)
    scale = 1 / font["glyf"]["H"].yMax  # a capital is 1 high
    found = []
    for operator, points in pen.value:
        if operator == "moveTo":
            found.append([])
            at = begun = complex(*points[0])
        elif operator == "qCurveTo":
            for control, end in decomposeQuadraticSegment(points):
                found[-1].append((at * scale, complex(*control) * scale, complex(*end) * scale))
                at = complex(*end)
        elif operator == "lineTo" or at != begun:
            before, at = at, complex(*points[0]) if points else begun
            found[-1].append((before * scale, (before + at) / 2 * scale, at * scale))
    return found


def flat(curve, cap_mm, chord_mm):
    """Points along a curve, its end left out, so many that no chord is further off than that."""
    a, b, c = (point * cap_mm for point in curve)
    pieces = max(1, math.ceil(math.sqrt(abs(a - 2 * b + c) / 4 / chord_mm)))
    return [
        (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c
        for t in (n / pieces for n in range(pieces))
    ]


@cache
def letter(sign, name, cap_mm, chord_mm=CHORD_MM):
    """The largest area of a letter, with its holes, in its own frame."""
    rings = [
        [p for curve in one for p in flat(curve, cap_mm, chord_mm)] for one in contours(name, sign)
    ]
    areas = sorted(
        (Polygon([(p.real, p.imag) for p in ring]) for ring in rings), key=lambda one: -one.area
    )
    holes = [one.exterior for one in areas[1:] if areas[0].contains(one.representative_point())]
    return Outline.of_polygon(Polygon(areas[0].exterior, holes)).at_origin()


@cache
def found_for(sign, name, cap_mm):
    """The tabs that a letter gets by the usual rules."""
    return place_tabs(letter(sign, name, cap_mm), RULES, FORCE_N)


# The measures. --------------------------------------------------------------------------------------------------------


def cyclic(one, two, length):
    """The distance of two places along a ring."""
    return min((one - two) % length, (two - one) % length)


@lru_cache(maxsize=8)
def exterior_angles(ring):
    """(distance along the ring, exterior angle in radians) of every vertex."""
    at, found = 0.0, []
    for (ax, ay), (bx, by), (cx, cy) in zip(
        (ring[-1], *ring[:-1]), ring, (*ring[1:], ring[0]), strict=True
    ):
        angle = math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax)
        found.append((at, math.remainder(angle, math.tau)))
        at += math.dist((bx, by), (cx, cy))
    return found


@lru_cache(maxsize=8)
def corners(ring, length):
    """Where the vertices within a quarter of a millimetre turn by more than 41 degrees together: even if they are spread
    over all of it, chords of 1 mm meet at more than 30."""
    angles = exterior_angles(ring)
    found = []
    for at, angle in angles:
        if abs(angle) > math.radians(
            8
        ):  # a crowd of lesser turns in so short a way is in none of these outlines
            together = sum(angle for other, angle in angles if cyclic(at, other, length) <= 0.25)
            found += [at] * (abs(together) > math.radians(41))
    return found


def radius_through(a, b, c):
    """The radius of the circle through three points: the sides' product over four times the area."""
    area = Polygon([a, b, c]).area
    return (
        math.inf
        if area < 1e-9
        else math.dist(a, b) * math.dist(b, c) * math.dist(c, a) / (4 * area)
    )


def check_place(outline, tab, rules, chord_mm=CHORD_MM):
    """One tab: on its ring, on a gently curved stretch, away from corners."""
    ring = outline.rings[tab.ring]
    line, half = LinearRing(ring), rules.length_mm / 2
    assert line.interpolate(tab.at_mm).distance(Point(tab.x_mm, tab.y_mm)) < 0.003
    first, last = (
        line.interpolate((tab.at_mm + way) % line.length).coords[0] for way in (-half, half)
    )
    # an arc as tight as the tab is long: its sagitta is L²/8L; that of the chords is off by their own
    slack = 1 + 2 * chord_mm / (rules.length_mm / 8)
    assert radius_through(first, (tab.x_mm, tab.y_mm), last) >= rules.length_mm / slack
    covered = LineString(tab_segments(outline, tab.ring, tab.at_mm, rules.length_mm))
    assert (
        covered.hausdorff_distance(LineString([first, last]))
        <= rules.length_mm * (1 - math.cos(0.5)) + 2 * chord_mm
    )
    # at most a third of a radian each third of the tab, and its share of the chords; a vertex may lie at either end
    vertex = 2 * math.sqrt(2 * chord_mm / rules.length_mm)
    turned = sum(
        abs(angle)
        for at, angle in exterior_angles(ring)
        if cyclic(at, tab.at_mm, line.length) < half
    )
    assert turned <= 1 + 6 * chord_mm / (rules.length_mm / 3) + 1.5 * vertex
    for corner in corners(ring, line.length):
        assert cyclic(corner, tab.at_mm, line.length) >= half + rules.corner_mm - 0.002


def check_waste(outline, tab, rules):
    """Outside the tab is waste, one cutter's width away."""
    if tab.ring:
        waste = Polygon(outline.rings[tab.ring]).buffer(-rules.tool_mm, quad_segs=64)
    else:
        left, bottom, right, top = outline.bounds
        whole = box(left - 50, bottom - 50, right + 50, top + 50)
        waste = whole.difference(Polygon(outline.rings[0]).buffer(rules.tool_mm, quad_segs=64))
    assert waste.distance(Point(tab.x_mm, tab.y_mm)) <= rules.tool_mm + 0.3


def check_spread(outline, tabs, rules):
    """The tabs of the outer ring together: as many as needed, well apart, no long stretch without, round the centre."""
    line, centre = LinearRing(outline.rings[0]), outline.polygon.centroid
    places = sorted(line.project(Point(tab.x_mm, tab.y_mm)) for tab in tabs)
    gaps = [
        (two - one) % line.length for one, two in zip(places, (*places[1:], places[0]), strict=True)
    ]
    assert sum(gaps) == pytest.approx(line.length)
    assert rules.apart_mm - 0.01 <= min(gaps) and max(gaps) <= rules.longest_free_mm + 0.01
    assert len(tabs) >= max(2, rules.fewest, line.length / rules.longest_free_mm)
    assert (
        len(tabs) * rules.length_mm * rules.thickness_mm * rules.shear_mpa >= rules.safety * FORCE_N
    )
    hull = MultiPoint([(tab.x_mm, tab.y_mm) for tab in tabs]).convex_hull
    if len(tabs) == 2:
        assert hull.distance(centre) <= 0.25 * min(outline.width_mm, outline.height_mm) + 0.01
    else:
        assert hull.contains(centre) and hull.exterior.distance(centre) > 0.1


def check_slugs(outline, found, rules):
    """Each slug has one tab at most."""
    for number, ring in enumerate(outline.rings[1:], start=1):
        rest = Polygon(ring).buffer(-rules.tool_mm)
        slugs = [one for one in getattr(rest, "geoms", [rest]) if one.area > 1]
        tabs = [tab for tab in found.tabs if tab.ring == number]
        assert len(tabs) <= len(slugs)


def check(outline, found, rules=RULES, chord_mm=CHORD_MM):
    """All that must hold of what was found for a piece."""
    outer = [tab for tab in found.tabs if tab.ring == 0]
    if found.why_none:
        assert found.tabs == () and found.safety_factor == 0
        assert str(found.why_none).endswith(" Use tape.")
        return
    for tab in found.tabs:
        check_place(outline, tab, rules, chord_mm)
        check_waste(outline, tab, rules)
    check_spread(outline, outer, rules)
    check_slugs(outline, found, rules)
    assert (
        found.safety_factor == pytest.approx(len(outer) * 6 * 0.8 * 30 / FORCE_N)
        and found.safety_factor >= rules.safety
    )


def has_two_straight_places(outline, rules):
    """Whether two places on straight sides, with room for a tab and waste outside, have the centre between them.

    A plain search: a place every half millimetre of the sides that are long enough for a tab and its distance from corners.
    """
    ring = outline.rings[0]
    safety_factor, places = rules.length_mm / 2 + rules.corner_mm + 0.3, []
    kerf = Polygon(ring).buffer(rules.tool_mm, quad_segs=64)
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        side = LineString([a, b])
        for step in range(
            math.floor(2 * (side.length - 2 * safety_factor)) + 1
            if side.length >= 2 * safety_factor
            else 0
        ):
            point = side.interpolate(safety_factor + step / 2)
            reach = (
                1.01 * rules.tool_mm / side.length
            )  # the right of a side that runs counter-clockwise is outside
            if not kerf.contains(
                Point(point.x + reach * (b[1] - a[1]), point.y - reach * (b[0] - a[0]))
            ):
                places.append(point)
    line, centre = LinearRing(ring), outline.polygon.centroid
    near = 0.24 * min(outline.width_mm, outline.height_mm)
    far = max(line.length / 4, rules.apart_mm) + 0.5
    return any(
        LineString([one, two]).distance(centre) <= near
        and cyclic(line.project(one), line.project(two), line.length) >= far
        for one, two in combinations(places, 2)
    )


# Letters. -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [SANS, SERIF])
@pytest.mark.parametrize("cap_mm", [15, 25, 50, 100, 250, 500])
def test_every_letter_has_good_tabs_or_a_reason(cap_mm, name):
    for sign in ALL:
        outline, found = letter(sign, name, cap_mm), found_for(sign, name, cap_mm)
        check(outline, found)
        outer = sum(tab.ring == 0 for tab in found.tabs)
        assert found.why_none or outer >= LinearRing(outline.rings[0]).length / 150 - 0.5, (
            "about one each 150 mm"
        )


@pytest.mark.parametrize("name", [SANS, SERIF])
def test_finely_flattened_curves_come_nearer_to_the_exact_limits(name):
    for sign in "BCDGJOPQRSUabcdegopqs03689&":
        for cap_mm in (25, 60):
            outline = letter(sign, name, cap_mm, 0.004)
            check(outline, place_tabs(outline, RULES, FORCE_N), chord_mm=0.004)


def test_how_many_letters_take_tabs_at_which_height(record_property):
    """Measured. From 50 mm on every letter does; of those of 15 mm most have no room: tape."""
    letters = [(sign, name) for sign in ALL for name in (SANS, SERIF)]
    heights = (15, 25, 50, 100, 250, 500)
    count = {
        cap_mm: sum(found_for(*one, cap_mm).why_none is None for one in letters)
        for cap_mm in heights
    }
    record_property("letters_with_tabs", f"{count} of {len(letters)}")
    assert len(letters) == 126 and 45 <= count[15] <= 70 and 115 <= count[25] < 126
    assert {count[cap_mm] for cap_mm in (50, 100, 250, 500)} == {126}


@pytest.mark.parametrize("name", [SANS, SERIF])
@pytest.mark.parametrize("cap_mm", [12, 15, 20, 25])
def test_a_letter_left_to_tape_has_no_two_straight_places(cap_mm, name):
    """A second search on straight sides alone finds nothing that was overlooked."""
    taped = [letter(sign, name, cap_mm) for sign in ALL]
    taped = [outline for outline in taped if not place_tabs(outline, RULES, FORCE_N).tabs]
    assert taped and not any(has_two_straight_places(outline, RULES) for outline in taped)


@pytest.mark.parametrize("sign", "AEHIMOS&")
@pytest.mark.parametrize("cap_mm", [30, 90, 300])
def test_tabs_keep_away_from_those_of_the_neighbours(cap_mm, sign):
    """Where the tabs would have stood the neighbours have theirs."""
    outline = letter(sign, SERIF, cap_mm)
    taken = [(tab.x_mm, tab.y_mm) for tab in place_tabs(outline, RULES, FORCE_N).tabs]
    found = place_tabs(outline, RULES, FORCE_N, taken=taken)
    check(outline, found)
    assert taken and all(
        math.dist(one, (tab.x_mm, tab.y_mm)) >= 12 - 0.002 for tab in found.tabs for one in taken
    )
    assert found.tabs or cap_mm == 30


@pytest.mark.parametrize("sign", "BGQ8&k")
def test_the_same_outline_has_the_same_tabs_wherever_it_lies(sign):
    outline = letter(sign, SANS, 120)
    once = place_tabs(outline, RULES, FORCE_N)
    assert place_tabs(Outline(outline.rings), RULES, FORCE_N) == once
    away = place_tabs(outline.moved(700, -300), RULES, FORCE_N)
    assert [(tab.ring, tab.at_mm) for tab in away.tabs] == [
        (tab.ring, tab.at_mm) for tab in once.tabs
    ]


# Stars. ---------------------------------------------------------------------------------------------------------------


@settings(max_examples=120)
@given(
    st.lists(st.floats(0.25, 1), min_size=3, max_size=14),
    st.floats(8, 400),
    st.floats(2, 15),
    st.sampled_from([40, 150, 500]),
    st.sampled_from([1.05, 2]),
)
def test_every_star_has_good_tabs_or_a_reason(radii, size, length, every, longest):
    spokes = [
        cmath.rect(size * radius, math.tau * n / len(radii)) for n, radius in enumerate(radii)
    ]
    outline = Outline.of_polygon(
        Polygon([(spoke.real, spoke.imag) for spoke in spokes])
    ).at_origin()
    rules = TabRules(
        length_mm=length, every_mm=every, longest_free_mm=longest * every, shear_mpa=30 * 6 / length
    )
    check(outline, place_tabs(outline, rules, FORCE_N), rules)
