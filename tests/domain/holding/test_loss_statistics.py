"""The chance of loss: its distribution against closed forms, tables and libraries, how it learns, whether forecasts held."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.holding.holding import HOLD_DOWNS, PUMPS
from shopfloor.domain.holding.loss_statistics import (
    BANDS_MM2,
    CEILING,
    FLOOR,
    Chance,
    Kind,
    Tally,
    added,
    band_name,
    band_of,
    beta_cdf,
    beta_quantile,
    chance,
    prior_mean,
    reliability,
    wilson,
)

KIND = Kind(2, "full", "blower")
safety_factors = st.floats(0, 50)
tallies = st.integers(0, 400).flatmap(
    lambda cut: st.builds(Tally, st.just(cut), st.integers(0, cut))
)


# The Beta distribution. -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("a", "b", "low", "high", "by"),
    [
        (
            8,
            4,
            0.39026,
            0.89074,
            5e-6,
        ),  # a flat prior and 7 of 10: a textbook's example, from memory
        # Jeffreys of 6/32, 7/50, 81/263 and 0/20 as scipy and statsmodels give them: second implementations, no standard
        (6.5, 26.5, 0.08227, 0.34630, 5e-6),
        (7.5, 43.5, 0.06487, 0.25533, 5e-6),
        (81.5, 182.5, 0.2545, 0.3657, 6e-5),
        (0.5, 20.5, 2.4e-5, 0.1166, 5e-5),
        # 2/7: Brown, Cai and DasGupta 2001, table A.1 (modified Jeffreys, equal to the plain one from 2 to n − 2)
        (2.5, 5.5, 0.065, 0.648, 6e-4),
    ],
)
def test_the_central_intervals_are_those_of_tables_and_libraries(a, b, low, high, by):
    assert beta_quantile(0.025, a, b) == pytest.approx(low, abs=by)
    assert beta_quantile(0.975, a, b) == pytest.approx(high, abs=by)


def test_the_least_of_the_small_quantiles_is_right_in_its_figures():
    assert beta_quantile(0.025, 0.5, 20.5) == pytest.approx(
        2.4e-5, rel=0.02
    )  # as scipy and statsmodels give it


@given(st.floats(0, 1), st.floats(0.01, 500))
def test_with_one_parameter_at_one_it_is_a_power(x, other):
    """Closed forms: I_x(a, 1) = x^a and I_x(1, b) = 1 − (1 − x)^b."""
    assert beta_cdf(x, other, 1) == pytest.approx(x**other, abs=1e-12)
    assert beta_cdf(x, 1, other) == pytest.approx(1 - (1 - x) ** other, abs=1e-12)


@given(st.floats(0, 1))
def test_with_both_at_a_half_it_is_the_arc_sine(x):
    """Closed form: 2/π arcsin √x, written with both legs so that it stays exact near 1."""
    assert beta_cdf(x, 0.5, 0.5) == pytest.approx(
        2 / math.pi * math.atan2(math.sqrt(x), math.sqrt(1 - x)), abs=1e-9
    )


@settings(max_examples=50)
@given(st.integers(1, 300), st.integers(1, 300), st.integers(0, 100))
def test_for_whole_numbers_it_is_the_tail_of_a_binomial(a, b, hundredths):
    """I_x(a, b) = P(Binomial(a + b − 1, x) ≥ a), here summed in whole numbers."""
    yes, no, tries = hundredths, 100 - hundredths, a + b - 1
    tail = sum(math.comb(tries, k) * yes**k * no ** (tries - k) for k in range(a, tries + 1))
    assert beta_cdf(hundredths / 100, a, b) == pytest.approx(
        float(Fraction(tail, 100**tries)), abs=1e-11
    )


@pytest.mark.parametrize("many", [1, 100, 10_000, 100_000])
def test_it_closes_for_many_pieces_too(many):
    """Closed forms: I_½(a, a) = ½, and the step from a to a + 1, x^a (1 − x)^b / (a B(a, b)) (NIST's DLMF, 8.17.20)."""
    a, b, x = 3.0 * many, 7.0 * many, 0.3
    assert beta_cdf(0.5, a, a) == pytest.approx(0.5, abs=1e-8)
    log_step = (
        a * math.log(x)
        + b * math.log(1 - x)
        - math.lgamma(a + 1)
        - math.lgamma(b)
        + math.lgamma(a + b)
    )
    assert beta_cdf(x, a, b) - beta_cdf(x, a + 1, b) == pytest.approx(math.exp(log_step), rel=1e-5)


@given(st.floats(0.001, 0.999), st.floats(0.05, 300), st.floats(0.05, 300))
def test_the_quantile_is_where_the_distribution_reaches_the_share(share, a, b):
    found = beta_quantile(share, a, b)
    assert beta_cdf(max(0.0, found - 1e-12), a, b) <= share + 1e-9
    assert beta_cdf(min(1.0, found + 1e-12), a, b) >= share - 1e-9


# Bands. ---------------------------------------------------------------------------------------------------------------


def test_a_bound_belongs_to_the_band_above_it():
    assert [band_of(area) for area in (0, 199.9, 200, 999, 1_000, 9_999, 10_000, 40_000, 1e9)] == [
        0,
        0,
        1,
        2,
        3,
        4,
        5,
        6,
        7,
    ]


def test_bands_are_named_in_words():
    named = [str(band_name(band)) for band in range(len(BANDS_MM2))]
    assert named[:2] == ["under 200 mm²", "200 to 500 mm²"]
    assert named[-2:] == ["40,000 to 160,000 mm²", "from 160,000 mm²"]


def test_more_lost_than_cut_is_refused():
    with pytest.raises(Refused, match="Count them again"):
        Tally(2, 3)


def test_a_sheet_is_added_to_what_is_known_and_changes_nothing_in_place():
    known = {KIND: Tally(10, 2)}
    more = {KIND: Tally(3, 1), Kind(0, "tabs", "blower"): Tally(4, 0)}
    assert added(known, more) == {KIND: Tally(13, 3), Kind(0, "tabs", "blower"): Tally(4, 0)}
    assert known == {KIND: Tally(10, 2)}


# The chance. ----------------------------------------------------------------------------------------------------------


def test_the_margin_alone_says_what_was_set_from_memory():
    assert prior_mean(1) == pytest.approx(0.15, abs=0.005)
    assert prior_mean(0.3) > 0.5
    assert prior_mean(3) == pytest.approx(0.02, abs=0.005)
    assert prior_mean(0) == CEILING
    assert prior_mean(1e6) == pytest.approx(FLOOR)


@given(safety_factors, safety_factors)
def test_a_better_margin_is_never_worse(one, other):
    assert prior_mean(max(one, other)) <= prior_mean(min(one, other))


@given(safety_factors)
def test_without_data_the_chance_is_that_of_the_safety_factor(safety_factor):
    found = chance(safety_factor, KIND, {})
    assert found.mean == pytest.approx(prior_mean(safety_factor))
    assert (found.cut, found.lost, found.lent) == (0, 0, 0)


def test_the_count_is_added_to_the_prior_piece_for_piece():
    """Beta(0.148 × 3, 0.852 × 3) and 5 of 12: (0.444 + 5) / 15, by hand."""
    found = chance(1.0, KIND, {KIND: Tally(12, 5)})
    assert found.mean == pytest.approx((0.14805 * 3 + 5) / 15)
    assert (found.weight, found.prior) == (15, pytest.approx(0.14805))


@given(safety_factors, tallies, st.integers(0, 20))
def test_more_losses_among_as_many_never_lower_the_chance(safety_factor, tally, more):
    worse = Tally(tally.cut, min(tally.cut, tally.lost + more))
    before, after = (chance(safety_factor, KIND, {KIND: one}).mean for one in (tally, worse))
    assert after >= before
    assert (after > before) == (worse.lost > tally.lost)


@given(safety_factors, tallies)
def test_a_further_piece_moves_the_chance_by_little_and_its_own_way(safety_factor, tally):
    """No cliff, least of all between none and one: no further than one piece against the prior's three and those before."""
    before = chance(safety_factor, KIND, {KIND: tally}).mean
    kept = chance(safety_factor, KIND, {KIND: Tally(tally.cut + 1, tally.lost)}).mean
    lost = chance(safety_factor, KIND, {KIND: Tally(tally.cut + 1, tally.lost + 1)}).mean
    assert kept <= before <= lost
    assert lost - kept <= 1 / (4 + tally.cut) + 1e-12


@given(st.sampled_from(BANDS_MM2[:-1]), safety_factors)
def test_without_data_a_bands_edge_is_no_step(bound, safety_factor):
    below, above = (
        chance(safety_factor, Kind(band_of(area), "skin", "blower"), {}).mean
        for area in (bound * (1 - 1e-9), bound)
    )
    assert below == above


def test_one_loss_does_not_penalise_what_holds_well():
    assert chance(30, KIND, {KIND: Tally(1, 1)}).mean < 0.1
    assert chance(30, KIND, {KIND: Tally(12, 5)}).mean > 0.1, "but five of a dozen do"


@settings(max_examples=60)
@given(safety_factors, tallies, tallies)
def test_the_interval_holds_the_mean(safety_factor, own, near):
    found = chance(safety_factor, KIND, {KIND: own, Kind(3, "full", "blower"): near})
    assert 0 <= found.low <= found.mean <= found.high <= 1


def test_the_interval_narrows_with_what_is_known():
    found = [chance(1, KIND, {KIND: Tally(cut, cut // 5)}) for cut in (0, 10, 100, 1_000)]
    widths = [one.high - one.low for one in found]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.06


@pytest.mark.parametrize("step", [-1, 1])
def test_the_bands_beside_it_lend_a_little_and_the_ones_beyond_nothing(step):
    near, far = (Kind(KIND.band + steps, KIND.hold_down, KIND.pump) for steps in (step, 2 * step))
    assert chance(1, KIND, {near: Tally(6, 6)}).mean == pytest.approx((0.14805 * 3 + 3) / 6), (
        "a half each"
    )
    assert chance(1, KIND, {near: Tally(900, 900)}).lent == 10
    assert chance(1, KIND, {far: Tally(900, 900)}).mean == chance(1, KIND, {}).mean


@pytest.mark.parametrize("other", [Kind(2, "tabs", "blower"), Kind(2, "full", "rotary vane")])
def test_another_way_or_pump_says_nothing(other):
    assert chance(1, KIND, {other: Tally(50, 50)}) == chance(1, KIND, {})


@given(st.integers(0, 60), tallies)
def test_what_is_lent_weighs_less_and_less_against_the_bands_own(lost, near):
    """In the long run the band's own share counts, whatever its neighbours' results."""
    own = Tally(60_000, lost * 1_000)
    lent_to = chance(1, KIND, {KIND: own, Kind(1, "full", "blower"): near}).mean
    assert lent_to == pytest.approx(own.lost / own.cut, abs=3e-4)


def test_every_kind_has_a_chance():
    kinds = [
        Kind(band, way, pump)
        for band in range(len(BANDS_MM2))
        for way in HOLD_DOWNS
        for pump in PUMPS
    ]
    everything = {kind: Tally(20, 4) for kind in kinds}
    assert all(0.1 < chance(1.0, kind, everything).mean < 0.25 for kind in kinds)


# Whether it held. ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "of", "low", "high", "by"),
    [
        (6, 32, 0.08889545, 0.35309155, 5e-9),  # as scipy and statsmodels give it
        (7, 50, 0.06950833, 0.26186194, 5e-9),  # as scipy and statsmodels give it
        (81, 263, 0.2553, 0.3662, 5e-5),  # Newcombe 1998, table I
        (0, 20, 0, 0.1611, 5e-5),  # Newcombe 1998, table I
    ],
)
def test_wilsons_interval_is_that_of_tables_and_libraries(count, of, low, high, by):
    assert wilson(count, of) == pytest.approx((low, high), abs=by)


def test_predictions_are_sorted_into_bins_with_what_came_of_them():
    said = [(0.1, False)] * 30 + [(0.2, True)] * 7 + [(0.2, False)] * 13 + [(1.0, True)]
    low, middle, last = reliability(said, (0, 0.2, 0.5, 0.9, 1))
    assert (low.count, low.predicted, low.observed) == (30, pytest.approx(0.1), 0)
    assert (middle.low, middle.high, middle.count, middle.observed) == (0.2, 0.5, 20, 0.35)
    assert (middle.observed_low, middle.observed_high) == wilson(7, 20)
    assert (last.low, last.count) == (0.9, 1), "the empty bin is left out"


def test_a_bin_has_held_where_the_chance_lies_within_the_interval():
    assert [
        reliability([(said, n < 7) for n in range(50)], (0, 1))[0].has_held
        for said in (0.06, 0.14, 0.27)
    ] == [
        False,
        True,
        False,
    ]


def test_no_predictions_give_no_bins():
    assert reliability([]) == ()


def test_a_chance_spreads_as_the_beta_that_it_names():
    found = Chance(mean=2 / 3, prior=0.5, cut=10, lost=7, lent=0, weight=12)
    assert (found.low, found.high) == pytest.approx(
        (0.39026, 0.89074), abs=5e-6
    )  # Beta(8, 4): a textbook's example, from memory
