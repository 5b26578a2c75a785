"""The clock of the demo shop, which its script turns."""

from __future__ import annotations

from datetime import datetime


class Clock:
    """A clock that the script turns."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now
