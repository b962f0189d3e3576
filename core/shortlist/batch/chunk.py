"""A chunk of candidates from their parts to all margins and objectives."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from core.evaluation.remembered import remembered
from core.numeric import BoolArray, FloatArray, IntArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch.by_parts import part_sizes
from core.shortlist.batch.choices import Choices
from core.shortlist.batch.engine import Engine
from core.shortlist.batch.heat import judge_heat
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.necessary import ruled_out_by
from core.shortlist.batch.one_by_one import put_one
from core.shortlist.batch.side_by_side import (
    MACHINE_PARTS,
    cycles_of,
    judge_cycle,
    judge_parts,
    team_of,
)
from core.shortlist.chunk_result import ABSENT, OBJECTIVES, ChunkResult

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

MOST_PARTS = 500  # of a course; beyond it the single evaluation cuts less finely


def evaluate_chunk(
    application: Application, candidates: Sequence[Candidate], measured: ImportedTrace | None = None
) -> ChunkResult:
    """Return all margins of some candidates: status and numbers are those of `evaluate_candidate`.

    Pure: the same application and candidates give the same result. What distinct parts mean is kept from
    one chunk of an application to the next. `measured` is the trace to which the application refers.

    One by one, through `evaluate_candidate` itself, go candidates of a measured trace, without a duty or
    with one of more than 500 parts. Heat that is not computed side by side goes through the steps of the
    single evaluation, once for all that share it (`singly`).
    """
    engine, count = _engine(application), len(candidates)
    if count == 0:
        return _result(MarginBoard(0), {name: np.zeros(0) for name in OBJECTIVES}, np.zeros(0, dtype=bool))
    board = MarginBoard(count)
    objectives: dict[str, FloatArray] = {name: np.full(count, np.nan) for name in OBJECTIVES}
    whole: BoolArray = np.ones(count, dtype=bool)
    choices = Choices(candidates)
    objectives.update(part_sizes(application, choices))
    together, alone = _sorted(engine, choices)
    if together.size:
        team = team_of(engine, choices, together)
        cycles = list(cycles_of(team))
        judge_parts(team, board)
        judge_cycle(team, cycles, board)
        whole[together] = (ruled_out_by(board) == ABSENT)[together]
        for chosen, duty in cycles:
            wanted = whole[duty.rows]
            if wanted.any():
                judge_heat(team, chosen, duty, wanted, board, objectives)
    for row in alone:
        put_one(application, candidates[row], row, board, objectives, measured)
    return _result(board, objectives, whole)


@remembered(4)
def _engine(application: Application) -> Engine:
    return Engine(application)


def _sorted(engine: Engine, choices: Choices) -> tuple[IntArray, list[int]]:
    """Return the rows that go side by side and those that go one by one; none without a motor."""
    machines, courses = choices.by(*MACHINE_PARTS), choices.by("transmission")
    # without a machine there is nothing to evaluate, and no margin
    there = [engine.machine(choices.candidates[row]) is not None for row in machines.first.tolist()]
    found = [engine.course(choices.candidates[row]) for row in courses.first.tolist()]
    long = [course is None or course.parts > MOST_PARTS for course in found]
    alone, known = np.array(long)[courses.index], np.array(there)[machines.index]
    return np.flatnonzero(known & ~alone), np.flatnonzero(known & alone).tolist()


def _result(board: MarginBoard, objectives: dict[str, FloatArray], whole: BoolArray) -> ChunkResult:
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
