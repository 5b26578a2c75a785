"""Whether a part lies within what was allowed when it was set out."""

from __future__ import annotations

import pytest

from shopfloor.domain.bench.records import RecordedPlace


@pytest.mark.parametrize(
    ("across_mm", "up_mm", "is_within"),
    [
        (0.5, -0.5, True),
        (0.51, None, False),
        (-0.51, 0.0, False),
        (None, 0.51, False),
        (0.0, -0.51, False),
        (None, 0.5, True),
        (None, None, True),
    ],
)
def test_a_part_is_within_up_to_what_was_allowed_and_not_beyond(across_mm, up_mm, is_within):
    assert RecordedPlace(1, across_mm, up_mm, 0.5).is_within == is_within
