"""Where the steps of a chunk put their margins: one column per criterion, one row per candidate.

A number against a limit becomes a margin by the same rule as in `core.evaluation.criterion`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from core.evaluation.criterion import Criterion
from core.numeric import BoolArray, FloatArray, IntArray
from core.results import Margin
from core.shortlist.chunk_result import (
    ABSENT,
    EXCLUDED,
    MET,
    MISSED,
    NOT_CHECKED,
    STATUSES,
    CriterionColumn,
)

_BEYOND = -np.inf  # place in the order of a criterion that is missed beyond any number
_TOLD = 0.0  # the same where another criterion tells how far off it is


@dataclass(slots=True)
class _Column:
    """One criterion over all candidates; `order` is what it is sorted by, NaN where it has no place."""

    criterion: CriterionColumn
    place: int
    status: IntArray
    demand: FloatArray
    limit: FloatArray
    margin: FloatArray
    target: FloatArray
    required: BoolArray
    order: FloatArray
    label: IntArray


@dataclass(slots=True)
class MarginBoard:
    """The margins of `count` candidates as they are found."""

    count: int
    _columns: dict[str, _Column] = field(default_factory=dict)
    _labels: dict[str, int] = field(default_factory=dict)

    def put(self, criterion: Criterion, rows: IntArray, status: int, told: bool = False) -> None:
        """Put a status without a number; `told` where another criterion says how far off a miss is."""
        column = self._rows(criterion, rows)
        column.status[rows] = status
        for value in (column.demand, column.limit, column.margin):
            value[rows] = np.nan
        beyond = _TOLD if told else _BEYOND
        column.order[rows] = beyond if status == MISSED else np.nan

    def put_checked(
        self,
        criterion: Criterion,
        rows: IntArray,
        demand: FloatArray,
        limit: FloatArray,
        zero: float = 0.0,
    ) -> None:
        """Put demands against limits, both counted from `zero`; NaN as the limit is "not checked".

        The rule is that of `checked`: a limit at or below zero is missed without a number.
        """
        column = self._rows(criterion, rows)
        demand, limit = np.broadcast_arrays(demand, limit)
        known, sound = ~np.isnan(limit), limit > zero
        with np.errstate(invalid="ignore", divide="ignore"):
            margin = np.where(sound, 1.0 - (demand - zero) / np.where(sound, limit - zero, 1.0), np.nan)
        met = margin >= criterion.target
        column.status[rows] = np.where(known, np.where(met, MET, MISSED), NOT_CHECKED)
        column.demand[rows] = np.where(known, demand, np.nan)
        column.limit[rows] = limit
        column.margin[rows] = margin
        column.order[rows] = np.where(sound, margin - criterion.target, np.where(known, _BEYOND, np.nan))

    def put_reserve(self, criterion: Criterion, rows: IntArray, factor: FloatArray) -> None:
        """Put reserve factors above zero: utilisation is their reciprocal, as in `checked_reserve`."""
        column = self._rows(criterion, rows)
        margin = 1.0 - 1.0 / factor
        column.status[rows] = np.where(margin >= criterion.target, MET, MISSED)
        column.demand[rows], column.limit[rows], column.margin[rows] = 1.0, factor, margin
        column.order[rows] = margin - criterion.target

    def put_margin(self, margin: Margin, rows: IntArray) -> None:
        """Put a margin of the single evaluation that holds for all these candidates."""
        criterion = Criterion(margin.criterion, margin.label, margin.kind, margin.target, margin.required)
        column = self._rows(criterion, rows)
        column.status[rows] = STATUSES.index(margin.status)
        for name in ("demand", "limit", "margin"):
            value = getattr(margin, name)
            getattr(column, name)[rows] = np.nan if value is None else value
        above, order = margin.above_target, np.nan
        if above is not None:
            order = above
        elif margin.status == "missed":
            order = _TOLD if margin.told_by else _BEYOND
        column.order[rows] = order

    def spread(self, distinct: MarginBoard, rows: IntArray, alike: IntArray) -> None:
        """Put the margins of a board of distinct candidates; `alike` tells which of them each row is."""
        labels = list(distinct._labels)
        number = np.array([self._labels.setdefault(label, len(self._labels)) for label in labels])
        for code, one in distinct._columns.items():
            column = self._columns.get(code)
            if column is None:
                column = self._columns[code] = self._empty(one.criterion)
            there = one.status[alike] != ABSENT
            to, of = rows[there], alike[there]
            for name in ("status", "demand", "limit", "margin", "target", "required", "order"):
                getattr(column, name)[to] = getattr(one, name)[of]
            column.label[to] = number[one.label[of]]

    def column(self, code: str) -> _Column | None:
        """Return what stands in the column of a criterion; None where nothing was put."""
        return self._columns.get(code)

    def broken(self, code: str) -> BoolArray:
        """Return which candidates miss a required criterion or are excluded by it."""
        column = self._columns.get(code)
        if column is None:
            return np.zeros(self.count, dtype=bool)
        broken: BoolArray = column.required & ((column.status == MISSED) | (column.status == EXCLUDED))
        return broken

    def columns(self) -> tuple[CriterionColumn, ...]:
        """Return the criteria in the order of their first entry."""
        return tuple(column.criterion for column in self._columns.values())

    def matrix(self, name: str) -> np.ndarray:
        """Return one quantity of all columns, shape (candidates, criteria)."""
        found = [getattr(column, name) for column in self._columns.values()]
        return np.column_stack(found) if found else np.zeros((self.count, 0))

    def governing(self) -> IntArray:
        """Return the column that governs each candidate by the rule of `ordered`, `ABSENT` for none."""
        if not self._columns:
            return np.full(self.count, ABSENT)
        names = sorted(self._labels)
        rank = np.array([names.index(name) for name in self._labels])
        label = rank[self.matrix("label")]
        excluded, order = self.matrix("status") == EXCLUDED, self.matrix("order")
        order = np.where(np.isnan(order), np.inf, order)
        first = np.where(excluded.any(axis=1)[:, None], excluded, order == order.min(axis=1)[:, None])
        found = np.where(first, label, len(names)).argmin(axis=1)
        none = ~excluded.any(axis=1) & np.isnan(self.matrix("order")).all(axis=1)
        return np.where(none, ABSENT, found)

    def smallest_margin(self) -> FloatArray:
        """Return the least margin minus target, NaN where no criterion has a number."""
        if not self._columns:
            return np.full(self.count, np.nan)
        order = self.matrix("order")
        with np.errstate(invalid="ignore"):
            least = np.fmin.reduce(order, axis=1)
        excluded = (self.matrix("status") == EXCLUDED).any(axis=1)
        return np.where(excluded, -np.inf, least)

    def _rows(self, criterion: Criterion, rows: IntArray) -> _Column:
        """Return the column of a criterion with what is the same for all these rows already in place."""
        column = self._columns.get(criterion.code)
        if column is None:
            made = CriterionColumn(criterion.code, criterion.label, criterion.kind)
            column = self._columns[criterion.code] = self._empty(made)
        column.target[rows] = criterion.target
        column.required[rows] = criterion.required
        column.label[rows] = self._labels.setdefault(criterion.label, len(self._labels))
        return column

    def _empty(self, criterion: CriterionColumn) -> _Column:
        def numbers() -> FloatArray:
            return np.full(self.count, np.nan)

        return _Column(
            criterion,
            len(self._columns),
            np.full(self.count, ABSENT),
            numbers(), numbers(), numbers(), numbers(),
            np.zeros(self.count, dtype=bool),
            numbers(),
            np.zeros(self.count, dtype=np.int64),
        )  # fmt: skip


def put_margins(board: MarginBoard, margins: Sequence[Margin], rows: IntArray) -> None:
    """Put several margins that hold for all these candidates."""
    for margin in margins:
        board.put_margin(margin, rows)
