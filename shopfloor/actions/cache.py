"""The last few results of slow work that only reads, kept in memory.

Owns how many are kept; what a result depends on is in the key that the caller gives. Must not keep anything that
would be missed.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import TypeVar

Thing = TypeVar("Thing")


class Cache:
    """At most `most` results by their keys, the least used one forgotten first. Threads may share it."""

    def __init__(self, most: int):
        self._most = most
        self._things: OrderedDict[Hashable, object] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Thing]) -> Thing:
        """The result for this key, made now where it is not kept; two threads may make the same one at once."""
        with self._lock:
            if key in self._things:
                self._things.move_to_end(key)
                return self._things[key]
        made = make()
        with self._lock:
            self._things[key] = made
            while len(self._things) > self._most:
                self._things.popitem(last=False)
        return made
