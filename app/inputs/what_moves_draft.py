"""The figures that a mechanism cannot do without, asked one by one before anything is derived from it."""

from __future__ import annotations

import math

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.inputs.application_group import LABEL_WIDTH, mark_label, show_mark
from app.inputs.rows import QuantityRow, refusal
from app.inputs.what_moves_rows import STEEPEST_GRADE, figure_row, in_plain_words
from app.preferences import Preferences
from app.widgets.quantity_edit import QuantityEdit
from core.errors import AmpturnError, InputRangeError
from core.load_draft import LoadDraft, Place
from core.project.load import Load
from core.units import Kind

_GRADE: Place = ("grade",)
_SLOPE: Place = ("slope",)


class DraftPanel(QWidget):
    """Fields of a draft. The last one that is given completes the load, which is then one undo step."""

    completed = Signal(object)  # Load
    cancelled = Signal()

    def __init__(self, draft: LoadDraft, preferences: Preferences) -> None:
        super().__init__()
        self.draft, self._preferences = draft, preferences
        self.fields: dict[Place, QuantityEdit] = {}
        self.why = mark_label()
        keeps = "" if draft.old is None else "Keep the mechanism as it was"
        self.cancel = QPushButton(keeps or "Leave it")
        self.cancel.setFlat(True)
        self.cancel.setProperty("link", True)
        self.cancel.clicked.connect(self.cancelled)
        grid = QGridLayout()
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(3)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        grid.setColumnStretch(1, 1)
        for place in draft.form.required:
            self._add(grid, place, figure_row(place))
            if place == _SLOPE:
                self._add(grid, _GRADE, QuantityRow((), "or as a grade", Kind.RATIO, True))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(grid)
        column.addWidget(self.why)
        column.addWidget(self.cancel)
        self._show()

    def first_field(self) -> QuantityEdit:
        """Return the first field that is still empty."""
        return self.fields[next(iter(self.draft.lacking), self.draft.form.required[0])]

    def show_units(self) -> None:
        """Show the figures in the display units of the moment."""
        for field in self.fields.values():
            field.set_display_units(self._preferences.display_units)

    def _add(self, grid: QGridLayout, place: Place, row: QuantityRow) -> None:
        field = QuantityEdit(
            row.label,
            row.kind,
            self._preferences.display_units,
            optional=place == _GRADE,
            check=lambda value: self._check(place, row, value),
        )
        field.committed.connect(lambda value: self._take(place, value))
        label, line = QLabel(row.label), len(self.fields)
        label.setProperty("type", "soft")
        label.setFixedWidth(LABEL_WIDTH)
        label.setBuddy(field)
        grid.addWidget(label, line, 0)
        grid.addWidget(field, line, 1)
        self.fields[place] = field

    def _check(self, place: Place, row: QuantityRow, value: float) -> None:
        place, value = _as_slope(place, value)
        try:
            self.draft.with_figure(place, value)
        except InputRangeError as error:
            told = in_plain_words(error, row.label)
            words = refusal(told, row.label, row.kind, self._preferences.display_units)
            raise AmpturnError(words) from error

    def _take(self, place: Place, value: float) -> None:
        place, value = _as_slope(place, value)
        self.draft = self.draft.with_figure(place, value)
        self._show()
        if not self.draft.lacking:
            self._complete()

    def _complete(self) -> None:
        try:
            load: Load = self.draft.load()
        except InputRangeError as error:
            show_mark(self.why, str(in_plain_words(error, self.draft.form.words)))
            return
        self.completed.emit(load)

    def _show(self) -> None:
        lacking = self.draft.lacking
        for place, field in self.fields.items():
            if place == _GRADE:
                slope = self.draft.given.get(_SLOPE)
                steep = slope is None or abs(slope) > STEEPEST_GRADE
                field.setValue(None if slope is None or steep else math.tan(slope))
                continue
            field.setValue(self.draft.given.get(place))
        count = len(lacking)
        figures = "1 figure is" if count == 1 else f"{count} figures are"
        show_mark(self.why, f"{figures} needed before anything is derived" if count else "")


def _as_slope(place: Place, value: float) -> tuple[Place, float]:
    """Return a grade as the slope it is."""
    return (_SLOPE, math.atan(value)) if place == _GRADE else (place, value)
