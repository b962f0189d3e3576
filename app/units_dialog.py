"""Choose the unit in which each kind of quantity is shown."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from core.units import DisplayUnits, Kind, accepted_units


class UnitsDialog(QDialog):
    """One list a kind; any unit may still be typed anywhere."""

    def __init__(self, units: DisplayUnits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Display units")
        self.lists: dict[Kind, QComboBox] = {}
        words = QLabel(
            "Units are shown like this everywhere. Any other unit can still be typed into a field."
        )
        words.setWordWrap(True)
        words.setProperty("type", "soft")
        form = QFormLayout()
        for kind in Kind:
            symbols = [symbol for symbol in accepted_units(kind) if symbol]
            if len(symbols) > 1:
                chooser = QComboBox()
                chooser.addItems(symbols)
                chooser.setAccessibleName(f"Unit of {kind}")
                form.addRow(str(kind).capitalize(), chooser)
                self.lists[kind] = chooser
        page = QWidget()
        page.setLayout(form)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(page)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        usual = buttons.addButton("The usual ones", QDialogButtonBox.ButtonRole.ResetRole)
        usual.clicked.connect(lambda: self.show_units(DisplayUnits()))
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for part in (words, scroll, buttons):
            column.addWidget(part)
        self.resize(380, 520)
        self.show_units(units)

    def show_units(self, units: DisplayUnits) -> None:
        """Show these units in the lists."""
        for kind, chooser in self.lists.items():
            chooser.setCurrentText(units.symbol(kind))

    def chosen(self) -> DisplayUnits:
        """Return the units as chosen."""
        return DisplayUnits().with_units({kind: c.currentText() for kind, c in self.lists.items()})
