"""Two objectives of the candidates against each other, and the set that nobody beats in two or three."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.preferences import Preferences
from app.table_models.shortlist_columns import EVERY_OBJECTIVE
from app.views.shortlist_points import ShortlistPoints
from core.numeric import BoolArray, FloatArray
from core.shortlist.chunk_result import MET
from core.shortlist.filters import pareto_of
from core.shortlist.listing import Listing

_NO_THIRD: Final = "no third objective"


class ShortlistScatter(QWidget):
    """The candidates that pass as points; `best` is the Pareto set of those who meet all, if any do."""

    picked = Signal(int)  # number of the candidate whose point was clicked
    best_changed = Signal()

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.across, self.up, self.third = QComboBox(), QComboBox(), QComboBox()
        self.third.addItem(_NO_THIRD, "")
        for box, name, usual in (
            (self.across, "Across", "mass"),
            (self.up, "Upward", "mean_losses"),
            (self.third, "Third objective of the Pareto set", ""),
        ):
            box.setAccessibleName(name)
            for key, one in EVERY_OBJECTIVE.items():
                box.addItem(one.words, key)
            box.setCurrentIndex(box.findData(usual))
            box.setMinimumWidth(80)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.currentIndexChanged.connect(self._on_chosen)
        self.third.setToolTip("The Pareto set may be one of three objectives; the points show two of them.")
        self.plot = ShortlistPoints(self)
        self.plot.picked.connect(self.picked)
        self._listing: Listing | None = None
        self._passing: BoolArray = np.zeros(0, dtype=bool)
        self.best: BoolArray = np.zeros(0, dtype=bool)
        self._lay_out()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        for part, share in ((self.up, 1), (QLabel("over"), 0), (self.across, 1), (self.third, 1)):
            head.addWidget(part, share)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(head)
        column.addWidget(self.plot, 1)

    def show_listing(self, listing: Listing, passing: BoolArray) -> None:
        """Show those of a listing that pass."""
        self._listing, self._passing = listing, passing
        self._again(listing)

    def mark(self, numbers: list[int]) -> None:
        """Mark the candidates that are selected in the list."""
        self.plot.mark(np.array(numbers, dtype=np.int64))

    @Slot()
    def _on_chosen(self) -> None:
        if self._listing is not None:
            self._again(self._listing)
            self.best_changed.emit()

    def _again(self, listing: Listing) -> None:
        keys = (str(self.across.currentData()), str(self.up.currentData()))
        units = self._preferences.display_units
        values = [listing.objectives[key] for key in keys]
        known = self._passing & np.isfinite(values[0]) & np.isfinite(values[1])
        met = known & (listing.verdict == MET)
        third = str(self.third.currentData())
        of_three = third != "" and third not in keys
        self.best = pareto_of(
            listing, (*keys, third) if of_three else keys, met if met.any() else known
        ) if known.any() else np.zeros(len(listing), dtype=bool)  # fmt: skip
        numbers = np.flatnonzero(known)
        kinds = [EVERY_OBJECTIVE[key].kind for key in keys]
        shown: list[FloatArray] = [
            np.asarray(units.to_display(value[numbers], kind), dtype=np.float64)
            for value, kind in zip(values, kinds, strict=True)
        ]
        across, up = (
            f"{EVERY_OBJECTIVE[key].words} {units.symbol(kind)}".rstrip()
            for key, kind in zip(keys, kinds, strict=True)
        )
        self.plot.show_points(
            numbers, shown[0], shown[1], met[numbers], self.best[numbers], (across, up), not of_three
        )
        count = int(self.best.sum())
        self.plot.setAccessibleDescription(
            f"{up} over {across}: {numbers.size} candidates, {count} in the Pareto set"
        )
