"""Old names of `waiting` and `headline`, until every caller uses the new ones."""

from __future__ import annotations

from datetime import datetime, tzinfo

from ...wording.message import Message
from . import waiting
from .steps import Part, Sign, Step
from .waiting import named as listed
from .waiting import whereabouts as missing_sentences

__all__ = ["called", "listed", "missing_sentences", "must_be_ready", "must_be_settable"]


def called(part: Part) -> Message:
    return part.called


def must_be_ready(step: Step, sign: Sign, now: datetime, zone: tzinfo | None = None) -> None:
    waiting.must_be_ready(step, sign, now)


def must_be_settable(
    part: Part, step: Step, sign: Sign, now: datetime, zone: tzinfo | None = None
) -> None:
    waiting.must_be_settable(part, step, sign, now)
