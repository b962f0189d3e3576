"""Facts to read: a quiet label and a value a row."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

_WIDEST = "Time constants "  # longer labels wrap


class FactList(QWidget):
    """Rows of a label with its value; the labels are made once for each number of rows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        self._rows: list[tuple[QLabel, QLabel]] = []

    def show_facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Show facts in their order."""
        while len(self._rows) < len(facts):
            self._add_row()
        for number, row in enumerate(self._rows):
            shown = number < len(facts)
            for label, words in zip(row, facts[number] if shown else ("", ""), strict=True):
                label.setText(words)
                label.setVisible(shown)

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """The facts that are shown."""
        return tuple((name.text(), value.text()) for name, value in self._rows if name.text())

    def _add_row(self) -> None:
        name, value = QLabel(), QLabel()
        name.setProperty("type", "soft")
        name.setWordWrap(True)
        name.setFixedWidth(name.fontMetrics().horizontalAdvance(_WIDEST))
        name.setAlignment(Qt.AlignmentFlag.AlignTop)
        value.setWordWrap(True)
        value.setAlignment(Qt.AlignmentFlag.AlignTop)
        value.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        value.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        row = len(self._rows)
        self._grid.addWidget(name, row, 0)
        self._grid.addWidget(value, row, 1)
        self._rows.append((name, value))
