"""Changes of what a sheet says beside the calculation, as functions: project in, new project out."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from core.errors import InputRangeError
from core.project.edits import change_application, change_candidate
from core.project.paperwork import HandOver, Paperwork, Pin
from core.project.project import Project


def paperwork_of(project: Project) -> Paperwork:
    """Return the paperwork of a project, an empty one where there is none."""
    return project.application.paperwork or Paperwork()


def hand_over_of(project: Project, index: int) -> HandOver:
    """Return what the supplier of a candidate is told, an empty one where there is none."""
    return project.candidates[index].hand_over or HandOver()


def change_paperwork(project: Project, **fields: Any) -> Project:
    """Return the project with fields of its paperwork replaced; emptied paperwork is none."""
    paperwork = replace(paperwork_of(project), **fields)
    return change_application(project, paperwork=None if paperwork == Paperwork() else paperwork)


def change_hand_over(project: Project, index: int, /, **fields: Any) -> Project:
    """Return the project with fields of a candidate's hand-over list replaced; an emptied one is none."""
    hand_over = replace(hand_over_of(project, index), **fields)
    return change_candidate(project, index, hand_over=None if hand_over == HandOver() else hand_over)


def add_pin(project: Project, index: int, pin: Pin) -> Project:
    """Return the project with one more contact in the connector of a candidate."""
    return change_hand_over(project, index, pins=(*hand_over_of(project, index).pins, pin))


def change_pin(project: Project, index: int, place: int, **fields: Any) -> Project:
    """Return the project with fields of one contact replaced; `place` counts from 0."""
    pins = list(hand_over_of(project, index).pins)
    _require_pin(place, len(pins))
    pins[place] = replace(pins[place], **fields)
    return change_hand_over(project, index, pins=tuple(pins))


def remove_pin(project: Project, index: int, place: int) -> Project:
    """Return the project without one contact; `place` counts from 0."""
    pins = hand_over_of(project, index).pins
    _require_pin(place, len(pins))
    return change_hand_over(project, index, pins=(*pins[:place], *pins[place + 1 :]))


def _require_pin(place: int, count: int) -> None:
    if not 0 <= place < count:
        raise InputRangeError("contact", place, "", f"one of the {count}, counted from 0")
