"""A chunk of candidates from their parts to all margins and objectives."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.evaluation.fitted_size import FittedSize, fitted_size
from core.numeric import FloatArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.necessary import ruled_out_by
from core.shortlist.batch.one_by_one import put_one
from core.shortlist.chunk_result import OBJECTIVES, ChunkResult


def evaluate_chunk(application: Application, candidates: Sequence[Candidate]) -> ChunkResult:
    """Return all margins of some candidates: status and numbers are those of `evaluate_candidate`.

    Pure: the same application and candidates give the same result.
    """
    board = MarginBoard(len(candidates))
    objectives: dict[str, FloatArray] = {name: np.full(len(candidates), np.nan) for name in OBJECTIVES}
    for row, candidate in enumerate(candidates):
        put_one(application, candidate, row, board, objectives)
    _put_sizes(application, candidates, objectives)
    return _result(board, objectives, np.ones(len(candidates), dtype=bool))


def _put_sizes(
    application: Application, candidates: Sequence[Candidate], objectives: dict[str, FloatArray]
) -> None:
    known: dict[tuple[object, ...], FittedSize] = {}
    for row, candidate in enumerate(candidates):
        parts = (candidate.motor, candidate.feedback, candidate.brake, candidate.drive)
        key = (candidate.variant, *(id(part) for part in parts))
        if key not in known:
            known[key] = fitted_size(candidate, application.site)
        size = known[key]
        for name in ("mass", "length", "volume", "rotor_inertia"):
            value = getattr(size, name)
            objectives[name][row] = np.nan if value is None else value


def _result(board: MarginBoard, objectives: dict[str, FloatArray], whole: np.ndarray) -> ChunkResult:
    objectives["smallest_margin"] = board.smallest_margin()
    return ChunkResult(
        columns=board.columns(),
        status=board.matrix("status").astype(np.int64),
        demand=board.matrix("demand"),
        limit=board.matrix("limit"),
        margin=board.matrix("margin"),
        target=board.matrix("target"),
        required=board.matrix("required").astype(bool),
        governing=board.governing(),
        ruled_out_by=ruled_out_by(board),
        whole=whole,
        objectives=objectives,
    )
