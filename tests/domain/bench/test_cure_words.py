"""The stages of a glue-up in one sentence, as a beginner understands it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from shopfloor.actions.unit_of_work import stamp
from shopfloor.domain.bench.cure import NO_END
from shopfloor.domain.bench.cure_words import stage_words
from shopfloor.store.bench import GlueUp

GLUED = datetime(2026, 11, 26, 3, 13, tzinfo=UTC)  # a Thursday
GLUE_UP = GlueUp(
    1,
    1,
    "Solvent cement",
    "7B",
    18.0,
    45.0,
    stamp(GLUED),
    stamp(datetime(2026, 11, 27, 6, 47, tzinfo=UTC)),
    "Ana",
    stamp(datetime(2026, 11, 26, 3, 18, tzinfo=UTC)),
    stamp(datetime(2026, 11, 26, 7, 48, tzinfo=UTC)),
    "",
)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "stands by itself from 03:18, may be handled with care from 07:48, cured Fri 06:47"),
        (5, "stands by itself since 03:18, may be handled with care from 07:48, cured Fri 06:47"),
        (
            24 * 60,
            "stands by itself since Thu 03:18, may be handled with care since Thu 07:48, cured 06:47",
        ),
        (
            24 * 60 + 213,
            "stands by itself since Thu 03:18, may be handled with care since Thu 07:48, cured 06:47",
        ),
        (24 * 60 + 214, "cured since 06:47"),
    ],
)
def test_the_stages_are_told_from_the_first_minute_to_the_last(minutes, said):
    assert stage_words(GLUE_UP, GLUED + timedelta(minutes=minutes), UTC) == said


def test_what_the_data_sheet_does_not_give_is_not_told():
    assert (
        stage_words(replace(GLUE_UP, fixture_at=None, handling_at=None), GLUED, UTC)
        == "cured Fri 06:47"
    )


def test_too_cold_the_cure_stands_still_and_what_was_reached_stays():
    still = replace(GLUE_UP, handling_at=None, cured_at=stamp(NO_END))
    assert (
        stage_words(still, GLUED + timedelta(hours=1), UTC)
        == "stands by itself since 03:18, its cure stands still: too cold"
    )
    assert (
        stage_words(replace(still, fixture_at=None), GLUED, UTC)
        == "its cure stands still: too cold"
    )


def test_the_times_are_the_shops():
    # Halifax is four hours behind UTC in winter (IANA time zone database)
    assert stage_words(GLUE_UP, GLUED, ZoneInfo("America/Halifax")).startswith(
        "stands by itself from 23:18"
    )
