"""The pane around a plot: title, conditions, buttons, and the life of a result on screen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Slot
from PySide6.QtGui import QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_canvas import PlotCanvas
from app.views.plot_gesture import DragGesture, Grip, NudgeBurst, detach_text
from core.charts.chart import Chart
from core.errors import AmpturnError
from core.evaluation.detached import can_be_edited, detached
from core.project.project import Project
from core.results import Result

# What costs more than a frame is computed when the hand has rested this long.
CALM_MS = 100


class ElidedLabel(QLabel):
    """One row of words that ends in dots where there is no room; the tool tip has all of them."""

    def setText(self, words: str) -> None:
        self.setTextFormat(Qt.TextFormat.PlainText)  # names come from files
        super().setText(words)
        self.setToolTip(plain_tip(words))

    def minimumSizeHint(self) -> QSize:
        return QSize(40, super().minimumSizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        words = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), words)
        painter.end()


class PlotPane(QFrame):
    """Base of the drawing views. It keeps the newest result and draws it; it computes nothing.

    `lit_by` tells which curves belong to a criterion: a part of their ids or labels.
    """

    lit_by: Mapping[str, str] = MappingProxyType({})

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        title: str,
        pans_y: bool,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._preferences = document, selection, preferences
        self.result: Result | None = None
        self.setProperty("surface", "pane")
        self.gesture = DragGesture(document, self)
        self.nudges = NudgeBurst(document, self)
        self.gesture.starting.connect(self.nudges.end)
        self.canvas = PlotCanvas(self, self.gesture, preferences.tokens, pans_y)
        self.canvas.setAccessibleName(title)
        self.setFocusProxy(self.canvas)
        self.headline = ElidedLabel()
        self.headline.setProperty("type", "small")
        self.headline.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._title = QLabel(title)
        self._title.setProperty("type", "group")
        self.buttons = QHBoxLayout()
        self.buttons.setSpacing(4)
        head = QHBoxLayout()
        head.setContentsMargins(14, 0, 8, 0)
        head.setSpacing(10)
        head.addWidget(self._title)
        head.addWidget(self.headline, 1)
        head.addLayout(self.buttons)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(1, 6, 1, 6)
        self.column.setSpacing(0)
        self.column.addLayout(head)
        self.column.addWidget(self.canvas, 1)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(CALM_MS)
        self._calm.timeout.connect(self._on_calm)
        selection.changed.connect(self.redraw)
        selection.hovered.connect(self.hover_changed)
        preferences.changed.connect(self.restyle)

    def add_button(self, words: str, explanation: str, place: int = -1) -> QPushButton:
        """Add a quiet button at the right of the headline, behind the others or at a place among them."""
        button = QPushButton(words)
        button.setProperty("flat", "true")
        button.setToolTip(explanation)
        self.buttons.insertWidget(place, button)
        return button

    def hide_title(self) -> None:
        """Leave the title out, where it stands above the pane."""
        self._title.hide()

    def show_result(self, result: Result) -> None:
        """Draw a result."""
        self.result = result
        self.redraw()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.redraw()

    def restyle(self) -> None:
        """Draw again in the units and colours that are preferred now."""
        self.canvas.restyle(self._preferences.tokens)
        self.redraw()

    def redraw(self) -> None:
        """Draw the newest result again."""
        if self.result is None or not self.isVisible():
            return  # a hidden view draws when it is shown
        if self.is_late(self.result) and not self.frozen:
            self._calm.start()
        try:
            chart = self.chart(self.result)
        except AmpturnError as error:  # showing a view may run this in a Qt override, which must not raise
            self.headline.setText(f"cannot be drawn: {error}")
            return
        if self.headline.text() != chart.headline:
            self.headline.setText(chart.headline)
        self.setAccessibleDescription(chart.summary)
        lit = self.lit_by.get(self._selection.criterion or "", "")
        self.canvas.show_chart(chart, freeze=self.frozen, lit=lit)

    @property
    def frozen(self) -> bool:
        """Whether a gesture is under way, anywhere: ranges then stay as they are."""
        return self._document.in_gesture

    @property
    def editable(self) -> bool:
        """Whether the result on screen still fits the project, so that its handles may be moved."""
        return self.result is not None and can_be_edited(self.result, self._document.project)

    @property
    def derived(self) -> bool:
        """Whether the duty follows a load, so that an edit by hand takes it out."""
        return self._document.project.application.duty_from == "load"

    def nudge(self, change: Callable[[Project], Project], text: str) -> None:
        """Make one step by an arrow key; a derived duty is taken out of the load by the first one."""
        result, project = self.result, self._document.project
        if result is not None and self.editable:
            words = detach_text(text) if self.derived else text
            self.nudges.edit(lambda: change(detached(project, result.duty)), words)

    def chart(self, result: Result) -> Chart:
        """Return what is drawn; each view has its own. Leaves out, and says so, what is late."""
        raise NotImplementedError

    def is_late(self, _result: Result) -> bool:
        """Return whether a part of the drawing costs too much for a drag and is not there yet."""
        return False

    def fetch_late(self, _result: Result) -> None:
        """Compute the late part."""

    @Slot()
    def _on_calm(self) -> None:
        if self.result is not None and not self.frozen:
            self.fetch_late(self.result)
            self.redraw()

    def hover_changed(self) -> None:
        """Mark the hovered segment."""

    def grip_at(self, _place: QPointF) -> Grip | None:
        """Return what can be dragged at a place: nothing unless the view says so."""
        return None

    def clicked_at(self, _place: QPointF) -> None:
        """Take a click on the ground."""

    def typed_at(self, grip: Grip) -> None:
        """Select the segment and ask for the cell in which the dragged value is typed."""
        self._selection.type_value(grip.segment, grip.field)

    def hovered_at(self, _place: QPointF | None) -> None:
        """Take where the cursor rests."""

    def nudged(self, _across: int, _up: int) -> None:
        """Take an arrow key."""

    def walked(self, _forward: bool) -> bool:
        """Go to the next handle."""
        return False

    def escaped(self) -> bool:
        """Leave the selection."""
        if self._selection.segment is None:
            return False
        self._selection.select_segment(None)
        return True

    def taken(self) -> bool:
        """Take what the cursor of the keyboard stands on."""
        return False

    def left(self) -> None:
        """End a burst of arrow keys, so that what comes next is an undo step of its own."""
        self.nudges.end()

    def laid_out(self) -> None:
        """Place what is not of the chart."""

    def kept_clear(self) -> list[QRectF]:
        """Return the places that labels must not cover."""
        return []

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        # The theme reaches widgets as a new palette; the plots follow nothing by themselves.
        if event.type() is QEvent.Type.PaletteChange and getattr(self, "canvas", None) is not None:
            tokens = self._preferences.tokens
            if tokens != self.canvas.tokens:
                self.restyle()
