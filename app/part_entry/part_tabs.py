"""Several windings, or both variants, of a draft: one form each, as tabs, with buttons to add and remove."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTabBar, QVBoxLayout, QWidget

from app.part_entry.figure_form import FigureForm
from app.plain_tip import plain_tip
from core.catalogue.motor_draft import place_of
from core.catalogue.sheet_figures import Figures, Level
from core.units import DisplayUnits


class PartTabs(QWidget):
    """The forms of all parts of one level; at least one, at most `most`."""

    changed = Signal()

    def __init__(self, level: Level, most: int, display: DisplayUnits) -> None:
        super().__init__()
        self._level: Level = level
        self._most, self._display = most, display
        self.forms: list[FigureForm] = []
        self.bar = QTabBar()
        self.bar.setExpanding(False)
        self.bar.setDrawBase(False)
        self.bar.setAccessibleName(f"{level.capitalize()}s of the motor")
        self.bar.currentChanged.connect(self._show_current)
        self.add_button = self._button("&Add" if level == "winding" else "A&dd", f"Add a {level}", self.add)
        self.copy_button = self._button("Copy", f"Add a copy of this {level}", self.copy)
        self.remove_button = self._button("Remove", f"Remove this {level}", self.remove)
        head = QHBoxLayout()
        head.setSpacing(6)
        head.addWidget(self.bar, 1)
        for button in (self.add_button, self.copy_button, self.remove_button):
            head.addWidget(button)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._column.addLayout(head)
        self._append({})

    def _button(self, words: str, name: str, slot: object) -> QPushButton:
        button = QPushButton(words)
        button.setFlat(True)
        button.setAutoDefault(False)
        button.setAccessibleName(name)
        button.setToolTip(plain_tip(name))
        button.clicked.connect(lambda _checked=False: slot())  # type: ignore[operator]
        return button

    def add(self) -> None:
        """Add an empty part and show it."""
        self._append({})
        self.changed.emit()
        self.forms[-1].show_row(self._level)

    def copy(self) -> None:
        """Add a copy of the part on show, without its name."""
        figures = self.forms[self.bar.currentIndex()].figures()
        self._append({key: value for key, value in figures.items() if key != self._level})
        self.changed.emit()
        self.forms[-1].show_row(self._level)

    def remove(self) -> None:
        """Remove the part on show."""
        index = self.bar.currentIndex()
        form = self.forms.pop(index)
        self._column.removeWidget(form)
        form.hide()
        form.deleteLater()
        self.bar.removeTab(index)
        if not self.forms:
            self._append({})
        self._show_current(self.bar.currentIndex())
        self.changed.emit()

    def _append(self, figures: Figures) -> None:
        form = FigureForm(self._level, self._display)
        form.set_figures(figures)
        form.changed.connect(self.changed)
        self.forms.append(form)
        self._column.addWidget(form)
        self.bar.addTab("")
        self.name_tabs()
        self.bar.setCurrentIndex(len(self.forms) - 1)
        self._show_current(self.bar.currentIndex())

    def _show_current(self, index: int) -> None:
        for number, form in enumerate(self.forms):
            form.setVisible(number == index)
        self.add_button.setEnabled(len(self.forms) < self._most)
        self.copy_button.setEnabled(len(self.forms) < self._most)

    def show_part(self, index: int) -> FigureForm:
        """Turn to a part and return its form."""
        self.bar.setCurrentIndex(index)
        return self.forms[index]

    def name_tabs(self) -> None:
        """Write the names of the parts onto their tabs."""
        for number, form in enumerate(self.forms):
            words = place_of(self._level, form.figures(), number)
            self.bar.setTabText(number, words.replace("&", "&&"))

    def figures(self) -> tuple[Figures, ...]:
        """Return what is given for each part."""
        return tuple(form.figures() for form in self.forms)

    def set_figures(self, parts: tuple[Figures, ...]) -> None:
        """Show other parts, silently."""
        while self.forms:
            form = self.forms.pop()
            self._column.removeWidget(form)
            form.hide()
            form.deleteLater()
            self.bar.removeTab(self.bar.count() - 1)
        for figures in parts or ({},):
            self._append(figures)
        self.bar.setCurrentIndex(0)

    def set_display_units(self, display: DisplayUnits) -> None:
        """Show the values in other units."""
        self._display = display
        for form in self.forms:
            form.set_display_units(display)
