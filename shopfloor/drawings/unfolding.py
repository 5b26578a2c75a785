"""How much a drawing unfolds to where its parts are drawn again and again.

Owns the count, made without unfolding anything, and the refusal of what is too much. Must not know about file formats.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from ..domain.errors import Refused
from ..wording.message import Message

Contents = tuple[int, Iterable[tuple[Any, int]]]  # things, and (part, how often) drawn inside


@dataclass
class Unfolding:
    """`contents` tells what lies in a part; `in_itself` names a part that holds itself."""

    contents: Callable[[Any], Contents]
    most: int
    too_many: Message
    deepest: int
    too_deep: Message
    in_itself: Callable[[Any], Message]
    _known: dict[Any, tuple[int, int]] = field(default_factory=dict)
    _open: set[Any] = field(default_factory=set)

    def measure(self, part: Any, level: int = 1) -> tuple[int, int]:
        """(things, depth) of a part unfolded. Raises Refused on a circle, too many or too deep."""
        if part in self._open:
            raise Refused(self.in_itself(part))
        if level > self.deepest:
            raise Refused(self.too_deep)
        if part not in self._known:
            self._open.add(part)
            (count, inside), depth = self.contents(part), 1
            for one, copies in inside:
                more, deeper = self.measure(one, level + 1)
                count, depth = count + copies * more, max(depth, deeper + 1)
            self._open.remove(part)
            self._known[part] = count, depth
        count, depth = self._known[part]
        if count > self.most:
            raise Refused(self.too_many)
        if level + depth - 1 > self.deepest:
            raise Refused(self.too_deep)
        return count, depth
