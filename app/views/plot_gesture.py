"""A drag as one undo step: coalesced to the event loop, locked by Shift, undone by Escape."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QPointF, Qt, QTimer, Signal, Slot

from app.document import ProjectDocument
from app.gestures import KEEP_DIRECTION, ROUND_VALUES
from core.errors import AmpturnError
from core.project.project import Project
from core.records import dataclass
from core.segment_columns import Field

# A burst of arrow keys is one undo step; it ends when the hands rest.
_BURST_MS = 700


def detach_text(text: str) -> str:
    """Return the words of an edit that also takes a derived duty out of the load."""
    return f"take the duty out of the load, {text}"


@dataclass(frozen=True, slots=True)
class Grip:
    """Something that can be dragged: where it is, and what the project becomes when it is moved.

    `moved(x, y, snap)` takes pixels of the canvas and computes from the project before the gesture. The same
    value is typed in the cell `field` of the segment table.
    """

    segment: int
    text: str
    place: QPointF
    moved: Callable[[float, float, bool], Project]
    field: Field
    across: bool = True
    along: bool = True
    taken_out: bool = False

    @property
    def undo_text(self) -> str:
        """The words of the undo step; they say that a derived duty was taken out of the load."""
        return detach_text(self.text) if self.taken_out else self.text

    @property
    def cursor(self) -> Qt.CursorShape:
        """The cursor that tells in which directions it moves."""
        if self.across and self.along:
            return Qt.CursorShape.SizeAllCursor
        return Qt.CursorShape.SizeHorCursor if self.across else Qt.CursorShape.SizeVerCursor


class DragGesture(QObject):
    """The drag under way, if any. A move only stores the place; one edit follows per turn of the loop."""

    starting = Signal()

    def __init__(self, document: ProjectDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.grip: Grip | None = None
        self._press = QPointF()
        self._target: tuple[QPointF, bool] | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._apply)
        document.replaced.connect(self._forget)

    @property
    def active(self) -> bool:
        """Whether something is being dragged."""
        return self.grip is not None

    def start(self, grip: Grip, press: QPointF) -> None:
        """Begin to drag."""
        self.starting.emit()
        self.grip, self._press, self._target = grip, press, None
        self._document.begin_gesture()

    def move(self, place: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Follow the mouse: Shift keeps to the direction that moved more, Ctrl snaps to round values."""
        grip = self.grip
        if grip is None:
            return
        step = place - self._press
        dx, dy = step.x() * grip.across, step.y() * grip.along
        if modifiers & KEEP_DIRECTION:
            dx, dy = (dx, 0.0) if abs(dx) > abs(dy) else (0.0, dy)
        snap = bool(modifiers & ROUND_VALUES)
        self._target = (grip.place + QPointF(dx, dy), snap)
        if not self._soon.isActive():
            self._soon.start()

    def finish(self) -> None:
        """Keep the result."""
        if self.grip is not None:
            self._apply()
            self.grip = None
            self._document.end_gesture()

    def cancel(self) -> None:
        """Put back what was there before."""
        if self.grip is not None:
            self._soon.stop()
            self.grip, self._target = None, None
            self._document.cancel_gesture()

    @Slot()
    def _forget(self) -> None:
        """Let go: another document was opened under the hand."""
        self._soon.stop()
        self.grip, self._target = None, None

    @Slot()
    def _apply(self) -> None:
        self._soon.stop()
        if self.grip is None or self._target is None:
            return
        (place, snap), self._target = self._target, None
        try:
            after = self.grip.moved(place.x(), place.y(), snap)
        except (AmpturnError, IndexError):
            return  # a place that the rules refuse: the handle stays where it last was allowed
        self._document.edit(after, self.grip.undo_text)


class NudgeBurst(QObject):
    """Arrow keys in quick succession as one undo step."""

    def __init__(self, document: ProjectDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._running = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_BURST_MS)
        self._rest.timeout.connect(self.end)
        document.replaced.connect(self._rest.stop)

    def edit(self, change: Callable[[], Project], text: str) -> None:
        """Make one step of the burst; a refused value leaves the project as it is."""
        try:
            after = change()
        except (AmpturnError, IndexError):
            return
        if not self._running or not self._document.in_gesture:
            self._document.begin_gesture()
            self._running = True
        self._document.edit(after, text)
        self._rest.start()

    @Slot()
    def end(self) -> None:
        """End the burst; the next key starts another undo step."""
        self._rest.stop()
        if self._running:
            self._running = False
            if self._document.in_gesture:
                self._document.end_gesture()
