"""The vacuum zones under a blank: counted by hand, against areas by shapely, and never fewer under a larger blank."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from shopfloor.domain.routing.vacuum_zones import LEAST_COVER, WHOLE, Table, zones_under

TABLE = Table(
    2500, 1250, 4, 2
)  # eight zones of 625 × 625 mm, 1 to 4 along the near side, 5 to 8 behind them

tables = st.builds(
    Table, st.floats(300, 5000), st.floats(300, 3000), st.integers(1, 8), st.integers(1, 5)
)
sides = st.floats(20, 6000)


@pytest.mark.parametrize(
    ("size", "to_open", "in_part"),
    [
        ((2500, 1250), (1, 2, 3, 4, 5, 6, 7, 8), ()),  # the whole table
        (
            (2440, 1220),
            (1, 2, 3, 4, 5, 6, 7, 8),
            (8,),
        ),  # the last: 565/625 × 595/625 = 0.86; beside it 0.90 and 0.95
        ((1250, 1250), (1, 2, 5, 6), ()),  # half of it
        ((2500, 625), (1, 2, 3, 4), ()),  # a strip along the near side
        ((625, 1250), (1, 5), ()),
        ((600, 600), (1,), ()),  # 0.92 of the first
        ((500, 500), (1,), (1,)),  # 0.64 of it
        ((700, 600), (1, 2), (2,)),  # 75/625 × 600/625 = 0.12 of the second
        ((650, 600), (1,), ()),  # 0.04 of the second: it would suck air only
    ],
)
def test_the_zones_under_a_blank_are_those_that_it_covers(size, to_open, in_part):
    found = zones_under(*size, TABLE)
    assert (found.to_open, found.in_part, found.is_too_large) == (to_open, in_part, False)


@pytest.mark.parametrize("size", [(100, 150), (130, 130), (20, 20), (620, 1)])
def test_the_smallest_offcut_is_held_by_the_zone_that_it_lies_on(size):
    """100 mm on its shorter side is kept (from memory): 0.04 of a zone, and nothing else would hold it."""
    found = zones_under(*size, TABLE)
    assert (found.to_open, found.in_part) == ((1,), (1,))


@pytest.mark.parametrize(
    ("size", "is_too_large"),
    [
        ((2500, 1250), False),
        ((2500.1, 1250), True),
        ((2000, 1250.1), True),
        ((3000, 1500), True),
    ],
)
def test_a_blank_that_hangs_over_the_table_s_edge_opens_no_zone_that_is_not_there(
    size, is_too_large
):
    found = zones_under(*size, TABLE)
    assert found.is_too_large == is_too_large
    assert set(found.to_open) <= set(range(1, 9))
    assert size != (3000, 1500) or (found.to_open, found.in_part) == (tuple(range(1, 9)), ())


def shares_of(length: float, width: float, table: Table) -> dict[int, float]:
    """The share of each zone that lies under the blank, by shapely."""
    long, wide = table.length_mm / table.along, table.width_mm / table.across
    blank, spots = (
        box(0, 0, length, width),
        [(x, y) for y in range(table.across) for x in range(table.along)],
    )
    zones = [box(x * long, y * wide, (x + 1) * long, (y + 1) * wide) for x, y in spots]
    return {
        number: zone.intersection(blank).area / zone.area
        for number, zone in enumerate(zones, start=1)
    }


@given(sides, sides, tables)
def test_a_zone_is_opened_where_enough_of_it_is_covered_and_named_where_some_of_it_leaks(
    length, width, table
):
    found, shares = zones_under(length, width, table), shares_of(length, width, table)
    for zone, share in shares.items():
        if abs(share - LEAST_COVER) > 1e-6 and zone != 1:
            assert (zone in found.to_open) == (share > LEAST_COVER)
        if abs(share - WHOLE) > 1e-6 and zone in found.to_open:
            assert (zone in found.in_part) == (share < WHOLE)
    assert 1 in found.to_open and set(found.in_part) <= set(found.to_open)


@given(sides, sides, st.floats(0, 3000), st.floats(0, 3000), tables)
def test_a_larger_blank_closes_no_zone(length, width, longer, wider, table):
    small, large = (
        zones_under(length, width, table),
        zones_under(length + longer, width + wider, table),
    )
    assert set(small.to_open) <= set(large.to_open)
    assert small.is_too_large <= large.is_too_large


def test_a_zone_that_is_covered_in_part_stays_closed_where_nothing_is_cut_over_it():
    """Of eight zones of 625 × 625 mm a blank of 2331 × 819 covers three wholly, five in part; pieces lie on the first 85 mm."""
    table = Table(2500, 1250, 4, 2)
    assert zones_under(2331, 819, table).to_open == (1, 2, 3, 4, 5, 6, 7, 8)
    small = zones_under(2331, 819, table, (85, 819))
    assert (small.to_open, small.in_part) == ((1, 2, 3, 5), (5,))
    assert zones_under(2331, 819, table, (2331, 90)).to_open == (1, 2, 3, 4)
