"""Give a candidate another frame: its winding and variant are kept by name where the new frame has them.

Where it has not, the nearest one is taken, and the note says which; nothing is replaced silently.
"""

from __future__ import annotations

import math
import re

from core.project.candidate import Candidate
from core.project.edits import change_candidate
from core.project.motor import Motor, VariantKind
from core.project.project import Project
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class FrameChoice:
    """The project with the new frame, and what had to be replaced with it; empty where nothing had to."""

    project: Project
    note: str


def take_frame(project: Project, index: int, motor: Motor) -> FrameChoice:
    """Return the project in which a candidate has another motor frame."""
    candidate = project.candidates[index]
    winding, about_winding = _winding_in(motor, candidate)
    variant, about_variant = _variant_in(motor, candidate)
    changed = change_candidate(project, index, motor=motor, winding=winding, variant=variant)
    return FrameChoice(changed, "; ".join(note for note in (about_winding, about_variant) if note))


def new_candidate(motor: Motor | None, voltage: float | None) -> Candidate:
    """Return a candidate to begin with: the winding nearest to a voltage [V] and the first variant."""
    if motor is None:
        return Candidate(name="new candidate")
    names = [winding.name for winding in motor.windings]
    wanted = "" if voltage is None else f"{voltage:.3f}"
    winding = min(names, key=lambda name: _distance(wanted, name)) if names else None
    variant = motor.variants[0].kind if motor.variants else None
    return Candidate(name=f"{motor.name}, {variant or 'new'}", motor=motor, winding=winding, variant=variant)


def _winding_in(motor: Motor, candidate: Candidate) -> tuple[str | None, str]:
    """Return the winding to take and what to say about it."""
    names = [winding.name for winding in motor.windings]
    old = candidate.winding
    if old in names:
        return old, ""
    if not names:
        return None, f"{motor.name} has no winding" if old else ""
    if old is None:
        return None, ""
    new = min(names, key=lambda name: _distance(old, name))
    return new, f"{motor.name} has no winding {old}: {new} is taken"


def _variant_in(motor: Motor, candidate: Candidate) -> tuple[VariantKind | None, str]:
    kinds = [variant.kind for variant in motor.variants]
    old = candidate.variant
    if old is None or old in kinds:
        return old, ""
    if not kinds:
        return None, f"{motor.name} has no variant"
    return kinds[0], f"{motor.name} is not made {old}: {kinds[0]} is taken"


def _distance(one: str, other: str) -> float:
    """Return how far apart two windings are by the voltage in their names, as a ratio on a log scale.

    Examples
    --------
    >>> _distance("24 V", "48 V") == _distance("24 V", "12 V")
    True
    >>> _distance("24 V", "fast")
    inf
    """
    first, second = (re.search(r"\d+(?:\.\d+)?", name) for name in (one, other))
    if first is None or second is None or not float(first[0]) or not float(second[0]):
        return math.inf
    return abs(math.log(float(first[0]) / float(second[0])))
