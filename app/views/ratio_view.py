"""What other ratios of the transmission would do: a study over the ratio, which a click takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QPointF, QRectF, Slot
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QLabel, QStyleOptionGraphicsItem, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.theme import Tokens
from app.views.plane_items import BubbleItem
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
from core.project import edits
from core.project.transmission import Transmission
from core.results import CandidateResult, Result

if TYPE_CHECKING:
    from core.evaluation.studies import RatioStudy

TAKEN_OUT = "The duty was taken out of the load. Follow the load again to see what a ratio does."
UPDATING = "updating"
_SNAP_PX = 10.0
# A study stays in use for ratios this far within its ends.
_INSIDE = 1.3

Conditions = tuple[object, ...]


class CursorItem(QGraphicsItem):
    """An upright line through all lanes."""

    def __init__(self) -> None:
        super().__init__()
        self._height, self._ink = 0.0, QColor()
        self.setZValue(18.0)
        self.setVisible(False)

    def show_at(self, place: QPointF, height: float, tokens: Tokens) -> None:
        """Show the line below a place."""
        if height != self._height:
            self.prepareGeometryChange()
            self._height = height
        self._ink = QColor(tokens.focus)
        self.setPos(place)
        self.setVisible(True)
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(-2.0, 0.0, 4.0, self._height)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        painter.setPen(QPen(self._ink, 1.0))
        painter.drawLine(QPointF(0.5, 0.0), QPointF(0.5, self._height))


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
        self.bubble, self.cursor_line = BubbleItem(), CursorItem()
        self.canvas.scene().addItem(self.bubble)
        self.canvas.scene().addItem(self.cursor_line)
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
            return empty_ratio_chart(TAKEN_OUT)
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

    def kept_clear(self) -> list[QRectF]:
        """Return the bubble."""
        return [self.bubble.place()] if self.bubble.isVisible() else []

    def laid_out(self) -> None:
        """Keep the cursor where it points."""
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
        shown = ratio is not None and self.study is not None and len(lanes) > 1
        self.bubble.setVisible(shown)
        self.cursor_line.setVisible(shown)
        if ratio is None or self.study is None or not shown:
            return
        area, tokens = self._area(), self._preferences.tokens
        top = QPointF(lanes[0].to_px(math.log(ratio), 0.0).x(), area.top())
        self.cursor_line.show_at(top, area.height(), tokens)
        title, words = read_out(self.study, ratio, self._preferences.display_units)
        self.bubble.show_words(title, words, tokens, QPointF(top.x(), area.top() + 20.0), area)

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
