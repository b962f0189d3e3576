"""Every change of a project as a function: project in, new project out. Nothing here knows Qt.

A drag, a typed number, a nudge and a pasted table all go through these, so they obey the same rules.
A refused value raises `InputRangeError` or `ProjectFileError`, and the project stays as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec.structs import replace

from core.errors import InputRangeError, ProjectFileError
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.load import Load, TraceSource
from core.project.motion import MotionStep, MoveStep, RampStep
from core.project.project import Project
from core.project.saved import Saved

Place = tuple[str, ...]  # names of fields from the outside in, as ("site", "ambient")

SHORTEST_SEGMENT = 1e-4  # [s] a dragged edge stops here; a typed duration may be shorter
SAME_SPEED = 1e-9  # [rad/s] ends closer than this are one shared speed


def change_application(project: Project, **fields: Any) -> Project:
    """Return the project with fields of the application replaced."""
    return replace(project, application=replace(project.application, **fields))


def change_application_part(project: Project, place: Place, value: object) -> Project:
    """Return the project with one value of the application replaced, wherever it lies."""
    return replace(project, application=_with_part(project.application, place, value))


def change_candidate_part(project: Project, index: int, place: Place, value: object) -> Project:
    """Return the project with one value of a candidate replaced, wherever it lies."""
    part = _with_part(project.candidates[index], place, value)
    return change_candidate(project, index, **{place[0]: getattr(part, place[0])})


def part_at(whole: Saved, place: Place) -> Any:
    """Return the value at a place of the application or of a candidate."""
    part: Any = whole
    for name in place:
        part = getattr(part, name)
    return part


def change_segment(project: Project, index: int, /, **fields: Any) -> Project:
    """Return the project with fields of one segment replaced; a shared speed stays shared."""
    segments = list(project.application.duty_cycle)
    old = segments[index]
    segments[index] = replace(old, **fields)
    if "speed_start" in fields and index > 0 and _same(segments[index - 1].speed_end, old.speed_start):
        segments[index - 1] = replace(segments[index - 1], speed_end=fields["speed_start"])
    if (
        "speed_end" in fields
        and index + 1 < len(segments)
        and _same(segments[index + 1].speed_start, old.speed_end)
    ):
        segments[index + 1] = replace(segments[index + 1], speed_start=fields["speed_end"])
    return change_application(project, duty_cycle=tuple(segments))


def move_load_point(
    project: Project, index: int, torque: float, speed: float, rotor_inertia: float
) -> Project:
    """Return the project with the load point of a segment at a place of the speed-torque plane.

    Parameters
    ----------
    index : int
        Segment, from 0.
    torque : float
        Wanted torque of the plane, `T_shaft + J alpha`; the shaft torque follows from it. [N m]
    speed : float
        Wanted speed of the segment's faster end, shared with the neighbour. A segment of constant
        speed moves as a whole. [rad/s]
    rotor_inertia : float
        Of the candidate whose points are shown. [kg m2]
    """
    segment = project.application.duty_cycle[index]
    if _same(segment.speed_start, segment.speed_end):
        moved = change_segment(project, index, speed_start=speed, speed_end=speed)
    elif point_at_start(segment):
        moved = change_segment(project, index, speed_start=speed)
    else:
        moved = change_segment(project, index, speed_end=speed)
    new = moved.application.duty_cycle[index]
    acceleration = (new.speed_end - new.speed_start) / new.duration
    return change_segment(moved, index, shaft_torque=torque - rotor_inertia * acceleration)


def point_at_start(segment: Segment) -> bool:
    """Return whether a segment's load point sits at its start: the end with the larger speed."""
    return abs(segment.speed_start) > abs(segment.speed_end)


def point_speed(segment: Segment) -> float:
    """Return the speed at which a segment's load point sits, with its sign. [rad/s]"""
    return segment.speed_start if point_at_start(segment) else segment.speed_end


def move_edge(project: Project, index: int, time: float) -> Project:
    """Return the project with the edge between segment `index` and the next one at a time of the cycle.

    The two neighbours share the change, so the cycle time stays; the last edge changes the cycle time.
    """
    segments = list(project.application.duty_cycle)
    start = sum(segment.duration for segment in segments[:index])
    first = max(time - start, SHORTEST_SEGMENT)
    if index + 1 < len(segments):
        both = segments[index].duration + segments[index + 1].duration
        first = min(first, both - SHORTEST_SEGMENT)
        segments[index + 1] = replace(segments[index + 1], duration=both - first)
    segments[index] = replace(segments[index], duration=first)
    return change_application(project, duty_cycle=tuple(segments))


def insert_segments(project: Project, index: int, segments: Sequence[Segment]) -> Project:
    """Return the project with segments inserted before position `index`."""
    old = project.application.duty_cycle
    return change_application(project, duty_cycle=(*old[:index], *segments, *old[index:]))


def new_segment(project: Project, index: int) -> Segment:
    """Return the segment that an insertion before `index` starts with: one second at the speed there."""
    old = project.application.duty_cycle
    speed = old[index - 1].speed_end if 0 < index <= len(old) else (old[0].speed_start if old else 0.0)
    return Segment(duration=1.0, shaft_torque=0.0, speed_start=speed, speed_end=speed)


def remove_segments(project: Project, indices: Sequence[int]) -> Project:
    """Return the project without the segments of these indices."""
    gone = set(indices)
    kept = tuple(s for i, s in enumerate(project.application.duty_cycle) if i not in gone)
    return change_application(project, duty_cycle=kept)


def duplicate_segments(project: Project, indices: Sequence[int]) -> Project:
    """Return the project with copies of these segments behind the last of them."""
    chosen = [project.application.duty_cycle[i] for i in sorted(indices)]
    return insert_segments(project, max(indices) + 1, chosen) if chosen else project


def replace_segments(project: Project, index: int, segments: Sequence[Segment]) -> Project:
    """Return the project with segments written over those from `index` on; a paste may extend the cycle."""
    old = project.application.duty_cycle
    return change_application(project, duty_cycle=(*old[:index], *segments, *old[index + len(segments) :]))


def change_candidate(project: Project, index: int, /, **fields: Any) -> Project:
    """Return the project with fields of one candidate replaced; the chosen one stays chosen when renamed."""
    candidates = list(project.candidates)
    old = candidates[index]
    candidates[index] = replace(old, **fields)
    chosen = candidates[index].name if project.chosen == old.name else project.chosen
    return replace(project, candidates=tuple(candidates), chosen=chosen)


def add_candidate(project: Project, candidate: Candidate) -> Project:
    """Return the project with one more candidate, under a name that is free."""
    taken = {c.name for c in project.candidates}
    name, number = candidate.name, 2
    while name in taken:
        name, number = f"{candidate.name} {number}", number + 1
    return replace(project, candidates=(*project.candidates, replace(candidate, name=name)))


def remove_candidate(project: Project, index: int) -> Project:
    """Return the project without one candidate; the choice falls back to the first where it was chosen."""
    gone = project.candidates[index]
    kept = tuple(c for i, c in enumerate(project.candidates) if i != index)
    return replace(project, candidates=kept, chosen=None if project.chosen == gone.name else project.chosen)


def move_candidate(project: Project, index: int, to: int) -> Project:
    """Return the project with one candidate at another place; the chosen one stays chosen.

    Beyond the ends nothing moves.
    """
    candidates = list(project.candidates)
    if not 0 <= to < len(candidates) or to == index:
        return project
    chosen = project.chosen_candidate  # the first one counts as chosen where none is: it stays that
    candidates.insert(to, candidates.pop(index))
    return replace(project, candidates=tuple(candidates), chosen=chosen.name if chosen else None)


def choose_candidate(project: Project, index: int) -> Project:
    """Return the project with another candidate chosen."""
    if not 0 <= index < len(project.candidates):
        raise InputRangeError("candidate", index, "", f">= 0 and < {len(project.candidates)}")
    return replace(project, chosen=project.candidates[index].name)


def rename_application(application: Application, title: str) -> Application:
    """Return the application under another title."""
    return replace(application, title=title)


def _with_part(whole: Any, place: Place, value: object) -> Any:
    name, inner = place[0], place[1:]
    return replace(whole, **{name: _with_part(getattr(whole, name), inner, value) if inner else value})


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= SAME_SPEED


def detach_duty(project: Project, segments: Sequence[Segment]) -> Project:
    """Return the project with the duty taken out of load and motion into segments that can be edited.

    Load and motion stay in the project, so that `follow_load` leads back.
    """
    return change_application(project, duty_from="segments", duty_cycle=tuple(segments))


def follow_load(project: Project) -> Project:
    """Return the project with its duty derived from load and motion again; the segments are kept."""
    if project.application.load is None:
        raise ProjectFileError("load", "there is no load to derive the duty from")
    return change_application(project, duty_from="load")


def follow_segments(project: Project) -> Project:
    """Return the project with its duty as entered in segments; load and trace are kept."""
    return change_application(project, duty_from="segments")


def take_trace(project: Project, source: TraceSource) -> Project:
    """Return the project with a measured trace as its duty; segments and load are kept."""
    return change_application(project, trace=source, duty_from="trace")


def follow_trace(project: Project) -> Project:
    """Return the project with the measured trace it has as its duty again."""
    if project.application.trace is None:
        raise ProjectFileError("trace", "there is no trace to take the duty from; import one first")
    return change_application(project, duty_from="trace")


def change_load(project: Project, **fields: Any) -> Project:
    """Return the project with fields of the load replaced, such as `mechanism` or `motion`."""
    load = project.application.load
    if load is None:
        raise ProjectFileError("load", "there is no load yet; choose a mechanism first")
    return change_application(project, load=replace(load, **fields))


def take_load(project: Project, load: Load) -> Project:
    """Return the project with another load, from which the duty is derived from now on."""
    return change_application(project, load=load, duty_from="load")


def insert_steps(project: Project, index: int, steps: Sequence[MotionStep]) -> Project:
    """Return the project with steps of the motion inserted before step `index`."""
    motion = _motion(project)
    return change_load(project, motion=(*motion[:index], *steps, *motion[index:]))


def remove_step(project: Project, index: int) -> Project:
    """Return the project without one step of the motion."""
    return change_load(project, motion=tuple(s for i, s in enumerate(_motion(project)) if i != index))


def change_step(project: Project, index: int, step: MotionStep) -> Project:
    """Return the project with one step of the motion replaced."""
    motion = _motion(project)
    return change_load(project, motion=(*motion[:index], step, *motion[index + 1 :]))


def move_step(project: Project, index: int, to: int) -> Project:
    """Return the project with one step of the motion at another place; beyond the ends nothing moves."""
    motion = list(_motion(project))
    if not 0 <= to < len(motion):
        return project
    motion.insert(to, motion.pop(index))
    return change_load(project, motion=tuple(motion))


def add_way_back(project: Project) -> Project:
    """Return the project with the motion followed by itself in the other direction."""
    motion = _motion(project)
    return change_load(project, motion=(*motion, *(_reversed(step) for step in motion)))


def _reversed(step: MotionStep) -> MotionStep:
    if isinstance(step, MoveStep):
        return replace(step, distance=-step.distance)
    # 0 - x, so that a ramp to rest does not end at minus zero
    return replace(step, end_speed=0.0 - step.end_speed) if isinstance(step, RampStep) else step


def _motion(project: Project) -> tuple[MotionStep, ...]:
    load = project.application.load
    return () if load is None else load.motion
