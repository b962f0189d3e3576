"""Parts to choose from: small files are read at once, large ones beside the window, with a way to stop."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import parts_shelf
from app.main_window import MainWindow
from core.catalogue.parts_file import PartsFile, load_demo_parts, read_parts, write_parts
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def few(folder: Path) -> Path:
    path = folder / "few.json"
    write_parts(path, PartsFile(motors=load_demo_parts().motors[:2]))
    return path


def open_parts(window: MainWindow, path: Path) -> None:
    window.dialogs.ask_open = lambda *_: path  # type: ignore[method-assign]
    window.candidate_asked("parts", -1)


def test_a_small_file_is_there_at_once(window: MainWindow, tmp_path: Path) -> None:
    open_parts(window, few(tmp_path))
    assert window.shelf.name == "few"
    assert window.messages.message("notice") == ""


def test_a_large_file_is_read_beside_the_window(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parts_shelf, "READ_AT_ONCE", 100)
    with qtbot.waitSignal(window.shelf.changed):
        open_parts(window, few(tmp_path))
        assert window.messages.message("notice") == "Reading the parts in few.json…"
        assert window.shelf.name != "few"
    assert (window.shelf.name, len(window.shelf.motors)) == ("few", 2)
    assert window.messages.message("notice") == ""


def test_a_large_file_that_is_damaged_is_refused(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parts_shelf, "READ_AT_ONCE", 100)
    path = tmp_path / "damaged.json"
    path.write_text("{" * 200, encoding="utf-8")
    before = window.shelf.motors
    with qtbot.waitSignal(window.shelf.failed):
        open_parts(window, path)
    assert "damaged.json is not opened" in window.messages.message("failure")
    assert window.messages.message("notice") == ""
    assert window.shelf.motors == before


def test_reading_can_be_stopped(window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    may_go_on = Event()

    def slow(path: Path) -> PartsFile:
        may_go_on.wait()
        return read_parts(path)

    monkeypatch.setattr(parts_shelf, "READ_AT_ONCE", 100)
    monkeypatch.setattr(parts_shelf, "read_parts", slow)
    before = window.shelf.motors
    open_parts(window, few(tmp_path))
    (stop,) = window.messages.offers("notice")
    stop.click()
    may_go_on.set()
    window.shelf.shut_down()
    QApplication.processEvents()  # what the thread has sent is heard by now
    assert window.messages.message("notice") == ""
    assert window.shelf.motors == before
