"""What moves: where the duty comes from, and the load it is derived from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout

from app.document import ProjectDocument
from app.inputs.application_group import LABEL_WIDTH
from app.inputs.editors import PartChoice
from app.inputs.fold_group import FoldGroup
from app.preferences import Preferences
from app.selection import Selection
from app.widgets.steady_label import SteadyLabel
from core.charts.display_axis import time_words
from core.project import edits
from core.project.application import Application
from core.project.duty_cycle import Segment
from core.project.load import DutySource
from core.project.project import Project
from core.results import Result
from core.units import DisplayUnits, Kind

if TYPE_CHECKING:
    from app.inputs.what_moves_load import LoadPanel

TITLE = "What moves"
SOURCES: dict[DutySource, str] = {
    "segments": "segments, entered",
    "load": "load and motion",
    "trace": "measured trace",
}

ASKING = "Choose a mechanism and give its figures: they replace the segments as the duty."


class WhatMoves(FoldGroup):
    """States where the duty comes from. Segments are edited in table, plane and cycle; a load here."""

    table_wanted = Signal()
    trace_wanted = Signal(bool)  # True for a trace to import, False for another look at the one there is

    def __init__(self, document: ProjectDocument, selection: Selection, preferences: Preferences) -> None:
        super().__init__(TITLE, "what_moves", preferences, open_at_first=True, fill=lambda: None)
        self._document, self._selection = document, selection
        self._read_only = False
        self._asking = False
        self._result: Result | None = None
        self._shown: tuple[Application, DisplayUnits] | None = None
        self.load: LoadPanel | None = None
        self.source = PartChoice("Where the duty comes from")
        self.source.setProperty("helps", "duty_from")
        self.source.chosen.connect(self._on_source)
        self.facts = SteadyLabel()
        self.facts.setProperty("type", "soft")
        self.to_table = self._link("Edit in the segment table")
        self.to_table.clicked.connect(self.table_wanted)
        self.follow = self._link("Follow the load again")
        self.follow.clicked.connect(self._on_follow)
        self.columns = self._link("Columns, units and place of the trace…")
        self.columns.clicked.connect(lambda: self.trace_wanted.emit(False))
        self.another = self._link("Import another trace…")
        self.another.clicked.connect(lambda: self.trace_wanted.emit(True))
        label = QLabel("Duty from")
        label.setProperty("type", "soft")
        label.setBuddy(self.source)
        grid = QGridLayout()
        grid.setHorizontalSpacing(6)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        grid.setColumnStretch(1, 1)
        grid.addWidget(label, 0, 0)
        grid.addWidget(self.source, 0, 1)
        self._column = QVBoxLayout(self.body)
        self._column.setContentsMargins(0, 0, 0, 6)
        self._column.setSpacing(3)
        self._column.addLayout(grid)
        for part in (self.facts, self.to_table, self.columns, self.another, self.follow):
            self._column.addWidget(part)
        document.replaced.connect(self._stop_asking)

    def _link(self, words: str) -> QPushButton:
        button = QPushButton(words)
        button.setFlat(True)
        button.setProperty("link", True)
        return button

    def show_project(self, project: Project) -> None:
        """State the duty of a project and show its load."""
        for words in (self.facts, self.summary):
            words.hold(self._document.in_gesture)
        application, units = project.application, self._preferences.display_units
        if self._shown is not None and self._shown[0] is application and self._shown[1] is units:
            return
        self._shown = (application, units)
        self._asking = self._asking and application.load is None
        self._show_source(application)
        traced = application.duty_from == "trace"
        if self._asking or (application.load is not None and not traced):
            panel = self._load_panel()
            panel.show_project(project)
            panel.show()
        elif self.load is not None:
            self.load.hide()
        self.facts.setText(ASKING if self._asking else statement(application, units))
        self.to_table.setVisible(application.duty_from == "segments" and not self._asking)
        self.columns.setVisible(traced)
        self.another.setVisible(traced)
        self.follow.setVisible(application.duty_from != "load" and application.load is not None)
        self.sum_up(self._summary(application, units))

    def show_result(self, result: Result) -> None:
        """Draw what depends on the result."""
        self._result = result
        if self.load is not None and result.project.application.load is not None:
            self.load.show_result(result)

    def show_units(self) -> None:
        """Show everything in the display units of the moment."""
        if self.load is not None:
            self.load.show_units()
        self.forget()
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None
        if self.load is not None:
            self.load.forget()

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        self.source.setEnabled(not read_only)
        for link in (self.follow, self.columns, self.another):
            link.setEnabled(not read_only)
        if self.load is not None:
            self.load.set_read_only(read_only)

    def _show_source(self, application: Application) -> None:
        source: DutySource = "load" if self._asking else application.duty_from
        self.source.offer(tuple(SOURCES.values()), tuple(SOURCES), list(SOURCES).index(source))

    def _load_panel(self) -> LoadPanel:
        if self.load is None:
            from app.inputs.what_moves_load import LoadPanel  # only where there is a load: start-up time

            self.load = LoadPanel(self._document, self._selection, self._preferences)
            self.load.set_read_only(self._read_only)
            self.load.left.connect(self._stop_asking)
            self._column.addWidget(self.load)
            if self._result is not None:
                self.load.show_result(self._result)
        return self.load

    def _summary(self, application: Application, units: DisplayUnits) -> str:
        load = application.load
        if load is None or application.duty_from != "load":
            return statement(application, units)
        from app.inputs.what_moves_motion import motion_summary
        from app.inputs.what_moves_rows import mechanism_summary
        from core.load_draft import form_of

        parts = (mechanism_summary(load, units), motion_summary(load, self._preferences))
        return f"{form_of(load.mechanism).words}, {parts[0]}; {parts[1]}"

    def _on_source(self, source: DutySource) -> None:
        project = self._document.project
        application = project.application
        self._asking = source == "load" and application.load is None
        if self._asking or source == application.duty_from:
            self.forget()
            self.show_project(project)
        elif source == "load":
            self._document.edit(edits.follow_load(project), "Follow the load")
        elif source == "trace" and application.trace is None:
            self.forget()
            self.show_project(project)  # nothing is chosen before there is a trace
            self.trace_wanted.emit(True)
        elif source == "trace":
            self._document.edit(edits.follow_trace(project), "Take the measured trace")
        else:
            self._document.edit(self._with_segments(project), "Take the duty out of the load")

    def _with_segments(self, project: Project) -> Project:
        """Return the project with its own segments in use, or those of its duty where it has none."""
        if project.application.duty_cycle or self._result is None or self._result.load is None:
            return edits.change_application(project, duty_from="segments")
        from core.evaluation.detached import detached

        return detached(project, self._result.duty)

    def _on_follow(self) -> None:
        self._document.edit(edits.follow_load(self._document.project), "Follow the load again")

    def _stop_asking(self) -> None:
        self._asking = False
        self.forget()
        self.show_project(self._document.project)


def statement(application: Application, units: DisplayUnits) -> str:
    """Return where the duty comes from, in words.

    Examples
    --------
    >>> statement(Application(), DisplayUnits())
    'No segments yet: the motor has nothing to do.'
    """
    if application.duty_from == "trace" and application.trace is not None:
        return f"{application.trace.file}, measured at the {application.trace.at}."
    if application.duty_from == "trace":
        return "No trace yet: import one."
    if application.duty_from == "load":
        return "The duty is derived from load, motion and each candidate's transmission."
    words = facts(application.duty_cycle, units)
    return words if application.load is None else f"Taken out of the load: {words[:1].lower()}{words[1:]}."


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
