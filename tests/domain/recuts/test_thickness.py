"""Thickness: the tolerances of the standards, and when a sheet may be seen to differ from the sign's other pieces."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.recuts.thickness import Lot, flag, may_differ_mm, tolerance_mm
from shopfloor.domain.stock import KINDS


@pytest.mark.parametrize("nominal, tolerance", [(3, 0.70), (6, 1.00), (10, 1.40), (20, 2.40)])
def test_cast_sheet_varies_as_iso_7823_1_says(nominal, tolerance):
    assert tolerance_mm("cast", nominal) == pytest.approx(tolerance)
    assert tolerance_mm("other", nominal) == pytest.approx(tolerance), (
        "taken as cast, no standard being known"
    )


@pytest.mark.parametrize(
    "nominal, tolerance", [(2, 0.2), (2.9, 0.29), (3, 0.15), (6, 0.3), (10, 0.5)]
)
def test_extruded_sheet_varies_as_iso_7823_2_says(nominal, tolerance):
    assert tolerance_mm("extruded", nominal) == pytest.approx(tolerance)


def test_each_kind_of_stock_has_a_tolerance_and_no_other():
    assert all(tolerance_mm(kind, 6) > 0 for kind in KINDS)
    with pytest.raises(Refused, match="cast, extruded or other"):
        tolerance_mm("foam", 6)


def test_two_sheets_may_differ_by_what_is_not_known_of_them():
    one, other = Lot("cast", 6, None, 1), Lot("cast", 6, None, 2)
    measured, thick = Lot("cast", 6, 5.8, 3), Lot("cast", 6, 6.4, 4)
    assert may_differ_mm(one, Lot("cast", 6, None, 1)) == 0, "offcuts of one sheet"
    assert may_differ_mm(one, other) == pytest.approx(2.0), "twice the tolerance"
    assert may_differ_mm(measured, other) == pytest.approx(0.2 + 1.0), "one end is known"
    assert may_differ_mm(measured, thick) == pytest.approx(0.6), "both are"


LOTS = st.builds(
    Lot, st.sampled_from(KINDS), st.just(6.0), st.none() | st.floats(5, 7), st.integers(1, 4)
)


@given(LOTS, LOTS, st.floats(-1, 1), st.floats(-1, 1))
def test_no_two_sheets_within_their_tolerances_differ_by_more(a, b, share_a, share_b):
    def thickness(lot: Lot, share: float) -> float:
        return (
            6.0 + share * tolerance_mm(lot.kind, 6.0)
            if lot.measured_mm is None
            else lot.measured_mm
        )

    if a.root != b.root:
        assert abs(thickness(a, share_a) - thickness(b, share_b)) <= may_differ_mm(a, b) + 1e-9
    assert may_differ_mm(a, b) == may_differ_mm(b, a)


def test_a_sheet_of_unknown_thickness_is_flagged_with_what_to_do():
    others = [Lot("cast", 6, None, 2), Lot("cast", 6, None, 2), Lot("cast", 6, None, 1)]
    assert str(flag(Lot("cast", 6, None, 1), others)) == (
        "This sheet may differ by up to 2.00 mm in thickness from 2 pieces of the sign; up to 0.3 mm does not show. "
        "Measure both sheets with a caliper and enter it in Stock, or take an offcut of the same sheet."
    )


def test_where_both_are_measured_only_another_sheet_helps():
    assert str(flag(Lot("cast", 6, 6.45, 1), [Lot("cast", 6, 6.0, 2)])) == (
        "This sheet differs by up to 0.45 mm in thickness from 1 piece of the sign; up to 0.3 mm does not show. "
        "Take an offcut of the same sheet."
    )


def test_what_the_eye_forgives_is_no_flag():
    assert flag(Lot("cast", 6, 6.3, 1), [Lot("cast", 6, 6.0, 2)]) is None, (
        "0.3 mm exactly, the float a hair above"
    )
    assert flag(Lot("cast", 6, 6.31, 1), [Lot("cast", 6, 6.0, 2)]) is not None
    assert flag(Lot("cast", 6, 6.5, 1), [Lot("cast", 6, 6.0, 2)], forgives_mm=0.5) is None
    assert flag(Lot("cast", 6, None, 1), []) is None
