"""The grid of the segment table: keys, editors that keep refused text, columns that hold their width."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.table_models.segment_model import COLUMNS, NAME_COLUMN, SegmentModel
from app.theme import SMALL_PT

Index = QModelIndex | QPersistentModelIndex
_Hint = QAbstractItemDelegate.EndEditHint
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_WIDEST: Final = "−1234.5"  # a number as wide as any that is shown
_NARROWEST_NAME: Final = 90
_EDITOR_WIDTH: Final = 110


class CellDelegate(QStyledItemDelegate):
    """Makes the editor of a cell. Text that is refused stays in it, marked."""

    finished = Signal(QLineEdit)  # Enter was pressed in an editor

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        editor = QLineEdit(parent)
        column = COLUMNS[index.column()] if index.column() < len(COLUMNS) else COLUMNS[0]
        editor.setAccessibleName(f"{column.heading} of segment {index.row() + 1}")
        if column.kind is not None:
            editor.setAlignment(Qt.AlignmentFlag.AlignRight)
        return editor

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        """Give the editor room for a number with its unit, to the left of where the number stands."""
        rect = option.rect
        rect.setLeft(max(min(rect.left(), rect.right() - _EDITOR_WIDTH), 0))
        editor.setGeometry(rect)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        # while text is being typed, the cell may change behind it: what is typed stays
        if isinstance(editor, QLineEdit) and not editor.isModified() and not is_refused(editor):
            editor.setText(str(index.data(Qt.ItemDataRole.EditRole) or ""))
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QLineEdit):
            taken = not editor.isModified() or model.setData(index, editor.text())
            editor.setProperty("refused", not taken)
            editor.style().unpolish(editor)
            editor.style().polish(editor)

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        if (
            isinstance(editor, QLineEdit)
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() in _ENTER
        ):
            self.finished.emit(editor)
            return True
        return super().eventFilter(editor, event)


def is_refused(editor: QWidget) -> bool:
    """Tell whether the text in an editor could not be taken."""
    return bool(editor.property("refused"))


class SegmentGrid(QTableView):
    """Rows are selected, cells are edited: Enter goes down, Tab to the right, F2 or typing edits."""

    row_hovered = Signal(object)  # int or None

    def __init__(self, model: SegmentModel, how_to_begin: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.setAccessibleName("Segments of the duty cycle")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
        )
        self.setShowGrid(False)
        # cells stand under their headings, and headings are small so that all columns fit
        self.setStyleSheet(
            f"QTableView::item {{ padding: 0px 3px; }} QHeaderView {{ font-size: {SMALL_PT}pt; }}"
        )
        self.setWordWrap(False)
        self.setMouseTracking(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setMinimumHeight(96)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        delegate = CellDelegate(self)
        delegate.finished.connect(self._finish)
        self.setItemDelegate(delegate)
        self.entered.connect(lambda index: self.row_hovered.emit(index.row()))
        self.empty = QLabel(how_to_begin, self.viewport())
        self.empty.setProperty("type", "soft")
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.empty.setWordWrap(True)
        self.empty.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        for changed in (model.rowsInserted, model.rowsRemoved, model.modelReset):
            changed.connect(self._show_empty)
        self._show_empty()

    def lay_columns(self) -> None:
        """Give each column the width of its widest number; the name takes the rest. Never done per edit."""
        metrics, headings = self.fontMetrics(), self.horizontalHeader().fontMetrics()
        widths = []
        for column in COLUMNS:
            heading = max(map(headings.horizontalAdvance, column.lines.split("\n")))
            number = metrics.horizontalAdvance(_WIDEST if column.kind else "888")
            widths.append(max(heading + 14, number + 8))
        room = self.width() - self.verticalScrollBar().sizeHint().width() - 2  # kept free, bar or no bar
        widths[NAME_COLUMN] = max(_NARROWEST_NAME, room - sum(widths) + widths[NAME_COLUMN])
        for section, width in enumerate(widths):
            self.setColumnWidth(section, width)
        self.verticalHeader().setDefaultSectionSize(metrics.height() + 8)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Close an editor, but not one with refused text: only Escape gives that up."""
        if isinstance(editor, QLineEdit) and is_refused(editor):
            if hint != _Hint.RevertModelCache:
                if self.hasFocus():  # not when a drag elsewhere moved the selection
                    editor.setFocus()
                return
            model = self.model()
            if isinstance(model, SegmentModel):
                model.refused.emit("")
        super().closeEditor(editor, hint)

    def event(self, event: QEvent) -> bool:
        # here the keys are the table's own, also where a menu of the window has the same ones
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self._action_of(event) is not None
        ):
            event.accept()
            return True
        return super().event(event)

    def _action_of(self, event: QKeyEvent) -> QAction | None:
        pressed = QKeySequence(event.keyCombination())
        return next((action for action in self.actions() if action.shortcut() == pressed), None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        tabs = {int(Qt.Key.Key_Tab): True, int(Qt.Key.Key_Backtab): False}
        action = self._action_of(event)
        if action is not None:
            action.trigger()
        elif event.key() in _ENTER and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._move_down()
        elif int(event.key()) in tabs and self._at_end(tabs[int(event.key())]):
            self.setTabKeyNavigation(False)  # so that the keyboard can leave the table
            self.focusNextPrevChild(tabs[int(event.key())])
            self.setTabKeyNavigation(True)
        else:
            super().keyPressEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.row_hovered.emit(None)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        if not self.indexAt(event.position().toPoint()).isValid():
            self.row_hovered.emit(None)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.empty.setGeometry(self.viewport().rect())
        if event.size().width() != event.oldSize().width():
            self.lay_columns()

    def _show_empty(self) -> None:
        self.empty.setVisible(self.model().rowCount() == 0)

    def _finish(self, editor: QLineEdit) -> None:
        self.commitData(editor)
        refused = is_refused(editor)
        self.closeEditor(editor, _Hint.NoHint)
        if not refused:
            self._move_down()

    def _move_down(self) -> None:
        here = self.currentIndex()
        if here.isValid() and here.row() + 1 < self.model().rowCount():
            self.setCurrentIndex(here.siblingAtRow(here.row() + 1))

    def _at_end(self, forwards: bool) -> bool:
        here, model = self.currentIndex(), self.model()
        if not here.isValid():
            return True
        last = (model.rowCount() - 1, model.columnCount() - 1)
        return (here.row(), here.column()) == (last if forwards else (0, 0))
