"""The margins panel: order, gesture, folding, selection, keyboard, themes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.table_models.margin_list import ENTRY_ROLE, SAME_ROOM, Entry
from app.views.margin_row import verdict
from app.views.margins_panel import MarginsPanel, summary
from core.project.project import Project
from core.results import CandidateResult, Result
from core.units import Kind
from tests.app.synthetic_result import candidate, margin, project, result

# by worst margin minus target: -0.05, -0.04, 0.11, 0.20, 0.24, 0.27, 0.57, 0.65; dust of B is excluded
ORDER = [
    "dust",
    "torque_reserve",
    "touch",
    "voltage",
    "winding",
    "magnets",
    "peak_torque",
    "frequency",
    "speed",
]


@dataclass
class Bench:
    view: MarginsPanel
    document: ProjectDocument
    selection: Selection
    preferences: Preferences

    @property
    def entries(self) -> list[Entry]:
        model = self.view.model
        return [model.index(row).data(ENTRY_ROLE) for row in range(model.rowCount())]

    @property
    def keys(self) -> list[str]:
        return [entry.key for entry in self.entries]

    @property
    def selected(self) -> str:
        return self.selection.criterion or ""

    def entry(self, key: str) -> Entry:
        return next(entry for entry in self.entries if entry.key == key)

    def click(self, key: str) -> None:
        QApplication.processEvents()
        rows = self.view.list
        rows.scrollTo(self.view.model.index_of(key))
        where = rows.visualRect(self.view.model.index_of(key)).center()
        QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, where)
        QApplication.processEvents()


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    document, selection, preferences = ProjectDocument(project()), Selection(), Preferences()
    preferences.theme = "light"
    preferences.dress()
    view = MarginsPanel(document, selection, preferences)
    qtbot.addWidget(view)
    view.resize(316, 620)
    with qtbot.waitExposed(view):
        view.show()
    view.activateWindow()
    view.list.setFocus()
    view.show_result(result())
    return Bench(view, document, selection, preferences)


def changed(of: Result, index: int, **margins: float) -> Result:
    """Return a result with other margins of one candidate."""
    old = of.candidates[index]
    new = tuple(
        margin(m.criterion, m.label, margins[m.criterion], m.target, m.segment)
        if m.criterion in margins
        else m
        for m in old.margins
    )
    candidates = list(of.candidates)
    candidates[index] = replace(old, margins=new)
    return replace(of, candidates=tuple(candidates))


def test_excluded_first_then_worst_five_open_and_the_rest_counted(bench: Bench) -> None:
    assert bench.keys == [*ORDER[:5], "more", "unchecked"]
    assert bench.entry("more").title == "4 more, all met"
    assert bench.entry("unchecked").title == "1 criterion not checked"


def test_a_line_says_everything_in_words(bench: Bench) -> None:
    spoken = bench.entry("torque_reserve").spoken.replace("\u00a0", " ")
    assert spoken == ("Torque reserve; whole cycle; A +20 %, target +15 %; B +10 %, missed, target +15 %")
    index = bench.view.model.index_of("torque_reserve")
    assert index.data(Qt.ItemDataRole.AccessibleTextRole) == bench.entry("torque_reserve").spoken
    assert bench.entry("dust").place == "because Dust is not known"
    assert "excluded" in bench.entry("dust").spoken
    assert verdict(bench.entry("dust")) == "B excluded"


def test_summary_names_what_governs_and_what_is_excluded(bench: Bench) -> None:
    lines = bench.view.summary.text().splitlines()
    assert lines == ["A meets 8, 1 not checked; Torque reserve governs", "B is excluded: Dust"]


def test_summary_of_misses_and_of_nothing() -> None:
    b = candidate(1, "Enclosed", project().application.duty_cycle)
    b = replace(b, margins=tuple(m for m in b.margins if m.status != "excluded"))
    assert summary(b) == "B misses 2 of 8, 1 not checked; Torque reserve governs"
    all_known = replace(b, margins=tuple(m for m in b.margins if m.status == "met"))
    assert summary(all_known) == "B meets all 6; Torque reserve governs"
    empty = CandidateResult(0, "A", (), None, (), (), ("no motor",))
    assert summary(empty) == "A: nothing could be checked yet"


def test_without_candidates_the_panel_says_so(bench: Bench) -> None:
    bench.view.show_result(result(Project()))
    assert bench.view.model.rowCount() == 0
    assert bench.view.summary.text() == "There is no candidate to check."


def test_new_numbers_keep_the_room_of_a_line_and_another_place_does_not(bench: Bench) -> None:
    told: list[tuple[str, bool]] = []

    def hear(first: QModelIndex, _last: QModelIndex, roles: list[int]) -> None:
        told.append((bench.entries[first.row()].key, list(roles) == SAME_ROOM))

    bench.view.model.dataChanged.connect(hear)
    bench.document.begin_gesture()
    bench.view.show_result(result(shift=0.001))
    assert ("torque_reserve", True) in told
    assert all(same for _, same in told)
    told.clear()
    placeless = result(shift=0.002)
    first, second = placeless.candidates
    somewhere = [m for one in placeless.candidates for m in one.margins if m.criterion == "torque_reserve"]
    assert all(m.where for m in somewhere)
    bare = [
        replace(one, margins=tuple(replace(m, where="", why="") for m in one.margins))
        for one in (first, second)
    ]
    bench.view.show_result(replace(placeless, candidates=tuple(bare)))
    assert ("torque_reserve", False) in told


def test_the_order_holds_still_during_a_gesture_and_is_released_after(bench: Bench) -> None:
    before = bench.keys
    worse = changed(result(), 0, speed=-0.9, voltage=0.9)
    bench.document.begin_gesture()
    bench.view.show_result(worse)
    assert bench.keys == before
    assert bench.entry("voltage").outcomes[0].text.startswith("+90")
    assert bench.entry("more").title == "4 more, 1 not met"
    assert bench.entry("more").bad
    bench.document.end_gesture()
    bench.view.show_result(worse)
    assert bench.keys[:2] == ["dust", "speed"]


def test_numbers_change_in_place_without_a_reset(bench: Bench, qtbot: QtBot) -> None:
    resets: list[int] = []
    bench.view.model.modelReset.connect(lambda: resets.append(1))
    with qtbot.waitSignal(bench.view.model.dataChanged):
        bench.view.show_result(changed(result(), 0, voltage=0.22))
    assert resets == []


def test_running_text_keeps_pace_in_a_gesture(bench: Bench, qtbot: QtBot) -> None:
    bench.click("voltage")
    bench.document.begin_gesture()
    bench.view.show_result(changed(result(), 0, voltage=0.5))
    qtbot.waitUntil(lambda: "+50" in bench.view.details.label.text(), timeout=2000)


def test_folding_lines_open_by_click_and_by_key(bench: Bench) -> None:
    bench.click("more")
    assert bench.keys == [*ORDER[:5], "more", *ORDER[5:], "unchecked"]
    assert bench.entry("more").open
    bench.click("more")
    assert "speed" not in bench.keys
    rows = bench.view.list
    rows.setCurrentIndex(bench.view.model.index_of("unchecked"))
    QTest.keyClick(rows, Qt.Key.Key_Return)
    note = bench.entries[-1]
    assert (note.kind, note.title, note.place) == (
        "note",
        "Bearing life",
        "because Bearing life is not known",
    )
    QTest.keyClick(rows, Qt.Key.Key_Space)
    assert bench.entries[-1].key == "unchecked"
    assert bench.selection.criterion is None


def test_a_click_selects_and_opens_the_equation_in_display_units(bench: Bench) -> None:
    bench.click("touch")
    assert (bench.selection.criterion, bench.selection.segment) == ("touch", 3)
    text = bench.view.details.label.text().replace("\u00a0", " ")
    assert bench.view.details.isVisible()
    # limit 0.1 N m, 104 % used by B
    for part in (
        "demand 104 mN·m",
        "limit 100 mN·m",
        "104 % used",
        "−4 %",
        "target 0 %",
        "missed",
        "end of 4",
    ):
        assert part in text
    assert "104 mN·m / 100 mN·m" in text
    bench.preferences.display_units = bench.preferences.display_units.with_units({Kind.TORQUE: "N·m"})
    assert "limit 0.100 N·m" in bench.view.details.label.text().replace("\u00a0", " ")


def test_keys_walk_the_list_and_escape_lets_go(bench: Bench) -> None:
    bench.click("dust")
    QTest.keyClick(bench.view.list, Qt.Key.Key_Down)
    assert bench.selected == "torque_reserve"
    QTest.keyClick(bench.view.list, Qt.Key.Key_Up)
    assert bench.selected == "dust"
    QTest.keyClick(bench.view.list, Qt.Key.Key_Escape)
    assert bench.selected == ""
    assert not bench.view.details.isVisible()
    QTest.keyClick(bench.view.list, Qt.Key.Key_Return)
    assert bench.selected == "dust"


def test_the_focus_alone_selects_nothing(bench: Bench) -> None:
    bench.view.summary.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    bench.view.summary.setFocus()
    bench.view.list.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    assert bench.selected == ""
    QTest.keyClick(bench.view.list, Qt.Key.Key_Down)
    assert bench.selected


def test_the_opened_text_takes_no_more_room_than_it_needs(bench: Bench) -> None:
    bench.click("dust")
    details = bench.view.details
    assert details.height() <= details.label.heightForWidth(details.viewport().width()) + 2
    assert details.height() < bench.view.height() // 2


def test_a_criterion_selected_elsewhere_is_unfolded_and_marked(bench: Bench) -> None:
    bench.selection.select_criterion("speed", 1)
    assert "speed" in bench.keys
    marked = [index.data(ENTRY_ROLE).key for index in bench.view.list.selectedIndexes()]
    assert marked == ["speed"]
    bench.selection.select_segment(2)
    assert bench.view.list.selectedIndexes() == []
    assert bench.selection.criterion is None


def test_a_new_order_keeps_the_selection(bench: Bench) -> None:
    bench.click("voltage")
    bench.view.show_result(changed(result(), 0, voltage=-3.0))
    assert bench.keys[1] == "voltage"
    assert bench.selection.criterion == "voltage"
    assert [i.data(ENTRY_ROLE).key for i in bench.view.list.selectedIndexes()] == ["voltage"]


def test_hovering_a_line_marks_its_segment(bench: Bench) -> None:
    QApplication.processEvents()
    rect = bench.view.list.visualRect(bench.view.model.index_of("touch"))
    QTest.mouseMove(bench.view.list.viewport(), rect.center())
    QApplication.processEvents()
    assert bench.selection.hovered_segment == 3
    bench.view.list.row_hovered.emit(QModelIndex())
    assert bench.selection.hovered_segment is None


def test_the_model_answers_every_index_and_role(bench: Bench) -> None:
    model = bench.view.model
    for row in range(-1, model.rowCount() + 2):
        for role in Qt.ItemDataRole:
            model.data(model.index(row), role)
    assert model.entry(QModelIndex()) is None


def _colours(bench: Bench) -> set[str]:
    image = bench.view.grab().toImage()
    points = (QPoint(x, y) for x in range(0, image.width(), 1) for y in range(0, image.height(), 1))
    return {image.pixelColor(point).name().upper() for point in points}


def test_both_themes_are_painted_with_their_own_colours(bench: Bench) -> None:
    light = bench.preferences.tokens
    seen = _colours(bench)
    assert {light.candidates[0].colour, light.candidates[1].colour, light.missed} <= seen
    bench.preferences.theme = "dark"
    dark = bench.preferences.tokens
    seen = _colours(bench)
    assert {dark.candidates[0].colour, dark.candidates[1].colour, dark.missed} <= seen
    assert light.missed not in seen
    bench.preferences.theme = "light"
