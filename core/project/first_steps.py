"""The three questions without which nothing can be answered, and which of them a project answers."""

from __future__ import annotations

from typing import Final, Literal

from core.project.application import Application
from core.project.project import Project

Step = Literal["What moves", "What feeds it", "What drives it"]
STEPS: Final[tuple[Step, ...]] = ("What moves", "What feeds it", "What drives it")


def is_filled(project: Project, step: Step) -> bool:
    """Return whether a project says enough about a step to go on.

    Examples
    --------
    >>> [is_filled(Project(), step) for step in STEPS]
    [False, False, False]
    """
    if step == "What moves":
        return _moves(project.application)
    if step == "What feeds it":
        return project.application.supply.lowest_voltage is not None
    return any(one.chosen_winding and one.chosen_variant for one in project.candidates)


def open_steps(project: Project) -> tuple[Step, ...]:
    """Return the steps that are still to be filled, in their order."""
    return tuple(step for step in STEPS if not is_filled(project, step))


def _moves(application: Application) -> bool:
    if application.duty_from == "load":
        return application.load is not None and bool(application.load.motion)
    if application.duty_from == "trace":
        return application.trace is not None
    # a segment as it is inserted asks nothing of a motor yet
    return any(one.shaft_torque or one.speed_start or one.speed_end for one in application.duty_cycle)
