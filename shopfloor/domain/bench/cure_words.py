"""How the stages of a cure are said. Owns wording only; when they are reached is reckoned in `cure`."""

from __future__ import annotations

from datetime import datetime, tzinfo
from typing import Protocol

from .bench import clock
from .cure import NO_END


class Glued(Protocol):
    """What is known of a glue-up; times as stored, None where its cement's data sheet does not give a stage, or it is too cold."""

    @property
    def fixture_at(self) -> str | None:
        """When it stands by itself."""

    @property
    def handling_at(self) -> str | None:
        """When it may be handled with care."""

    @property
    def cured_at(self) -> str:
        """When it is cured; `NO_END` where its cure stands still."""


def stage_words(glue_up: Glued, now: datetime, zone: tzinfo) -> str:
    """The stages of a glue-up in one sentence, without a full stop.

    'stands by itself since 03:18, may be handled with care from 07:48, cured Fri 06:47'; 'its cure stands still: too cold'
    comes in place of what has no end by what is known; of what is cured that alone is said.
    """
    cured = datetime.fromisoformat(glue_up.cured_at)
    if cured <= now:
        return f"cured since {clock(cured, now, zone)}"
    said = [
        f"{words} {_when(at, now, zone)}"
        for words, at in (
            ("stands by itself", glue_up.fixture_at),
            ("may be handled with care", glue_up.handling_at),
        )
        if at
    ]
    said.append(
        "its cure stands still: too cold" if cured >= NO_END else f"cured {clock(cured, now, zone)}"
    )
    return ", ".join(said)


def _when(stored: str, now: datetime, zone: tzinfo) -> str:
    moment = datetime.fromisoformat(stored)
    return f"{'since' if moment <= now else 'from'} {clock(moment, now, zone)}"
