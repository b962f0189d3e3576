"""Choose the unit in which each kind of quantity is shown; the window shows the choice while it is made."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.dialog_help import give_help
from core.unit_presets import PRESETS, preset_of
from core.units import DisplayUnits, Kind, accepted_units

# Values of the size that small drives have, to see what a unit makes of them. [SI]
_EXAMPLES: dict[Kind, float] = {
    Kind.TORQUE: 0.12, Kind.SPEED: 314.16, Kind.INERTIA: 3.5e-6, Kind.LENGTH: 0.047, Kind.TEMPERATURE: 25.0
}  # fmt: skip


class UnitsDialog(QDialog):
    """Presets, and one list a kind; any unit may still be typed anywhere."""

    previewed = Signal(object)  # the DisplayUnits as they stand in the lists

    def __init__(self, units: DisplayUnits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finished.connect(self.deleteLater)  # the window would keep each one that was opened
        self.setWindowTitle("Display units")
        self.lists: dict[Kind, QComboBox] = {}
        self._showing = False
        words = QLabel(
            "Units are shown like this everywhere. Any other unit can still be typed into a field."
        )
        words.setWordWrap(True)
        words.setProperty("type", "soft")
        self.example = QLabel()
        self.example.setProperty("type", "small")
        self.example.setWordWrap(True)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addLayout(self._preset_row())
        for part in (self.example, self._kinds(), buttons):
            column.addWidget(part)
        self.resize(400, 560)
        give_help(self)
        self.show_units(units)

    def _preset_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.presets: dict[str, QPushButton] = {}
        for words, units in PRESETS.items():
            button = QPushButton(words)
            button.setCheckable(True)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, units=units: self.show_units(units))
            self.presets[words] = button
            row.addWidget(button)
        return row

    def _kinds(self) -> QScrollArea:
        form = QFormLayout()
        for kind in Kind:
            symbols = [symbol for symbol in accepted_units(kind) if symbol]
            if len(symbols) > 1:
                chooser = QComboBox()
                chooser.addItems(symbols)
                chooser.setAccessibleName(f"Unit of {kind}")
                chooser.currentIndexChanged.connect(self._on_changed)
                chooser.setProperty("told", "How values are shown. Any other unit can still be typed.")
                form.addRow(str(kind).capitalize(), chooser)
                self.lists[kind] = chooser
        page = QWidget()
        page.setLayout(form)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(page)
        return scroll

    def show_units(self, units: DisplayUnits) -> None:
        """Show these units in the lists."""
        self._showing = True
        for kind, chooser in self.lists.items():
            chooser.setCurrentText(units.symbol(kind))
        self._showing = False
        self._on_changed()

    def chosen(self) -> DisplayUnits:
        """Return the units as chosen."""
        return DisplayUnits().with_units({kind: c.currentText() for kind, c in self.lists.items()})

    def _on_changed(self) -> None:
        """Show what the units make of a few values, here and in the window behind."""
        if self._showing:
            return
        units = self.chosen()
        shown = [units.format_quantity(value, kind, 4) for kind, value in _EXAMPLES.items()]
        self.example.setText("As: " + ", ".join(shown))
        found = preset_of(units)
        for words, button in self.presets.items():
            button.setChecked(words == found)
        self.previewed.emit(units)
