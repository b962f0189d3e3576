"""The tour: over the real parts of the window, by mouse and keys, skipped at any time and remembered."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.help_actions import OFFER, TOUR_SEEN
from app.main_window import MainWindow
from app.preferences import Preferences
from app.tour import Tour
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def begun(window: MainWindow) -> Tour:
    window.menus.tour.trigger()
    QApplication.processEvents()
    assert window.help.tour is not None
    return window.help.tour


@pytest.mark.parametrize("size", [(1280, 800), (1600, 1000)])
def test_every_stop_frames_its_part_and_its_words_are_within_the_window(
    window: MainWindow, size: tuple[int, int]
) -> None:
    window.resize(*size)
    QApplication.processEvents()
    tour = begun(window)
    assert 5 <= len(tour.stops) <= 6
    for number, stop in enumerate(tour.stops):
        assert tour.at == number
        corner = stop.part.mapTo(window, QPoint(0, 0))
        assert tour.hole().contains(QRect(corner, stop.part.size()))
        assert tour.rect().contains(tour.callout.geometry())
        assert not tour.callout.geometry().intersects(tour.hole()), stop.title
        assert tour.title.text() == stop.title
        QTest.keyClick(tour, Qt.Key.Key_Right)
    assert window.help.tour is None


def test_keys_and_buttons_lead_on_and_back(window: MainWindow) -> None:
    tour = begun(window)
    tour.on.click()
    QTest.keyClick(tour, Qt.Key.Key_Space)
    assert tour.at == 2
    QTest.keyClick(tour, Qt.Key.Key_Left)
    assert tour.at == 1
    tour.back.click()
    assert tour.at == 0
    assert not tour.back.isEnabled()
    tour.skip.click()
    assert window.help.tour is None


def test_escape_ends_it_and_gives_the_window_back(window: MainWindow) -> None:
    before = window.document.project
    tour = begun(window)
    QTest.keyClick(tour, Qt.Key.Key_Escape)
    QApplication.processEvents()
    assert window.help.tour is None
    assert window.bench.plane.canvas.hasFocus()
    assert window.document.project is before


def test_it_follows_the_size_of_the_window(window: MainWindow) -> None:
    tour = begun(window)
    window.resize(1500, 900)
    QApplication.processEvents()
    assert tour.size() == window.size()
    tour.end()


def test_it_is_offered_once(qtbot: QtBot, tmp_path: Path) -> None:
    file = tmp_path / "preferences.ini"
    window, _ = open_window(qtbot, preferences=Preferences(file))
    window.help.offer_tour()
    assert window.messages.message("notice") == OFFER
    window.messages.offers("notice")[1].click()
    assert window.messages.message("notice") == ""
    window.preferences.save()
    assert Preferences(file).flag(TOUR_SEEN, False)
    again, _ = open_window(qtbot, preferences=Preferences(file))
    again.help.offer_tour()
    assert again.messages.message("notice") == ""


def test_the_offer_leads_to_the_tour(window: MainWindow) -> None:
    window.help.offer_tour()
    window.messages.offers("notice")[0].click()
    assert window.help.tour is not None
    assert window.messages.message("notice") == ""
    window.help.tour.end()
