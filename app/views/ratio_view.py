"""What other ratios of the transmission would do: a study over the ratio, which a click takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QPointF, QRectF, Qt, Slot
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QLabel, QStyleOptionGraphicsItem, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.theme import SMALL_PT, Tokens
from app.views.plot_axes import plot_font
from app.views.plot_base import PlotPane
from app.views.sliced_work import SlicedWork
from core.charts.chart import Chart
from core.charts.ratio_chart import (
    TITLE,
    empty_ratio_chart,
    friction_words,
    ratio_chart,
    ratio_words,
    read_out,
    snapped_ratio,
)
from core.evaluation.detached import is_taken_out
from core.project import edits
from core.project.transmission import Transmission
from core.results import CandidateResult, Result

if TYPE_CHECKING:
    from core.evaluation.studies import RatioStudy

TAKEN_OUT = "The duty was taken out of the load. Follow the load again to see what a ratio does."
FROM_ELSEWHERE = "The duty does not come from a load and its motion, so a ratio changes nothing."
UPDATING = "updating"
_LEFT, _RIGHT = 150.0, 84.0
_VALUE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_SNAP_PX = 10.0
# A study stays in use for ratios this far within its ends.
_INSIDE = 1.3

Conditions = tuple[object, ...]


class CursorItem(QGraphicsItem):
    """An upright line through all lanes with the ratio above it, and the numbers there beside the lanes."""

    def __init__(self) -> None:
        super().__init__()
        self.title = ""
        self.numbers: tuple[str, ...] = ()
        self._line, self._rows = QRectF(), [QRectF()]
        self._area = QRectF()
        self._tokens: Tokens | None = None
        self.setZValue(40.0)
        self.setVisible(False)

    def show_at(
        self, x: float, frames: list[QRectF], title: str, numbers: tuple[str, ...], tokens: Tokens
    ) -> None:
        """Show the line at a place, through the frames of all lanes."""
        whole = frames[0].united(frames[-1])
        self.prepareGeometryChange()
        self._area = whole.adjusted(-4.0, -20.0, _RIGHT + 4.0, 4.0)
        self._line = QRectF(round(x) + 0.5, whole.top() - 3.0, 0.0, whole.height() + 3.0)
        self._rows = [QRectF(f.right() + 6.0, f.center().y() - 10.0, _RIGHT - 10.0, 20.0) for f in frames]
        self.title, self.numbers, self._tokens = title, numbers, tokens
        self.setVisible(True)
        self.update()

    def boundingRect(self) -> QRectF:
        return self._area

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        tokens = self._tokens
        if tokens is None:
            return
        painter.setPen(QPen(QColor(tokens.focus), 1.0))
        painter.drawLine(self._line.topLeft(), self._line.bottomLeft())
        painter.setFont(plot_font(SMALL_PT, bold=True))
        width = painter.fontMetrics().horizontalAdvance(self.title) + 6.0
        left = min(max(self._line.left() - 0.5 * width, self._area.left()), self._area.right() - width)
        plate = QRectF(left, self._area.top(), width, 17.0)
        painter.fillRect(plate, QColor(tokens.pane))
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, self.title)
        painter.setPen(QColor(tokens.ink))
        for row, number in zip(self._rows, self.numbers, strict=False):
            painter.drawText(row, _VALUE, number)


class RatioView(PlotPane):
    """Draws the ratio study of the chosen candidate. It is computed in slices when the hand rests."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self.friction = QLabel()
        self.friction.setProperty("type", "small")
        self.friction.setWordWrap(True)
        self.friction.setContentsMargins(14, 0, 8, 2)
        self.friction.hide()
        self.column.addWidget(self.friction)
        self.cursor_line = CursorItem()
        self.canvas.scene().addItem(self.cursor_line)
        self.canvas.put_titles_beside(_LEFT, _RIGHT)
        self.study: RatioStudy | None = None
        self.pointed: float | None = None  # the ratio that Enter takes
        self._at_friction: tuple[tuple[str, CandidateResult], ...] = ()
        self._of: Conditions | None = None
        self._coming: Conditions | None = None
        self._work = SlicedWork(self)
        self._work.finished.connect(self._on_finished)
        self._work.refused.connect(self._on_refused)

    def chart(self, result: Result) -> Chart:
        """Return the study of a result; the one before, said to be old, while the new one is computed."""
        if result.chosen is None or result.project.application.duty_from != "load":
            self.friction.hide()
            taken_out = is_taken_out(result.project)
            return empty_ratio_chart(TAKEN_OUT if taken_out else FROM_ELSEWHERE)
        late = self.is_late(result)
        if self.study is None:
            return empty_ratio_chart(UPDATING)
        study = replace(self.study, ratio=_ratio(result))
        chart = ratio_chart(result, result.chosen, study, self._preferences.display_units)
        self._show_friction(result, late)
        return replace(chart, headline=f"{chart.headline}, {UPDATING}") if late else chart

    def _show_friction(self, result: Result, late: bool) -> None:
        load = result.project.application.load
        if load is None or not self._at_friction:
            self.friction.hide()
            return
        words = friction_words(load.friction_range, self._at_friction, self._preferences.display_units)
        self.friction.setText(f"{words}, {UPDATING}" if late else words)
        self.friction.show()

    def is_late(self, result: Result) -> bool:
        """Return whether the study is still to be computed, and drop one that is no longer wanted."""
        if result.chosen is None or result.project.application.duty_from != "load":
            self._work.stop()
            return False
        wanted = _conditions(result)
        if self._work.running and (wanted != self._coming or self.frozen):
            self._work.stop()
        if wanted != self._of or self.study is None:
            return True
        ratios, now = self.study.scan.ratio, _ratio(result)
        return not ratios[0] * _INSIDE <= now <= ratios[-1] / _INSIDE

    def fetch_late(self, result: Result) -> None:
        """Start to compute the study of the chosen candidate, in slices."""
        if self._work.running or result.chosen is None or not self.is_late(result):
            return
        self._coming = _conditions(result)
        self._work.start(self._steps(result, result.chosen))

    def _steps(self, result: Result, index: int) -> Iterator[object]:
        # only here: a start needs no studies
        from core.evaluation.studies import friction_range_steps, ratio_study_steps

        study: RatioStudy | None = None
        for step in ratio_study_steps(result.project, index):
            study = step
            yield step
        at_friction = []
        for row in friction_range_steps(result.project, index):
            at_friction.append(row)
            yield row
        self.study, self._at_friction, self._of = study, tuple(at_friction), self._coming

    @Slot()
    def _on_finished(self) -> None:
        self.redraw()

    @Slot(str)
    def _on_refused(self, reason: str) -> None:
        self.headline.setText(f"no study: {reason}")

    def laid_out(self) -> None:
        """Keep the cursor where it points; without one the numbers are those of now."""
        self._point_at(self.pointed)

    def _ratio_at(self, place: QPointF) -> float | None:
        """Return the ratio under the mouse, one that can be had where it is near."""
        lanes = self.canvas.lanes
        if self.study is None or len(lanes) < 2 or not self._area().contains(place):
            return None
        lane = lanes[0]
        low, high = lane.x_range
        nearness = _SNAP_PX / lane.frame.width() * (high - low)
        return snapped_ratio(self.study, math.exp(lane.from_px(place.x(), place.y())[0]), nearness)

    def _area(self) -> QRectF:
        return self.canvas.lanes[0].frame.united(self.canvas.lanes[-1].frame)

    def _point_at(self, ratio: float | None) -> None:
        self.pointed = ratio
        lanes = self.canvas.lanes
        shown = _ratio(self.result) if ratio is None else ratio
        if self.study is None or len(lanes) < 2:
            self.cursor_line.setVisible(False)
            return
        title, numbers = read_out(self.study, shown, self._preferences.display_units)
        frames = [lane.frame for lane in lanes]
        at = lanes[0].to_px(math.log(shown), 0.0).x()
        self.cursor_line.show_at(at, frames, title, numbers, self._preferences.tokens)

    def hovered_at(self, place: QPointF | None) -> None:
        """Read the study at the cursor."""
        self._point_at(None if place is None else self._ratio_at(place))

    def clicked_at(self, place: QPointF) -> None:
        """Take the ratio under the mouse."""
        self._take(self._ratio_at(place))

    def nudged(self, across: int, _up: int) -> None:
        """Go to the next ratio of the axis with the arrow keys."""
        if self.study is None or not across:
            return
        stops = [float(r) for r in (self.study.available or self.study.scan.ratio)]
        now = self.pointed if self.pointed is not None else _ratio(self.result)
        beyond = [r for r in stops if (r > now * 1.0001 if across > 0 else r < now / 1.0001)]
        if beyond:
            self._point_at(min(beyond) if across > 0 else max(beyond))

    def taken(self) -> bool:
        """Take the ratio that the arrow keys have gone to."""
        return self._take(self.pointed)

    def escaped(self) -> bool:
        """Leave the ratio that was pointed at."""
        if self.pointed is None:
            return super().escaped()
        self._point_at(None)
        return True

    def _take(self, ratio: float | None) -> bool:
        project = self._document.project
        candidate = project.chosen_candidate
        if ratio is None or candidate is None or project.application.duty_from != "load":
            return False
        geared = msgspec.structs.replace(candidate.transmission or Transmission(), ratio=ratio)
        index = project.candidates.index(candidate)
        after = edits.change_candidate(project, index, transmission=geared)
        self._document.edit(after, f"take the ratio {ratio_words(ratio)} : 1")
        return True


def _ratio(result: Result | None) -> float:
    candidate = None if result is None else result.project.chosen_candidate
    transmission = None if candidate is None else candidate.transmission
    return 1.0 if transmission is None else transmission.ratio


def _conditions(result: Result) -> Conditions:
    """Return what the study depends on: everything but the ratio itself."""
    application, candidate = result.project.application, result.project.chosen_candidate
    if candidate is not None:
        plain = msgspec.structs.replace(candidate.transmission or Transmission(), ratio=1.0)
        candidate = msgspec.structs.replace(candidate, transmission=plain)
    return (
        result.chosen,
        candidate,
        application.duty_from,
        application.load,
        application.site,
        application.supply,
        application.requirements,
    )


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(RatioView)
