"""The drawing area of a view: lanes, mouse and keys. What can be dragged is told by the view that owns it."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Slot
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QWidget

from app.gestures import LARGE_STEPS
from app.theme import Tokens
from app.views.plot_axes import AxesItem, Lane, plot_font
from app.views.plot_gesture import DragGesture, Grip
from app.views.plot_marks import PanelItems
from app.views.plot_navigation import PlotNavigation, Ranges
from core.charts.chart import Chart

_LEFT_GUTTER, _RIGHT_GUTTER = 52.0, 18.0
_LANE_GAP = 5.0
_CLICK_PX = 4.0
_ZOOM_STEP = 1.18
_PLACE_AFTER_MS, _HOVER_MS = 40, 16
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}

_PRESSED = (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton)
_KEYBOARD = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)


class CanvasOwner(Protocol):
    """What a view tells its canvas."""

    def grip_at(self, place: QPointF) -> Grip | None:
        """Return what can be dragged at a place."""

    def clicked_at(self, place: QPointF) -> None:
        """Take a click."""

    def typed_at(self, grip: Grip) -> None:
        """Let the value of what can be dragged be typed."""

    def hovered_at(self, place: QPointF | None) -> None:
        """Take where the cursor rests; None when it left."""

    def nudged(self, across: int, up: int) -> None:
        """Take an arrow key."""

    def walked(self, forward: bool) -> bool:
        """Go to the next handle; False when there is none, so that the focus moves on."""

    def escaped(self) -> bool:
        """Take Escape without a drag; False when there is nothing to leave."""

    def taken(self) -> bool:
        """Take Enter; False when there is nothing to take."""

    def left(self) -> None:
        """Take the loss of the keyboard focus."""

    def laid_out(self) -> None:
        """Place what is not of the chart: points, bubbles, handles."""

    def kept_clear(self) -> list[QRectF]:
        """Return the places that labels must not cover."""


class PlotCanvas(QGraphicsView):
    """Draws one chart in lanes and turns mouse and keys into the owner's terms."""

    def __init__(self, owner: CanvasOwner, gesture: DragGesture, tokens: Tokens, pans_y: bool) -> None:
        super().__init__()
        scene = QGraphicsScene(self)
        scene.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)  # few items, most of them move
        self.setScene(scene)
        self._set_up()
        self.setBackgroundBrush(QColor(tokens.pane))
        self._owner, self._gesture, self.tokens = owner, gesture, tokens
        self.lanes: list[Lane] = []
        self._items: list[PanelItems] = []
        self.axes = AxesItem(tokens)
        self.scene().addItem(self.axes)
        self._chart: Chart | None = None
        self._view = PlotNavigation(pans_y)
        self._press: QPointF | None = None
        self._button = Qt.MouseButton.LeftButton  # which one is held
        self._pan_from: QPointF | None = None
        self._moved = False
        self._hover: QPointF | None = None
        self._gutters = (_LEFT_GUTTER, _RIGHT_GUTTER)
        self._label_timer = self._timer(_PLACE_AFTER_MS, self.place_labels)
        self._hover_timer = self._timer(_HOVER_MS, self._tell_hover)

    def _set_up(self) -> None:
        """Let one unit of the scene be one pixel of the view, from its upper left corner."""
        never = Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        self.setHorizontalScrollBarPolicy(never)
        self.setVerticalScrollBarPolicy(never)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.MinimalViewportUpdate)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(260, 150)

    def put_titles_beside(self, left: float, right: float) -> None:
        """Give many low lanes the height of their titles: these stand at the left, values at the right."""
        self._gutters, self.axes.titles_beside = (left, right), True

    def _timer(self, milliseconds: int, slot: object) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(milliseconds)
        timer.timeout.connect(slot)
        return timer

    def sizeHint(self) -> QSize:
        return QSize(640, 320)

    @property
    def items_of_lanes(self) -> list[PanelItems]:
        """The curves of each lane, by id."""
        return self._items

    def show_chart(self, chart: Chart, freeze: bool, lit: str = "") -> None:
        """Draw a chart. While `freeze` holds, ranges and labels stay where they are.

        Curves whose id or label contains `lit` are drawn wider.
        """
        if len(chart.panels) != len(self.lanes):
            self._make_lanes(chart)
            freeze = False
        self._chart = chart
        home = [(chart.x_range(), panel.y_range()) for panel in chart.panels]
        if not freeze and home != self._view.home:
            self._view.home = home
            if not self._view.zoomed:
                self._adopt(home)
        for lane, items, panel in zip(self.lanes, self._items, chart.panels, strict=True):
            lane.chart_panel, lane.x_axis = panel, chart.x
            lane.refresh_ticks()
            items.lit = lit
            items.show(panel, self.tokens)
        self.axes.refresh()
        self._owner.laid_out()
        if not freeze:
            self.labels_later()
        self.setAccessibleDescription(chart.summary)

    def restyle(self, tokens: Tokens) -> None:
        """Change colours; the owner draws the chart again afterwards."""
        self.tokens = self.axes.tokens = tokens
        self.setBackgroundBrush(QColor(tokens.pane))

    def _make_lanes(self, chart: Chart) -> None:
        for items, lane in zip(self._items, self.lanes, strict=True):
            items.remove_labels()
            self.scene().removeItem(lane)
        self.lanes = [Lane(panel, chart.x) for panel in chart.panels]
        for lane in self.lanes:
            self.scene().addItem(lane)
        self._items = [PanelItems(lane, self.scene()) for lane in self.lanes]
        self.axes.lanes = self.lanes
        self._view.home = []
        self._lay_out(chart)

    def _lay_out(self, chart: Chart) -> None:
        """Share the height among the lanes by weight, below one another with one x axis."""
        row = QFontMetricsF(plot_font()).height()
        left, right = self._gutters
        width = max(50.0, self.width() - left - right)
        bottom = self.height() - 2.0 * row - 8.0
        beside, count = self.axes.titles_beside, len(chart.panels)
        above = [row + _LANE_GAP] + [_LANE_GAP if beside else row + _LANE_GAP] * (count - 1)
        free, top = bottom - sum(above), 0.0
        total = sum(panel.weight for panel in chart.panels)
        for lane, panel, gap in zip(self.lanes, chart.panels, above, strict=True):
            top += gap
            height = max(12.0, free * panel.weight / total)
            lane.set_frame(QRectF(left, round(top), width, round(height)))
            top += height
        self.axes.set_rect(QRectF(0.0, 0.0, self.width(), self.height()))

    def _adopt(self, ranges: Ranges) -> None:
        for lane, (x_range, y_range) in zip(self.lanes, ranges, strict=True):
            lane.set_ranges(x_range, y_range)
            lane.refresh_ticks()

    @Slot()
    def place_labels(self) -> None:
        """Find free places for the labels of all lanes."""
        if self._gesture.active:
            return
        clear = self._owner.kept_clear()
        for items in self._items:
            items.place_labels(self.tokens, clear)

    def labels_later(self) -> None:
        """Place the labels soon, after something moved that they must keep clear of."""
        self._label_timer.start()
        self.axes.update()  # the next picture, if it comes first, places them: it must show all of the canvas

    @Slot()
    def reset_view(self) -> None:
        """Show the whole chart again."""
        self._view.zoomed = False
        if self._view.home:
            self._change_ranges(self._view.home)

    def _change_ranges(self, ranges: Ranges) -> None:
        self._adopt(ranges)
        for items, lane in zip(self._items, self.lanes, strict=True):
            items.show(lane.chart_panel, self.tokens)
            items.hide_labels()
        self._owner.laid_out()
        self.labels_later()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setSceneRect(0.0, 0.0, self.width(), self.height())
        if self._chart is not None:
            self._lay_out(self._chart)
            self._change_ranges([(lane.x_range, lane.y_range) for lane in self.lanes])

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._label_timer.isActive() and not self._gesture.active:
            self._label_timer.stop()
            self.place_labels()  # the first picture already has its labels
        super().paintEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / 120.0
        if notches and not self._gesture.active and self._view.home:
            self._change_ranges(self._view.zoom(self.lanes, _ZOOM_STEP**-notches, event.position()))
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:
        if isinstance(event, QNativeGestureEvent) and self._pinched(event):
            return True
        return super().viewportEvent(event)

    def _pinched(self, event: QNativeGestureEvent) -> bool:
        """Zoom with two fingers on a touch pad; return whether that is what they did."""
        if event.gestureType() is not Qt.NativeGestureType.ZoomNativeGesture or self._gesture.active:
            return False
        if self._view.home:
            grown = 1.0 + max(event.value(), -0.5)
            self._change_ranges(self._view.zoom(self.lanes, 1.0 / grown, event.position()))
        return True

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()
        if event.button() not in _PRESSED or self._gesture.active or self._press is not None:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._press, self._button, self._moved = event.position(), event.button(), False
        grip = self._owner.grip_at(self._press) if event.button() is Qt.MouseButton.LeftButton else None
        if grip is not None:
            self._gesture.start(grip, self._press)
        else:
            self._pan_from = self._press

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        event.accept()
        place = event.position()
        if self._press is not None and event.buttons() & self._button:
            if not self._moved and (place - self._press).manhattanLength() < _CLICK_PX:
                return
            self._moved = True
            if self._gesture.active:
                self._gesture.move(place, event.modifiers())
            elif self._pan_from is not None:
                self._pan(place)
            return
        self._hover = place
        if not self._hover_timer.isActive():
            self._hover_timer.start()

    def _pan(self, place: QPointF) -> None:
        if self._pan_from is not None and self._view.home:
            self._change_ranges(self._view.pan(self.lanes, place - self._pan_from))
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        self._pan_from = place

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        event.accept()
        if self._press is None or event.button() is not self._button:
            return
        press, self._press, self._pan_from = self._press, None, None
        self._gesture.finish()
        if self._moved:
            self._hover = event.position()
            self._hover_timer.start()  # the cursor tells again what is under it
        elif event.button() is Qt.MouseButton.LeftButton:
            self._owner.clicked_at(press)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show all of the chart again or, on something that can be dragged, let its value be typed."""
        event.accept()
        if event.button() is Qt.MouseButton.LeftButton and not self._gesture.active:
            grip = self._owner.grip_at(event.position())
            if grip is None:
                self.reset_view()
            else:
                self._owner.typed_at(grip)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self._hover = None
        if not self._hover_timer.isActive():
            self._hover_timer.start()

    @Slot()
    def _tell_hover(self) -> None:
        place = self._hover
        self._owner.hovered_at(place)
        grip = None if place is None else self._owner.grip_at(place)
        self.viewport().setCursor(Qt.CursorShape.ArrowCursor if grip is None else grip.cursor)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key is Qt.Key.Key_Escape and self._gesture.active:
            self._gesture.cancel()  # the button may still be down: further moves find no grip
        elif key in _ARROWS and not self._gesture.active:
            steps = 10 if event.modifiers() & LARGE_STEPS else 1
            across, up = _ARROWS[key]
            self._owner.nudged(across * steps, up * steps)
        elif key is Qt.Key.Key_Home:
            self.reset_view()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._owner.taken():
            pass
        elif key is not Qt.Key.Key_Escape or not self._owner.escaped():
            event.ignore()  # on to the window: shortcuts, default keys
            return
        event.accept()

    def focusNextPrevChild(self, forward: bool) -> bool:
        return self._owner.walked(forward) or bool(QWidget.focusNextPrevChild(self, forward))

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        # A frame for who comes with the keyboard; who clicks sees where he is.
        self.axes.focus_shown = event.reason() in _KEYBOARD
        self.axes.update()
        self._owner.laid_out()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.axes.focus_shown = False
        self.axes.update()
        self._owner.left()
        self._owner.laid_out()
