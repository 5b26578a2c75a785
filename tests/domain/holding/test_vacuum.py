"""The vacuum under a sheet: units, altitude, leaks, against published figures and a second implementation of units."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.holding.holding import (
    AIR_INHG,
    PUMPS,
    at_altitude,
    atmosphere_inhg,
    pressing_n,
    vacuum_at_sheet_inhg,
    vacuum_pa,
)

UNITS = pint.UnitRegistry()
M_PER_FT = 0.3048  # exact, by definition

altitudes = st.floats(0, 5000)
leaks = st.floats(0, 1)
pumps = st.sampled_from(PUMPS)


@pytest.mark.parametrize("inhg", [0, 1, 8, 24, 29.92])
def test_an_inch_of_mercury_is_what_pint_says(inhg):
    assert vacuum_pa(inhg) == pytest.approx(
        UNITS.Quantity(inhg, "inHg").to("Pa").magnitude, rel=1e-6
    )


def test_29_92_inches_of_mercury_are_a_little_less_than_an_atmosphere():
    """101.3207 kPa, by 1 inHg = 3386.389 Pa (NIST SP 811); the standard atmosphere is 101.325 kPa by definition."""
    assert vacuum_pa(29.92) == pytest.approx(101_320.7, abs=0.2)
    assert vacuum_pa(29.92) < 101_325 - 4


def test_a_whole_atmosphere_on_six_inches_square():
    """6 in × 6 in × 14.696 psi = 529.05 lbf, by arithmetic."""
    inhg = UNITS.Quantity(14.696, "psi").to("inHg").magnitude
    assert pressing_n(152.4**2, inhg) == pytest.approx(
        UNITS.Quantity(529.05, "lbf").to("N").magnitude, rel=2e-5
    )


def test_22_inches_of_mercury_on_two_feet_square_and_not_the_published_short_cut():
    """6,223.9 lbf on 576 in² by arithmetic; a published short cut, half a psi for each inch of mercury, gives 6,336."""
    lbf = pressing_n((24 * 25.4) ** 2, 22) / UNITS.Quantity(1, "lbf").to("N").magnitude
    assert lbf == pytest.approx(6223.9, abs=0.1)
    assert abs(lbf / 6336 - 1) > 0.017


@pytest.mark.parametrize(("feet", "inhg"), [(0, 29.92), (2000, 27.82), (5000, 24.90)])
def test_the_air_gets_thinner_as_the_standard_atmosphere_says(feet, inhg):
    """ISO 2533 and the US Standard Atmosphere 1976."""
    assert atmosphere_inhg(feet * M_PER_FT) == pytest.approx(inhg, rel=0.001)


def test_a_pump_of_24_gives_17_6_where_the_air_has_22_left():
    """24 × 22 / 29.92 = 17.6: a vacuum handbook's worked example."""
    assert at_altitude(24, 22) == pytest.approx(17.6, abs=0.05)


def test_without_a_gauge_it_is_what_the_pump_is_rated_for():
    assert vacuum_at_sheet_inhg("blower") == pytest.approx(8)
    assert vacuum_at_sheet_inhg("rotary vane") == pytest.approx(24)
    assert vacuum_at_sheet_inhg("rotary vane", leakage_share=0.25) == pytest.approx(18)
    high = vacuum_at_sheet_inhg("rotary vane", altitude_m=5000 * M_PER_FT, leakage_share=0.5)
    assert high == pytest.approx(
        20.0 / 2, abs=0.05
    )  # a vacuum handbook's 20.0 inHg at 5,000 ft, half of it leaked


@given(pumps, st.floats(0, 29.9), altitudes, leaks)
def test_a_reading_at_the_sheet_is_taken_as_it_is(pump, reading, altitude, leak):
    assert (
        vacuum_at_sheet_inhg(pump, gauge_inhg=reading, altitude_m=altitude, leakage_share=leak)
        == reading
    )


@given(pumps, altitudes, altitudes, leaks, leaks)
def test_higher_up_and_with_more_leaks_there_is_no_more_vacuum(
    pump, altitude, more_altitude, leak, more_leak
):
    low, high = sorted((altitude, more_altitude))
    little, much = sorted((leak, more_leak))
    best = vacuum_at_sheet_inhg(pump, altitude_m=low, leakage_share=little)
    assert best >= vacuum_at_sheet_inhg(pump, altitude_m=high, leakage_share=little)
    assert best >= vacuum_at_sheet_inhg(pump, altitude_m=low, leakage_share=much)
    assert 0 <= best <= AIR_INHG


@pytest.mark.parametrize(
    ("values", "word"),
    [
        ({"pump": "bellows"}, "Choose a pump"),
        ({"pump": "blower", "gauge_inhg": -1}, "gauge"),
        ({"pump": "blower", "gauge_inhg": 31}, "gauge"),
        ({"pump": "blower", "gauge_inhg": float("nan")}, "gauge"),
        ({"pump": "blower", "leakage_share": 1.1}, "leaks"),
        ({"pump": "blower", "altitude_m": 40_000}, "altitude"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(values, word):
    with pytest.raises(Refused, match=word):
        vacuum_at_sheet_inhg(**values)
