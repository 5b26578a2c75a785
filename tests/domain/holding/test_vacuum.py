"""The vacuum under a sheet: units, altitude, leaks, against published figures and a second implementation of units."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.holding.holding import PUMPS, air_share, pressing_n, shop_vacuum_inhg
from shopfloor.domain.settings import Settings

UNITS = pint.get_application_registry()
M_PER_FT = 0.3048  # exact, by definition
AIR_INHG = 101_325 / 3386.389  # the standard atmosphere at sea level, by definition: 29.92

altitudes = st.floats(0, 5000)
leaks = st.floats(0, 1)
pumps = st.sampled_from(PUMPS)


def vacuum(**given):
    """The vacuum under the sheet by a shop's settings."""
    return shop_vacuum_inhg(Settings(**given))


@pytest.mark.parametrize("inhg", [0, 1, 8, 24, 29.92])
def test_an_inch_of_mercury_is_what_pint_says(inhg):
    pressure = UNITS.Quantity(inhg, "inHg").to("Pa").magnitude
    assert pressing_n(1e6, inhg) == pytest.approx(pressure, rel=1e-6)


def test_29_92_inches_of_mercury_are_a_little_less_than_an_atmosphere():
    """101.3207 kPa, by 1 inHg = 3386.389 Pa (NIST SP 811); the standard atmosphere is 101.325 kPa by definition."""
    assert pressing_n(1e6, 29.92) == pytest.approx(101_320.7, abs=0.2)
    assert pressing_n(1e6, 29.92) < 101_325 - 4


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
    assert AIR_INHG * air_share(feet * M_PER_FT) == pytest.approx(inhg, rel=0.001)


def test_without_a_gauge_it_is_what_the_pump_is_rated_for():
    assert vacuum(pump="blower") == 8
    assert vacuum(pump="rotary vane") == 24
    assert vacuum(pump="rotary vane", leakage_share=0.25) == pytest.approx(18)
    high = vacuum(pump="rotary vane", altitude_m=5000 * M_PER_FT, leakage_share=0.5)
    # a vacuum handbook's 20.0 inHg at 5,000 ft, half of it leaked
    assert high == pytest.approx(20.0 / 2, abs=0.05)


@given(pumps, st.floats(0.1, 29.9), altitudes, leaks)
def test_a_reading_at_the_sheet_is_taken_as_it_is(pump, reading, altitude, leak):
    found = vacuum(pump=pump, gauge_inhg=reading, altitude_m=altitude, leakage_share=leak)
    assert found == reading


@given(pumps, altitudes, altitudes, leaks, leaks)
def test_higher_up_and_with_more_leaks_there_is_no_more_vacuum(
    pump, altitude, more_altitude, leak, more_leak
):
    low, high = sorted((altitude, more_altitude))
    little, much = sorted((leak, more_leak))
    best = vacuum(pump=pump, altitude_m=low, leakage_share=little)
    assert best >= vacuum(pump=pump, altitude_m=high, leakage_share=little)
    assert best >= vacuum(pump=pump, altitude_m=low, leakage_share=much)
    assert 0 <= best <= AIR_INHG
