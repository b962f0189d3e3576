"""The heat network of the chosen candidate as a picture, in the mean or at an instant of the cycle."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, Qt, QTimer, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QRadioButton,
    QScrollArea,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.heat_canvas import HeatCanvas
from app.views.plot_base import CALM_MS, ElidedLabel
from core.charts.display_axis import letter, time_words
from core.charts.heat_picture import (
    TITLE,
    balance_words,
    heat_picture,
    nearest_instant,
    node_limits,
    when_words,
)
from core.charts.temperature_chart import state_words
from core.results import CandidateResult, HeatFlows, Result

NO_CANDIDATE: Final = "No candidate is chosen."
HINT: Final = "Choose a line by a click or the arrow keys to read the law of its link."
_STEPS = 1000  # of the slider over the cycle
_LEAST_ROWS, _MOST_ROWS = 4, 8  # of the law


class HeatPictureView(QFrame):
    """Draws the flow of heat of the newest result, which is computed when the hand rests."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.result: Result | None = None
        self._drawn: tuple[Result, CandidateResult, HeatFlows] | None = None
        self._between: frozenset[int] | None = None  # the ends of the chosen line
        self.setProperty("surface", "pane")
        self.canvas = HeatCanvas(preferences.tokens)
        self.canvas.setAccessibleName(TITLE)
        self.headline = ElidedLabel()
        self.headline.setProperty("type", "small")
        self.headline.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._title = QLabel(TITLE)
        self._title.setProperty("type", "group")
        self._make_choice()
        self._make_law()
        self._lay_out()
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(CALM_MS)
        self._calm.timeout.connect(self._on_calm)
        self.setFocusProxy(self.canvas)
        self.canvas.chosen.connect(self._on_chosen)
        self.canvas.resized.connect(self._draw)
        self.canvas.scroll_asked.connect(self._scroll_law)
        preferences.changed.connect(self.restyle)

    def _make_choice(self) -> None:
        self.mean = QRadioButton("mean of the cycle")
        self.mean.setToolTip("Mean temperatures and mean flows of the repeating cycle")
        self.mean.setChecked(True)
        self.at_instant = QRadioButton("at an instant")
        self.at_instant.setToolTip("Temperatures and flows at one instant, at the speed that it has")
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, _STEPS)
        self.slider.setPageStep(_STEPS // 10)
        self.slider.setAccessibleName("Instant in the cycle")
        self.slider.setToolTip("Instant in the cycle")
        self.time = QLabel()
        self.time.setProperty("type", "small")
        self.time.setMinimumWidth(self.fontMetrics().horizontalAdvance("0000 ms"))
        self.mean.toggled.connect(self._draw)
        self.slider.valueChanged.connect(self._on_slid)

    def _make_law(self) -> None:
        self.law = QLabel()
        self.law.setProperty("type", "small")
        self.law.setWordWrap(True)
        self.law.setTextFormat(Qt.TextFormat.RichText)
        self.law.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.law.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.law.setContentsMargins(14, 2, 8, 0)
        self.law.setAccessibleName("Law of the chosen link")
        self.law_area = QScrollArea()
        self.law_area.setWidget(self.law)
        self.law_area.setWidgetResizable(True)
        for part in (self.law, self.law_area.viewport()):
            part.setAutoFillBackground(False)  # the ground of the pane goes on under the words
        self.law_area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the picture turns its pages
        self.law_area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        row = self.law.fontMetrics().lineSpacing()
        self.law_area.setMinimumHeight(_LEAST_ROWS * row)
        self.law_area.setMaximumHeight(_MOST_ROWS * row)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(14, 0, 8, 0)
        head.setSpacing(10)
        head.addWidget(self._title)
        head.addWidget(self.headline, 1)
        choice = QHBoxLayout()
        choice.setContentsMargins(14, 2, 14, 2)
        choice.setSpacing(12)
        choice.addWidget(self.mean)
        choice.addWidget(self.at_instant)
        choice.addWidget(self.slider, 1)
        choice.addWidget(self.time)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 6, 1, 6)
        column.setSpacing(0)
        column.addLayout(head)
        column.addLayout(choice)
        column.addWidget(self.canvas, 4)
        column.addWidget(self.law_area, 1)

    def hide_title(self) -> None:
        """Leave the title to the word of the page above."""
        self._title.hide()

    # the result ----------------------------------------------------------------------------------------

    def show_result(self, result: Result) -> None:
        """Draw a result."""
        self.result = result
        self.redraw()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.redraw()

    def restyle(self) -> None:
        """Draw again in the units and colours that are preferred now."""
        self._draw()

    def redraw(self) -> None:
        """Draw the newest result; while its flows are not there yet, the one before, said to be old."""
        if self.result is None or not self.isVisible():
            return
        candidate = self.result.chosen_candidate
        later = None if candidate is None else candidate.flows_later
        if candidate is None or later is None:
            self._drawn = None
        elif later.known:
            self._drawn = self.result, candidate, later.value()
        elif not self._document.in_gesture:
            self._calm.start()
        self._draw()

    @property
    def is_late(self) -> bool:
        """Whether the flows of the newest result are still to be computed."""
        candidate = None if self.result is None else self.result.chosen_candidate
        later = None if candidate is None else candidate.flows_later
        return later is not None and not later.known

    @Slot()
    def _on_calm(self) -> None:
        candidate = None if self.result is None else self.result.chosen_candidate
        if candidate is not None and candidate.flows_later is not None and not self._document.in_gesture:
            candidate.flows_later.value()
            self.redraw()

    # the picture ---------------------------------------------------------------------------------------

    @property
    def instant(self) -> float | None:
        """The instant in the cycle that is shown, None for the mean. [s]"""
        if self._drawn is None or self.mean.isChecked():
            return None
        return self.slider.value() / _STEPS * float(self._drawn[2].time[-1])

    @Slot()
    def _draw(self) -> None:
        tokens, units = self._preferences.tokens, self._preferences.display_units
        for part in (self.mean, self.at_instant, self.slider):
            part.setEnabled(self._drawn is not None)
        if self._drawn is None:
            self.headline.setText(self._nothing_words())
            self.time.clear()
            self.law.clear()
            self.canvas.show_picture(None, None, tokens, tokens.ink)
            return
        result, candidate, flows = self._drawn
        instant = self.instant
        picture = heat_picture(flows, units, self.canvas.room, instant, node_limits(result, candidate))
        at = None if instant is None else nearest_instant(flows, instant)
        words = f"{letter(candidate.index)} {candidate.name}, {when_words(flows, at, units)}"
        self.headline.setText("updating" if self.is_late else words)
        self.time.setText("" if at is None else time_words(float(flows.time[at]), units))
        ends = [frozenset(line.between) for line in picture.lines]
        selected = ends.index(self._between) if self._between in ends else None
        look = tokens.candidates[candidate.index % len(tokens.candidates)]
        self.canvas.show_picture(picture, selected, tokens, look.colour)
        law = (balance_words(flows, units), HINT) if selected is None else picture.lines[selected].law
        self._show_law(law, titled=selected is not None)

    def _nothing_words(self) -> str:
        candidate = None if self.result is None else self.result.chosen_candidate
        if candidate is None:
            return NO_CANDIDATE
        return "updating" if self.is_late else state_words(candidate, self._preferences.display_units, False)

    def _show_law(self, rows: tuple[str, ...], titled: bool) -> None:
        words = [_escaped(row) for row in rows]
        if titled:
            words[0] = f"<b>{words[0]}</b>"
        html = "".join(f'<p style="margin: 0 0 3px 0">{row}</p>' for row in words)
        if html != self.law.text():
            self.law.setText(html)
            self.law.setAccessibleDescription(" ".join(rows))
            self.law_area.verticalScrollBar().setValue(0)

    @Slot(object)
    def _on_chosen(self, number: int | None) -> None:
        picture = self.canvas.picture
        between = None if number is None or picture is None else frozenset(picture.lines[number].between)
        self._between = between
        self._draw()

    @Slot()
    def _on_slid(self) -> None:
        if self.at_instant.isChecked():
            self._draw()
        else:
            self.at_instant.setChecked(True)  # which draws

    @Slot(int)
    def _scroll_law(self, pages: int) -> None:
        bar = self.law_area.verticalScrollBar()
        bar.setValue(bar.value() + pages * bar.pageStep())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and getattr(self, "law_area", None) is not None:
            self._draw()


def _escaped(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(HeatPictureView)
