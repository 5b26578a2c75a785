"""Nesting true to shape through the worker process: every result is measured with shapely, not believed."""

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, Point, Polygon, box

from shopfloor import nesting, worker
from shopfloor.domain.errors import Refused
from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.nests import Item, NestRules, faults
from shopfloor.domain.routing.shelf_packing import shelved_sheets
from shopfloor.nesting import nest

QUICK = NestRules(seconds=0.6)


def item(key, polygon, name=None):
    return Item(str(key), Outline.of_polygon(polygon).at_origin(), name or f"part {key}")


def raw(key, *points):
    return Item(str(key), Outline((tuple(points),)), f"part {key}")


def letter(kind, s):
    shapes = {
        "L": [(0, 0), (0.7, 0), (0.7, 0.2), (0.2, 0.2), (0.2, 1), (0, 1)],
        "U": [(0, 0), (0.8, 0), (0.8, 1), (0.6, 1), (0.6, 0.2), (0.2, 0.2), (0.2, 1), (0, 1)],
        "A": [(0, 0), (0.9, 0), (0.45, 1)],
    }
    return Polygon([(x * s, y * s) for x, y in shapes[kind]])


def letters(count, seed=1):
    draw = random.Random(seed)
    return [item(i, letter("LUA"[i % 3], draw.uniform(60, 160))) for i in range(count)]


def distances(nesting_sheet, items):
    """Smallest distance between two outlines, by brute force over all pairs: not by the code under test."""
    outlines = {i.key: i.outline for i in items}
    lying = [
        Polygon(outlines[p.key].placed(p.x, p.y, p.turn).rings[0]) for p in nesting_sheet.placed
    ]
    return min(
        (a.distance(b) for a, b in itertools.combinations(lying, 2)), default=math.inf
    ), lying


def assert_sound(result, items, length, width, rules):
    keys = [p.key for s in result.sheets for p in s.placed] + [key for key, _ in result.left_out]
    assert sorted(keys) == sorted(i.key for i in items)
    for one in result.sheets:
        assert faults(one, items, length, width, rules) == []
        nearest, lying = distances(one, items)
        assert nearest >= rules.gap_mm - 0.01
        m = rules.margin_mm - 0.01
        assert all(box(m, m, length - m, width - m).covers(shape) for shape in lying)


def test_letters_keep_gap_and_margin_and_beat_their_boxes():
    items = letters(40)
    rules = NestRules(seconds=3)
    result = nest(items, 2440, 1220, rules)
    assert_sound(result, items, 2440, 1220, rules)
    (one,) = result.sheets
    (plain,) = shelved_sheets(items, 2440, 1220, rules)
    assert one.yield_share > 1.15 * plain.yield_share  # 1.4 to 1.5 where it was written
    assert 0 < one.other_yield_share <= one.yield_share


def test_the_yield_is_net_area_over_used_length_times_width():
    items = letters(6)
    (one,) = nest(items, 1000, 600, QUICK).sheets
    other_side = 600 if one.along == "length" else 1000
    net = sum(Polygon(i.outline.rings[0]).area for i in items)
    assert math.isclose(one.yield_share, net / (one.used_mm * other_side))
    far = max(shape.bounds[2 if one.along == "length" else 3] for shape in distances(one, items)[1])
    assert math.isclose(one.used_mm, far + QUICK.gap_mm, abs_tol=0.002)


@pytest.mark.parametrize(
    ("turns", "allowed"), [("none", {0}), ("180", {0, 180}), ("any", {0, 90, 180, 270})]
)
def test_pieces_are_turned_only_as_the_stock_allows(turns, allowed):
    items, rules = letters(12), NestRules(turns=turns, seconds=0.6)
    result = nest(items, 1220, 800, rules)
    assert_sound(result, items, 1220, 800, rules)
    assert {p.turn for s in result.sheets for p in s.placed} <= allowed


def test_more_than_a_sheet_holds_goes_on_further_sheets():
    items = letters(60)
    result = nest(items, 800, 500, QUICK)
    assert_sound(result, items, 800, 500, QUICK)
    assert len(result.sheets) >= 2 and result.left_out == ()
    assert len(result.sheets) <= len(shelved_sheets(items, 800, 500, QUICK))


def test_what_most_sheets_do_not_hold_is_left_out_with_a_sentence():
    items = letters(60)
    result = nest(items, 800, 500, QUICK, most_sheets=1)
    assert_sound(result, items, 800, 500, QUICK)
    assert len(result.sheets) == 1 and result.left_out
    assert "No room is left for the part “part" in str(result.left_out[0][1])
    assert nest(items[:2], 800, 500, QUICK, most_sheets=0).sheets == ()


def test_what_fits_on_no_sheet_is_said_by_name_and_the_rest_goes_on():
    items = [item("b", box(0, 0, 2600, 900), "board"), *letters(3)]
    result = nest(items, 2440, 1220, QUICK)
    assert_sound(result, items, 2440, 1220, QUICK)
    assert [key for key, _ in result.left_out] == ["b"]
    assert "“board” (2600 × 900 mm) does not fit a sheet of 2440 × 1220 mm" in str(
        result.left_out[0][1]
    )


def test_a_board_as_large_as_the_blank_allows_does_not_stop_the_small_ones():
    items = [item("b", box(0, 0, 2416, 1196), "board"), *letters(5)]
    result = nest(items, 2440, 1220, QUICK)
    assert_sound(result, items, 2440, 1220, QUICK)
    assert len(result.sheets) == 2


def test_pieces_exactly_as_high_as_the_strip_are_packed_by_the_library():
    items = [item(i, Polygon([(0, 0), (120, 0), (0, 576)])) for i in range(6)]
    result = nest(items, 1000, 600, NestRules(seconds=1))
    assert_sound(result, items, 1000, 600, NestRules(seconds=1))
    assert (
        result.sheets[0].used_mm < 6 * 128.35
    )  # two triangles share a box: boxes alone need 770 mm


def test_a_lath_that_lies_only_from_corner_to_corner_is_laid_so():
    items = [item("lath", box(0, 0, 1050, 10)), *letters(4)]
    result = nest(items, 1000, 600, QUICK)
    assert_sound(result, items, 1000, 600, QUICK)
    assert result.left_out == ()


def test_a_blank_smaller_than_its_margins_leaves_all_out_by_name():
    result = nest(letters(3), 20, 20, QUICK)
    assert result.sheets == () and [key for key, _ in result.left_out] == ["0", "1", "2"]


def test_no_items_make_no_sheets():
    assert nest([], 2440, 1220) == nesting.Nesting((), ())


def test_one_key_twice_is_refused():
    with pytest.raises(Refused, match="listed twice"):
        nest([*letters(2), item("1", box(0, 0, 5, 5))], 2440, 1220)


@pytest.mark.parametrize(
    "rules",
    [
        NestRules(gap_mm=-1),
        NestRules(margin_mm=math.nan),
        NestRules(seconds=math.inf),
        NestRules(turns="45"),
    ],
)
def test_rules_that_make_no_sense_are_refused(rules):
    with pytest.raises(Refused):
        nest(letters(2), 2440, 1220, rules)


def test_bad_outlines_neither_raise_nor_keep_the_good_ones_off():
    nan = float("nan")
    bad = [
        raw("nan", (0, 0), (nan, 1), (2, 2)),
        raw("flat", (0, 0), (50, 0), (100, 0)),
        raw("none"),
    ]
    odd = [
        raw("bow", (0, 0), (100, 100), (100, 0), (0, 100)),
        raw("spike", (0, 0), (100, 0), (100, 50), (300, 50), (100, 50), (0, 50)),
        raw("doubled", (0, 0), (0, 0), (60, 0), (60, 0), (60, 60), (0, 60), (0, 60)),
        raw("clockwise", (0, 0), (0, 60), (60, 60), (60, 0)),
        raw("sliver", (0, 0), (200, 0), (200, 0.01)),
        raw("far", (5000, 5000), (5060, 5000), (5060, 5060)),
        raw("speck", (0, 0), (0.2, 0), (0.2, 0.2)),
        item("round", Point(0, 0).buffer(40, quad_segs=500)),
    ]
    items = [*bad, *odd, *letters(3), raw("huge", (0, 0), (1e12, 0), (1e12, 1e12))]
    result = nest(items, 1220, 800, QUICK)
    assert {key for key, _ in result.left_out} == {"nan", "flat", "none", "huge"}
    assert all(faults(s, items, 1220, 800, QUICK) == [] for s in result.sheets)


def test_the_perfect_squares_pack_without_a_fault():
    # Duijvestijn 1978: these fill a square of side 112 exactly, so no packing of them can be shorter than 112.
    sides = [50, 35, 27, 8, 19, 15, 17, 11, 6, 24, 29, 25, 9, 2, 7, 18, 16, 42, 4, 37, 33]
    assert sum(side * side for side in sides) == 112 * 112
    items = [item(i, box(0, 0, side, side)) for i, side in enumerate(sides)]
    rules = NestRules(gap_mm=0, margin_mm=0, seconds=2)
    result = nest(items, 150, 112, rules)
    assert_sound(result, items, 150, 112, rules)
    (one,) = result.sheets
    assert 0.8 < one.yield_share <= 1


def test_with_no_gap_what_fills_the_strip_exactly_fits():
    """Four laths round a square, 60 + 40 = 100 on each side. With slack round each, two would not fit side by side."""
    laths = [item(i, box(0, 0, 60, 40)) for i in range(4)] + [item(4, box(0, 0, 20, 20))]
    rules = NestRules(gap_mm=0, margin_mm=0, seconds=2)
    result = nest(laths, 400, 100, rules)
    assert_sound(result, laths, 400, 100, rules)
    (one,) = result.sheets
    assert (
        one.along == "length" and 100 <= one.used_mm < 138
    )  # 107 to 120 where it was written, 130 on a busy machine, 140 with slack


def test_equal_rectangles_fall_into_their_grid():
    items = [item(i, box(0, 0, 50, 50)) for i in range(60)]
    result = nest(items, 1000, 600, QUICK)
    assert_sound(result, items, 1000, 600, QUICK)
    assert result.sheets[0].yield_share >= shelved_sheets(items, 1000, 600, QUICK)[0].yield_share


def test_equal_pieces_are_offered_as_one_shape_and_each_is_placed_once():
    items = [item(i, letter("LUA"[i % 3], 100)) for i in range(30)]
    turns = {i.key: (0.0, 180.0) for i in items} | {"0": (0.0,)}
    found = nesting._alike({i.key: i.outline for i in items}, turns, 4.195)
    assert sorted(map(len, found.values())) == [1, 9, 10, 10], (
        "one may be turned less than its equals"
    )
    assert sorted(key for keys in found.values() for key in keys) == sorted(turns)
    result = nest(items, 1220, 800, QUICK)
    assert_sound(result, items, 1220, 800, QUICK)
    assert (
        result.left_out == ()
        and result.sheets[0].yield_share > shelved_sheets(items, 1220, 800, QUICK)[0].yield_share
    )


def test_a_thousand_pieces_are_nested_and_checked():
    items = [item(i, letter("LUA"[i % 3], 20 + i % 23)) for i in range(1000)]
    rules = NestRules(seconds=0.5)
    result = nest(items, 2440, 1220, rules)
    assert sum(len(s.placed) for s in result.sheets) == 1000
    assert [fault for s in result.sheets for fault in faults(s, items, 2440, 1220, rules)] == []


def test_a_single_piece_takes_none_of_the_time_limit(monkeypatch):
    """The library, which uses up the time it is given, is not asked."""
    asked = []
    monkeypatch.setattr(nesting, "_packed", lambda *words, **more: asked.append(words))
    monkeypatch.setattr(
        worker,
        "call",
        lambda _, message, **limits: nesting.nest_in_worker(message, lambda share: None),
    )
    result = nest([item("a", box(0, 0, 100, 50))], 2440, 1220, NestRules(seconds=60))
    assert asked == []
    assert result.sheets[0].used_mm == 12 + 50 + 8.35  # on its short side, along the length


@pytest.mark.parametrize(
    ("count", "limit", "seconds"),
    [
        (10, 5, 1.5),
        (10, 1, 1),
        (100, 5, 5),
        (10, 30, 9),
        (100, 30, 30),
    ],  # 0.5 s and 0.1 s a piece; 30 is six times 5
)
def test_a_limit_above_the_usual_gives_more_time_in_proportion(count, limit, seconds):
    small = [item(i, box(0, 0, 20, 10)) for i in range(count)]
    assert nesting._plan(small, 2440, 1220, NestRules(seconds=limit)).total_s == pytest.approx(
        seconds
    )


def test_progress_rises_to_one():
    shares = []
    nest(letters(12), 1220, 800, NestRules(seconds=1), progress=shares.append)
    assert len(shares) >= 2 and shares == sorted(shares) and shares[-1] == 1.0 and shares[0] >= 0


@pytest.mark.parametrize("why", ["crash", "time", "memory"])
def test_when_the_worker_fails_the_plain_layout_stands_in(monkeypatch, why):
    def fail(*_, **__):
        raise worker.WorkerFailed(why)

    monkeypatch.setattr(worker, "call", fail)
    items = letters(20)
    result = nest(items, 800, 500, QUICK)
    assert_sound(result, items, 800, 500, QUICK)
    assert result.left_out == () and result.sheets[0].other_yield_share is not None


def test_a_panic_of_the_library_gives_the_plain_layout(monkeypatch):
    too_high = box(0, 0, 5000, 5000)  # higher than the strip at any turn: the library panics
    monkeypatch.setattr(nesting, "_grown", lambda outline, pad: too_high)
    items = letters(3)
    with pytest.raises(BaseException) as panic:
        nesting._packed(items, 800, 500, QUICK, "length", 0.02)
    assert not isinstance(panic.value, Exception)
    one = nesting._one_way(items, 800, 500, QUICK, "length")
    assert faults(one, items, 800, 500, QUICK) == [] and len(one.placed) == 3


def test_a_nest_with_a_fault_is_never_kept(monkeypatch):
    monkeypatch.setattr(
        nesting, "_grown", lambda outline, pad: Polygon(outline.rings[0])
    )  # forgets the gap
    items = letters(5)
    one = nesting._one_way(items, 800, 500, QUICK, "width")
    assert faults(one, items, 800, 500, QUICK) == []


@given(
    st.lists(
        st.lists(st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=3, max_size=8),
        max_size=8,
    )
)
@settings(max_examples=6)
def test_any_hulls_are_nested_soundly(clouds):
    hulls = [MultiPoint(cloud).convex_hull for cloud in clouds]
    items = [item(i, hull) for i, hull in enumerate(hulls) if hull.geom_type == "Polygon"]
    rules = NestRules(seconds=0.4)
    result = nest(items, 700, 400, rules)
    assert_sound(result, items, 700, 400, rules)
    assert result.left_out == ()


@given(
    st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=3, max_size=10),
    st.floats(0.1, 12),
)
@settings(max_examples=60)
def test_a_grown_outline_never_lies_inside_the_true_one_grown_by_the_pad(points, pad):
    outline = Outline((tuple(points),))
    ring = nesting.solid(outline)
    if ring.area < 1:
        return
    grown = nesting._grown(outline, pad)
    assert grown.buffer(0.002).covers(ring.buffer(pad - 0.002, quad_segs=16))
    left, bottom, right, top = ring.bounds
    assert box(left - pad, bottom - pad, right + pad, top + pad).buffer(1e-6).covers(grown)
