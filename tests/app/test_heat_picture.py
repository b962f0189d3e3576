"""The flow of heat on screen: it comes when the hand rests, a line is chosen, an instant is slid to."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.theme import BODY_PT, DARK, LIGHT, SMALL_PT, Tokens
from app.views.cycle_pages import CyclePages
from app.views.heat_picture_view import NO_CANDIDATE, HeatPictureView
from app.views.plot_axes import plot_font
from core.charts.heat_picture import HeatPicture, nearest_instant
from core.project import edits
from core.project.duty_cycle import Segment
from core.results import HeatFlows
from core.units import DisplayUnits, Kind
from tests.app.bench_views import Desk, project_of

HOT = (Segment(name="stall", duration=10.0, shaft_torque=3.0, speed_start=20.0, speed_end=20.0),)


class Bench(Desk):
    """A desk with the picture on it."""

    def __init__(self, qtbot: QtBot) -> None:
        super().__init__(project_of())
        self.preferences.dress()
        self.qtbot = qtbot
        self.view = HeatPictureView(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.view)
        self.view.resize(660, 330)
        self.view.show()
        qtbot.waitExposed(self.view)
        self.wire(self.view)

    def wait_for_flows(self) -> None:
        self.qtbot.waitUntil(lambda: not self.view.is_late, timeout=20_000)
        self.settle()

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    @property
    def flows(self) -> HeatFlows:
        assert self.view.result is not None
        chosen = self.view.result.chosen_candidate
        assert chosen is not None
        assert chosen.flows is not None
        return chosen.flows

    @property
    def picture(self) -> HeatPicture:
        assert self.view.canvas.picture is not None
        return self.view.canvas.picture

    def selected(self) -> int | None:
        return self.view.canvas.selected

    def on_line(self, number: int) -> QPointF:
        """Return the middle of the longest straight bit of a line."""
        points = self.view.canvas.points_of(self.picture.lines[number])
        a, b = max(
            pairwise(points),
            key=lambda ends: abs(ends[0].x() - ends[1].x()) + abs(ends[0].y() - ends[1].y()),
        )
        return (a + b) * 0.5

    def click(self, place: QPointF) -> None:
        QTest.mouseClick(
            self.view.canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, place.toPoint()
        )

    def key(self, key: Qt.Key) -> None:
        QTest.keyClick(self.view.canvas, key)


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    made.wait_for_flows()
    yield made
    made.preferences.theme = "light"


def plain(words: str) -> str:
    return words.replace("\N{NO-BREAK SPACE}", " ")


def test_it_says_updating_until_the_flows_are_there(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.settle()
    assert bench.view.is_late
    assert bench.view.headline.text() == "updating"
    assert not bench.view.slider.isEnabled()
    bench.wait_for_flows()
    assert bench.view.headline.text().startswith("A 47 mm frame")
    assert bench.view.slider.isEnabled()


def test_a_hidden_view_asks_for_nothing(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.wait_for_flows()
    bench.view.hide()
    bench.document.edit(edits.change_segment(bench.document.project, 1, shaft_torque=0.025), "change torque")
    bench.recompute.run_now()
    QTest.qWait(300)
    assert bench.view.is_late
    bench.view.show()
    bench.wait_for_flows()
    assert "updating" not in bench.view.headline.text()


def test_within_a_gesture_the_picture_before_stays_and_says_that_it_is_old(bench: Bench) -> None:
    before = bench.picture
    bench.document.begin_gesture()
    bench.document.edit(edits.change_segment(bench.document.project, 1, shaft_torque=0.03), "change torque")
    bench.recompute.run_now()
    QTest.qWait(300)
    assert bench.view.is_late
    assert bench.view.headline.text() == "updating"
    assert bench.picture == before
    bench.document.end_gesture()
    bench.recompute.run_now()
    bench.wait_for_flows()
    assert bench.picture != before


def test_a_click_on_a_line_or_its_watts_shows_its_law(bench: Bench) -> None:
    for number, line in enumerate(bench.picture.lines):
        bench.click(bench.on_line(number))
        assert bench.selected() == number
        assert bench.view.law.accessibleDescription() == " ".join(line.law)
        bench.click(QPointF(2.0, 2.0))
        assert bench.selected() is None
        bench.click(bench.view.canvas.rect_of(line.label).center())
        assert bench.selected() == number
    units = bench.preferences.display_units
    link = list(map(tuple, bench.flows.ends.tolist())).index(bench.picture.lines[0].between)
    bench.click(bench.on_line(0))
    assert bench.flows.laws[link].text(units) in bench.view.law.text()


def test_the_arrow_keys_walk_through_the_lines_and_escape_leaves_them(bench: Bench) -> None:
    bench.view.setFocus(Qt.FocusReason.TabFocusReason)
    count = len(bench.picture.lines)
    walked = []
    for _ in range(count + 1):
        bench.key(Qt.Key.Key_Right)
        walked.append(bench.selected())
    assert walked == [*range(count), 0]
    bench.key(Qt.Key.Key_Left)
    assert bench.selected() == count - 1
    bench.key(Qt.Key.Key_Escape)
    assert bench.selected() is None
    assert "In the mean" in bench.view.law.text()


def test_the_slider_turns_to_an_instant(bench: Bench) -> None:
    bench.view.slider.setValue(700)
    assert bench.view.at_instant.isChecked()
    flows = bench.flows
    at = nearest_instant(flows, 0.7 * flows.time[-1])
    units = bench.preferences.display_units
    shown = [box.temp for box in bench.picture.boxes]
    expected = [*flows.temps[at], *flows.sink_temp]
    assert shown == [units.format_quantity(float(temp), Kind.TEMPERATURE) for temp in expected]
    assert "at 350 ms of 500 ms" in bench.view.headline.text()
    assert bench.view.time.text() == "350 ms"
    bench.view.mean.setChecked(True)
    assert "mean of the cycle of 500 ms" in bench.view.headline.text()
    assert bench.view.time.text() == ""


def test_boxes_stay_where_they_are_at_every_instant(bench: Bench) -> None:
    places = []
    for value in (0, 300, 1000):
        bench.view.slider.setValue(value)
        places.append([box.place for box in bench.picture.boxes])
    assert places[0] == places[1] == places[2]


def test_the_chosen_line_stays_chosen_in_the_next_result(bench: Bench) -> None:
    bench.click(bench.on_line(1))
    title = bench.picture.lines[1].title
    bench.document.edit(edits.change_segment(bench.document.project, 1, shaft_torque=0.03), "change torque")
    bench.recompute.run_now()
    bench.wait_for_flows()
    assert bench.selected() == 1
    assert bench.picture.lines[1].title != title
    assert bench.picture.lines[1].title in bench.view.law.accessibleDescription()


def test_a_cursor_at_rest_is_told_what_is_there(bench: Bench) -> None:
    canvas = bench.view.canvas
    assert canvas.words_at(bench.on_line(0)) == bench.picture.lines[0].title
    winding = bench.picture.boxes[0]
    middle = canvas.rect_of(winding.place).center()
    assert canvas.words_at(middle) == winding.words
    assert "copper" in winding.words
    assert canvas.words_at(QPointF(1.0, 1.0)) == ""
    QTest.mouseMove(canvas, bench.on_line(0).toPoint())
    bench.settle()
    assert canvas.cursor().shape() is Qt.CursorShape.PointingHandCursor
    QTest.mouseMove(canvas, QPoint(1, 1))
    bench.settle()
    assert canvas.cursor().shape() is Qt.CursorShape.ArrowCursor


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_have_the_colour_of_their_candidate_in_both_themes(bench: Bench, tokens: Tokens) -> None:
    bench.preferences.theme = tokens.name
    bench.settle()
    image = bench.view.canvas.grab().toImage()
    colours = {
        image.pixelColor(x, y).name().upper() for x in range(image.width()) for y in range(image.height())
    }
    assert tokens.candidates[0].colour.upper() in colours
    assert tokens.ink.upper() in colours
    assert tokens.pane.upper() in colours


def test_words_fit_their_places_in_the_shipped_type(bench: Bench) -> None:
    canvas, scale = bench.view.canvas, bench.view.canvas.rect_of
    small, large = QFontMetricsF(plot_font(SMALL_PT)), QFontMetricsF(plot_font(BODY_PT, bold=True))
    for line in bench.picture.lines:
        assert small.horizontalAdvance(line.watts) <= scale(line.label).width() + 1.0
    for box in bench.picture.boxes:
        width = canvas.rect_of(box.place).width()
        assert all(small.horizontalAdvance(words) <= width for words in (*box.name, box.heat))
        assert large.horizontalAdvance(box.temp) <= width


def test_units_of_the_reader_are_used(bench: Bench) -> None:
    bench.preferences.display_units = DisplayUnits().with_units({Kind.POWER: "mW"})
    assert all(line.watts.endswith("mW") for line in bench.picture.lines)
    assert "mW" in bench.view.law.text()


def test_it_says_why_there_is_no_picture(bench: Bench) -> None:
    project = bench.document.project
    bench.document.edit(edits.change_application(project, duty_cycle=HOT), "heat up")
    bench.recompute.run_now()
    bench.settle()
    assert bench.view.canvas.picture is None
    assert "runs away" in bench.view.headline.text()
    assert bench.view.law.text() == ""
    bench.key(Qt.Key.Key_Right)
    assert bench.selected() is None


def test_without_a_candidate_it_says_so(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    while bench.document.project.candidates:
        bench.document.edit(edits.remove_candidate(bench.document.project, 0), "remove")
    bench.recompute.run_now()
    bench.settle()
    assert bench.view.headline.text() == NO_CANDIDATE


def test_it_is_named_for_those_who_do_not_see_it(bench: Bench) -> None:
    view = bench.view
    assert view.canvas.accessibleName() == "Heat flow"
    assert plain(view.canvas.accessibleDescription()).startswith(
        "Heat flow, mean of the cycle of 500 ms. winding"
    )
    assert view.slider.accessibleName() == "Instant in the cycle"
    assert view.law.accessibleName() == "Law of the chosen link"
    assert view.focusProxy() is view.canvas
    for part in (view.mean, view.at_instant, view.slider):
        assert part.toolTip()


def test_focus_is_seen(bench: Bench) -> None:
    bench.view.canvas.clearFocus()
    bench.settle()
    without = bench.view.canvas.grab().toImage()
    bench.view.canvas.setFocus()
    bench.qtbot.waitUntil(bench.view.canvas.hasFocus)
    assert bench.view.canvas.grab().toImage() != without


@pytest.mark.parametrize("size", [(1, 1), (200, 900), (1500, 160), (330, 200)])
def test_any_room_is_taken_without_complaint(bench: Bench, size: tuple[int, int]) -> None:
    bench.view.canvas.resize(*size)
    bench.settle()
    canvas = bench.view.canvas
    assert canvas.grab().width() >= 1
    whole = QRectF(canvas.rect()).adjusted(-1.0, -1.0, 1.0, 1.0)
    assert all(whole.contains(canvas.rect_of(box.place)) for box in bench.picture.boxes)


def test_the_word_above_the_cycle_turns_to_it(qtbot: QtBot) -> None:
    desk = Desk(project_of())
    view = CyclePages(desk.document, desk.selection, desk.preferences)
    qtbot.addWidget(view)
    view.resize(800, 420)
    view.show()
    qtbot.waitExposed(view)
    desk.wire(view)
    view.words.buttons["heat flow"].click()
    assert view.current_page() is view.heat_flow
    qtbot.waitUntil(lambda: not view.heat_flow.is_late, timeout=20_000)
    assert view.heat_flow.canvas.picture is not None
    assert view.words.buttons["heat flow"].property("current") == "true"
