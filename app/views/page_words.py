"""A row of words, one for each page that can stand in the same place; the one of the page shown is marked."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPoint, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QWidget

_GAP = 2
_OPENS = "\N{NO-BREAK SPACE}\N{BLACK DOWN-POINTING SMALL TRIANGLE}"  # behind the words of a list


class PageWords(QWidget):
    """Words to press, in the order in which they were added."""

    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[str, QPushButton] = {}
        self.list: WordList | None = None
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(2, 0, 2, 2)
        self._row.setSpacing(_GAP)
        self._row.addStretch(1)

    def add(self, name: str, words: str, explanation: str) -> QPushButton:
        """Add the words of a page at the end of the row."""
        button = QPushButton(words)
        button.setProperty("flat", "true")
        button.setToolTip(explanation)
        button.clicked.connect(lambda: self.asked.emit(name))
        self.buttons[name] = button
        self._row.insertWidget(self._row.count() - 1, button)
        return button

    def add_list(self, words: str, explanation: str, pages: Mapping[str, tuple[str, str]]) -> WordList:
        """Add one button with a list of pages behind it, at the end of the row."""
        self.list = WordList(words, explanation, pages)
        self.list.asked.connect(self.asked)
        self._row.insertWidget(self._row.count() - 1, self.list)
        return self.list

    def show_current(self, name: str) -> None:
        """Mark the page that is shown."""
        for other, button in self.buttons.items():
            _mark(button, other == name)
        if self.list is not None:
            self.list.show_current(name)


class WordList(QPushButton):
    """A button that opens a list of pages; while one of them is shown it bears the words of that page."""

    asked = Signal(str)

    def __init__(self, words: str, explanation: str, pages: Mapping[str, tuple[str, str]]) -> None:
        super().__init__(words + _OPENS)
        self._words, self._pages = words, pages
        self.menu_of_pages: QMenu | None = None
        self.setProperty("flat", "true")
        self.setToolTip(explanation)
        self.clicked.connect(self.open_list)

    def made_menu(self) -> QMenu:
        """Return the list, made at the first call."""
        if self.menu_of_pages is None:
            menu = self.menu_of_pages = QMenu(self)
            menu.setToolTipsVisible(True)
            for name, (words, explanation) in self._pages.items():
                action = menu.addAction(words)
                action.setToolTip(explanation)
                action.triggered.connect(lambda _checked=False, name=name: self.asked.emit(name))
        return self.menu_of_pages

    @Slot()
    def open_list(self) -> None:
        """Show the list below the button."""
        self.made_menu().popup(self.mapToGlobal(QPoint(0, self.height())))

    def show_current(self, name: str) -> None:
        """Bear the words of a page of the list, or those of the list itself."""
        words = self._pages[name][0] if name in self._pages else self._words
        self.setText(words + _OPENS)
        self.setAccessibleName(words)
        _mark(self, name in self._pages)


def _mark(button: QPushButton, is_current: bool) -> None:
    button.setProperty("current", "true" if is_current else "false")
    button.setAccessibleDescription("shown" if is_current else "press to show")
    button.style().unpolish(button)  # so that the stylesheet looks at the property again
    button.style().polish(button)
