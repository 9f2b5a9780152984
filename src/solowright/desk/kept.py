"""What was worked out lately, by the state it was worked out from."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Found = TypeVar("Found")


class Kept(Generic[Key, Found]):
    """The ``most`` results asked for last. Threads may share it; a result is worked out once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[Key, Found] = OrderedDict()
        self._lock = threading.RLock()

    def get(self, key: Key) -> Found | None:
        """What is kept of a key, if anything."""
        with self._lock:
            found = self._found.get(key)
            if found is not None:
                self._found.move_to_end(key)
            return found

    def find(self, key: Key, make: Callable[[], Found]) -> Found:
        """What is kept of a key, else what ``make`` gives."""
        with self._lock:
            found = self.get(key)
            if found is None:
                found = self._found[key] = make()
                while len(self._found) > self._most:
                    self._found.popitem(last=False)
            return found
