"""The findings panel: order, merging, selection, folding, copying, themes."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.findings_panel import FindingsPanel, NoticeCard
from core.notices import CLOSING
from core.project.project import Project
from core.units import Kind
from tests.app.synthetic_result import project, result


@dataclass
class Bench:
    view: FindingsPanel
    document: ProjectDocument
    selection: Selection
    preferences: Preferences

    @property
    def cards(self) -> list[NoticeCard]:
        return [card for card in self.view.cards if card.isVisibleTo(self.view)]

    def card(self, title: str) -> NoticeCard:
        return next(card for card in self.cards if card.title.text().startswith(title))


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    document, selection, preferences = ProjectDocument(project()), Selection(), Preferences()
    preferences.theme = "light"
    preferences.dress()
    view = FindingsPanel(document, selection, preferences)
    qtbot.addWidget(view)
    view.resize(316, 600)
    with qtbot.waitExposed(view):
        view.show()
    view.activateWindow()
    view.show_result(result())
    return Bench(view, document, selection, preferences)


def test_cautions_first_and_what_holds_for_both_once(bench: Bench) -> None:
    titles = [card.title.text() for card in bench.cards]
    assert titles == [
        "Hot surface, B Enclosed",
        "Serious, A Open rotor, segment 2",
        "Serious, B Enclosed, segment 2",
        "Warning, both",
        "1 criterion is not checked  – fold",
        "1 input is assumed  – fold",
    ]
    assert bench.cards[0].property("surface") == "caution"
    assert bench.view.title.text() == "1 caution, 3 findings"
    assert bench.cards[0].text.text() == "Housing reaches 66.0\u00a0°C at 40 °C ambient."
    assert bench.cards[4].text.text() == "Bearing life: because Bearing life is not known"


def test_the_closing_line_always_stands_there(bench: Bench) -> None:
    assert bench.view.closing.isVisible()
    bench.view.show_result(result(Project()))
    assert bench.cards == []
    assert bench.view.closing.isVisible()
    assert bench.view.closing.text() == CLOSING


def test_a_finding_with_a_segment_selects_it(bench: Bench) -> None:
    card = bench.card("Serious, A")
    QTest.mouseClick(card, Qt.MouseButton.LeftButton)
    assert bench.selection.segment == 1
    bench.selection.select_segment(None)
    card.setFocus()
    assert card.hasFocus()
    QTest.keyClick(card, Qt.Key.Key_Return)
    assert bench.selection.segment == 1
    QTest.mouseClick(bench.card("Hot"), Qt.MouseButton.LeftButton)
    assert bench.selection.segment == 1


def test_collected_notices_fold(bench: Bench) -> None:
    card = bench.card("1 input")
    assert card.text.isVisibleTo(bench.view)
    QTest.mouseClick(card, Qt.MouseButton.LeftButton)
    assert not card.text.isVisibleTo(bench.view)
    assert card.title.text().endswith("show")
    card.setFocus()
    QTest.keyClick(card, Qt.Key.Key_Space)
    assert card.text.isVisibleTo(bench.view)


def test_copying_one_and_all(bench: Bench) -> None:
    card = bench.card("Hot")
    card.setFocus()
    QTest.keyClick(card, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("Hot surface, B Enclosed\nHousing reaches 66.0")
    bench.view.copy_all.click()
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith("Hot surface")
    assert "1 input is assumed\nThe lowest ambient is taken as 20 °C." in copied
    assert copied.endswith(CLOSING)


def test_cards_are_kept_while_numbers_change(bench: Bench) -> None:
    before = list(bench.cards)
    bench.view.show_result(result(shift=1.0))
    assert bench.cards == before
    assert "67.0" in bench.cards[0].text.text()


def test_in_a_gesture_the_text_follows_soon_and_at_its_end_at_once(bench: Bench, qtbot: QtBot) -> None:
    bench.document.begin_gesture()
    bench.view.show_result(result(shift=2.0))
    qtbot.waitUntil(lambda: "68.0" in bench.cards[0].text.text(), timeout=2000)
    bench.view.show_result(result(shift=3.0))
    bench.document.end_gesture()
    bench.view.show_result(result(shift=3.0))
    assert "69.0" in bench.cards[0].text.text()


def test_in_a_gesture_the_cards_follow_one_after_another(bench: Bench, qtbot: QtBot) -> None:
    bench.view.show_result(result(Project()))
    shown = [len(bench.cards)]
    bench.view.next_card.timeout.connect(lambda: shown.append(len(bench.cards)))
    bench.document.begin_gesture()
    bench.view.show_result(result())
    qtbot.waitUntil(lambda: len(bench.cards) == 6, timeout=2000)
    assert shown[:7] == [0, 1, 2, 3, 4, 5, 6]
    bench.document.end_gesture()
    bench.view.show_result(result(Project()))
    assert bench.cards == []  # at the end at once


def test_other_units_and_the_other_theme_are_taken_over(bench: Bench) -> None:
    bench.preferences.display_units = bench.preferences.display_units.with_units({Kind.TEMPERATURE: "°F"})
    assert "151" in bench.cards[0].text.text()  # 66 degC * 9/5 + 32 = 150.8 degF
    bench.preferences.theme = "dark"
    dark = bench.preferences.tokens
    image = bench.cards[0].grab().toImage()
    assert image.pixelColor(image.width() - 8, image.height() // 2).name().upper() == dark.caution_ground
    bench.preferences.theme = "light"
    image = bench.cards[0].grab().toImage()
    ground = bench.preferences.tokens.caution_ground
    assert image.pixelColor(image.width() - 8, image.height() // 2).name().upper() == ground


def test_cards_speak_for_screen_readers(bench: Bench) -> None:
    card = bench.cards[0]
    assert card.accessibleName() == "Hot surface, B Enclosed"
    assert "66.0" in card.accessibleDescription()
