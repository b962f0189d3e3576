"""What a chunk of candidates gave: the margins of each as arrays over candidates and criteria.

Texts are not held: those of one candidate come from `evaluate_candidate`, which gives the same numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.numeric import BoolArray, FloatArray, IntArray
from core.results import Status
from core.units import Kind

STATUSES: tuple[Status, ...] = ("met", "missed", "not checked", "excluded")
ABSENT = -1


@dataclass(frozen=True, slots=True)
class CriterionColumn:
    """A criterion as a column: stable code, label, kind of demand and limit, whether it is required."""

    code: str
    label: str
    kind: Kind
    required: bool


@dataclass(frozen=True, slots=True)
class ChunkResult:
    """Margins and objectives of candidates, in the order in which the candidates came.

    Arrays `status`, `demand`, `limit`, `margin` and `target` have shape (candidates, criteria). `status`
    is an index into `STATUSES`, `ABSENT` where a candidate has no such criterion; numbers are NaN where a
    `Margin` of the single evaluation has None. `governing` is the column that governs, `ABSENT` where
    none does. `ruled_out_by` is the column of the necessary condition that was found broken first,
    `ABSENT` for candidates that broke none; `whole` tells whose temperatures and torque reserve were
    computed: the others have "not checked" there. `objectives` are arrays of shape (candidates,) by
    name, in SI units, NaN where unknown.
    """

    columns: tuple[CriterionColumn, ...]
    status: IntArray
    demand: FloatArray
    limit: FloatArray
    margin: FloatArray
    target: FloatArray
    governing: IntArray
    ruled_out_by: IntArray
    whole: BoolArray
    objectives: dict[str, FloatArray]

    def __len__(self) -> int:
        return len(self.governing)
