"""What parts mean as physics, kept from chunk to chunk for the same parts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Answer = TypeVar("Answer")
_PLAIN = (str, float, int, bool, tuple, type(None))


class Memory(Generic[Answer]):
    """Answers by the identity of frozen parts, which an entry keeps alive.

    The older half is forgotten when there are more than `size`: a catalogue is gone through in an order in
    which parts come again soon or never.
    """

    def __init__(self, size: int) -> None:
        self._size = size
        self._kept: dict[tuple[object, ...], tuple[tuple[object, ...], Answer]] = {}

    def get(self, parts: tuple[object, ...], make: Callable[[], Answer]) -> Answer:
        """Return the answer for some parts, made where it is not known."""
        key = tuple(part if isinstance(part, _PLAIN) else id(part) for part in parts)
        entry = self._kept.get(key)
        if entry is None:
            if len(self._kept) >= self._size:
                for old in list(self._kept)[: self._size // 2]:
                    del self._kept[old]
            entry = self._kept[key] = (parts, make())
        return entry[1]
