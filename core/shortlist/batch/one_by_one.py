"""Candidates that are not vectorised: each goes through the single evaluation, with the same numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.evaluate import evaluate_candidate
from core.numeric import FloatArray, IntArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.results import CandidateResult
from core.shortlist.batch.margin_board import MarginBoard, put_margins

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


def put_one(
    application: Application,
    candidate: Candidate,
    row: int,
    board: MarginBoard,
    objectives: dict[str, FloatArray],
    measured: ImportedTrace | None = None,
) -> None:
    """Put the margins and the objectives of one candidate that the cycle gives."""
    result = evaluate_candidate(application, candidate, row, measured)
    rows: IntArray = np.array([row])
    put_margins(board, result.margins, rows)
    for name, value in _of_the_cycle(result).items():
        objectives[name][row] = np.nan if value is None else value


def _of_the_cycle(result: CandidateResult) -> dict[str, float | None]:
    losses, supply = result.losses, result.supply
    outside = next((peak for peak in result.peaks if peak.role == "outside"), None)
    total = None
    if losses is not None:
        total = (
            losses.copper + losses.core_and_bearing + losses.windage + losses.leads_and_switches + losses.idle
        )
    return {
        "mean_losses": total,
        "mean_supply_current": None if supply is None else supply.mean_current,
        "outside_temperature": None if outside is None else outside.temp,
    }
