"""Collects findings while a drawing is read, without saying the same thing twice or a thousand things at all.

Must not decide what is a finding and what a refusal.
"""

from __future__ import annotations

from ..domain.drawing import Finding

_MOST_OF_A_KIND = 20


class Findings:
    """Findings in the order of meeting; of each kind the first twenty, then a count."""

    def __init__(self) -> None:
        self._seen: dict[str, dict[str, Finding]] = {}

    def add(self, kind: str, message: str, at: tuple[float, float] | None = None) -> None:
        """Notes one finding; `at` is in mm, y up."""
        self._seen.setdefault(kind, {}).setdefault(message, Finding(kind, message, at))

    def all(self) -> tuple[Finding, ...]:
        """What was found."""
        told: list[Finding] = []
        for kind, by_message in self._seen.items():
            some = list(by_message.values())
            told += some[:_MOST_OF_A_KIND]
            if len(some) > _MOST_OF_A_KIND:
                told.append(Finding(kind, f"There are {len(some) - _MOST_OF_A_KIND} more like the last one."))
        return tuple(told)
