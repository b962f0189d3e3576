"""What is kept of each candidate of a shortlist: verdict, what governs with its numbers, objectives.

A chunk has every margin; of a hundred thousand candidates that would be a hundred megabytes. All margins of
one candidate come from `evaluate_candidate`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Final

import numpy as np

from core.numeric import FloatArray, IntArray
from core.records import dataclass
from core.shortlist.chunk_result import (
    ABSENT,
    EXCLUDED,
    MET,
    MISSED,
    NOT_CHECKED,
    OBJECTIVES,
    ChunkResult,
    CriterionColumn,
)

NUMBERS: Final = ("demand", "limit", "margin", "target")
# Best first: a required criterion that is not checked may still turn out either way.
ORDER_OF_VERDICTS: Final = (MET, NOT_CHECKED, MISSED, EXCLUDED)


@dataclass(frozen=True, slots=True)
class Reasons:
    """One criterion of each candidate: column in `Listing.criteria`, status, numbers; else `ABSENT`, NaN."""

    column: IntArray
    status: IntArray
    numbers: Mapping[str, FloatArray]


@dataclass(frozen=True, slots=True)
class Listing:
    """Candidates by their numbers; arrays have shape (candidates,).

    `verdict` is an index into `STATUSES`: the worst status of a required criterion. `governing` is what
    governs of that which was computed; `first` the necessary condition that was found broken first.
    `refused` has, by number, why a candidate cannot be evaluated; its verdict is that it is not checked.
    """

    criteria: tuple[CriterionColumn, ...]
    verdict: IntArray
    governing: Reasons
    first: Reasons
    objectives: Mapping[str, FloatArray]
    refused: Mapping[int, str] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.verdict)

    def ranking(self) -> IntArray:
        """Return the numbers of all candidates, best first.

        Who meets all comes first, then who lacks a check, who misses, who is excluded; among those the larger
        smallest margin above target, then the smaller mass, then the smaller losses, then the lower number.
        """
        place = np.argsort(ORDER_OF_VERDICTS)[self.verdict]
        margin = np.nan_to_num(self.objectives["smallest_margin"], nan=-np.inf)
        mass, losses = self.objectives["mass"], self.objectives["mean_losses"]
        order: IntArray = np.lexsort((np.arange(len(self)), losses, mass, -margin, place))
        return order

    def reason(self) -> IntArray:
        """Return the column that tells why a candidate is out: the first broken, else what governs."""
        return np.where(self.first.column == ABSENT, self.governing.column, self.first.column)

    def losers_by_reason(self) -> dict[str, int]:
        """Return how many candidates do not meet all, by the code of the reason, most first."""
        reasons = self.reason()[np.isin(self.verdict, (MISSED, EXCLUDED))]
        counts = np.bincount(reasons[reasons != ABSENT], minlength=len(self.criteria))
        most = np.argsort(-counts, kind="stable")
        return {self.criteria[k].code: int(counts[k]) for k in most.tolist() if counts[k]}


class ListingInProgress:
    """Gathers chunks in the order in which they come; `listing` is all of them so far."""

    def __init__(self) -> None:
        self._criteria: dict[str, CriterionColumn] = {}
        self._chunks: list[Listing] = []
        self._count = 0

    def add(self, result: ChunkResult) -> Listing:
        """Take the next chunk, and return what is kept of it."""
        places = np.array([self._place(column) for column in result.columns], dtype=np.int64)
        kept = Listing(
            criteria=tuple(self._criteria.values()),
            verdict=verdicts(result),
            governing=_reasons(result, result.governing, places),
            first=_reasons(result, result.ruled_out_by, places),
            objectives=result.objectives,
            refused={self._count + row: reason for row, reason in result.refused.items()},
        )
        self._count += len(kept)
        self._chunks.append(kept)
        return kept

    def listing(self) -> Listing:
        """Return all candidates so far."""
        return Listing(
            criteria=tuple(self._criteria.values()),
            verdict=_joined((one.verdict for one in self._chunks), np.int64),
            governing=_all_reasons(one.governing for one in self._chunks),
            first=_all_reasons(one.first for one in self._chunks),
            objectives={
                name: _joined((one.objectives[name] for one in self._chunks), np.float64)
                for name in OBJECTIVES
            },
            refused={number: reason for one in self._chunks for number, reason in one.refused.items()},
        )

    def _place(self, column: CriterionColumn) -> int:
        self._criteria.setdefault(column.code, column)
        return list(self._criteria).index(column.code)


def verdicts(result: ChunkResult) -> IntArray:
    """Return the worst status of the required criteria; who has none at all is not checked."""
    verdict: IntArray = np.full(len(result), MET)
    for status in (NOT_CHECKED, MISSED, EXCLUDED):
        verdict[((result.status == status) & result.required).any(axis=1)] = status
    verdict[(result.status == ABSENT).all(axis=1)] = NOT_CHECKED
    return verdict


def _reasons(result: ChunkResult, column: IntArray, places: IntArray) -> Reasons:
    there = column != ABSENT
    rows, columns = np.flatnonzero(there), column[there]
    status: IntArray = np.full(len(result), ABSENT)
    status[rows] = result.status[rows, columns]
    found: IntArray = np.full(len(result), ABSENT)
    found[rows] = places[columns]
    numbers: dict[str, FloatArray] = {}
    for name in NUMBERS:
        numbers[name] = np.full(len(result), np.nan)
        numbers[name][rows] = getattr(result, name)[rows, columns]
    return Reasons(found, status, numbers)


def _all_reasons(chunks: Iterable[Reasons]) -> Reasons:
    parts = list(chunks)
    return Reasons(
        _joined((one.column for one in parts), np.int64),
        _joined((one.status for one in parts), np.int64),
        {name: _joined((one.numbers[name] for one in parts), np.float64) for name in NUMBERS},
    )


def _joined(arrays: Iterable[np.ndarray], kind: type) -> np.ndarray:
    return np.concatenate([np.zeros(0, dtype=kind), *arrays])
