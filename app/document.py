"""The open project, its undo history and the only way to change it."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from core.project.project import Project

_MERGEABLE, _NOT_MERGEABLE = 1, -1


class _Edit(QUndoCommand):
    """Swap one frozen project for another. Unchanged parts are shared, so this is cheap.

    Nothing here can raise: an exception in an override that C++ calls kills the process on 3.11.
    """

    def __init__(
        self, document: ProjectDocument, before: Project, after: Project, text: str, gesture: int | None
    ) -> None:
        super().__init__(text)
        self._document, self._before, self._after, self._gesture = document, before, after, gesture

    def id(self) -> int:
        return _NOT_MERGEABLE if self._gesture is None else _MERGEABLE

    def mergeWith(self, other: QUndoCommand) -> bool:  # Qt's name
        if not isinstance(other, _Edit) or other._gesture != self._gesture:
            return False
        self._after = other._after
        self.setObsolete(self._after is self._before)
        return True

    def redo(self) -> None:
        self._document._show(self._after)

    def undo(self) -> None:
        self._document._show(self._before)


class ProjectDocument(QObject):
    """Holds the current project. Views read `project`, and write through `edit` only.

    One gesture (a drag, a scrub) is one undo step: `begin_gesture`, any number of edits, then
    `end_gesture`, or `cancel_gesture` to put back what was there before.
    """

    changed = Signal(object, int)  # Project, revision
    replaced = Signal()  # another document was opened
    refused = Signal(str)  # an edit of a read-only document, with the reason

    def __init__(self, project: Project, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.project = project
        self.revision = 0
        self.read_only_reason = ""
        self.undo_stack = QUndoStack(self)
        self._gestures = 0
        self._gesture: int | None = None
        self._before_gesture = project

    def edit(self, after: Project, text: str) -> None:
        """Make `after` the current project: one undo step, or a part of the gesture under way.

        The menu shows `text` behind "Undo:" and every step begins with a capital there.

        A read-only document stays as it is; the views hear it once more and take back what they showed.
        """
        if self.read_only_reason:
            self.refused.emit(self.read_only_reason)
            self.changed.emit(self.project, self.revision)
            return
        if after is not self.project and after != self.project:
            words = text[:1].upper() + text[1:]
            self.undo_stack.push(_Edit(self, self.project, after, words, self._gesture))

    @property
    def in_gesture(self) -> bool:
        """Whether a drag or scrub is under way."""
        return self._gesture is not None

    @property
    def before_gesture(self) -> Project:
        """The project as it was when the gesture began; drags compute from it, so they never drift."""
        return self._before_gesture

    def begin_gesture(self) -> None:
        """Start a gesture; all edits until its end are one undo step."""
        self._gestures += 1
        self._gesture, self._before_gesture = self._gestures, self.project

    def end_gesture(self) -> None:
        """End the gesture and keep its result."""
        self._gesture = None
        self.changed.emit(self.project, self.revision)  # views release what they froze meanwhile

    def cancel_gesture(self) -> None:
        """End the gesture and put back the project as it was before; nothing stays in the history."""
        if self._gesture is not None and self.project is not self._before_gesture:
            self.undo_stack.push(
                _Edit(self, self.project, self._before_gesture, "", self._gesture)
            )  # merges to nothing, so it leaves the stack
        self.end_gesture()

    def open(self, project: Project, read_only_reason: str = "") -> None:
        """Show another project with an empty history."""
        self._gesture = None
        self.read_only_reason = read_only_reason
        self.undo_stack.clear()
        self.undo_stack.setClean()
        self._show(project)
        self.replaced.emit()

    def _show(self, project: Project) -> None:
        self.project = project
        self.revision += 1  # counts up on undo too, so results can be ordered
        self.changed.emit(project, self.revision)
