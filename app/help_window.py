"""The help in a window of its own, beside a dialog: the help of the main window waits while one is open."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QVBoxLayout, QWidget

from app.help_panel import WIDTH, HelpText, key_of

NOTHING = "There is no help on this. Press F1 in a field, or type into the search above."


class HelpWindow(QDialog):
    """The help beside a dialog; it closes with it."""

    def __init__(self, dialog: QDialog) -> None:
        super().__init__(dialog)
        self.setWindowTitle("Help on quantities")
        self.content = HelpText()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.content)
        self.resize(WIDTH, 480)

    def on_focus(self) -> None:
        """Show the help on the field that has the focus in the dialog."""
        dialog = self.parentWidget()
        field = None if dialog is None else dialog.focusWidget()
        key = key_of(field)
        if key:
            self.content.show_key(key)
        else:
            title, told = words_of(field)
            self.content.show_words(title, told or NOTHING)
        self._come_up()

    def go_to_search(self) -> None:
        """Show the help and go to its search."""
        self._come_up()
        self.content.go_to_search()

    def _come_up(self) -> None:
        self.show()
        self.raise_()
        self.activateWindow()


def words_of(field: QWidget | None) -> tuple[str, str]:
    """Return what a field is called and what it says of itself, by it or by what it lies in."""
    title = "" if field is None else field.accessibleName()
    while field is not None:
        told = field.property("told")
        if isinstance(told, str) and told:
            return title or field.accessibleName(), told
        field = field.parentWidget()
    return title, ""
