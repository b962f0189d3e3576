"""Candidates side by side: every quantity that tells them apart, and who is ahead in it.

The uncertainty of the heat (`CandidateResult.band`) is drawn on; its first look takes longer than a frame.
"""

from __future__ import annotations

from collections.abc import Sequence

from core.errors import InputRangeError
from core.evaluation.comparison_figures import (
    fitting_rows,
    hazard_rows,
    loss_rows,
    margin_rows_of,
    size_rows,
    temperature_rows,
)
from core.evaluation.comparison_mounting import mounting_rows
from core.evaluation.comparison_rows import ComparisonRow
from core.evaluation.comparison_torque import CycleSpeed, contest, cycle_speeds, mean_cycle_speed, torque_rows
from core.evaluation.comparison_verdict import verdict
from core.evaluation.crossing_words import crossing_words
from core.evaluation.fitted_size import fitted_size
from core.evaluation.torque_ratio import TorqueRatio, torque_ratio
from core.records import dataclass
from core.results import Result
from core.sentences import Sentence


@dataclass(frozen=True, slots=True)
class ComparisonTable:
    """Rows over several candidates; `indices` are these candidates in the order of the values."""

    indices: tuple[int, ...]
    rows: tuple[ComparisonRow, ...]

    @property
    def groups(self) -> tuple[tuple[str, tuple[ComparisonRow, ...]], ...]:
        """The rows by their groups, in order."""
        titles = dict.fromkeys(row.group for row in self.rows)
        return tuple((title, tuple(row for row in self.rows if row.group == title)) for title in titles)

    def row(self, code: str) -> ComparisonRow | None:
        """Return a row by its code, None where there is none."""
        return next((row for row in self.rows if row.code == code), None)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two candidates: their table, the verdict in one sentence, their ratio of continuous torque over speed.

    `ratio` is None where one of them has no continuous torque; `crossing` says in words where they cross.
    `speeds` are those of the cycle at the axis of the ratio, at which the table compares.
    """

    first: int
    second: int
    table: ComparisonTable
    verdict: Sentence
    ratio: TorqueRatio | None
    crossing: Sentence
    speeds: tuple[CycleSpeed, ...]


def comparison_table(result: Result, indices: Sequence[int] | None = None) -> ComparisonTable:
    """Return the table over these candidates, all of them without `indices`."""
    wanted = tuple(range(len(result.candidates)) if indices is None else indices)
    for index in wanted:
        _require_candidate(result, index)
    found = [result.candidates[index] for index in wanted]
    chosen = [result.project.candidates[index] for index in wanted]
    sizes = [fitted_size(candidate, result.project.application.site) for candidate in chosen]
    if not wanted:
        return ComparisonTable((), ())
    rows = (
        *margin_rows_of(found),
        *torque_rows(contest(result, wanted), sizes),
        *mounting_rows(result, found, chosen),
        *temperature_rows(found, chosen),
        *loss_rows(found),
        *size_rows(sizes),
        *fitting_rows(result, chosen),
        *hazard_rows(found),
    )
    return ComparisonTable(wanted, rows)


def comparison(result: Result, first: int, second: int) -> Comparison:
    """Return any two candidates of a result side by side.

    Raises `InputRangeError` for a candidate that the result does not have.
    """
    table = comparison_table(result, (first, second))
    ratio = torque_ratio(result, first, second)
    of = contest(result, (first, second))
    speeds, mean = cycle_speeds(of), mean_cycle_speed(of)
    return Comparison(
        first=first,
        second=second,
        table=table,
        verdict=verdict(result, first, second, ratio, mean),
        ratio=ratio,
        crossing=crossing_words(first, second, ratio),
        speeds=speeds,
    )


def _require_candidate(result: Result, index: int) -> None:
    count = len(result.candidates)
    if not 0 <= index < count:
        raise InputRangeError("candidate", index, "", f"one of the {count}, counted from 0")
