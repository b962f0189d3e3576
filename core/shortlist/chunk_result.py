"""What a chunk of candidates gave: the margins of each as arrays over candidates and criteria.

Texts are not held: those of one candidate come from `evaluate_candidate`, which gives the same numbers.
"""

from __future__ import annotations

from dataclasses import field

from core.numeric import BoolArray, FloatArray, IntArray
from core.records import dataclass
from core.results import Status
from core.units import Kind

STATUSES: tuple[Status, ...] = ("met", "missed", "not checked", "excluded")
MET, MISSED, NOT_CHECKED, EXCLUDED = range(4)
ABSENT = -1

# Names of the objectives, each in SI units; all but the first are the better the smaller they are.
OBJECTIVES = (
    "smallest_margin",  # least margin minus target; minus infinity where one is missed beyond any number
    "mass",
    "length",
    "volume",
    "rotor_inertia",
    "mean_losses",
    "mean_supply_current",
    "outside_temperature",  # peak over the cycle, degC
)


@dataclass(frozen=True, slots=True)
class CriterionColumn:
    """A criterion as a column: stable code, label, kind of demand and limit.

    A label that depends on the candidate, such as a diameter with or without its guard, is that of the
    first candidate.
    """

    code: str
    label: str
    kind: Kind


@dataclass(frozen=True, slots=True)
class ChunkResult:
    """Margins and objectives of candidates, in the order in which the candidates came.

    Arrays `status`, `demand`, `limit`, `margin`, `target` and `required` have shape (candidates,
    criteria). `status` is an index into `STATUSES`, `ABSENT` where a candidate has no such criterion;
    numbers are NaN where a `Margin` of the single evaluation has None. `governing` is the column that
    governs, `ABSENT` where none does. `ruled_out_by` is the column of the necessary condition that was
    found broken first, `ABSENT` for candidates that broke none; `whole` tells whose temperatures and torque
    reserve were computed: the others have "not checked" there, and the governing criterion of what was.
    `objectives` are arrays of shape (candidates,) by the names of `OBJECTIVES`, NaN where unknown.
    A chunk has only the columns that one of its candidates has, in an order of its own: several chunks
    are brought together by the codes. `refused` has, by its row, why a candidate cannot be evaluated: it
    has no criterion and no number.
    """

    columns: tuple[CriterionColumn, ...]
    status: IntArray
    demand: FloatArray
    limit: FloatArray
    margin: FloatArray
    target: FloatArray
    required: BoolArray
    governing: IntArray
    ruled_out_by: IntArray
    whole: BoolArray
    objectives: dict[str, FloatArray]
    refused: dict[int, str] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.governing)

    def column(self, code: str) -> int:
        """Return the column of a criterion, `ABSENT` where no candidate of the chunk has it."""
        return next((k for k, column in enumerate(self.columns) if column.code == code), ABSENT)
