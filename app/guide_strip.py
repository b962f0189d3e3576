"""A strip above the bench that leads through a new project: questions, each ticked once it is answered."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from core.project.first_steps import STEPS, Step, open_steps
from core.project.project import Project

HINTS: Final[dict[Step, str]] = {
    "What moves": "Pick load and motion, then a mechanism, its figures and its moves; or type segments into "
    "the table below; or import a measured trace.",
    "What feeds it": "Give the voltages; the lowest one decides what speed is reached.",
    "What drives it": "Add a candidate from the parts, a frame with its winding and variant, or enter a "
    "motor of your own from its data sheet. Others can be put beside it.",
}
DONE: Final = (
    "All three are answered: plane, cycle and margins show what comes of it. "
    "Where it sits and what it must meet can be filled in next."
)


class GuideStrip(QFrame):
    """Says what is asked next; nothing is locked, any step can be taken at any time."""

    wanted = Signal(str)  # the step to go to
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("surface", "selection")
        self.steps: dict[Step, QPushButton] = {}
        row = QHBoxLayout()
        row.setSpacing(6)
        for step in STEPS:
            button = QPushButton()
            button.setFlat(True)
            button.clicked.connect(lambda _checked=False, step=step: self.wanted.emit(step))
            self.steps[step] = button
            row.addWidget(button)
        row.addStretch(1)
        self.close_button = QPushButton("Close the guide")
        self.close_button.setFlat(True)
        self.close_button.clicked.connect(self.closed)
        row.addWidget(self.close_button)
        self.hint = QLabel()
        self.hint.setProperty("type", "soft")
        self.hint.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 5, 16, 7)
        column.setSpacing(1)
        column.addLayout(row)
        column.addWidget(self.hint)

    def show_project(self, project: Project) -> None:
        """Tick what a project answers and say what comes next."""
        left = open_steps(project)
        for number, (step, button) in enumerate(self.steps.items(), 1):
            filled, is_next = step not in left, bool(left) and step == left[0]
            button.setText(f"{'✓' if filled else number}  {step}")
            button.setAccessibleName(f"Step {number}, {step}")
            button.setAccessibleDescription("answered" if filled else "next" if is_next else "to be answered")
            font = button.font()
            font.setBold(is_next)
            button.setFont(font)
        words = HINTS[left[0]] if left else DONE
        self.hint.setText(words)
        self.hint.setAccessibleName(words)
