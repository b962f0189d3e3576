"""One step of a motion as a row of fields, and the steps that are offered as new."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from msgspec.structs import replace
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, show_mark
from app.inputs.editors import Input, PartChoice, QuantityInput
from app.inputs.rows import Binding, QuantityRow
from app.preferences import Preferences
from core.errors import AmpturnError
from core.project import edits
from core.project.motion import DwellStep, MotionStep, MoveStep, ProfileName, RampStep, RunStep
from core.project.project import Project
from core.units import DisplayUnits, Kind

KINDS = ("move", "ramp", "run", "hold", "released")
PROFILES: tuple[ProfileName, ...] = (
    "trapezoid",
    "triangle",
    "S-curve",
    "parabola",
    "cycloid",
    "modified sine",
    "modified trapezoid",
    "3-4-5 polynomial",
    "4-5-6-7 polynomial",
    "sinusoid",
)
_ACTIONS = ("insert", "duplicate", "move up", "move down", "remove")
_ACTION_WORDS = {"insert": "Insert a step before"}
# Field, what it is the share of, and the word beside it.
_SHARES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "trapezoid": (
        ("acceleration_share", "time speeding up", "up"),
        ("deceleration_share", "time slowing down", "down"),
    ),
    "S-curve": (
        ("acceleration_share", "time speeding up", "up"),
        ("jerk_share", "that time with jerk", "jerk"),
    ),
}
_NUMBER_WIDTH, _KIND_WIDTH, _PROFILE_WIDTH = 30, 84, 100


def kind_of(step: MotionStep) -> str:
    """Return what a step is called.

    Examples
    --------
    >>> kind_of(DwellStep(duration=1.0, held=False))
    'released'
    """
    if isinstance(step, DwellStep):
        return "hold" if step.held else "released"
    return {MoveStep: "move", RampStep: "ramp", RunStep: "run"}[type(step)]


def signature(step: MotionStep) -> tuple[str, str]:
    """Return what decides which fields a step has."""
    return kind_of(step), step.profile if isinstance(step, MoveStep) else ""


def new_move(steps: tuple[MotionStep, ...], linear: bool) -> MoveStep:
    """Return a move to add: as far as the last one, back again."""
    last = next((step for step in reversed(steps) if isinstance(step, MoveStep)), None)
    if last is not None:
        return replace(last, distance=-last.distance)
    return MoveStep(distance=0.1 if linear else 0.5 * math.pi, duration=1.0)


def new_hold(steps: tuple[MotionStep, ...]) -> DwellStep:
    """Return a hold to add, as long as the last one."""
    last = next((step for step in reversed(steps) if isinstance(step, DwellStep)), None)
    return last or DwellStep(duration=1.0)


def there_and_back(linear: bool) -> tuple[MotionStep, ...]:
    """Return a move, a hold, the way back and a hold."""
    there, hold = new_move((), linear), DwellStep(duration=1.0)
    return there, hold, replace(there, distance=-there.distance), hold


def made_into(step: MotionStep, kind: str, steps: tuple[MotionStep, ...], linear: bool) -> MotionStep:
    """Return a step of another kind that lasts as long."""
    time = step.duration
    if kind == "move":
        return replace(new_move(steps, linear), duration=time)
    if kind == "ramp":
        ends_at_rest = any(isinstance(other, RampStep) and other.end_speed != 0.0 for other in steps)
        return RampStep(end_speed=0.0 if ends_at_rest else 0.5 if linear else 10.0, duration=time)
    return RunStep(duration=time) if kind == "run" else DwellStep(duration=time, held=kind == "hold")


class StepQuantity(QuantityInput):
    """A figure of a step, its unit close beside it."""

    def set_display_units(self, display: DisplayUnits) -> None:
        super().set_display_units(display)
        self.unit.setMinimumWidth(0)


class StepRow(QWidget):
    """A numbered row; its number opens what can be done with it."""

    asked = Signal(str, int)  # one of the actions, and which step

    def __init__(
        self, index: int, step: MotionStep, linear: bool, document: ProjectDocument, preferences: Preferences
    ) -> None:
        super().__init__()
        self.index, self._linear = index, linear
        self._document, self._preferences = document, preferences
        self._shown: MotionStep | None = None
        self.inputs: list[Input] = []
        self._share_labels: list[tuple[QLabel, str]] = []
        self.mark = mark_label()
        self.menu_button = self._menu()
        self.kind = PartChoice(f"Kind of step {index + 1}")
        self.kind.setFixedWidth(_KIND_WIDTH)
        self.kind.chosen.connect(self._take_kind)
        self.profile: PartChoice | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(self._first_line(step))
        if isinstance(step, MoveStep):
            column.addLayout(self._profile_line(step))
        column.addWidget(self.mark)

    def _menu(self) -> QPushButton:
        button = QPushButton(str(self.index + 1))
        button.setFlat(True)
        button.setProperty("tight", True)
        button.setFixedWidth(_NUMBER_WIDTH)
        button.setAccessibleName(f"Step {self.index + 1}: insert, duplicate, move, remove")
        menu = QMenu(button)
        for word in _ACTIONS:
            action = menu.addAction(_ACTION_WORDS.get(word, word.capitalize()))
            action.triggered.connect(lambda _checked, word=word: self.asked.emit(word, self.index))
        button.setMenu(menu)
        return button

    def _first_line(self, step: MotionStep) -> QHBoxLayout:
        line = _line(self.menu_button, self.kind)
        if isinstance(step, MoveStep):
            kind = Kind.LENGTH if self._linear else Kind.ANGLE
            line.addWidget(self._field("distance", "Distance", kind), 3)
        elif isinstance(step, RampStep):
            kind = Kind.LINEAR_SPEED if self._linear else Kind.SPEED
            line.addWidget(self._field("end_speed", "Speed at the end", kind), 3)
        else:
            line.addStretch(3)
        line.addWidget(self._field("duration", "Time", Kind.TIME), 2)
        return line

    def _profile_line(self, step: MoveStep) -> QHBoxLayout:
        self.profile = PartChoice(f"Profile of step {self.index + 1}")
        self.profile.chosen.connect(self._take_profile)
        line = _line()
        line.addSpacing(_NUMBER_WIDTH + line.spacing())
        self.profile.setMinimumWidth(_PROFILE_WIDTH)
        line.addWidget(self.profile, 3)
        shares = _SHARES.get(step.profile, ())
        for name, label, word in shares:
            optional = name == "deceleration_share"
            field = self._field(name, f"Share of {label}", Kind.RATIO, optional, "=")
            field.unit.hide()
            beside = QLabel()
            beside.setProperty("type", "small")
            self._share_labels.append((beside, word))
            line.addWidget(beside)
            line.addWidget(field, 2)
        self._show_share_units()
        return line

    def _field(
        self, name: str, label: str, kind: Kind, optional: bool = False, placeholder: str = ""
    ) -> StepQuantity:
        label = f"{label} of step {self.index + 1}"
        row = QuantityRow((name,), label, kind, optional, placeholder=placeholder)
        binding = Binding(lambda project: getattr(self._step(project), name, None), self._writer(name))
        field = StepQuantity(row, binding, self._document, self._preferences, message_elsewhere=True)
        field.refused.connect(lambda reason: show_mark(self.mark, reason))
        field.line.setProperty("tight", True)
        self.inputs.append(field)
        return field

    def _writer(self, name: str) -> Callable[[Project, Any], Project]:
        def write(project: Project, value: Any) -> Project:
            step = self._step(project)
            if step is None:
                raise AmpturnError(f"step {self.index + 1} is gone")
            return edits.change_step(project, self.index, replace(step, **{name: value}))

        return write

    def _step(self, project: Project) -> MotionStep | None:
        load = project.application.load
        return load.motion[self.index] if load is not None and self.index < len(load.motion) else None

    def show_project(self, project: Project) -> None:
        """Show the step of a project; nothing to do while it is the same."""
        step = self._step(project)
        if step is None or step is self._shown:
            return
        self._shown = step
        self.kind.offer(KINDS, KINDS, KINDS.index(kind_of(step)))
        if self.profile is not None and isinstance(step, MoveStep):
            self.profile.offer(PROFILES, PROFILES, PROFILES.index(step.profile))
        for field in self.inputs:
            field.show_project(project)

    def show_units(self) -> None:
        """Show the figures in the display units of the moment."""
        for field in self.inputs:
            if isinstance(field, QuantityInput):
                field.set_display_units(self._preferences.display_units)
        self._show_share_units()

    def _show_share_units(self) -> None:
        symbol = self._preferences.display_units.symbol(Kind.RATIO)
        for label, word in self._share_labels:
            label.setText(f"{word} {symbol}" if symbol != "1" else word)

    def set_enabled(self, enabled: bool) -> None:
        """Allow or forbid what changes the kind or the order of steps."""
        for part in (self.menu_button, self.kind, self.profile):
            if part is not None:
                part.setEnabled(enabled)

    def focus_first(self) -> None:
        """Go to the first figure of the step."""
        if self.inputs:
            # as by the Tab key, so that what is typed replaces the figure and is not put in front of it
            self.inputs[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _take_kind(self, kind: str) -> None:
        project = self._document.project
        step, load = self._step(project), project.application.load
        if step is None or load is None or kind == kind_of(step):
            return
        after = made_into(step, kind, load.motion, self._linear)
        self._document.edit(
            edits.change_step(project, self.index, after), f"Set kind of step {self.index + 1} to {kind}"
        )

    def _take_profile(self, profile: ProfileName) -> None:
        project = self._document.project
        step = self._step(project)
        if isinstance(step, MoveStep) and profile != step.profile:
            after = edits.change_step(project, self.index, replace(step, profile=profile))
            self._document.edit(after, f"Set profile of step {self.index + 1} to {profile}")


def _line(*parts: QWidget) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(4)
    for part in parts:
        line.addWidget(part)
    return line
