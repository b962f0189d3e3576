"""The segment table: the twin of plane and cycle, where every dragged thing can be read, typed and pasted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import QItemSelectionModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.selection import Selection
from app.table_models.segment_model import COLUMNS, NAME_COLUMN, SegmentModel
from app.views.segment_grid import SegmentGrid
from core.errors import AmpturnError
from core.notices import name_of
from core.project import edits
from core.project.project import Project
from core.results import Result
from core.segment_columns import Field

HOW_TO_BEGIN: Final = "Insert a segment, or paste rows with duration, torque and speed."
Shortcut = QKeySequence.StandardKey | str


class SegmentTable(QWidget):
    """Segments as rows. `message` carries why something was refused, empty when it is settled."""

    message = Signal(str)

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._preferences = document, selection, preferences
        self._following = False
        self.model = SegmentModel(document, preferences, self)
        self.table = SegmentGrid(self.model, HOW_TO_BEGIN)
        self._make_actions()
        self._lay_out()
        self.model.refused.connect(self._tell)
        self.table.selectionModel().currentRowChanged.connect(self._select_current)
        self.table.row_hovered.connect(selection.hover_segment)
        selection.changed.connect(self._follow_selection)
        selection.hovered.connect(lambda: self.model.set_hovered(selection.hovered_segment))
        document.changed.connect(self._show_project)
        document.replaced.connect(lambda: self._tell(""))
        preferences.changed.connect(self.restyle)
        self._show_project()
        self.restyle()

    def _make_actions(self) -> None:
        """Make the actions once; context menu, buttons and the window's menu share them."""
        keys = QKeySequence.StandardKey
        self.insert_after = self._action("Insert after", "Ctrl+Return", lambda: self._insert(1))
        self.insert_before = self._action("Insert before", "Ctrl+Shift+Return", lambda: self._insert(0))
        self.duplicate = self._action("Duplicate", "Ctrl+D", self._duplicate)
        self.delete = self._action("Remove", keys.Delete, self._delete)
        self.copy = self._action("Copy rows", keys.Copy, self._copy)
        self.paste = self._action("Paste rows", keys.Paste, self._paste)

    def _action(self, text: str, shortcut: Shortcut, do: Callable[[], None]) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(shortcut))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(lambda: do())
        self.table.addAction(action)
        return action

    def _lay_out(self) -> None:
        self.table.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self.source = QLabel()
        self.source.setTextFormat(Qt.TextFormat.PlainText)
        self.source.setProperty("type", "soft")
        self.source.setMinimumWidth(40)
        head = QHBoxLayout()
        head.setSpacing(0)
        head.addWidget(self.source, 1)
        shown = (self.insert_after, self.duplicate, self.delete, self.copy, self.paste)
        for action, word in zip(shown, ("insert", "duplicate", "remove", "copy", "paste"), strict=True):
            head.addWidget(_word_button(action, word))
        self.refusal = QLabel()
        self.refusal.setTextFormat(Qt.TextFormat.PlainText)
        self.refusal.setProperty("type", "missed")
        self.refusal.setWordWrap(True)
        self.refusal.setAccessibleName("Why the entry was refused")
        self.refusal.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.table, 1)
        column.addWidget(self.refusal)
        self.setFocusProxy(self.table)

    def show_result(self, result: Result) -> None:
        """Show what each segment asks of the chosen candidate."""
        self._following = True  # derived rows come with the result; that is nobody's choice of a row
        self.model.show_result(result)
        self._following = False
        self._follow_selection()
        candidate = self.model.candidate
        text = f"results of {name_of(candidate, candidate.index)}" if candidate else ""
        if self.model.is_derived:
            text += f"{', ' if text else ''}derived from the load; a change takes the duty out of it"
        if text != self.source.text():
            self.source.setText(text)
            self.source.setToolTip(plain_tip(text))

    def restyle(self) -> None:
        """Take over units and colours."""
        self.model.tell_units_or_theme_changed()
        self.table.lay_columns()

    def selected_rows(self) -> list[int]:
        """Return the selected rows from the top; the current one where none is selected."""
        rows = sorted({index.row() for index in self.table.selectionModel().selectedIndexes()})
        current = self.table.currentIndex().row()
        return rows or ([current] if current >= 0 else [])

    def paste_text(self, text: str) -> bool:
        """Write pasted rows over those from the first selected one on; all or nothing, one undo step."""
        from core.segment_paste import read_segments  # a start needs no clipboard

        try:
            segments = read_segments(text, self._preferences.display_units)
        except AmpturnError as error:
            self._tell(str(error))
            return False
        first = min(self.selected_rows(), default=len(self.model.segments))
        count = len(segments)
        self._edit(
            lambda project: edits.replace_segments(project, first, segments),
            f"paste {count} segment{'s' if count > 1 else ''}",
            first,
        )
        return True

    def edit_cell(self, row: int, field: Field) -> None:
        """Open the editor of one value of a segment, as by a double click on its cell."""
        section = next(place for place, column in enumerate(COLUMNS) if column.field == field)
        index = self.model.index(row, section)
        if index.isValid():
            self.table.setCurrentIndex(index)
            self.table.edit(index)

    def _edit(self, change: Callable[[Project], Project], text: str, row: int) -> None:
        """Make one change and put the cursor on the row it was about."""
        self._tell("")
        self._document.edit(change(self.model.base()), self.model.words(text))
        self._go_to(min(row, len(self.model.segments) - 1))

    def _go_to(self, row: int) -> None:
        if row >= 0:
            column = max(self.table.currentIndex().column(), NAME_COLUMN)
            flags = QItemSelectionModel.SelectionFlag
            # said in full, because a view left to itself adds to the selection while Ctrl is held
            self.table.selectionModel().setCurrentIndex(
                self.model.index(row, column), flags.ClearAndSelect | flags.Rows
            )

    def _insert(self, behind: int) -> None:
        rows = self.selected_rows()
        row = (rows[-1] + 1 if behind else rows[0]) if rows else 0
        fresh = edits.new_segment(self.model.base(), row)
        self._edit(lambda project: edits.insert_segments(project, row, [fresh]), "insert a segment", row)

    def _duplicate(self) -> None:
        rows = self.selected_rows()
        if rows:
            self._edit(
                lambda p: edits.duplicate_segments(p, rows), f"duplicate {_counted(rows)}", rows[-1] + 1
            )

    def _delete(self) -> None:
        rows = self.selected_rows()
        if rows:
            self._edit(lambda p: edits.remove_segments(p, rows), f"remove {_counted(rows)}", rows[0])

    def _copy(self) -> None:
        from core.segment_paste import write_segments

        chosen = [self.model.segments[row] for row in self.selected_rows()]
        if chosen:
            self._tell("")
            QGuiApplication.clipboard().setText(write_segments(chosen, self._preferences.display_units))

    def _paste(self) -> None:
        self.paste_text(QGuiApplication.clipboard().text())

    def _tell(self, text: str) -> None:
        self.refusal.setText(text)
        self.refusal.setVisible(bool(text))
        self.message.emit(text)

    def _show_project(self) -> None:
        self._following = True  # rows that come and go move the current index, which is nobody's choice
        self.model.show_project()
        self._following = False
        last = len(self.model.segments) - 1
        fresh = self.model.is_derived and last < 0  # its rows come with the result
        if not fresh and self._selection.segment is not None and self._selection.segment > last:
            self._selection.select_segment(last if last >= 0 else None)  # it was undone or deleted
        self._follow_selection()
        self._enable_actions()

    def _enable_actions(self) -> None:
        for action in (self.duplicate, self.delete, self.copy):
            action.setEnabled(bool(self.selected_rows()))

    def _select_current(self, current: QModelIndex | QPersistentModelIndex) -> None:
        self._enable_actions()
        if not self._following:
            self._selection.select_segment(current.row() if current.isValid() else None)

    def _follow_selection(self) -> None:
        row = self._selection.segment
        if row is None or row == self.table.currentIndex().row() or not 0 <= row < len(self.model.segments):
            return
        self._following = True
        self._go_to(row)
        self._following = False


def _word_button(action: QAction, word: str) -> QPushButton:
    """Return a button that is only a word."""
    button = QPushButton(word)
    button.setProperty("flat", True)
    button.setFlat(True)
    button.setAccessibleName(action.text())
    button.setToolTip(f"{action.text()} ({action.shortcut().toString()})")
    button.clicked.connect(action.trigger)
    action.enabledChanged.connect(button.setEnabled)
    button.setEnabled(action.isEnabled())
    return button


def _counted(rows: Sequence[int]) -> str:
    return f"segment {rows[0] + 1}" if len(rows) == 1 else f"{len(rows)} segments"


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(SegmentTable)
