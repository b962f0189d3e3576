"""What a quantity means: meaning, symbol, unit, formula and source, with a search over all of them."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDockWidget, QLabel, QLineEdit, QListWidget, QTextBrowser, QVBoxLayout, QWidget

from app.theme import SMALL_PT, current_tokens
from core.quantity_help import Equation, QuantityHelp, help_on, searched

WIDTH = 330
_MOST_FOUND = 60


class HelpText(QWidget):
    """Shows the help on one quantity. What is typed into the search lists all in which the words occur."""

    def __init__(self) -> None:
        super().__init__()
        self.key = ""
        self.search = QLineEdit()
        self.search.setPlaceholderText("Search: words of a quantity, a formula, a source")
        self.search.setAccessibleName("Search the help")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._search)
        self.count = QLabel()
        self.count.setProperty("type", "small")
        self.found = QListWidget()
        self.found.setAccessibleName("Quantities found")
        self.found.currentRowChanged.connect(self._show_found)
        self.text = QTextBrowser()
        self.text.setAccessibleName("Help")
        self.text.setOpenLinks(False)
        self._entries: tuple[QuantityHelp, ...] = ()
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 10)
        for part in (self.search, self.count, self.found):
            column.addWidget(part)
        column.addWidget(self.text, 1)
        self.setMinimumWidth(WIDTH - 50)
        self._search("")

    def show_key(self, key: str) -> None:
        """Show the help on an input by its place, or on a criterion by its code."""
        self.search.clear()
        self._show(help_on(key))

    def show_words(self, title: str, told: str) -> None:
        """Show what a field says of itself, and list the help in which its title occurs."""
        self.search.setText(title)
        self.found.setCurrentRow(-1)
        self.key = ""
        self.text.setHtml(f"<h3>{escape(title)}</h3><p>{escape(told)}</p>")

    def go_to_search(self) -> None:
        """Let the next words be typed into the search."""
        self.search.setFocus()
        self.search.selectAll()

    def restyle(self) -> None:
        """Write the text anew in the colours of the moment."""
        if self.key:
            self._show(help_on(self.key))

    def _search(self, words: str) -> None:
        wanted = words.strip()
        self._entries = searched(wanted)[:_MOST_FOUND] if wanted else ()
        self.found.clear()
        self.found.addItems([f"{one.title}   ({one.key.replace('.', ', ')})" for one in self._entries])
        self.found.setVisible(bool(self._entries))
        self.found.setMaximumHeight(170)
        several = f"{len(self._entries)} found" if self._entries else "nothing found"
        self.count.setText(several)
        self.count.setVisible(bool(wanted))
        if self._entries:
            self.found.setCurrentRow(0)

    def _show_found(self, row: int) -> None:
        if 0 <= row < len(self._entries):
            self._show(self._entries[row])

    def _show(self, one: QuantityHelp) -> None:
        self.key = one.key
        self.text.setHtml(as_html(one))
        self.text.verticalScrollBar().setValue(0)


class HelpPanel(QDockWidget):
    """The help beside the pages of the window."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Help on quantities", parent)
        self.setObjectName("help on quantities")
        self.content = HelpText()
        self.search, self.count = self.content.search, self.content.count
        self.found, self.text = self.content.found, self.content.text
        self.setWidget(self.content)

    @property
    def key(self) -> str:
        """The key of the help on show, empty where there is none."""
        return self.content.key


def as_html(one: QuantityHelp) -> str:
    """Return the help on a quantity as rich text."""
    tokens = current_tokens()
    facts = [("Symbol", one.symbol), ("Unit in the calculation", one.unit)]
    parts = [f"<h3>{escape(one.title)}</h3><p>{escape(one.meaning)}</p>"]
    parts += [f"<p><b>{name}</b> {escape(value)}</p>" for name, value in facts if value]
    parts += [_equation_html(equation, one.meaning) for equation in one.equations]
    soft = f"color:{tokens.soft_ink}; font-size:{SMALL_PT}pt"
    parts.append(f'<p style="{soft}">In the program: {escape(one.key.replace(".", ", "))}</p>')
    return f'<div style="color:{tokens.ink}">{"".join(parts)}</div>'


def _equation_html(equation: Equation, already_said: str) -> str:
    summary = "" if equation.summary in already_said else f"<p>{escape(equation.summary)}</p>"
    lines = [
        f'<p style="margin-left:14px"><b>{escape(line.strip())}</b></p>'
        if line.startswith("    ")
        else f"<p>{escape(line)}</p>"
        for line in equation.notes.splitlines()
        if line.strip()
    ]
    return (
        f"<hr/><p><b>{escape(equation.what)}</b></p>{summary}{''.join(lines)}"
        f"<p><i>Source: {escape(equation.source)}</i></p>"
    )


def key_of(widget: QWidget | None) -> str:
    """Return the key of the help on a widget or on what it lies in, empty where there is none."""
    while widget is not None:
        key = widget.property("helps")
        if isinstance(key, str) and key:
            return key
        widget = widget.parentWidget()
    return ""


RIGHT = Qt.DockWidgetArea.RightDockWidgetArea
