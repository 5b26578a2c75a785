"""The first estimate of holding, against what router operators know and against a second opinion on units."""

from __future__ import annotations

import math

import pint
import pytest

from shopfloor.domain.holding import (
    BLOWER_INHG,
    ROTARY_VANE_INHG,
    HoldingRules,
    cutting_force_n,
    hold,
    resistance_n,
    vacuum_pa,
)

UNITS = pint.UnitRegistry()
BLOWER = HoldingRules(tool_mm=6.35, skin_mm=0.4)
ROTARY_VANE = HoldingRules(tool_mm=6.35, skin_mm=0.4, vacuum_inhg=ROTARY_VANE_INHG)


@pytest.mark.parametrize("inhg", [0, 1, 8, 24, 29.92])
def test_an_inch_of_mercury_is_what_pint_says(inhg):
    assert vacuum_pa(inhg) == pytest.approx(UNITS.Quantity(inhg, "inHg").to("Pa").magnitude, rel=1e-6)


def test_friction_and_cutting_agree_with_pint():
    pressure, area = UNITS.Quantity(8, "inHg"), UNITS.Quantity(100, "mm") ** 2
    assert resistance_n(10_000, 8, 0.3) == pytest.approx((0.3 * pressure * area).to("N").magnitude, rel=1e-6)
    energy, chip = UNITS.Quantity(0.12, "J/mm**3"), UNITS.Quantity(6, "mm") * UNITS.Quantity(0.1, "mm")
    assert cutting_force_n(6, 0.1, 0.12) == pytest.approx((energy * chip).to("N").magnitude)


def test_the_force_of_a_full_vacuum_on_six_inches_square():
    """6 in × 6 in under one atmosphere, 14.696 psi: 529.05 lbf, by arithmetic."""
    area = 152.4**2
    newtons = resistance_n(area, 101_325 / vacuum_pa(1), 1.0)
    assert newtons / 4.448222 == pytest.approx(529.05, abs=0.02)


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
def test_what_operators_of_routers_know_of_a_sheet_of_6_mm(area_mm2, rules, verdict):
    assert hold(area_mm2, 6, rules).verdict == verdict


def test_the_margins_of_the_100_mm_square_by_hand():
    """0.3 × 27,091 Pa × 0.01 m² = 81.27 N, against 120 N/mm² × 6 mm × 0.1 mm = 72 N, and × 0.4 mm = 4.8 N."""
    held = hold(10_000, 6, BLOWER)
    assert held.margin_full == pytest.approx(81.273 / 72, rel=1e-4)
    assert held.margin_skin == pytest.approx(81.273 / 4.8, rel=1e-4)


def test_more_vacuum_more_area_and_a_thinner_sheet_hold_better():
    least = hold(2_000, 6, BLOWER)
    assert hold(2_000, 6, ROTARY_VANE).margin_full == pytest.approx(least.margin_full * ROTARY_VANE_INHG / BLOWER_INHG)
    assert hold(4_000, 6, BLOWER).margin_skin == pytest.approx(2 * least.margin_skin)
    assert hold(2_000, 3, BLOWER).margin_full == pytest.approx(2 * least.margin_full)


def test_a_full_pass_is_no_deeper_than_the_cutter_is_wide():
    assert hold(2_000, 12, BLOWER).margin_full == hold(2_000, 6.35, BLOWER).margin_full


def test_without_a_skin_the_full_pass_is_the_last():
    held = hold(50 * 50, 6, HoldingRules(tool_mm=6.35, skin_mm=0))
    assert held.margin_skin == held.margin_full
    assert held.verdict == "needs tabs or tape"
