"""Several conditions under which candidates are to hold: ambients, lowest voltages, ways of mounting."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLabel, QLineEdit, QWidget

from app.preferences import Preferences
from core.errors import AmpturnError
from core.project.application import Application
from core.project.mounting import Mounting
from core.shortlist.studies import Condition, named_conditions
from core.units import Kind

_INSULATED: Final = Mounting(name="insulated flange", insulated=True)
_AS_STATED: Final = Mounting()


class ConditionsPanel(QWidget):
    """Lists of values, separated by semicolons; without any, candidates are judged as the project says."""

    changed = Signal()

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.ambients, self.voltages = QLineEdit(), QLineEdit()
        self.own, self.stated, self.insulated = (
            QCheckBox("Mounting of the project"),
            QCheckBox("Plate of each data sheet"),
            QCheckBox("Insulated flange"),
        )
        self.own.setChecked(True)
        self.message = QLabel()
        self.message.setProperty("type", "missed")
        self.message.setWordWrap(True)
        self.message.hide()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        for row, (words, line, example) in enumerate(
            (("Ambient", self.ambients, "25; 40; 60"), ("Lowest voltage", self.voltages, "20; 24"))
        ):
            line.setAccessibleName(f"{words}, several values")
            line.setPlaceholderText(f"as given, or {example}")
            line.editingFinished.connect(self._on_typed)
            grid.addWidget(QLabel(words), row, 0)
            grid.addWidget(line, row, 1)
        for row, box in enumerate((self.own, self.stated, self.insulated), start=2):
            box.toggled.connect(self._on_typed)
            grid.addWidget(box, row, 0, 1, 2)
        grid.addWidget(self.message, 5, 0, 1, 2)

    def conditions(self, application: Application) -> tuple[Condition, ...]:
        """Return every combination of what is asked for.

        Raises
        ------
        AmpturnError
            If what is typed is no list of quantities.
        """
        own = application.site.mounting
        mountings: list[Mounting] = []
        for box, way in ((self.own, own), (self.stated, _AS_STATED), (self.insulated, _INSULATED)):
            if box.isChecked() and way not in mountings:
                mountings.append(way)
        return named_conditions(
            [application],
            ambients=self._values(self.ambients, Kind.TEMPERATURE),
            lowest_voltages=self._values(self.voltages, Kind.VOLTAGE),
            mountings=[] if mountings in ([], [own]) else mountings,
        )

    def _values(self, line: QLineEdit, kind: Kind) -> list[float]:
        units = self._preferences.display_units
        return [units.parse(text, kind) for text in line.text().split(";") if text.strip()]

    @Slot()
    def _on_typed(self) -> None:
        """Say at once what cannot be read."""
        reason = ""
        for line, kind in ((self.ambients, Kind.TEMPERATURE), (self.voltages, Kind.VOLTAGE)):
            try:
                self._values(line, kind)
            except AmpturnError as error:
                reason = str(error)
        self.message.setText(reason)
        self.message.setVisible(bool(reason))
        self.changed.emit()
