"""The window stands whatever is done with it; `python -m tests.endurance random_walk` walks further."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot

from tests.app.random_walk import RandomWalk, WalkError
from tests.app.whole_window import open_window


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_window_stands(qtbot: QtBot, tmp_path: Path, seed: int) -> None:
    (tmp_path / "files").mkdir()
    window, dialogs = open_window(qtbot, recovery_folder=tmp_path / "recovery")
    RandomWalk(window, dialogs, seed, tmp_path / "files").walk(300)


def test_a_walk_sees_what_goes_wrong(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    walk = RandomWalk(window, dialogs, 1, tmp_path)
    window.document.changed.connect(lambda _project, _revision: 1 / 0)
    with pytest.raises(WalkError, match="ZeroDivisionError"):
        walk.walk(200)


@pytest.mark.parametrize("name", ["units", "about"])
def test_a_dialog_that_was_closed_is_gone(qtbot: QtBot, name: str) -> None:
    window, _ = open_window(qtbot)
    timer = QTimer()

    def close() -> None:
        for dialog in window.findChildren(QDialog):
            dialog.reject()

    timer.timeout.connect(close)
    timer.start(0)
    getattr(window.menus, name).trigger()
    timer.stop()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    assert window.findChildren(QDialog) == []
