"""Collects findings while a drawing is read, without saying the same thing twice or a thousand things at all.

Must not decide what is a finding and what a refusal.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from ..domain.drawing.drawing import Finding
from ..domain.outlines import Point
from ..wording import mended
from ..wording.message import Message, as_message

_MOST_OF_A_KIND = 20


class Findings:
    """Findings in the order of meeting; of each kind the first twenty, then a count."""

    def __init__(self) -> None:
        self._seen: dict[str, dict[Message | str, Finding]] = {}
        self._counts: Counter[tuple[str, Message | str]] = Counter()

    def add(
        self, kind: str, message: Message, at: Point | None = None, line: Iterable[Point] = ()
    ) -> None:
        """Notes one finding; `at` is its place and `line` what to draw there, in mm, y up.

        A message with a `count` of 0 is counted: it appears once, with the sum, at the place of the first.
        """
        self._counts[kind, message] += 1
        by_message = self._seen.setdefault(kind, {})
        if message not in by_message:
            by_message[message] = Finding(
                kind, message, _tidy(at) if at else None, tuple(map(_tidy, line))
            )

    def locate(self, kind: str, message: Message, at: Point) -> None:
        """Gives a finding its place, once that is known; the first place stays."""
        finding = self._seen[kind][message]
        if finding.at is None:
            self._seen[kind][message] = Finding(kind, message, _tidy(at), finding.line)

    def all(self) -> tuple[Finding, ...]:
        """What was found."""
        told: list[Finding] = []
        for kind, by_message in self._seen.items():
            some = [self._counted(finding) for finding in by_message.values()]
            told += some[:_MOST_OF_A_KIND]
            if len(some) > _MOST_OF_A_KIND:
                told.append(Finding(kind, mended.more_like_the_last(len(some) - _MOST_OF_A_KIND)))
        return tuple(told)

    def _counted(self, finding: Finding) -> Finding:
        message = as_message(finding.message)
        if message.values.get("count") != 0:
            return finding
        number = self._counts[finding.kind, finding.message]
        counted = replace(message, values={**message.values, "count": number})
        return replace(finding, message=counted)


def _tidy(point: Point) -> Point:
    return round(float(point[0]), 3) + 0.0, round(float(point[1]), 3) + 0.0
