"""The curves, areas, contours and labels of one lane, kept by id and changed in place.

A drag calls `show` many times a second: an item whose numbers have not changed is not touched, nothing is
rebuilt, and labels keep their places until the gesture is over.
"""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from app.theme import BODY_PT, FILL_OPACITY, HATCH_OPACITY, SMALL_PT, Tokens
from app.views.plot_axes import Lane, plot_font, text_size
from app.views.plot_items import AreaItem, LineItem
from core.charts.chart import Band, Hatch, Map, Panel, Series, Style
from core.charts.clipping import clip_polyline, sampled
from core.charts.contours import contour_lines
from core.charts.label_placement import CURVE_SIDES, MARK_SIDES, ON, Box, LabelPlacer, Side
from core.numeric import FloatArray
from core.records import dataclass

WIDTHS_PX = {"thin": 1.2, "regular": 1.8, "heavy": 2.6}
_BAND_OPACITY = 0.18
PATTERNS: dict[Hatch, Qt.BrushStyle] = {
    "plain": Qt.BrushStyle.SolidPattern,
    "rising": Qt.BrushStyle.BDiagPattern,
    "falling": Qt.BrushStyle.FDiagPattern,
    "dots": Qt.BrushStyle.Dense6Pattern,
    "level": Qt.BrushStyle.HorPattern,
}
_SHARES = (0.72, 0.6, 0.84, 0.48, 0.36, 0.93, 0.24, 0.12)
# The placer counts in millimetres, as on paper; a pixel is 1/96 inch.
_PX_PER_MM = 96.0 / 25.4
_LABEL_AIR = 4.0
# A band that is thinner than this is too small for a word of its own.
_THINNEST_NAMED_PX = 5.0
# How much wider the curves of the selected criterion are.
_LIT_PX = 1.6


def pen_of(style: Style, tokens: Tokens) -> QPen:
    """Return the pen of a chart style: width in pixels whatever the scale."""
    pen = QPen(QColor(tokens.colour_of(style)), WIDTHS_PX[style.width])
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    dashes = tokens.dashes_of(style)
    if dashes:
        # Very thin lines need longer dashes than their width asks for, or they look grey.
        pen.setDashPattern([length * max(1.0, 1.8 / pen.widthF()) for length in dashes])
    return pen


class LabelItem(QGraphicsItem):
    """A few words at a place of the canvas, on a plate where they lie on a curve."""

    def __init__(self) -> None:
        super().__init__()
        self.words, self.bold = "", False
        self._colour, self._plate = QColor(), QColor()
        self._look: tuple[str, bool, str, str] | None = None
        self._rect = QRectF()
        self._font, self._base = plot_font(), QPointF()
        self.on_curve = False
        self.setZValue(20.0)

    def set_words(self, words: str, bold: bool, colour: str, pane: str) -> None:
        """Change words and looks; the place stays."""
        look = (words, bold, colour, pane)
        if look == self._look:
            return
        self._look = look
        if (words, bold) != (self.words, self.bold):
            self.prepareGeometryChange()
            self.words, self.bold = words, bold
            self._rect = QRectF(QPointF(0.0, 0.0), QPointF(*text_size(words, bold)))
            self._font = plot_font(BODY_PT if bold else SMALL_PT, bold)
            self._base = QPointF(0.0, QFontMetricsF(self._font).ascent())
        self._colour, self._plate = QColor(colour), QColor(pane)
        self._plate.setAlphaF(0.88)
        self.update()

    def boundingRect(self) -> QRectF:
        return self._rect.adjusted(-2.0, 0.0, 2.0, 0.0)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        if self.on_curve:
            painter.fillRect(self.boundingRect(), self._plate)
        painter.setFont(self._font)
        painter.setPen(self._colour)
        painter.drawText(self._base, self.words)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A label that needs a place: beside a curve, or beside a mark."""

    owner: str
    words: str
    colour: str
    bold: bool
    curve: tuple[FloatArray, FloatArray] | None
    mark: tuple[float, float] | None
    near_x: float | None = None
    on: bool = False


class PanelItems:
    """Everything of one panel except its load points, as items in a lane."""

    def __init__(self, lane: Lane, scene: QGraphicsScene) -> None:
        self.lane, self._scene = lane, scene
        self.curves: dict[str, LineItem] = {}
        self._areas: dict[str, AreaItem] = {}
        self._labels: dict[str, LabelItem] = {}
        self._contours: LineItem | None = None
        self._map: Map | None = None
        self._map_lines: list[tuple[str, list[FloatArray]]] = []
        self._wanted: list[_Wanted] = []
        self._shown: dict[str, tuple[FloatArray, FloatArray]] = {}
        self._looks: dict[str, tuple[Style, Tokens, bool]] = {}
        self._layout = -1
        self.lit = ""

    def show(self, panel: Panel, tokens: Tokens) -> None:
        """Draw a panel; what has not changed is left alone."""
        self._wanted = []
        kept = set()
        if self._layout != self.lane.layout:
            self._layout = self.lane.layout
            self._shown = {}  # everything is mapped to pixels anew
        for order, series in enumerate((*panel.series, *self._rules(panel))):
            kept.add(series.id)
            self._show_curve(series, order, tokens)
            if series.fill_to is not None:
                kept.add(f"{series.id} area")
                base = np.full(len(series.x), series.fill_to)
                self._show_area(
                    f"{series.id} area", series.x, base, series.y, series.style, tokens, FILL_OPACITY
                )
        for band in panel.bands:
            kept.add(band.id)
            opacity = FILL_OPACITY if band.faint else _BAND_OPACITY
            if band.hatch != "plain":
                opacity = HATCH_OPACITY
            self._show_area(band.id, band.x, band.low, band.high, band.style, tokens, opacity, band.hatch)
            if band.label:
                self._want_in_band(band, tokens)
        self._show_map(panel.map, tokens)
        for number, note in enumerate(panel.notes):  # two may have the same words
            self._want(f"note {number}", note.text, tokens.soft_ink, False, mark=(note.x, note.y))
        for point in panel.points:
            self._want(point.id, point.label, tokens.ink, False, mark=(point.x, point.y))
        self._drop(kept)
        self._refresh_words(tokens)

    def _rules(self, panel: Panel) -> list[Series]:
        """Return the limit lines as curves over the range on screen."""
        low, high = self.lane.x_range
        rules = []
        for number, rule in enumerate(panel.rules):
            ends = (low if rule.start is None else rule.start, high if rule.end is None else rule.end)
            rules.append(
                Series(f"rule {number}", np.array(ends), np.array([rule.y, rule.y]), rule.style, rule.label)
            )
        return rules

    def _show_curve(self, series: Series, order: int, tokens: Tokens) -> None:
        curve = self.curves.get(series.id)
        if curve is None:
            curve = self.curves[series.id] = LineItem(self.lane)
            curve.setZValue(float(order))
        lit = bool(self.lit) and (self.lit in series.id or self.lit in series.label)
        look = (series.style, tokens, lit)
        if self._looks.get(series.id) != look:
            self._looks[series.id] = look
            pen = pen_of(series.style, tokens)
            pen.setWidthF(pen.widthF() + (_LIT_PX if lit else 0.0))
            curve.set_pen(pen)
        if self._is_new(series.id, series.x, series.y):
            curve.set_line(series.x, series.y, self.lane.curve_px(series.x, series.y))
        bold = series.style.role == "candidate"
        colour = tokens.colour_of(series.style)
        self._want(series.id, series.label, colour, bold, curve=(series.x, series.y), near_x=series.label_x)

    def _show_area(
        self,
        name: str,
        x: FloatArray,
        low: FloatArray,
        high: FloatArray,
        style: Style,
        tokens: Tokens,
        opacity: float,
        hatch: Hatch = "plain",
    ) -> None:
        area = self._areas.get(name)
        if area is None:
            area = self._areas[name] = AreaItem(self.lane)
            area.setZValue(-1.0)
        colour = QColor(tokens.colour_of(style))
        colour.setAlphaF(opacity)
        area.set_brush(QBrush(colour, PATTERNS[hatch]))
        known = np.isfinite(low) & np.isfinite(high)
        there, back = x[known], x[known][::-1]
        outline_x = np.concatenate([there, back])
        outline_y = np.concatenate([high[known], low[known][::-1]])
        if self._is_new(name, outline_x, outline_y):
            area.set_outline(self.lane.curve_px(outline_x, outline_y))

    def _is_new(self, name: str, x: FloatArray, y: FloatArray) -> bool:
        """Return whether the numbers of an item differ from those on screen, and keep them."""
        old = self._shown.get(name)
        if old is not None and _equal(old[0], x) and _equal(old[1], y):
            return False
        self._shown[name] = (x, y)
        return True

    def _want_in_band(self, band: Band, tokens: Tokens) -> None:
        """Ask for a label where a band is thickest: within it where it has room, else beside it."""
        thickness = np.nan_to_num(band.high - band.low)
        if not len(thickness) or thickness.max() <= 0.0:
            return
        thickest = int(np.argmax(thickness))
        (x0, x1), (y0, y1), frame = self.lane.x_range, self.lane.y_range, self.lane.frame
        tall = float(thickness[thickest]) / (y1 - y0) * frame.height()
        thick = np.flatnonzero(thickness >= 0.5 * thickness[thickest])
        wide = float(band.x[thick[-1]] - band.x[thick[0]]) / (x1 - x0) * frame.width()
        width, height = text_size(band.label)
        if tall < _THINNEST_NAMED_PX:
            return
        middle = (band.x[thick], 0.5 * (band.low + band.high)[thick])
        inside = tall >= height and wide >= width
        near = float(band.x[thickest]) if not inside else float(0.5 * (band.x[thick[0]] + band.x[thick[-1]]))
        self._want(band.id, band.label, tokens.ink, False, curve=middle, near_x=near, on=inside)

    def _show_map(self, grid: Map | None, tokens: Tokens) -> None:
        if self._contours is None:
            if grid is None:
                return
            self._contours = LineItem(self.lane)
            self._contours.setZValue(-0.5)
        self._contours.set_pen(QPen(QColor(tokens.soft_ink), 0.8))
        if grid is not self._map:
            self._map = grid
            levels = () if grid is None else zip(grid.levels, grid.level_labels, strict=True)
            self._map_lines = [
                (words, contour_lines(grid, level)) for level, words in levels if grid is not None
            ]
        x, y = _joined([line for _, lines in self._map_lines for line in lines])
        if self._is_new("map", x, y):
            self._contours.set_line(x, y, self.lane.curve_px(x, y))
        for words, lines in self._map_lines:
            if lines:
                line = lines[0]
                self._want(
                    f"map {words}", words, tokens.soft_ink, False, curve=(line[:, 0], line[:, 1]), on=True
                )

    def _want(
        self,
        owner: str,
        words: str,
        colour: str,
        bold: bool,
        curve: tuple[FloatArray, FloatArray] | None = None,
        mark: tuple[float, float] | None = None,
        near_x: float | None = None,
        on: bool = False,
    ) -> None:
        self._wanted.append(_Wanted(owner, words, colour, bold, curve, mark, near_x, on))

    def _drop(self, kept: set[str]) -> None:
        """Remove the items of what is no longer in the panel."""
        for items in (self.curves, self._areas):
            for name in [name for name in items if name not in kept]:
                self._scene.removeItem(items.pop(name))
                self._shown.pop(name, None)
                self._looks.pop(name, None)

    def _refresh_words(self, tokens: Tokens) -> None:
        """Update the words of labels that have a place; remove labels that nobody wants."""
        wanted = {want.owner: want for want in self._wanted if want.words}
        for owner in [owner for owner in self._labels if owner not in wanted]:
            self._scene.removeItem(self._labels.pop(owner))
        for owner, label in self._labels.items():
            want = wanted[owner]
            label.set_words(want.words, want.bold, want.colour, tokens.pane)

    def move_label(self, owner: str, dx: float, dy: float) -> None:
        """Let a label follow its mark during a drag."""
        label = self._labels.get(owner)
        if label is not None:
            frame, width = self.lane.frame, label.boundingRect().width()
            x = min(max(label.x() + dx, frame.left() + 4.0), frame.right() - width)
            label.setPos(x, label.y() + dy)

    def remove_labels(self) -> None:
        """Take the labels off the canvas, before the lane goes."""
        while self._labels:
            self._scene.removeItem(self._labels.popitem()[1])

    def hide_labels(self) -> None:
        """Hide the labels until they are placed anew."""
        for label in self._labels.values():
            label.setVisible(False)

    def place_labels(self, tokens: Tokens, keep_clear: list[QRectF]) -> None:
        """Give every label a free place beside its curve or mark."""
        frame = _box(self.lane.frame)
        placer = LabelPlacer(frame)
        for rect in keep_clear:
            placer.keep_clear(_box(rect))
        pieces: dict[str, list[FloatArray]] = {}
        for want in self._wanted:
            if want.curve is not None:
                line = self.lane.curve_px(*want.curve) / _PX_PER_MM
                pieces[want.owner] = clip_polyline(line, frame)
                for piece in pieces[want.owner]:
                    placer.add_curve(want.owner, sampled(piece, 1.5))
        for want in sorted(self._wanted, key=lambda w: w.mark is None):
            if want.words:
                self._place(want, placer, pieces.get(want.owner, []), tokens)

    def _place(self, want: _Wanted, placer: LabelPlacer, pieces: list[FloatArray], tokens: Tokens) -> None:
        sides: tuple[Side, ...] = (ON,) if want.on else CURVE_SIDES
        gap = 0.0 if want.on else 0.8
        if want.mark is not None:
            spot = self.lane.to_px(*want.mark)
            anchors, sides, gap = [(spot.x() / _PX_PER_MM, spot.y() / _PX_PER_MM)], MARK_SIDES, 3.2
        else:
            anchors = _anchors(pieces, None if want.near_x is None else self._x_mm(want.near_x))
        label = self._labels.get(want.owner)
        if label is None:
            label = self._labels[want.owner] = LabelItem()
            self._scene.addItem(label)
        label.set_words(want.words, want.bold, want.colour, tokens.pane)
        label.setVisible(False)
        if anchors:
            width, height = text_size(want.words, want.bold)
            width += 2.0 * _LABEL_AIR
            placed = placer.place(want.owner, (width / _PX_PER_MM, height / _PX_PER_MM), anchors, sides, gap)
            label.setVisible(placed.free)
            label.on_curve = placed.on_curve
            label.setPos(round(placed.box.left * _PX_PER_MM + _LABEL_AIR), round(placed.box.top * _PX_PER_MM))

    def _x_mm(self, x: float) -> float:
        return self.lane.to_px(x, 0.0).x() / _PX_PER_MM


def _equal(one: FloatArray, other: FloatArray) -> bool:
    # compared as bytes, gaps included: asked for each curve at every move, and ten times as fast
    return one is other or (one.size == other.size and one.tobytes() == other.tobytes())


def _joined(lines: list[FloatArray]) -> tuple[FloatArray, FloatArray]:
    """Return many lines as one with gaps."""
    gap = np.full((1, 2), np.nan)
    rows = [part for line in lines for part in (line, gap)]
    whole = np.vstack(rows) if rows else gap
    return np.ascontiguousarray(whole[:, 0]), np.ascontiguousarray(whole[:, 1])


def _box(rect: QRectF) -> Box:
    return Box(*(side / _PX_PER_MM for side in (rect.left(), rect.top(), rect.width(), rect.height())))


def _anchors(pieces: list[FloatArray], near_x: float | None) -> list[tuple[float, float]]:
    """Return places along the longest visible piece of a curve, best first."""
    if not pieces:
        return []
    longest = max((sampled(piece, 0.8) for piece in pieces), key=len)
    places = [longest[int(share * (len(longest) - 1))] for share in _SHARES]
    anchors = [(float(x), float(y)) for x, y in places]
    return anchors if near_x is None else sorted(anchors, key=lambda anchor: abs(anchor[0] - near_x))
