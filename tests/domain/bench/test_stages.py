"""The stages of a glue-up in one sentence, as a beginner understands it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from shopfloor.actions.unit_of_work import stamp
from shopfloor.domain.bench.cure import NO_END
from shopfloor.domain.bench.headline import stages
from shopfloor.store.bench import GlueUp
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import text

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


def read(glue_up: GlueUp, now: datetime, zone: str = "UTC") -> str:
    """The stages as somebody at the bench reads them."""
    message = stages(glue_up.fixture_at, glue_up.handling_at, glue_up.cured_at, now)
    return text(message, Reader(zone=zone, now=now))


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "Holds on its own from 03:18. May be moved with care from 07:48. Cured Fri 06:47."),
        (5, "Holds on its own since 03:18. May be moved with care from 07:48. Cured Fri 06:47."),
        (
            24 * 60,
            "Holds on its own since Thu 03:18. May be moved with care since Thu 07:48. Cured 06:47.",
        ),
        (
            24 * 60 + 213,
            "Holds on its own since Thu 03:18. May be moved with care since Thu 07:48. Cured 06:47.",
        ),
        (24 * 60 + 214, "Cured since 06:47."),
    ],
)
def test_the_stages_are_told_from_the_first_minute_to_the_last(minutes, said):
    assert read(GLUE_UP, GLUED + timedelta(minutes=minutes)) == said


def test_what_the_data_sheet_does_not_give_is_not_told():
    assert read(replace(GLUE_UP, fixture_at=None, handling_at=None), GLUED) == "Cured Fri 06:47."


def test_too_cold_the_cure_is_paused_and_what_was_reached_stays():
    paused = replace(GLUE_UP, handling_at=None, cured_at=stamp(NO_END))
    assert (
        read(paused, GLUED + timedelta(hours=1))
        == "Holds on its own since 03:18. Cure paused: too cold."
    )
    assert read(replace(paused, fixture_at=None), GLUED) == "Cure paused: too cold."


def test_the_times_are_the_shops():
    # Halifax is four hours behind UTC in winter (IANA time zone database)
    assert read(GLUE_UP, GLUED, "America/Halifax").startswith("Holds on its own from 23:18.")
