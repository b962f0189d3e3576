"""A chunk of candidates of which some cannot be evaluated: they get the reason, the rest goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from core.errors import AmpturnError
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch import evaluate_chunk
from core.shortlist.chunk_result import ABSENT, OBJECTIVES, ChunkResult, CriterionColumn

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

# What stands where a candidate has no such criterion, by the name of the array.
_ABSENT: dict[str, Any] = {
    "status": ABSENT,
    "demand": np.nan,
    "limit": np.nan,
    "margin": np.nan,
    "target": np.nan,
    "required": False,
}


def evaluate_each(
    application: Application, candidates: Sequence[Candidate], measured: ImportedTrace | None = None
) -> ChunkResult:
    """Return the margins of some candidates, as `evaluate_chunk`; who is refused is in `refused`.

    The values of a part may lie where no physical motor can be, or beyond what an equation takes. A chunk
    that is refused is halved until whoever causes it is alone.
    """
    try:
        return evaluate_chunk(application, candidates, measured)
    except AmpturnError as error:
        if len(candidates) == 1:
            return _refused(str(error))
    half = len(candidates) // 2
    parts = (candidates[:half], candidates[half:])
    return joined([evaluate_each(application, part, measured) for part in parts])


def joined(parts: Sequence[ChunkResult]) -> ChunkResult:
    """Return results of some candidates and those of the ones behind them as one result."""
    columns: dict[str, CriterionColumn] = {}
    for part in parts:
        for column in part.columns:
            columns.setdefault(column.code, column)
    order = list(columns)
    places = [np.array([order.index(one.code) for one in part.columns], dtype=np.int64) for part in parts]
    starts = np.cumsum([0, *(len(part) for part in parts)])[:-1].tolist()

    def matrix(name: str) -> Any:
        rows = []
        for part, place in zip(parts, places, strict=True):
            values = getattr(part, name)
            whole = np.full((len(part), len(order)), _ABSENT[name], dtype=values.dtype)
            whole[:, place] = values
            rows.append(whole)
        return np.concatenate(rows)

    def column_of(name: str) -> Any:
        found = []
        for part, place in zip(parts, places, strict=True):
            old = getattr(part, name)
            found.append(np.where(old == ABSENT, ABSENT, np.append(place, ABSENT)[old]))
        return np.concatenate(found)

    return ChunkResult(
        columns=tuple(columns.values()),
        **{name: matrix(name) for name in _ABSENT},
        governing=column_of("governing"),
        ruled_out_by=column_of("ruled_out_by"),
        whole=np.concatenate([part.whole for part in parts]),
        objectives={name: np.concatenate([part.objectives[name] for part in parts]) for name in OBJECTIVES},
        refused={
            start + row: text
            for start, part in zip(starts, parts, strict=True)
            for row, text in part.refused.items()
        },
    )


def _refused(reason: str) -> ChunkResult:
    """Return the result of one candidate that has none."""
    none = {name: np.zeros((1, 0), dtype=type(absent)) for name, absent in _ABSENT.items()}
    nobody = np.full(1, ABSENT)
    return ChunkResult(
        columns=(),
        **none,
        governing=nobody,
        ruled_out_by=nobody,
        whole=np.zeros(1, dtype=bool),
        objectives={name: np.full(1, np.nan) for name in OBJECTIVES},
        refused={0: reason},
    )
