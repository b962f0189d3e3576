"""The figures of a frame, winding or variant: what a first answer needs on top, the rest folded."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.inputs.fold_group import FoldHeader
from app.part_entry.figure_row import FigureRow
from core.catalogue.sheet_figures import LEVELS, Figures, Level, SheetFigure
from core.units import DisplayUnits

_TITLES = {
    "at a voltage": "At a voltage: no load and stall",
    "compared only": "Figures to compare with",
    "drag": "Drag without load",
}
_LABEL_WIDTH = 150


class FigureForm(QWidget):
    """Editors of one part of a draft. `changed` is heard when any figure of it is changed by the user."""

    changed = Signal()

    def __init__(self, level: Level, display: DisplayUnits) -> None:
        super().__init__()
        self.level: Level = level
        self.rows: dict[str, FigureRow] = {}
        self.folds: dict[str, FoldHeader] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 4)
        column.setSpacing(6)
        figures = LEVELS[level]
        titles = dict.fromkeys(figure.apart for figure in figures)
        for title in titles:
            body = self._body([figure for figure in figures if figure.apart == title], display)
            if title:
                column.addWidget(self._fold(title, body))
            column.addWidget(body)
        column.addStretch(1)

    def _fold(self, title: str, body: QWidget) -> FoldHeader:
        header = FoldHeader(_TITLES.get(title, title[:1].upper() + title[1:]))
        header.setChecked(False)
        body.setVisible(False)
        header.toggled.connect(body.setVisible)
        self.folds[title] = header
        return header

    def _body(self, figures: list[SheetFigure], display: DisplayUnits) -> QWidget:
        """Return rows of label, editor and, where a figure has one, the chooser of its meaning."""
        body = QWidget()
        grid = QGridLayout(body)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(5)
        grid.setColumnMinimumWidth(0, _LABEL_WIDTH)
        grid.setColumnStretch(1, 4)
        grid.setColumnStretch(2, 5)
        line = -1
        for figure in figures:
            row = FigureRow(figure, display, self)
            row.changed.connect(self.changed)
            self.rows[figure.key] = row
            if figure.key.endswith(" meaning"):  # beside its figure, so that Tab leads from one to the other
                row.label.setParent(row.editor)
                row.label.hide()
                grid.addWidget(row.editor, line, 2, Qt.AlignmentFlag.AlignTop)
                continue
            line += 1
            grid.addWidget(row.label, line, 0, Qt.AlignmentFlag.AlignTop)
            wide = figure.is_text or bool(figure.choices)
            grid.addWidget(row.editor, line, 1, 1, 2 if wide else 1)
        return body

    def figures(self) -> Figures:
        """Return what is given."""
        values = {key: row.value() for key, row in self.rows.items()}
        return {key: value for key, value in values.items() if value is not None}

    def own_figures(self) -> Figures:
        """Return what the user gave, without what stands there from the start."""
        return {key: value for key, value in self.figures().items() if value != self.rows[key].figure.default}

    def set_figures(self, figures: Figures) -> None:
        """Show figures, silently; what is not among them is taken away."""
        for key, row in self.rows.items():
            row.set_value(figures.get(key, row.figure.default))
        for title, header in self.folds.items():
            if any(row.figure.apart == title and key in figures for key, row in self.rows.items()):
                header.setChecked(True)

    def refused(self) -> Iterator[FigureRow]:
        """Yield the rows whose text cannot be read."""
        yield from (row for row in self.rows.values() if row.is_refused)

    def show_row(self, key: str) -> FigureRow:
        """Open the fold of a figure and put the cursor into it."""
        row = self.rows[key]
        if row.figure.apart:
            self.folds[row.figure.apart].setChecked(True)
        row.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        return row

    def set_display_units(self, display: DisplayUnits) -> None:
        """Show the values in other units."""
        for row in self.rows.values():
            row.set_display_units(display)
