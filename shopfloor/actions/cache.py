"""The last few results of slow work that only reads, for where the key cannot be the arguments (else functools.lru_cache)."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Result = TypeVar("Result")


class Cache:
    """At most `most` results by their keys, the least used one forgotten first. Threads may share it."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Result]) -> Result:
        """Return the result for this key, made now where it is not kept; two threads may make the same one at once."""
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
                kept: Result = self._results[key]
                return kept
        made = make()
        with self._lock:
            self._results[key] = made
            while len(self._results) > self._most:
                self._results.popitem(last=False)
        return made
