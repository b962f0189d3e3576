"""What moves: what the duty cycle amounts to, and the way to its table."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout

from app.document import ProjectDocument
from app.inputs.fold_group import FoldGroup
from app.preferences import Preferences
from core.charts.display_axis import time_words
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.units import DisplayUnits, Kind

TITLE = "What moves"


class WhatMoves(FoldGroup):
    """States the cycle; it is edited in the table, the plane and the cycle view."""

    table_wanted = Signal()

    def __init__(self, document: ProjectDocument, preferences: Preferences) -> None:
        super().__init__(TITLE, "what_moves", preferences, open_at_first=True, fill=lambda: None)
        self._document = document
        self._shown: tuple[tuple[Segment, ...], DisplayUnits] | None = None
        self.facts = QLabel()
        self.facts.setProperty("type", "soft")
        self.facts.setWordWrap(True)
        self.to_table = QPushButton("Edit in the segment table")
        self.to_table.setFlat(True)
        self.to_table.setProperty("link", True)
        self.to_table.clicked.connect(self.table_wanted)
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 6)
        column.setSpacing(3)
        column.addWidget(self.facts)
        column.addWidget(self.to_table)

    def show_project(self, project: Project) -> None:
        """State the cycle of a project."""
        shown = (project.application.duty_cycle, self._preferences.display_units)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] is shown[1]:
            return
        self._shown = shown
        self.facts.setText(facts(*shown))
        self.sum_up(self.facts.text())

    def show_units(self) -> None:
        """State the cycle in the display units of the moment."""
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None

    def set_read_only(self, _read_only: bool) -> None:
        """Nothing is edited here."""


def facts(segments: tuple[Segment, ...], units: DisplayUnits) -> str:
    """Return the cycle in words.

    Examples
    --------
    >>> facts((), DisplayUnits())
    'No segments yet: the motor has nothing to do.'
    """
    if not segments:
        return "No segments yet: the motor has nothing to do."
    count = "1 segment" if len(segments) == 1 else f"{len(segments)} segments"
    time = time_words(sum(segment.duration for segment in segments), units)
    torque = units.format_quantity(max((s.shaft_torque for s in segments), key=abs), Kind.TORQUE)
    fastest = max((speed for s in segments for speed in (s.speed_start, s.speed_end)), key=abs)
    speed = units.format_quantity(fastest, Kind.SPEED, 4)
    return f"{count} in {time}, shaft torque to {torque}, speed to {speed}"
