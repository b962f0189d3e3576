"""A value that is computed when it is first asked for, and then kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Deferred(Generic[Value]):
    """What takes longer than a frame and is not always looked at.

    The function must be pure: whether and when it runs must not matter.

    Examples
    --------
    >>> later = Deferred(lambda: 6 * 7)
    >>> later.known, later.value(), later.known
    (False, 42, True)
    """

    __slots__ = ("_compute", "_kept")

    def __init__(self, compute: Callable[[], Value]) -> None:
        self._compute = compute
        self._kept: list[Value] = []

    @property
    def known(self) -> bool:
        """Whether the value is there at no cost."""
        return bool(self._kept)

    def value(self) -> Value:
        """Return the value, computing it the first time."""
        if not self._kept:
            self._kept.append(self._compute())
        return self._kept[0]
