"""Which parts the candidates of a chunk share: what depends on some parts is computed once per choice.

Parts are frozen, so the same object is the same part. Words and numbers are compared by value.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from core.numeric import IntArray
from core.project.candidate import Candidate

_PARTS = (
    "motor", "winding", "variant", "commutation", "transmission", "drive", "lead_resistance", "cable",
    "choke", "feedback", "brake", "shaft_force",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Distinct:
    """Distinct choices: `first` has a candidate that made each, `index` which one each candidate made."""

    first: IntArray
    index: IntArray

    def __len__(self) -> int:
        return self.first.size

    def rows(self) -> list[IntArray]:
        """Return for each distinct choice the candidates that made it, in their order."""
        order = self.index.argsort(kind="stable")
        ends = np.cumsum(np.bincount(self.index, minlength=len(self)))[:-1]
        return np.split(order, ends)


class Choices:
    """The choices of some candidates, each of their parts as numbers from 0."""

    def __init__(self, candidates: Sequence[Candidate]) -> None:
        self.candidates = candidates
        self._number: dict[str, IntArray] = {
            name: _numbered([getattr(one, name) for one in candidates]) for name in _PARTS
        }

    def __len__(self) -> int:
        return len(self.candidates)

    def only(self, rows: IntArray) -> Choices:
        """Return the choices of some of the candidates."""
        made = Choices([])
        made.candidates = [self.candidates[row] for row in rows.tolist()]
        made._number = {name: number[rows] for name, number in self._number.items()}
        return made

    def add(self, name: str, parts: tuple[str, ...], of: Callable[[Candidate], object]) -> None:
        """Add what follows from some parts alone, such as the kinds of what is fitted."""
        distinct = self.by(*parts)
        values = _numbered([of(self.candidates[row]) for row in distinct.first.tolist()])
        self._number[name] = values[distinct.index]

    def put(self, name: str, number: IntArray) -> None:
        """Add a property by its numbers, such as the machine of each candidate."""
        self._number[name] = number

    def by(self, *names: str) -> Distinct:
        """Return the distinct choices of some parts together."""
        code: IntArray = np.zeros(len(self.candidates), dtype=np.int64)
        for name in names:
            number = self._number[name]
            kinds = int(number.max(initial=0)) + 1
            if int(code.max(initial=0)) > _LARGEST // kinds:  # no choice may take the code of another
                code = np.unique(code, return_inverse=True)[1]
            code = code * kinds + number
        _, first, index = np.unique(code, return_index=True, return_inverse=True)
        return Distinct(first, index)


def _numbered(values: Sequence[object]) -> IntArray:
    """Return a number for each value, the same for the same part, word or figure."""
    known: dict[object, int] = {}
    plain = isinstance(values[0], str | float) if values else False
    keys = values if plain else [value if isinstance(value, _PLAIN) else id(value) for value in values]
    return np.array([known.setdefault(key, len(known)) for key in keys], dtype=np.int64)


_LARGEST = np.iinfo(np.int64).max
_PLAIN = (str, float, int, bool, tuple, type(None))
