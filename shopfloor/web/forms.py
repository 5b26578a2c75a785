"""What forms of several areas have in common."""

from __future__ import annotations

from dataclasses import dataclass

from ..wording.message import Message


@dataclass(frozen=True)
class Choice:
    """One answer of a field that offers a few."""

    value: str
    words: Message | str
    note: Message | str
    is_chosen: bool
