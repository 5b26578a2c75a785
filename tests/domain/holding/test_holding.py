"""The hold-down safety factor, against closed forms and second implementations of units and shapes.

What operators know of a sheet of 6 mm is from memory: it was written down for this project, no source was read.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.holding.holding import (
    BLOWER_INHG,
    HOLD_DOWNS,
    ROTARY_VANE_INHG,
    HoldingRules,
    cutting_force_n,
    hold,
    lift_n,
    resistance_n,
    safety_factors,
)
from shopfloor.domain.holding.tabs import TabRules

UNITS = pint.get_application_registry()
BLOWER = HoldingRules(tool_mm=6.35, onion_skin_mm=0.4)
ROTARY_VANE = replace(BLOWER, vacuum_inhg=ROTARY_VANE_INHG)
UP_CUT = replace(BLOWER, helix_deg=30)

areas = st.floats(1, 1e6)
thicknesses = st.floats(0.5, 30)
shares = st.floats(0.05, 1)
skins = st.just(0.0) | st.floats(0.01, 2)
any_rules = st.builds(
    HoldingRules,
    tool_mm=st.floats(1, 12),
    onion_skin_mm=skins,
    vacuum_inhg=st.floats(0, 29),
    friction=st.floats(0.05, 1),
    cutting_energy=st.floats(0.02, 1),
    chip_mm=st.floats(0.01, 0.5),
    helix_deg=st.floats(-45, 45),
    onion_skin_chip_share=shares,
    full_depth_mm=st.floats(0.5, 20),
)


def both(held):
    return held.safety_factor_full, held.safety_factor_skin


def no_better(worse, better):
    """Both safety factors are no larger, but for the last digits."""
    return all(a <= b * (1 + 1e-9) + 1e-12 for a, b in zip(both(worse), both(better), strict=True))


# Closed forms. --------------------------------------------------------------------------------------------------------


def test_friction_and_cutting_agree_with_pint():
    pressure, area = UNITS.Quantity(8, "inHg"), UNITS.Quantity(100, "mm") ** 2
    assert resistance_n(10_000, 8, 0.3) == pytest.approx(
        (0.3 * pressure * area).to("N").magnitude, rel=1e-6
    )
    energy, chip = (
        UNITS.Quantity(0.12, "J/mm**3"),
        UNITS.Quantity(6, "mm") * UNITS.Quantity(0.1, "mm"),
    )
    assert cutting_force_n(6, 0.1, 0.12) == pytest.approx((energy * chip).to("N").magnitude)


def test_the_margins_of_the_100_mm_square_by_hand():
    """0.3 × 27,091 Pa × 0.01 m² = 81.27 N, against 120 N/mm² × 6 mm × 0.1 mm = 72 N, and × 0.4 mm = 4.8 N."""
    held = hold(10_000, 6, BLOWER)
    assert held.safety_factor_full == pytest.approx(81.273 / 72, rel=1e-4)
    assert held.safety_factor_skin == pytest.approx(81.273 / 4.8, rel=1e-4)
    assert (held.force_full_n, held.force_skin_n) == pytest.approx((72, 4.8), rel=1e-4)


def test_an_up_cut_of_45_degrees_lifts_with_all_its_force_and_one_of_30_with_0_577_of_it():
    assert lift_n(72, 45) == pytest.approx(72)
    assert lift_n(72, 30) == pytest.approx(72 / math.sqrt(3))


def test_what_the_up_cut_lifts_is_taken_off_before_friction_by_hand():
    """270.911 N press the 100 mm square; 72 tan 30° = 41.569 N lift it: 0.3 × 229.342 = 68.80 N against 72 N."""
    held = hold(10_000, 6, UP_CUT)
    assert lift_n(held.force_full_n, 30) == pytest.approx(41.569, abs=1e-3)
    assert held.safety_factor_full == pytest.approx(68.8026 / 72, rel=1e-5)
    assert held.verdict == "with a skin"


def test_a_lift_greater_than_the_vacuum_leaves_no_friction_at_all():
    assert hold(1000, 6, UP_CUT).safety_factor_full == 0  # 27 N press, 41.6 N lift


def test_a_down_cut_that_presses_is_not_counted_for_it():
    assert hold(1000, 6, replace(BLOWER, helix_deg=-30)) == hold(1000, 6, BLOWER)


# What operators know. -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("area_mm2", "rules", "verdict"),
    [
        (100 * 100, BLOWER, "holds"),
        (50 * 50, BLOWER, "with a skin"),
        (math.pi * 7.5**2, BLOWER, "needs tabs or tape"),
        (200, ROTARY_VANE, "with a skin"),
        (200, BLOWER, "needs tabs or tape"),
    ],
)
def test_the_verdicts_on_a_sheet_of_6_mm_are_what_this_project_wrote_down(area_mm2, rules, verdict):
    """Memory: the cases are this project's own text, so they hold the defaults to that and prove nothing beyond."""
    assert hold(area_mm2, 6, rules).verdict == verdict


def test_a_full_pass_is_no_deeper_than_the_cutter_is_wide_nor_than_the_shop_sets():
    assert (
        hold(2_000, 12, BLOWER).safety_factor_full == hold(2_000, 6.35, BLOWER).safety_factor_full
    )
    assert hold(2_000, 12, replace(BLOWER, full_depth_mm=20)) == hold(2_000, 12, BLOWER)
    assert hold(2_000, 6, replace(BLOWER, full_depth_mm=3)).safety_factor_full == pytest.approx(
        2 * hold(2_000, 6, BLOWER).safety_factor_full
    )


@pytest.mark.parametrize(("onion_skin_mm", "thickness_mm"), [(0, 6), (0.4, 0.4), (0.4, 0.3)])
def test_without_a_skin_or_on_a_sheet_no_thicker_the_full_pass_is_the_last(
    onion_skin_mm, thickness_mm
):
    held = hold(
        50 * 50,
        thickness_mm,
        replace(BLOWER, onion_skin_mm=onion_skin_mm, onion_skin_chip_share=0.7),
    )
    assert held.safety_factor_skin == held.safety_factor_full


def test_a_slower_skin_pass_holds_better_in_proportion():
    slower = replace(BLOWER, onion_skin_chip_share=0.5)
    assert hold(100, 6, slower).safety_factor_skin == pytest.approx(
        2 * hold(100, 6, BLOWER).safety_factor_skin
    )
    assert hold(100, 6, slower).safety_factor_full == hold(100, 6, BLOWER).safety_factor_full


# What holds better, always. -------------------------------------------------------------------------------------------


@given(areas, thicknesses, any_rules, st.floats(1, 10))
def test_more_area_holds_no_worse(area, thickness, rules, times):
    assert no_better(hold(area, thickness, rules), hold(area * times, thickness, rules))


@given(areas, thicknesses, any_rules, st.floats(0, 29))
def test_more_vacuum_holds_no_worse(area, thickness, rules, other):
    low, high = sorted((rules.vacuum_inhg, other))
    assert no_better(
        hold(area, thickness, replace(rules, vacuum_inhg=low)),
        hold(area, thickness, replace(rules, vacuum_inhg=high)),
    )


@given(
    areas,
    thicknesses,
    any_rules,
    st.sampled_from(
        [
            "cutting_energy",
            "chip_mm",
            "onion_skin_chip_share",
            "full_depth_mm",
            "helix_deg",
        ]
    ),
    shares,
)
def test_a_deeper_pass_a_larger_chip_or_a_steeper_helix_holds_no_better(
    area, thickness, rules, what, share
):
    value = abs(getattr(rules, what))
    more, less = (replace(rules, **{what: one}) for one in (value, share * value))
    assert no_better(hold(area, thickness, more), hold(area, thickness, less))


@given(areas, thicknesses, any_rules, shares)
def test_a_deeper_skin_or_a_thicker_sheet_holds_no_better(area, thickness, rules, share):
    rules = replace(
        rules,
        onion_skin_mm=min(rules.onion_skin_mm, share * thickness / 2),
        onion_skin_chip_share=1,
    )
    assert hold(area, thickness, rules).safety_factor_full <= hold(
        area, share * thickness, rules
    ).safety_factor_full * (1 + 1e-9)
    if rules.onion_skin_mm:
        thin = replace(rules, onion_skin_mm=share * rules.onion_skin_mm)
        assert no_better(hold(area, thickness, rules), hold(area, thickness, thin))


def test_without_helix_the_margin_goes_with_area_and_vacuum_and_against_the_depth():
    least = hold(2_000, 6, BLOWER)
    assert hold(2_000, 6, ROTARY_VANE).safety_factor_full == pytest.approx(
        least.safety_factor_full * ROTARY_VANE_INHG / BLOWER_INHG
    )
    assert hold(4_000, 6, BLOWER).safety_factor_skin == pytest.approx(2 * least.safety_factor_skin)
    assert hold(2_000, 3, BLOWER).safety_factor_full == pytest.approx(2 * least.safety_factor_full)


# The four ways. -------------------------------------------------------------------------------------------------------


def test_the_margins_of_a_15_mm_dot_in_each_way_by_hand():
    """4.7874 N press it, 0.3 of that is friction; two tabs 6 × 0.8 mm stand 2 × 4.8 × 30 = 288 N; tape 0.05 × 176.71
    mm²."""
    dot = math.pi * 7.5**2
    friction = 0.3 * 8 * 3386.389e-6 * dot
    assert safety_factors(dot, 6, BLOWER, 2) == pytest.approx(
        {
            "full": friction / 72,
            "skin": friction / 4.8,
            "tabs": (friction + 288) / 72,
            "tape": (friction + 0.2 * dot) / 4.8,  # in a skin pass
        }
    )


def test_a_tab_shears_as_pint_says():
    shear = UNITS.Quantity(6, "mm") * UNITS.Quantity(0.8, "mm") * UNITS.Quantity(30, "MPa")
    assert TabRules().shear_n == pytest.approx(shear.to("N").magnitude)
    assert TabRules().shear_n == pytest.approx(BLOWER.tab_n)


def test_what_the_vacuum_does_not_hold_down_is_the_tabs_to_bear():
    """27.0911 N press 1000 mm² and 41.5692 N lift it: 14.4781 N are left to two tabs that stand 288 N."""
    assert safety_factors(1000, 6, UP_CUT, 2)["tabs"] == pytest.approx(
        (288 - 14.4781) / 72, rel=1e-5
    )


@given(areas, thicknesses, any_rules, st.integers(0, 12))
def test_tabs_and_tape_never_hold_worse_than_a_full_pass_and_more_tabs_no_worse_than_fewer(
    area, thickness, rules, tabs
):
    found = safety_factors(area, thickness, rules, tabs)
    assert tuple(found) == (HOLD_DOWNS if tabs else ("full", "skin", "tape"))
    assert min(found.values()) == found["full"] >= 0
    more = safety_factors(area, thickness, rules, tabs + 1)
    assert more["tabs"] >= found.get("tabs", 0)
    held = hold(area, thickness, rules)
    assert (found["full"], found["skin"]) == both(held)
