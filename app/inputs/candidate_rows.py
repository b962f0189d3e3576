"""What is chosen of a candidate, and what the candidates differ in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.inputs.rows import ChoiceRow
from core.project.candidate import Candidate
from core.project.project import Project

COMMUTATION = ChoiceRow(
    ("commutation",), "Commutation", (("sinusoidal", "sinusoidal"), ("six-step", "six-step"))
)
# What sums up a candidate, in the order in which a difference matters.
_TELLING: tuple[tuple[str, Callable[[Candidate], Any]], ...] = (
    ("frame", lambda candidate: candidate.motor.name if candidate.motor else "no frame"),
    ("winding", lambda candidate: candidate.winding or "no winding"),
    ("variant", lambda candidate: candidate.variant or "no variant"),
    ("commutation", lambda candidate: candidate.commutation),
    ("electronics", lambda candidate: candidate.drive.name),
)
_FITTED: tuple[tuple[str, Callable[[Candidate], Any]], ...] = (
    ("leads", lambda candidate: (candidate.lead_resistance, candidate.cable, candidate.choke)),
    ("feedback", lambda candidate: candidate.feedback),
    ("brake", lambda candidate: candidate.brake),
    ("transmission", lambda candidate: candidate.transmission),
    ("force on the shaft", lambda candidate: candidate.shaft_force),
)
_LIMITS = "limits of the electronics"


def differences(project: Project) -> tuple[str, ...]:
    """Return in what the candidates differ, in words."""
    found = []
    for word, read in _TELLING:
        if len({read(candidate) for candidate in project.candidates}) > 1:
            found.append(word)
    if "electronics" not in found and any(
        candidate.drive != project.candidates[0].drive for candidate in project.candidates
    ):
        found.append(_LIMITS)
    for word, part in _FITTED:
        if any(part(candidate) != part(project.candidates[0]) for candidate in project.candidates):
            found.append(word)
    return tuple(found)


def summary(project: Project, letters: tuple[str, ...]) -> str:
    """Return what is shared and what differs, as `47 mm frame, 24 V; A open rotor; B enclosed`."""
    if not project.candidates:
        return "no candidate yet"
    differing = set(differences(project))
    shared = [str(read(project.candidates[0])) for word, read in _TELLING[:4] if word not in differing]
    own = [
        f"{letter} {', '.join(parts)}"
        for letter, candidate in zip(letters, project.candidates, strict=True)
        if (parts := [str(read(candidate)) for word, read in _TELLING[:4] if word in differing])
    ]
    words = ("electronics", _LIMITS, *(word for word, _ in _FITTED))
    rest = [f"differ in {word}" for word in words if word in differing]
    return "; ".join([", ".join(shared), *own, *rest]).strip("; ")
