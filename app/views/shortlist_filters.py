"""Which candidates are listed: by verdict, by reason, by words, and by bounds on what they come to."""

from __future__ import annotations

import math
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.preferences import Preferences
from app.table_models.shortlist_columns import EVERY_OBJECTIVE
from app.widgets.quantity_edit import QuantityEdit
from core.results import Status
from core.shortlist.chunk_result import ABSENT, STATUSES
from core.shortlist.filters import Filter
from core.shortlist.listing import Listing

ANY_REASON: Final = "any reason"
_TYPING: Final = 120  # from the last letter until the list follows [ms]
_VERDICTS: Final[dict[str, tuple[Status, ...]]] = {
    "all candidates": STATUSES,
    "that meet all": ("met",),
    "that may meet all": ("met", "not checked"),
    "that are out": ("missed", "excluded"),
}


class FilterRow(QWidget):
    """Verdict, reason and words; `changed` tells that another choice of candidates is asked for."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.verdict, self.reason, self.text = QComboBox(), QComboBox(), QLineEdit()
        self.verdict.setAccessibleName("Which candidates are listed")
        self.verdict.addItems(list(_VERDICTS))
        self.reason.setAccessibleName("What governs or rules out")
        self.reason.addItem(ANY_REASON, "")
        self.reason.setMinimumContentsLength(24)
        self.reason.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.text.setAccessibleName("Words of the candidate")
        self.text.setPlaceholderText("words of the candidate")
        self.text.setClearButtonEnabled(True)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_TYPING)
        self._soon.timeout.connect(self.changed)
        self.verdict.currentIndexChanged.connect(self.changed)
        self.reason.currentIndexChanged.connect(self.changed)
        self.text.textChanged.connect(self._soon.start)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for field, share in ((self.verdict, 0), (self.reason, 0), (self.text, 1)):
            row.addWidget(field, share)

    def show_reasons(self, listing: Listing) -> None:
        """Offer the reasons of a listing with their counts, most first; what is chosen stays chosen."""
        reasons = listing.reason()
        found = np.bincount(reasons[reasons != ABSENT], minlength=len(listing.criteria)).tolist()
        counts = {k: count for k, count in enumerate(found) if count}
        chosen = str(self.reason.currentData() or "")
        order = sorted(counts, key=lambda k: (-counts[k], k))
        wanted = [(f"{listing.criteria[k].label} ({counts[k]})", listing.criteria[k].code) for k in order]
        self.reason.blockSignals(True)
        self.reason.clear()
        self.reason.addItem(ANY_REASON, "")
        for words, code in wanted:
            self.reason.addItem(words, code)
        self.reason.setCurrentIndex(max(0, self.reason.findData(chosen)))
        self.reason.blockSignals(False)

    def clear(self) -> None:
        """List all again."""
        self.verdict.setCurrentIndex(0)
        self.reason.setCurrentIndex(0)
        self.text.clear()

    def wanted(self, bounds: dict[str, tuple[float, float]]) -> Filter:
        """Return what a candidate must be, with bounds besides."""
        code = str(self.reason.currentData() or "")
        return Filter(
            frozenset(_VERDICTS[self.verdict.currentText()]),
            frozenset([code]) if code else None,
            bounds,
            self.text.text(),
        )


class BoundsPanel(QWidget):
    """Least and largest value of each objective, typed with any of its units; who lacks it is out."""

    changed = Signal()

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.fields: dict[str, tuple[QuantityEdit, QuantityEdit]] = {}
        self._bounds: dict[str, tuple[float, float]] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(4)
        for column, words in ((1, "at least"), (2, "at most")):
            head = QLabel(words)
            head.setProperty("type", "small")
            grid.addWidget(head, 0, column)
        for row, one in enumerate(EVERY_OBJECTIVE.values(), start=1):
            name = one.words[0].upper() + one.words[1:]
            grid.addWidget(QLabel(name), row, 0)
            pair = []
            for column, end in ((1, "at least"), (2, "at most")):
                field = QuantityEdit(f"{name} {end}", one.kind, preferences.display_units, optional=True)
                field.line.setPlaceholderText("any")
                field.line.setMinimumWidth(54)
                field.committed.connect(partial(self._on_typed, one.name))
                field.cleared.connect(partial(self._on_typed, one.name))
                grid.addWidget(field, row, column, Qt.AlignmentFlag.AlignTop)
                pair.append(field)
            self.fields[one.name] = (pair[0], pair[1])
        self.none = QPushButton("No bounds")
        self.none.clicked.connect(self.clear)
        grid.addWidget(self.none, len(EVERY_OBJECTIVE) + 1, 1, 1, 2)
        preferences.changed.connect(self._restyle)

    def bounds(self) -> dict[str, tuple[float, float]]:
        """Return the bounds that are given, by the names of the objectives. [SI]"""
        return dict(self._bounds)

    @Slot()
    def clear(self) -> None:
        """Take all bounds away."""
        for low, high in self.fields.values():
            low.setValue(None)
            high.setValue(None)
        if self._bounds:
            self._bounds = {}
            self.changed.emit()

    def _on_typed(self, name: str, _value: float | None = None) -> None:
        low, high = (field.value() for field in self.fields[name])
        self._bounds.pop(name, None)
        if low is not None or high is not None:
            self._bounds[name] = (
                -math.inf if low is None else low,
                math.inf if high is None else high,
            )
        self.changed.emit()

    @Slot()
    def _restyle(self) -> None:
        for pair in self.fields.values():
            for field in pair:
                field.set_display_units(self._preferences.display_units)
