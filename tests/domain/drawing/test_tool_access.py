"""What the cutter cannot reach and where a part is thinner than it, by closed forms."""

from __future__ import annotations

import math

import pytest
from shapely import Point, Polygon, box

from shopfloor.domain.drawing import tool_access

TOOLS = [4.76, 6.35, 12.7]  # mm
BLOCK = box(0, 0, 100, 100)


def corner(radius: float, turn: float = 90) -> float:
    """mm² between a corner's two sides and the circle that touches both, where the outline turns by `turn` degrees."""
    half = math.radians(turn) / 2
    return radius**2 * (math.tan(half) - half)


def round_hole(radius: float, chord_mm: float = 0.05) -> list[tuple[float, float]]:
    """A circle as a reader of drawings cuts it up: chords that stray by `chord_mm`."""
    count = math.ceil(2 * math.pi / (2 * math.acos(1 - chord_mm / radius)))
    turns = [2 * math.pi * step / count for step in range(count)]
    return [(50 + radius * math.cos(turn), 50 + radius * math.sin(turn)) for turn in turns]


def star(points: int, outer: float, inner: float) -> Polygon:
    turns = [math.pi * step / points for step in range(2 * points)]
    sizes = [outer, inner] * points
    return Polygon(
        [
            (size * math.sin(turn), size * math.cos(turn))
            for size, turn in zip(sizes, turns, strict=True)
        ]
    )


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.parametrize(
    ("part", "corners"),
    [
        (BLOCK.difference(box(60, 60, 100, 100)), 1),
        (BLOCK.difference(box(40, 60, 60, 100)), 2),
        (BLOCK.difference(box(30, 30, 70, 70)), 4),
    ],
)
def test_a_square_inner_corner_keeps_what_lies_outside_the_circle(part, corners, tool):
    rest = tool_access.unreached(part, tool / 2)
    assert len(rest.places) == corners
    assert rest.area_mm2 == pytest.approx(corners * (tool / 2) ** 2 * (1 - math.pi / 4), rel=5e-3)
    assert tool_access.closed_holes(part, tool / 2) is None


def test_the_inner_corners_of_a_star_keep_more_with_a_wider_cutter():
    pentagram = star(5, 80, 80 * math.sin(math.radians(18)) / math.sin(math.radians(54)))
    rest = tool_access.unreached(pentagram, 6.35)
    assert len(rest.places) == 5
    assert rest.area_mm2 == pytest.approx(5 * corner(6.35, turn=72), rel=5e-3)
    assert tool_access.unreached(pentagram, 3.175) is None, (
        f"{corner(3.175, turn=72):.2f} mm² each: under 1 mm²"
    )


def test_the_tips_of_a_star_are_thinner_than_the_cutter():
    thin = tool_access.thin(star(5, 80, 18), 3.175)
    assert len(thin.places) == 5
    tip = 2 * math.degrees(
        math.atan2(18 * math.sin(math.radians(36)), 80 - 18 * math.cos(math.radians(36)))
    )  # 18 degrees
    assert thin.area_mm2 == pytest.approx(5 * corner(3.175, turn=180 - tip), rel=5e-3)
    pentagram = star(5, 80, 80 * math.sin(math.radians(18)) / math.sin(math.radians(54)))
    assert tool_access.thin(pentagram, 3.175) is None, "tips of 36 degrees are corners, not strokes"


@pytest.mark.parametrize(
    "part",
    [
        BLOCK,
        Point(50, 50).buffer(40),
        Polygon(round_hole(45)),
        Polygon([(0, 0), (100, 0), (50, 86.6)]),
        *(Polygon(BLOCK.exterior, [round_hole(radius)]) for radius in (3.175, 3.3, 4, 6, 20, 40)),
        box(0, 0, 100, 6.35),
    ],
)
def test_an_outline_that_the_cutter_follows_gives_nothing(part):
    assert tool_access.thin(part, 3.175) is None
    assert tool_access.unreached(part, 3.175) is None
    assert tool_access.closed_holes(part, 3.175) is None


def test_a_slot_inside_a_block_that_is_narrower_than_the_cutter_stays_filled():
    part = BLOCK.difference(box(40, 40, 42, 80))
    closed = tool_access.closed_holes(part, 3.175)
    assert (len(closed.places), closed.area_mm2) == (1, pytest.approx(80))
    assert closed.width_mm == pytest.approx(2, abs=0.05)
    assert tool_access.unreached(part, 3.175) is None, "the slot is reported once"


def test_a_slot_from_the_edge_that_is_narrower_than_the_cutter_stays_but_for_its_mouth():
    """The cutter looks into the mouth of 2 mm by a segment of its circle."""
    radius, half = 3.175, math.asin(1 / 3.175)
    segment = radius**2 * (half - math.sin(half) * math.cos(half))
    rest = tool_access.unreached(BLOCK.difference(box(40, 40, 42, 100)), radius)
    assert (len(rest.places), rest.area_mm2) == (1, pytest.approx(120 - segment, rel=1e-3))


def test_a_slot_of_the_cutters_own_width_keeps_its_two_corners_only():
    rest = tool_access.unreached(BLOCK.difference(box(40, 40, 46.35, 100)), 3.175)
    assert len(rest.places) == 2
    assert rest.area_mm2 == pytest.approx(2 * corner(3.175), rel=5e-3)


def test_a_bar_of_3_mm_is_thin_all_over():
    thin = tool_access.thin(box(0, 0, 100, 3), 3.175)
    assert (len(thin.places), thin.area_mm2) == (1, pytest.approx(300))
    assert thin.width_mm == pytest.approx(3, abs=0.05)


def test_a_ring_of_3_mm_is_thin_all_round():
    ring = Point(0, 0).buffer(50, 64).difference(Point(0, 0).buffer(47, 64))
    thin = tool_access.thin(ring, 3.175)
    assert thin.area_mm2 == pytest.approx(math.pi * (50**2 - 47**2), rel=1e-3)
    assert thin.width_mm == pytest.approx(3, abs=0.06)


def test_of_a_block_with_a_thin_arm_the_arm_is_reported():
    thin = tool_access.thin(BLOCK.union(box(100, 48, 120, 51)), 3.175)
    assert len(thin.places) == 1
    assert thin.area_mm2 == pytest.approx(60, rel=0.02)
    assert thin.places[0].within(box(99, 47.9, 120.1, 51.1))
