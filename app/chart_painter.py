"""Paint a chart in true millimetres on paper, in a picture file or on a page preview.

The painter's unit must be one millimetre (`chart_export` and the sheet see to that). Curves are
cut at their panel, type is type, and each label finds its own place beside its curve.
Order, from the back: spans, areas, grid, contours, limit lines, curves, marks, labels.
"""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.chart_canvas import Align, Canvas
from app.chart_layout import TICK_GAP, Frame, Layout, TypeSizes, lay_out
from app.theme import FILL_OPACITY, Tokens
from core.charts.chart import Chart, Hatch, Point, Series, Style, Width
from core.charts.clipping import clip_polygon, clip_polyline, sampled
from core.charts.contours import contour_lines
from core.charts.hatching import hatch_lines
from core.charts.label_placement import CURVE_SIDES, END_SIDES, MARK_SIDES, ON, Box, LabelPlacer, Side
from core.numeric import FloatArray
from core.records import dataclass

GRID_MM, AXIS_MM = 0.15, 0.22
WIDTHS_MM: dict[Width, float] = {"thin": 0.2, "regular": 0.4, "heavy": 0.65}
BAND_OPACITY = 0.18
SAMPLE_MM = 0.7

# Shares of a curve at which its label may stand, best first: where curves have parted, not at an end.
_ANCHOR_SHARES = (0.72, 0.6, 0.84, 0.48, 0.36, 0.93, 0.24, 0.12)
_CONTOUR_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)


@dataclass(frozen=True, slots=True)
class _Label:
    """Words that wait for a place."""

    rank: int
    owner: str
    text: str
    colour: str
    bold: bool
    anchors: list[tuple[float, float]]
    sides: tuple[Side, ...]
    gap: float


def paint_chart(painter: QPainter, chart: Chart, rect_mm: QRectF, tokens: Tokens) -> Layout:
    """Paint the chart into the rectangle and return where its panels stand."""
    canvas = Canvas(painter, tokens)
    painter.save()
    rect = Box(rect_mm.x(), rect_mm.y(), rect_mm.width(), rect_mm.height())
    layout = lay_out(chart, rect, canvas.lettering)
    _paint_heading(canvas, layout, rect)
    for frame in layout.frames:
        _PanelPainter(canvas, frame, layout.sizes).paint(lowest=frame is layout.frames[-1])
    last = layout.frames[-1].box
    canvas.text(
        chart.x.title, last.right, layout.x_title_middle, layout.sizes.tick, tokens.soft_ink, align="right"
    )
    painter.restore()
    return layout


def _paint_heading(canvas: Canvas, layout: Layout, rect: Box) -> None:
    sizes, lettering, tokens = layout.sizes, canvas.lettering, canvas.tokens
    heading = layout.heading
    middle = rect.top + 0.5 * lettering.row(sizes.title)
    for row in heading.title_rows:
        canvas.text(row, rect.left, middle, sizes.title, tokens.ink, bold=True)
        middle += lettering.row(sizes.title)
    if heading.beside:
        left = rect.left + lettering.width(heading.title_rows[0], sizes.title, bold=True) + 3.0
        # Both stand on one baseline: half the difference of their capitals.
        drop = 0.365 * (sizes.title - sizes.body) * 25.4 / 72.0
        canvas.text(
            heading.headline_rows[0],
            left,
            rect.top + 0.5 * lettering.row(sizes.title) + drop,
            sizes.body,
            tokens.soft_ink,
        )
        return
    middle += 0.5 * (lettering.row(sizes.body) - lettering.row(sizes.title))
    for row in heading.headline_rows:
        canvas.text(row, rect.left, middle, sizes.body, tokens.soft_ink)
        middle += lettering.row(sizes.body)


class _PanelPainter:
    """Paints one panel; its steps share the frame, the canvas and the labels that wait."""

    def __init__(self, canvas: Canvas, frame: Frame, sizes: TypeSizes) -> None:
        self._canvas, self._frame, self._sizes = canvas, frame, sizes
        self._tokens, self._box = canvas.tokens, frame.box
        self._placer = LabelPlacer(frame.box)
        self._labels: list[_Label] = []
        self._ring_mm = 0.26 * sizes.body

    def paint(self, lowest: bool) -> None:
        """Paint the panel; the lowest one carries the numbers of the x axis."""
        self._paint_spans()
        self._paint_areas()
        self._paint_grid()
        self._paint_axis_numbers(lowest)
        self._paint_map()
        self._paint_rules()
        for series in self._frame.panel.series:
            self._paint_series(series)
        self._paint_notes()
        self._paint_points()
        self._paint_labels()

    def _paint_spans(self) -> None:
        box, tokens, pt = self._box, self._tokens, self._sizes.tick
        taken_until = -np.inf
        for span in self._frame.panel.spans:
            left = min(max(self._frame.x_mm(span.start), box.left), box.right)
            right = min(max(self._frame.x_mm(span.end), box.left), box.right)
            if span.shaded:
                self._canvas.plate(Box(left, box.top, right - left, box.height), tokens.selection)
            for edge in (left, right):
                if box.left + 0.01 < edge < box.right - 0.01:
                    self._canvas.line(edge, box.top, edge, box.bottom, tokens.soft_ink, 0.15, (4.0, 4.0))
            half = 0.5 * self._canvas.lettering.width(span.label, pt)
            centre = 0.5 * (left + right)
            # Numbers of very short segments would run into each other: the later one is left out.
            if span.label and right > left and centre - half > taken_until:
                self._canvas.text(span.label, centre, self._frame.span_middle, pt, tokens.soft_ink, "centre")
                taken_until = centre + half + 0.6

    def _paint_areas(self) -> None:
        panel, frame = self._frame.panel, self._frame
        for series in panel.series:
            if series.fill_to is not None:
                base = np.full(len(series.x), series.fill_to)
                self._area(series.x, series.y, base, series.style, FILL_OPACITY)
        for band in panel.bands:
            opacity = FILL_OPACITY if band.faint else BAND_OPACITY
            self._area(band.x, band.low, band.high, band.style, opacity, band.hatch)
            self._wait_at_curve(band.id, band.label, band.style, frame.points_mm(band.x, band.high), None)

    def _area(
        self,
        x: FloatArray,
        first: FloatArray,
        second: FloatArray,
        style: Style,
        opacity: float,
        hatch: Hatch = "plain",
    ) -> None:
        known = np.isfinite(first) & np.isfinite(second)
        starts = np.flatnonzero(known & ~np.concatenate([[False], known[:-1]]))
        ends = np.flatnonzero(known & ~np.concatenate([known[1:], [False]])) + 1
        for start, end in zip(starts, ends, strict=True):
            there = self._frame.points_mm(x[start:end], first[start:end])
            back = self._frame.points_mm(x[start:end], second[start:end])[::-1]
            outline = clip_polygon(np.vstack([there, back]), self._box)
            colour = self._tokens.colour_of(style)
            self._canvas.area(outline, colour, opacity)
            for stroke in hatch_lines(outline, hatch):
                self._canvas.polyline(stroke, colour, WIDTHS_MM["thin"])

    def _paint_grid(self) -> None:
        box, tokens, canvas = self._box, self._tokens, self._canvas
        for place in self._frame.x_ticks.places:
            x = self._frame.x_mm(place)
            canvas.line(x, box.top, x, box.bottom, tokens.grid, GRID_MM)
        for place in self._frame.y_ticks.places:
            y = self._frame.y_mm(place)
            canvas.line(box.left, y, box.right, y, tokens.grid, GRID_MM)
        low, high = self._frame.y_range
        zero = self._frame.y_mm(0.0) if low < 0.0 < high else box.bottom
        canvas.line(box.left, zero, box.right, zero, tokens.soft_ink, AXIS_MM)
        canvas.line(box.left, box.top, box.left, box.bottom, tokens.soft_ink, AXIS_MM)

    def _paint_axis_numbers(self, lowest: bool) -> None:
        box, soft, pt = self._box, self._tokens.soft_ink, self._sizes.tick
        canvas, frame = self._canvas, self._frame
        canvas.text(frame.panel.y.title, frame.title_left, frame.title_middle, pt, soft)
        row = canvas.lettering.row(pt)
        taken: list[float] = []
        for place, label in zip(frame.y_ticks.places, frame.y_ticks.labels, strict=True):
            y = frame.y_mm(place)
            # Ticks chosen by the caller may stand closer than their numbers are high.
            if all(abs(y - other) >= 0.8 * row for other in taken):
                canvas.text(label, box.left - TICK_GAP, y, pt, soft, "right")
                taken.append(y)
        if lowest:
            middle = box.bottom + TICK_GAP + 0.5 * row
            for place, label in zip(frame.x_ticks.places, frame.x_ticks.labels, strict=True):
                canvas.text(label, frame.x_mm(place), middle, pt, soft, "centre")

    def _paint_map(self) -> None:
        grid = self._frame.panel.map
        if grid is None:
            return
        colour, pt = self._tokens.soft_ink, self._sizes.tick
        for level, words in zip(grid.levels, grid.level_labels, strict=True):
            owner = f"{grid.id} {words}"
            pieces: list[FloatArray] = []
            for line in contour_lines(grid, level):
                pieces += clip_polyline(self._frame.points_mm(line[:, 0], line[:, 1]), self._box)
            for piece in pieces:
                self._canvas.polyline(piece, colour, WIDTHS_MM["thin"])
                self._placer.add_curve(owner, sampled(piece, SAMPLE_MM))
            longest = max((len(sampled(piece, SAMPLE_MM)) * SAMPLE_MM for piece in pieces), default=0.0)
            # A line shorter than its own label would vanish under it.
            if longest > 2.0 * self._canvas.lettering.width(words, pt):
                anchors = _anchors(pieces, _CONTOUR_SHARES)
                self._labels.append(_Label(3, owner, words, colour, False, anchors, (ON,), 0.0))

    def _paint_rules(self) -> None:
        low, high = self._frame.x_range
        for number, rule in enumerate(self._frame.panel.rules):
            start = low if rule.start is None else rule.start
            end = high if rule.end is None else rule.end
            line = self._frame.points_mm(np.array([start, end]), np.array([rule.y, rule.y]))
            self._curve(f"rule {number}", line, rule.style)
            self._wait_at_curve(f"rule {number}", rule.label, rule.style, line, None, at_end=True)

    def _paint_series(self, series: Series) -> None:
        line = self._frame.points_mm(series.x, series.y)
        self._curve(series.id, line, series.style)
        at = None if series.label_x is None else self._frame.x_mm(series.label_x)
        self._wait_at_curve(series.id, series.label, series.style, line, at)

    def _curve(self, owner: str, line: FloatArray, style: Style) -> None:
        colour, dashes = self._tokens.colour_of(style), self._tokens.dashes_of(style)
        for piece in clip_polyline(line, self._box):
            self._canvas.polyline(piece, colour, WIDTHS_MM[style.width], dashes)
            self._placer.add_curve(owner, sampled(piece, SAMPLE_MM))

    def _wait_at_curve(
        self, owner: str, text: str, style: Style, line: FloatArray, at: float | None, at_end: bool = False
    ) -> None:
        if not text:
            return
        pieces = clip_polyline(line, self._box)
        anchors = _anchors(pieces, _ANCHOR_SHARES)
        if at is not None:
            anchors.sort(key=lambda anchor: abs(anchor[0] - at))
            whole = np.vstack(pieces) if pieces else np.zeros((0, 2))
            if len(whole) and whole[:, 0].min() <= at <= whole[:, 0].max():
                nearest = sampled(whole, 0.2)
                x, y = nearest[int(np.argmin(abs(nearest[:, 0] - at)))]
                anchors.insert(0, (float(x), float(y)))
        if at_end:
            anchors = _anchors(pieces, (1.0,)) + anchors
        sides = END_SIDES if at_end else CURVE_SIDES
        if anchors:
            bold = style.role in ("candidate", "missed")
            rank = 0 if bold else 2
            colour = self._tokens.colour_of(style)
            self._labels.append(_Label(rank, owner, text, colour, bold, anchors, sides, 0.7))

    def _paint_notes(self) -> None:
        shares: dict[Align, float] = {"left": 0.0, "centre": 0.5, "right": 1.0}
        pt, colour = self._sizes.tick, self._tokens.soft_ink
        for note in self._frame.panel.notes:
            width, height = self._canvas.lettering.size(note.text, pt)
            left = self._frame.x_mm(note.x) - shares[note.align] * width
            left = max(self._box.left + 0.6, min(left, self._box.right - width))
            middle = self._frame.y_mm(note.y)
            middle = max(self._box.top + 0.5 * height, min(middle, self._box.bottom - 0.5 * height))
            self._canvas.text(note.text, left, middle, pt, colour)
            self._placer.keep_clear(Box(left, middle - 0.5 * height, width, height))

    def _paint_points(self) -> None:
        outside = 0
        near = self._box.grown(0.05)
        for point in self._frame.panel.points:
            x, y = self._frame.x_mm(point.x), self._frame.y_mm(point.y)
            if not (near.left <= x <= near.right and near.top <= y <= near.bottom):
                outside += 1
                continue
            self._paint_mark(point, x, y)
            half = self._ring_mm + 0.3
            self._placer.keep_clear(Box(x - half, y - half, 2.0 * half, 2.0 * half))
            if point.label:
                colour = self._tokens.colour_of(point.style)
                label = _Label(
                    1, point.id, point.label, colour, point.selected, [(x, y)], MARK_SIDES, half + 0.7
                )
                self._labels.append(label)
        if outside:
            # A load point that the axis does not reach must not vanish without a word.
            words = f"{outside} point{'s' if outside > 1 else ''} outside the axes"
            corner = (self._box.right, self._box.top)
            self._labels.append(
                _Label(0, "outside", words, self._tokens.missed, True, [corner], ((-1.0, 0.0),), 0.5)
            )

    def _paint_mark(self, point: Point, x: float, y: float) -> None:
        canvas, tokens = self._canvas, self._tokens
        colour = tokens.colour_of(point.style)
        width = 0.6 if point.selected else 0.28
        if point.mark == "diamond":
            canvas.diamond(x, y, self._ring_mm * 0.85, colour, tokens.pane, 0.25)
            if point.selected:
                canvas.ring(x, y, self._ring_mm * 1.25, "", colour, width)
            return
        canvas.ring(x, y, self._ring_mm, tokens.pane, colour, width)
        canvas.text(point.text, x, y, self._sizes.tick, colour, "centre", bold=True)

    def _paint_labels(self) -> None:
        """Give each waiting label its place, the most important first."""
        for label in sorted(self._labels, key=lambda waiting: waiting.rank):
            pt = self._sizes.body if label.bold else self._sizes.tick
            size = self._canvas.lettering.size(label.text, pt, label.bold)
            placed = self._placer.place(label.owner, size, label.anchors, label.sides, label.gap)
            box = placed.box
            if not placed.free:
                # Words over words help nobody; colour, dash and mark still tell what it is.
                continue
            if placed.on_curve:
                self._canvas.plate(box, self._tokens.pane, 0.88)
            middle = box.top + 0.5 * box.height
            self._canvas.text(label.text, box.left, middle, pt, label.colour, bold=label.bold)


def _anchors(pieces: list[FloatArray], shares: tuple[float, ...]) -> list[tuple[float, float]]:
    """Return places along the longest piece of a curve."""
    if not pieces:
        return []
    longest = max((sampled(piece, 0.4) for piece in pieces), key=len)
    places = [longest[int(share * (len(longest) - 1))] for share in shares]
    return [(float(x), float(y)) for x, y in places]
