"""Margins that some of the parts decide: each distinct choice of them is judged once, by the same functions.

What temperatures and currents decide stands as "not checked" after this, until the cycle is known.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from core.evaluation.criteria_brake import brake_margins
from core.evaluation.criteria_electronics import electronics_margins
from core.evaluation.criteria_feedback import feedback_margins
from core.evaluation.criteria_gear import gear_margins
from core.evaluation.criteria_place import place_margins
from core.evaluation.criteria_shaft import shaft_margins
from core.evaluation.fits import fit_margins, fitted_parts
from core.evaluation.fitted_size import fitted_size
from core.evaluation.held_load import HeldLoad, held_load
from core.evaluation.motor_model import MotorModel
from core.evaluation.smooth_running import smooth_running
from core.numeric import BoolArray, FloatArray, IntArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.feedback import Sensorless
from core.results import Margin
from core.shortlist.batch.choices import Choices
from core.shortlist.batch.courses import Course
from core.shortlist.batch.margin_board import MarginBoard, put_margins
from core.shortlist.batch.memory import Memory


@dataclass(frozen=True, slots=True)
class Judged:
    """What the parts are judged with: motor and course of each candidate, numbers in the chunk."""

    application: Application
    choices: Choices
    rows: IntArray
    model: Callable[[int], MotorModel]
    course: Callable[[int], Course]
    known: Memory[Sequence[Margin]]

    def motor(self, row: int) -> MotorModel:
        """Return the motor of a candidate with the inertia of what sits on its shaft."""
        return replace(self.model(row), added_inertia=self.choices.candidates[row].added_inertia)

    def part(self, row: int, name: str) -> object:
        """Return what stands under a name of the choices for a candidate, the same in every chunk."""
        candidate = self.choices.candidates[row]
        if name in _FOLLOWS:
            return _FOLLOWS[name][1](candidate)
        if name == "emf":
            return self.model(row) if isinstance(candidate.feedback, Sensorless) else None
        return getattr(candidate, "rotor_inertia" if name == "inertia" else name)


def _fitted(candidate: Candidate) -> object:
    return tuple(kind for kind, _ in fitted_parts(candidate))


# What the margins here depend on of some parts, by its name: the parts, and what it is of a candidate.
_FOLLOWS: Final[dict[str, tuple[tuple[str, ...], Callable[[Candidate], object]]]] = {
    "poles": (("motor",), lambda one: one.motor and one.motor.pole_pairs),
    "kinds": (("drive",), lambda one: one.drive.feedback_kinds),
    "built in": (("drive",), lambda one: one.drive if one.drive.built_in else None),
    "fitted": (("feedback", "brake", "transmission", "drive"), _fitted),
}


def describe_parts(choices: Choices, machine: IntArray) -> None:
    """Add to the choices what the margins here depend on of each part and of each machine."""
    for name, (parts, of) in _FOLLOWS.items():
        choices.add(name, parts, of)
    # the EMF of a machine tells what a sensorless drive can do, and nothing of the others
    choices.put("emf", np.where(_is_blind(choices), machine + 1, 0))


def _is_blind(choices: Choices) -> BoolArray:
    distinct = choices.by("feedback")
    blind = [isinstance(choices.candidates[row].feedback, Sensorless) for row in distinct.first.tolist()]
    return np.array(blind, dtype=bool)[distinct.index]


def put_part_margins(judged: Judged, board: MarginBoard) -> None:
    """Put the margins of electronics, feedback, slow running, gear, brake, shaft, place and fits."""
    application, choices = judged.application, judged.choices
    requirements, targets = application.requirements, application.requirements.targets

    def candidate(row: int) -> Candidate:
        return choices.candidates[row]

    def held(row: int) -> HeldLoad | None:
        return held_load(application, candidate(row).transmission, judged.course(row).duty)

    def put(parts: Sequence[str], margins: Callable[[int], Sequence[Margin]]) -> None:
        distinct = choices.by(*parts)
        for first, rows in zip(distinct.first.tolist(), distinct.rows(), strict=True):
            key = (tuple(parts), *(judged.part(first, name) for name in parts))
            found = judged.known.get(key, lambda row=first: margins(row))  # type: ignore[misc]
            put_margins(board, found, judged.rows[rows])

    put(("drive", "commutation"),
        lambda row: electronics_margins(application, judged.model(row), None, None, ()))  # fmt: skip
    put(("feedback", "transmission", "kinds", "poles", "emf"),
        lambda row: feedback_margins(requirements, application.supply, candidate(row), judged.model(row),
                                     judged.course(row).top_speed, None))  # fmt: skip
    if requirements.motion.lowest_speed is not None and requirements.motion.speed_ripple is not None:
        put(("motor", "transmission", "inertia"), lambda row: _smooth(judged, row))
    put(("transmission",), lambda row: gear_margins(application, candidate(row).transmission))
    of_brake = ("brake", "transmission", "inertia") if application.duty_from == "load" else ("brake",)
    put(of_brake, lambda row: brake_margins(requirements, candidate(row).brake, judged.motor(row),
                                            held(row), None))  # fmt: skip
    put(("shaft_force", "motor", "transmission"),
        lambda row: shaft_margins(targets, candidate(row).shaft_force, judged.model(row),
                                  judged.course(row).duty))  # fmt: skip
    put(("motor", "variant", "feedback", "brake", "built in"),
        lambda row: place_margins(application, candidate(row), judged.model(row)))  # fmt: skip
    put(("motor", "variant", "fitted"),
        lambda row: fit_margins(candidate(row)))  # fmt: skip


def _smooth(judged: Judged, row: int) -> tuple[Margin, ...]:
    candidate = judged.choices.candidates[row]
    found = smooth_running(judged.application, candidate.transmission, judged.motor(row)).margin
    return () if found is None else (found,)


def part_sizes(application: Application, choices: Choices) -> dict[str, FloatArray]:
    """Return mass, length, volume and inertia of each candidate with its fittings, NaN where not known."""
    distinct = choices.by("motor", "variant", "feedback", "brake", "drive")
    sizes = [fitted_size(choices.candidates[row], application.site) for row in distinct.first.tolist()]
    names = ("mass", "length", "volume", "rotor_inertia")
    table = [np.array([getattr(size, name) for size in sizes], dtype=np.float64) for name in names]
    return {name: column[distinct.index] for name, column in zip(names, table, strict=True)}
