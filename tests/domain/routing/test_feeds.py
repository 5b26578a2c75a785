"""Speeds, feeds, passes and power, against published examples of the textbook's formulas, a published chart and a
second implementation of units."""

from __future__ import annotations

from dataclasses import replace

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.holding.holding import HoldingRules, cutting_force_n, hold
from shopfloor.domain.routing.cutters import USUAL
from shopfloor.domain.routing.feeds import (
    FIRST_CHIP_MM,
    SOURCES,
    cutting_power_w,
    feed_mm_min,
    feeds,
)

UNITS = pint.get_application_registry()

cutters = st.builds(
    lambda diameter, flutes: replace(USUAL, diameter_mm=diameter, flutes=flutes, reach_mm=100),
    st.floats(0.5, 25),
    st.integers(1, 8),
)
thicknesses = st.floats(0.3, 60)
skins = st.just(0.0) | st.floats(0.01, 5)


@pytest.mark.parametrize(
    ("rev", "flutes", "chip", "feed"),
    [(663, 2, 0.065, 86), (663, 3, 0.065, 129), (18_000, 2, 0.1, 3600)],
)
def test_the_feeds_of_published_examples(rev, flutes, chip, feed):
    """f 0.065 mm: z 2 → 86, z 3 → 129 mm/min, worked examples; 2 × 0.1 × 18,000 = 3,600."""
    assert round(feed_mm_min(rev, flutes, chip)) == feed


def test_the_power_of_a_slot_agrees_with_pint():
    """0.12 J/mm³ × 6 mm × 6.35 mm × 60 mm/s = 274.3 W."""
    energy, feed = UNITS.Quantity(0.12, "J/mm**3"), UNITS.Quantity(3600, "mm/min")
    watts = (energy * UNITS.Quantity(6, "mm") * UNITS.Quantity(6.35, "mm") * feed).to("W").magnitude
    assert cutting_power_w(0.12, 6, 6.35, 3600) == pytest.approx(watts) == pytest.approx(274.32)


def test_the_default_cutter_and_chip_load_are_those_of_a_published_chart():
    """Two- and three-flute O, 1/4 in, 18,000 rev/min: 0.004 in a tooth (Amana Tool, double/triple O-flute chart)."""
    assert (USUAL.flutes, USUAL.diameter_mm) == (2, 25.4 / 4)
    assert round(0.004 * 25.4, 2) == FIRST_CHIP_MM
    assert feeds(USUAL, 6).rev_per_min == 18_000


def test_the_defaults_on_a_sheet_of_6_mm():
    """18,000 rev/min, 2 flutes, 0.10 mm: 3,600 mm/min, started at 70 %; one full pass, or 5.6 mm and a skin of 0.4."""
    got = feeds(USUAL, 6)
    assert (got.rev_per_min, got.chip_mm, got.feed_mm_min) == pytest.approx((18_000, 0.10, 3600))
    assert (got.start_feed_mm_min, got.skin_feed_mm_min, got.plunge_mm_min) == pytest.approx(
        (2520, 2520, 1200)
    )
    assert got.passes == (6,)
    assert got.skin_passes == pytest.approx((5.6, 0.4))
    assert got.power_w == pytest.approx(274.32)
    assert not got.proven
    assert got.cautions == ()


@pytest.mark.parametrize(
    ("thickness", "passes", "skin_passes"),
    [
        (0.4, (0.4,), (0.4,)),
        (0.3, (0.3,), (0.3,)),
        (6.35, (6.35,), (5.95, 0.4)),
        (6.75, (3.375, 3.375), (6.35, 0.4)),
        (12, (6, 6), (5.8, 5.8, 0.4)),
        (19.05, (6.35, 6.35, 6.35), (18.65 / 3, 18.65 / 3, 18.65 / 3, 0.4)),
    ],
)
def test_passes_are_equal_and_as_few_as_one_diameter_allows(thickness, passes, skin_passes):
    got = feeds(USUAL, thickness)
    assert got.passes == pytest.approx(passes)
    assert got.skin_passes == pytest.approx(skin_passes)


@given(cutters, thicknesses, skins)
def test_passes_reach_through_the_sheet_and_none_is_deeper_than_the_cutter_is_wide(
    cutter, thickness, skin
):
    got = feeds(cutter, thickness, skin_mm=skin)
    for depths in (got.passes, got.skin_passes):
        assert sum(depths) == pytest.approx(thickness)
        assert 0 < min(depths) <= max(depths) <= cutter.diameter_mm * (1 + 1e-6)
    assert len(got.passes) - 1 < thickness / cutter.diameter_mm  # one fewer would be too deep


@given(cutters, thicknesses, skins, st.floats(0.02, 0.3))
def test_what_is_cut_last_pushes_no_harder_than_the_margin_of_holding_reckons(
    cutter, thickness, skin, chip
):
    got = feeds(cutter, thickness, skin_mm=skin, chip_mm=chip)
    rules = HoldingRules(
        tool_mm=cutter.diameter_mm, onion_skin_mm=skin, chip_mm=chip, onion_skin_chip_share=0.7
    )
    held = hold(1000, thickness, rules)
    assert cutting_force_n(got.passes[-1], chip, 0.12) <= held.force_full_n * (1 + 1e-6)
    has_skin = 0 < min(skin, cutter.diameter_mm) < thickness
    share = got.skin_feed_mm_min / got.feed_mm_min if has_skin else 1
    assert cutting_force_n(got.skin_passes[-1], share * chip, 0.12) <= held.force_skin_n * (
        1 + 1e-6
    )


def test_the_power_is_that_of_the_deepest_pass_of_both_ways():
    """6.75 mm goes in two passes of 3.375 mm, or in one of 6.35 mm and the skin: 274.32 W × 6.35 / 6."""
    assert feeds(USUAL, 6.75).power_w == pytest.approx(274.32 * 6.35 / 6)


def test_a_short_cutter_is_cautioned_about_and_one_that_just_reaches_is_not():
    assert feeds(replace(USUAL, reach_mm=10), 10).cautions == ()
    (caution,) = feeds(replace(USUAL, reach_mm=10), 12).cautions
    assert "10 mm deep" in str(caution) and "12 mm thick" in str(caution)


def test_a_spindle_asked_for_more_than_it_gives_is_cautioned_about():
    """274.32 W are 80 % of 342.9 W."""
    assert feeds(USUAL, 6, spindle_w=343).cautions == ()
    (caution,) = feeds(USUAL, 6, spindle_w=342).cautions
    assert "274 W" in str(caution) and "342 W" in str(caution)


@pytest.mark.parametrize(
    ("chip", "is_usual"),
    [(0.07, False), (0.0762, True), (0.15, True), (0.254, True), (0.26, False)],
)
def test_a_chip_load_outside_3_to_10_thousandths_of_an_inch_is_cautioned_about(chip, is_usual):
    """The limits are from memory: a band to look twice at, no proof."""
    cautions = feeds(USUAL, 6, chip_mm=chip).cautions
    assert len(cautions) == (0 if is_usual else 1)
    assert all("chip load" in str(caution) for caution in cautions)


def test_a_chip_load_of_0_15_is_a_proven_one():
    assert feeds(USUAL, 6, chip_mm=0.15).proven
    assert not feeds(USUAL, 6, chip_mm=0.14).proven


def test_each_source_is_named_or_said_to_be_from_memory():
    marks = ("textbook", "published", "common practice", "from memory")
    assert all(str(what) and any(mark in str(source) for mark in marks) for what, source in SOURCES)
    assert len(dict(SOURCES)) == len(SOURCES)
