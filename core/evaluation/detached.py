"""A derived duty as the hand edits it: taken out of the load at the first touch."""

from __future__ import annotations

from collections.abc import Callable

from core.evaluation.duty import as_segments
from core.project import edits
from core.project.project import Project
from core.results import DutyTrace, Result

TAKEN_OUT = "taken out of the load"


def detached(project: Project, duty: DutyTrace) -> Project:
    """Return the project with segments to edit: as it is where it has them, else those of its duty."""
    if project.application.duty_from == "segments":
        return project
    return edits.detach_duty(project, as_segments(duty))


def detaching(result: Result) -> Callable[[Project], Project]:
    """Return `detached` for the duty of a result; the last answer is kept for the moves of one drag."""
    known: list[tuple[Project, Project]] = []

    def taken_out(project: Project) -> Project:
        if not known or known[0][0] is not project:
            known[:] = [(project, detached(project, result.duty))]
        return known[0][1]

    return taken_out


def can_be_edited(result: Result, project: Project) -> bool:
    """Return whether the duty of a result can be dragged: it fits the project, and is not a trace."""
    now, drawn = project.application, result.project.application
    if now.duty_from != drawn.duty_from or now.duty_from == "trace":
        return False
    segments = len(result.duty.edges) - 1
    return segments == len(now.duty_cycle) if now.duty_from == "segments" else segments > 0


def is_taken_out(project: Project) -> bool:
    """Return whether the segments were taken out of a load that is still there."""
    return project.application.duty_from == "segments" and project.application.load is not None
