"""The candidates of a chunk that go side by side: their distinct parts, and their cycles as arrays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.evaluation.criteria_heat import heat_criteria
from core.evaluation.motor_model import MotorModel
from core.evaluation.ripple_side import ripple_criterion
from core.numeric import FloatArray, IntArray
from core.physics.conventions import Commutation
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch.by_parts import Judged, describe_parts, put_part_margins
from core.shortlist.batch.choices import Choices
from core.shortlist.batch.courses import Course, DutyRows, duty_rows
from core.shortlist.batch.electric import (
    electric_rows,
    put_drive_margins,
    put_overload_margins,
)
from core.shortlist.batch.engine import Engine
from core.shortlist.batch.feeding import put_supply_margins, returned_rows
from core.shortlist.batch.machines import MachineColumns, machine_columns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.power import PowerAtShares
from core.shortlist.batch.saturation import squares_of_saturation
from core.shortlist.chunk_result import NOT_CHECKED

MACHINE_PARTS = ("motor", "winding", "variant", "drive", "commutation", "lead_resistance", "cable", "choke")
AT_ONCE = 12_000  # parts of all candidates judged at once: arrays that the caches hold


@dataclass(frozen=True, slots=True)
class Team:
    """Candidates that go side by side, numbered from 0; `rows` are their numbers in the chunk.

    `machine` and `course` tell which of `models` and `courses` each has, `inertia` [kg m2] is that of its
    rotor with what sits on the shaft.
    """

    engine: Engine
    candidates: Sequence[Candidate]
    rows: IntArray
    choices: Choices
    models: list[MotorModel]
    columns: MachineColumns
    machine: IntArray
    courses: list[Course]
    course: IntArray
    inertia: FloatArray

    @property
    def application(self) -> Application:
        """The application of all candidates."""
        return self.engine.application


def team_of(engine: Engine, whole: Choices, rows: IntArray) -> Team:
    """Return some candidates of a chunk with their distinct machines and courses."""
    choices = whole.only(rows)
    chosen = choices.candidates
    machines = choices.by(*MACHINE_PARTS)
    known = [engine.machine(chosen[first]) for first in machines.first.tolist()]
    found = [machine for machine in known if machine is not None]
    courses = choices.by("transmission")
    distinct = [engine.course(chosen[first]) for first in courses.first.tolist()]
    inertia = np.array([one.rotor_inertia for one in chosen])
    describe_parts(choices, machines.index)
    choices.put("inertia", np.unique(inertia, return_inverse=True)[1])
    return Team(
        engine=engine,
        candidates=chosen,
        rows=rows,
        choices=choices,
        models=[model for model, _ in found],
        columns=machine_columns([numbers for _, numbers in found]),
        machine=machines.index,
        courses=[course for course in distinct if course is not None],
        course=courses.index,
        inertia=inertia,
    )


def judge_parts(team: Team, board: MarginBoard) -> None:
    """Put the margins that the parts alone decide; those of the heat stand as not checked."""
    requirements = team.application.requirements
    for criterion in (*heat_criteria(team.application), ripple_criterion(requirements)):
        board.put(criterion, team.rows, NOT_CHECKED)
    judged = Judged(
        team.application,
        team.choices,
        team.rows,
        lambda row: team.models[team.machine[row]],
        lambda row: team.courses[team.course[row]],
        team.engine.part_margins,
    )
    put_part_margins(judged, board)


def judge_cycle(team: Team, cycles: Sequence[tuple[IntArray, DutyRows]], board: MarginBoard) -> None:
    """Put the margins of torque, current, voltage, speed and supply over the cycle.

    Candidates of one machine on one course whose rotors have the same inertia share them.
    """
    for chosen, duty in cycles:
        signature = np.column_stack((team.machine[chosen], team.course[chosen], team.inertia[chosen]))
        _, first, alike = np.unique(signature, axis=0, return_index=True, return_inverse=True)
        distinct = MarginBoard(first.size)
        most = max(AT_ONCE // duty.duration.shape[1], 1)
        for start in range(0, first.size, most):
            at = first[start : start + most]
            _judge_block(team, chosen[at], duty.only(at), np.arange(start, start + at.size), distinct)
        board.spread(distinct, duty.rows, alike.reshape(-1))


def _judge_block(team: Team, chosen: IntArray, whole: DutyRows, rows: IntArray, board: MarginBoard) -> None:
    """Put the margins of some members of the team into rows of a board."""
    duty = replace(whole, rows=rows)
    machine = team.columns.at(team.machine[chosen])
    electric = electric_rows(duty, machine)
    saturation = squares_of_saturation(duty, machine)
    put_drive_margins(team.application, duty, machine, electric, kinds_of(team, chosen), saturation, board)
    put_overload_margins(team.application, duty, machine, electric, board)
    power = PowerAtShares(duty, machine)
    hot = power.at(machine.hot_winding_temp, machine.hot_magnet_temp)
    cold = power.at(machine.cold_temp, machine.cold_temp)
    put_supply_margins(team.application, duty, machine, hot, returned_rows(duty, cold), board)


def cycles_of(team: Team) -> Iterator[tuple[IntArray, DutyRows]]:
    """Yield the candidates whose courses have equally many parts, with their duty."""
    parts = np.array([course.parts for course in team.courses])[team.course]
    for count in np.unique(parts).tolist():
        chosen = np.flatnonzero(parts == count)
        numbers, course = np.unique(team.course[chosen], return_inverse=True)
        pairs, pair = np.unique(
            np.column_stack((team.course[chosen], team.machine[chosen])), axis=0, return_inverse=True
        )
        drags = [team.engine.drag(team.models[m], team.courses[c]) for c, m in pairs.tolist()]
        yield (
            chosen,
            duty_rows(
                team.rows[chosen],
                [team.courses[number] for number in numbers.tolist()],
                course,
                drags,
                pair,
                team.inertia[chosen],
            ),
        )


def kinds_of(team: Team, chosen: IntArray) -> list[tuple[Commutation, str, IntArray]]:
    """Return the kinds of commutation and EMF of some candidates, with the rows that have them."""
    made = [(model.commutation, model.constants.emf_shape) for model in team.models]
    kinds = sorted(set(made))
    number = np.array([kinds.index(kind) for kind in made])[team.machine[chosen]]
    rows = [(kind, np.flatnonzero(number == k)) for k, kind in enumerate(kinds)]
    return [(commutation, shape, found) for (commutation, shape), found in rows if found.size]
