"""The load: torque by cause stacked over time, the motion of the payload below, its terms as a table."""

from __future__ import annotations

from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plane_items import BubbleItem
from app.views.plot_base import PlotPane
from app.views.terms_table import TermsTable
from core.charts.chart import Chart
from core.charts.load_chart import TITLE, empty_load_chart, load_chart, load_table, numbers_at
from core.results import Result

NOTHING_YET = "What moves has no motion that fits together yet."


class LoadView(PlotPane):
    """Draws the load of a result; segments are selected and hovered as in the cycle."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self.table = TermsTable()
        self.bubble = BubbleItem()
        self.canvas.scene().addItem(self.bubble)
        row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(self.canvas, 1)
        row.addWidget(self.table)
        self.column.addLayout(row, 1)

    def chart(self, result: Result) -> Chart:
        """Return the load of a result, and show its terms in the table."""
        course, units = result.load, self._preferences.display_units
        self.table.setVisible(course is not None)
        if course is None:
            return empty_load_chart(NOTHING_YET)
        segment = self._selection.segment
        table = load_table(course, segment)
        name = "" if table.segment is None else self._name(result, table.segment)
        self.table.show_table(table, name, units, self._preferences.tokens)
        return load_chart(course, units, table.segment)

    def _name(self, result: Result, segment: int) -> str:
        names = (result.duty if result.ghost is None else result.ghost).names
        return names[segment] if segment < len(names) else ""

    def _segment_at(self, place: QPointF) -> int | None:
        lanes = self.canvas.lanes
        if not lanes or self.result is None or self.result.load is None:
            return None
        area = lanes[0].frame.united(lanes[-1].frame).adjusted(0.0, -20.0, 0.0, 0.0)
        if not area.contains(place):
            return None
        time = lanes[0].from_px(place.x(), place.y())[0]
        spans = lanes[0].chart_panel.spans
        return next((k for k, span in enumerate(spans) if span.start <= time < span.end), None)

    def clicked_at(self, place: QPointF) -> None:
        """Select the segment; a click outside drops the selection."""
        self._selection.select_segment(self._segment_at(place))

    def hovered_at(self, place: QPointF | None) -> None:
        """Mark the segment under the cursor and read the lanes there."""
        segment = None if place is None else self._segment_at(place)
        self._selection.hover_segment(segment)
        if place is None or segment is None or self.result is None or self.result.load is None:
            self.bubble.setVisible(False)
            return
        lane = self.canvas.lanes[0]
        time = lane.from_px(place.x(), place.y())[0]
        title, words = numbers_at(self.result.load, time, self._preferences.display_units)
        area = lane.frame.united(self.canvas.lanes[-1].frame)
        self.bubble.show_words(title, words, self._preferences.tokens, place, area)

    def hover_changed(self) -> None:
        """Shade the hovered segment lightly."""
        self.canvas.axes.hovered_span = self._selection.hovered_segment
        self.canvas.axes.update()

    def walked(self, forward: bool) -> bool:
        """Select the next segment with Tab; after the last one the focus moves on."""
        count = len(self.canvas.lanes[0].chart_panel.spans) if self.canvas.lanes else 0
        now = self._selection.segment
        following = (0 if forward else count - 1) if now is None else now + (1 if forward else -1)
        if not 0 <= following < count:
            return False
        self._selection.select_segment(following)
        return True


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(LoadView)
