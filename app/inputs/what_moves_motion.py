"""The motion of a load as a table of steps: what, how far or how fast, how long, in which profile."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, set_read_only, show_mark
from app.inputs.fold_group import FoldGroup
from app.inputs.what_moves_step import StepRow, new_hold, new_move, signature, there_and_back
from app.preferences import Preferences
from core.charts.display_axis import time_words
from core.evaluation.load_side import load_duty
from core.evaluation.no_duty import NoDuty
from core.project import edits
from core.project.load import Load
from core.project.mechanism import LINEAR
from core.project.motion import MotionStep, RampStep
from core.project.project import Project
from core.results import Result

TITLE = "Motion"


class MotionSteps(FoldGroup):
    """One row a step; rebuilt only when steps come, go or become others."""

    def __init__(self, document: ProjectDocument, preferences: Preferences) -> None:
        super().__init__(TITLE, "motion", preferences, open_at_first=True, fill=lambda: None)
        self._document = document
        self._read_only = False
        self.rows: list[StepRow] = []
        self._built: object = None
        self._steps = QWidget()
        QVBoxLayout(self._steps)
        self.mark = mark_label()
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 6)
        column.setSpacing(4)
        for part in (self._steps, self.mark, self._buttons()):
            column.addWidget(part)

    def _buttons(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self.add_move = self._button("Add move", self._on_add_move)
        self.add_hold = self._button("Add hold", self._on_add_hold)
        self.way_back = self._button("There and back", self._on_way_back)
        for button in (self.add_move, self.add_hold, self.way_back):
            row.addWidget(button)
        row.addStretch(1)
        return holder

    def _button(self, words: str, pressed: Callable[[], None]) -> QPushButton:
        button = QPushButton(words)
        button.setFlat(True)
        button.setProperty("link", True)
        button.clicked.connect(pressed)
        return button

    def show_project(self, project: Project) -> None:
        """Show the steps of a project."""
        load = project.application.load
        if load is None:
            return
        built = (isinstance(load.mechanism, LINEAR), tuple(signature(step) for step in load.motion))
        if built != self._built:
            self._built = built
            self._build(load)
        for row in self.rows:
            row.show_project(project)
        self.way_back.setToolTip(
            "adds the steps again in the other direction"
            if load.motion
            else "adds a move, its way back, holds"
        )
        self.sum_up(motion_summary(load, self._preferences))

    def show_result(self, result: Result) -> None:
        """Say why no duty follows from the motion, where none does."""
        load = result.project.application.load
        if load is None or result.load is not None:
            show_mark(self.mark, "")
            return
        duty = load_duty(load)
        show_mark(self.mark, f"needed: {duty.why}" if isinstance(duty, NoDuty) else "")

    def show_units(self) -> None:
        """Show every figure in the display units of the moment."""
        for row in self.rows:
            row.show_units()
        self.show_project(self._document.project)

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        for row in self.rows:
            set_read_only(row.inputs, read_only)
            row.set_enabled(not read_only)
        for button in (self.add_move, self.add_hold, self.way_back):
            button.setEnabled(not read_only)

    def drop_typed_text(self) -> None:
        """Let go of text that is being typed: its step may be gone."""
        for line in self._steps.findChildren(QLineEdit):
            line.setModified(False)

    def _build(self, load: Load) -> None:
        self.drop_typed_text()  # a field that is hidden would commit its text to another step
        layout = self.body.layout()
        assert isinstance(layout, QVBoxLayout)
        old, self._steps = self._steps, QWidget()
        layout.replaceWidget(old, self._steps)
        old.hide()
        old.deleteLater()
        column = QVBoxLayout(self._steps)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        linear = isinstance(load.mechanism, LINEAR)
        self.rows = [
            StepRow(index, step, linear, self._document, self._preferences)
            for index, step in enumerate(load.motion)
        ]
        for row in self.rows:
            row.asked.connect(self._on_asked)
            column.addWidget(row)
        self.set_read_only(self._read_only)

    def _steps_now(self) -> tuple[MotionStep, ...]:
        load = self._document.project.application.load
        return () if load is None else load.motion

    def _is_linear(self) -> bool:
        load = self._document.project.application.load
        return load is not None and isinstance(load.mechanism, LINEAR)

    def _on_add_move(self) -> None:
        steps = self._steps_now()
        self._insert(len(steps), new_move(steps, self._is_linear()), "Add a move")

    def _on_add_hold(self) -> None:
        steps = self._steps_now()
        self._insert(len(steps), new_hold(steps), "Add a hold")

    def _insert(self, index: int, step: MotionStep, text: str) -> None:
        self._document.edit(edits.insert_steps(self._document.project, index, [step]), text)
        if index < len(self.rows):
            self.rows[index].focus_first()

    def _on_way_back(self) -> None:
        project, steps = self._document.project, self._steps_now()
        if not steps:
            after = edits.insert_steps(project, 0, there_and_back(self._is_linear()))
        else:
            after = edits.add_way_back(project)
        self._document.edit(after, "Add the way back")

    def _on_asked(self, word: str, index: int) -> None:
        project, steps = self._document.project, self._steps_now()
        number = index + 1
        if word == "insert":
            self._insert(index, new_hold(steps), f"Insert a step before step {number}")
        elif word == "duplicate":
            self._insert(index + 1, steps[index], f"Duplicate step {number}")
        elif word == "remove":
            self._document.edit(edits.remove_step(project, index), f"Remove step {number}")
        else:
            to = index - 1 if word == "move up" else index + 1
            self._document.edit(edits.move_step(project, index, to), f"Move step {number} {word[5:]}")
            if 0 <= to < len(self.rows):
                self.rows[to].menu_button.setFocus()


def motion_summary(load: Load, preferences: Preferences) -> str:
    """Return the motion in one line."""
    if not load.motion:
        return "no steps yet"
    time = time_words(sum(step.duration for step in load.motion), preferences.display_units)
    count = "1 step" if len(load.motion) == 1 else f"{len(load.motion)} steps"
    ramps = any(isinstance(step, RampStep) for step in load.motion)
    return f"{count} in {time}" + (", with changes of speed" if ramps else "")
