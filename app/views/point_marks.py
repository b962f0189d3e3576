"""The points of a lane as marks on the canvas; hidden ones are named beside the one above."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QGraphicsScene

from app.theme import Tokens
from app.views.plane_items import RING_PX, MarkItem
from app.views.plot_axes import Lane
from core.charts.chart import Point


class PointMarks:
    """One mark a point, made when it is first needed."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self.items: dict[str, MarkItem] = {}

    def show(self, lane: Lane | None, points: Sequence[Point], tokens: Tokens, selected: str = "") -> None:
        """Place the points in their lane; without a lane all are hidden."""
        for item in self.items.values():
            item.setVisible(False)
        if lane is None:
            return
        seen: list[tuple[QPointF, MarkItem, list[str]]] = []
        for point in points:
            place = lane.to_px(point.x, point.y)
            if not lane.frame.adjusted(-1.0, -1.0, 1.0, 1.0).contains(place):
                continue
            below = next((one for one in seen if _touch(one[0], place)), None)
            if below is not None:
                below[2].append(point.text)
                continue
            if point.id not in self.items:
                self.items[point.id] = MarkItem(point.text)
                self._scene.addItem(self.items[point.id])
            item = self.items[point.id]
            item.setPos(place)
            item.set_look(tokens, bool(selected) and point.text == selected, False, False)
            item.setVisible(True)
            seen.append((place, item, []))
        for _, item, covered in seen:
            item.set_covers(",".join(covered))

    def rects(self) -> list[QRectF]:
        """Return the places that labels must not cover."""
        return [
            item.mapRectToScene(QRectF(-RING_PX, -RING_PX, 2.0 * RING_PX, 2.0 * RING_PX))
            for item in self.items.values()
            if item.isVisible()
        ]


def _touch(one: QPointF, other: QPointF) -> bool:
    return (one - other).manhattanLength() < RING_PX
