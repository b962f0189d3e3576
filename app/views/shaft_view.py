"""The shaft: what its end may carry over the distance, what it carries, and how long the bearings last."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import PlotPane
from app.views.point_marks import PointMarks
from app.widgets.fact_list import FactList
from core.charts.chart import Chart
from core.charts.shaft_chart import CONVENTION, TITLE, empty_shaft_chart, shaft_chart, shaft_facts
from core.results import CandidateResult, Result
from core.sentences import as_text

NO_CANDIDATE: Final = "No candidate is chosen."
NO_FORCE: Final = "No force on the shaft is given: a belt, pinion or wheel puts one there."
_WIDTH = 252  # px


class ShaftView(PlotPane):
    """Draws the allowed radial force of the chosen candidate, and tells of its bearings."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self._chart: Chart | None = None
        self.points = PointMarks(self.canvas.scene())
        self.facts = FactList()
        self.convention = QLabel(CONVENTION)
        self.convention.setProperty("type", "small")
        self.convention.setWordWrap(True)
        self.words = QWidget()
        self.words.setFixedWidth(_WIDTH)
        side = QVBoxLayout(self.words)
        side.setContentsMargins(4, 4, 14, 4)
        side.setSpacing(8)
        side.addWidget(self.facts)
        side.addWidget(self.convention)
        side.addStretch(1)
        self.column.removeWidget(self.canvas)
        row = QHBoxLayout()
        row.addWidget(self.canvas, 1)
        row.addWidget(self.words)
        self.column.addLayout(row, 1)

    def chart(self, result: Result) -> Chart:
        """Return the allowed force of the chosen candidate."""
        candidate = result.chosen_candidate
        load = None if candidate is None else candidate.shaft_load
        self.words.setVisible(load is not None)
        if candidate is None or load is None:
            self._chart = None
            return empty_shaft_chart(NO_CANDIDATE if candidate is None else self._why_not(candidate))
        units = self._preferences.display_units
        self.facts.show_facts(shaft_facts(load, units))
        self._chart = shaft_chart(candidate, load, units)
        return self._chart

    def _why_not(self, candidate: CandidateResult) -> str:
        margin = candidate.margin("front_bearing_life")
        why = "" if margin is None else as_text(margin.why, self._preferences.display_units)
        return f"Not checked: {why}." if why else NO_FORCE

    def laid_out(self) -> None:
        """Place the force that is there."""
        lane = self.canvas.lanes[0] if self.canvas.lanes and self._chart is not None else None
        points = () if self._chart is None else self._chart.panels[0].points
        self.points.show(lane, points, self._preferences.tokens)

    def kept_clear(self) -> list[QRectF]:
        """Return the place of the force."""
        return self.points.rects()


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(ShaftView)
