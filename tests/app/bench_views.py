"""The drawing views on a small project of their own, wired as the window wires them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from msgspec.structs import replace
from PySide6.QtWidgets import QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.recompute import Recompute
from app.selection import Selection
from core.evaluate import evaluate
from core.project.duty_cycle import Segment
from core.project.edits import change_application
from core.project.project import Project
from core.project.project_file import read_project

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"

# Round numbers: 0.1 + 0.2 + 0.1 + 0.1 s, up to 200 rad/s.
CYCLE = (
    Segment(name="accelerate", duration=0.1, shaft_torque=0.04, speed_start=0.0, speed_end=200.0),
    Segment(name="run", duration=0.2, shaft_torque=0.02, speed_start=200.0, speed_end=200.0),
    Segment(name="brake", duration=0.1, shaft_torque=-0.03, speed_start=200.0, speed_end=0.0),
    Segment(name="dwell", duration=0.1, shaft_torque=0.01, speed_start=0.0, speed_end=0.0),
)


def project_of(cycle: tuple[Segment, ...] = CYCLE) -> Project:
    """Return the sample carousel with another duty cycle."""
    return change_application(read_project(SAMPLES / "sample_carousel.json"), duty_cycle=cycle)


class Desk:
    """Document, selection, preferences and recompute around one view."""

    def __init__(self, project: Project) -> None:
        self.document = ProjectDocument(project)
        self.selection = Selection()
        self.preferences = Preferences()
        self.preferences.theme = "light"
        self.recompute = Recompute(self.document, evaluate)

    def wire(self, view: QWidget) -> None:
        """Let the view draw every result, beginning with one of now."""
        self.recompute.result_ready.connect(view.show_result)  # type: ignore[attr-defined]
        self.recompute.run_now()

    @property
    def cycle(self) -> tuple[Segment, ...]:
        """The duty cycle of the document."""
        return self.document.project.application.duty_cycle

    @property
    def rotor_inertia(self) -> float:
        """Rotor inertia of the chosen candidate. [kg m2]"""
        candidate = self.document.project.chosen_candidate
        assert candidate is not None
        variant = candidate.chosen_variant
        assert variant is not None
        return variant.rotor_inertia


def backwards(cycle: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Return the same cycle turning the other way."""
    return tuple(
        replace(
            s, shaft_torque=-s.shaft_torque, speed_start=-s.speed_start + 0.0, speed_end=-s.speed_end + 0.0
        )
        for s in cycle
    )


def same(one: np.ndarray, other: np.ndarray) -> bool:
    """Return whether two rows are equal, gaps included."""
    return bool(np.array_equal(one, other, equal_nan=True))
