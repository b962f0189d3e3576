"""Help > Keys and mouse: all keys and gestures, with a line to seek in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.key_list import key_list

if TYPE_CHECKING:
    from app.main_window import MainWindow


class KeysDialog(QDialog):
    """A list by place. What is typed leaves only the lines in which it occurs."""

    def __init__(self, window: MainWindow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finished.connect(self.deleteLater)  # the window would keep each one that was opened
        self.setWindowTitle("Keys and mouse")
        self.seek = QLineEdit()
        self.seek.setPlaceholderText("Words of a command, or a key")
        self.seek.setAccessibleName("Seek among keys and mouse")
        self.seek.setClearButtonEnabled(True)
        self.seek.textChanged.connect(self._show_only)
        self.list = QTreeWidget()
        self.list.setAccessibleName("Keys and mouse")
        self.list.setHeaderLabels(["Key or mouse", "What it does"])
        self.list.setRootIsDecorated(False)
        self.list.setItemsExpandable(False)
        self.list.header().setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        self.places: dict[str, QTreeWidgetItem] = {}
        for one in key_list(window):
            QTreeWidgetItem(self._place(one.where), [one.how, one.what])
        self.list.expandAll()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for part in (self.seek, self.list, buttons):
            column.addWidget(part)
        self.resize(640, 620)

    def _place(self, name: str) -> QTreeWidgetItem:
        if name not in self.places:
            place = self.places[name] = QTreeWidgetItem(self.list, [name])
            place.setFirstColumnSpanned(True)
            font = place.font(0)
            font.setBold(True)
            place.setFont(0, font)
        return self.places[name]

    def _show_only(self, words: str) -> None:
        wanted = words.casefold().split()
        for place in self.places.values():
            lines = [place.child(number) for number in range(place.childCount())]
            for line in lines:
                text = f"{line.text(0)} {line.text(1)} {place.text(0)}".casefold()
                line.setHidden(not all(word in text for word in wanted))
            place.setHidden(all(line.isHidden() for line in lines))
