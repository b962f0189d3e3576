"""What an evaluation gives back about faults: what happens, with which energy, what is needed against it."""

from __future__ import annotations

from dataclasses import field

from core.records import dataclass
from core.sentences import Sentence


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault of one candidate.

    `code` is stable; `effect` says what happens with its numbers, `measure` what is needed against it;
    `energy` [J] is what is stored or set free then, None where there is none or it is not known; `values`
    holds the numbers in SI, the unit in the key.
    """

    code: str
    fault: str
    effect: str | Sentence
    measure: str
    energy: float | None = None
    values: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class FaultTable:
    """The faults of one candidate in the order in which they are shown.

    `inertia` [kg m2] is what they were computed with at the motor shaft; `whole_inertia` tells whether the
    load is in it.
    """

    rows: tuple[FaultRow, ...]
    inertia: float
    whole_inertia: bool

    def row(self, code: str) -> FaultRow | None:
        """Return the row of a fault by its code, None where it cannot happen or be told."""
        return next((row for row in self.rows if row.code == code), None)
