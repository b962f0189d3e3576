"""A drag with candidates evaluated in other processes: the same picture, and a whole result at its end."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.drag_help import DragHelp
from app.main_window import MainWindow
from core.candidate_processes import CandidateProcesses
from core.evaluate import evaluate
from core.project.project import Project
from core.result_json import encode_result
from core.results import Result
from core.trace_import import ImportedTrace
from tests.app.mouse import Mouse
from tests.app.whole_window import open_window


def text(result: Result | None) -> bytes:
    assert result is not None
    return encode_result(result, result.candidates)


@pytest.fixture
def helped(qtbot: QtBot) -> Iterator[tuple[MainWindow, DragHelp]]:
    window, _ = open_window(qtbot)
    drag_help = DragHelp(window.recompute, window)
    drag_help.processes = CandidateProcesses(1)  # also where there is one processor
    window.recompute.dragging = drag_help.processes.evaluate
    yield window, drag_help
    drag_help.processes.close()


def test_a_drag_shows_the_same_and_ends_with_a_whole_result(
    helped: tuple[MainWindow, DragHelp], qtbot: QtBot
) -> None:
    window, drag_help = helped
    qtbot.waitUntil(lambda: drag_help.processes.started == 1, timeout=10_000)  # when the window has rested
    qtbot.waitUntil(lambda: drag_help.processes.ready == 1, timeout=60_000)
    plane, asked = window.bench.plane, []

    def dragging(project: Project, measured: ImportedTrace | None = None) -> Result:
        asked.append(project)
        return drag_help.processes.evaluate(project, measured)

    window.recompute.dragging = dragging
    mouse, start = Mouse(plane.canvas), QPointF(plane.points[0].pos())
    mouse.press(start)
    for step in range(1, 5):
        mouse.move(start + QPointF(0.0, 4.0 * step))
        QApplication.processEvents()
    assert len(asked) >= 4
    assert text(window.recompute.result) == text(evaluate(window.document.project))
    asked.clear()
    mouse.release(start + QPointF(0.0, 16.0))
    QApplication.processEvents()
    result = window.recompute.result
    assert result is not None
    assert result.project is window.document.project
    assert not asked
    assert text(result) == text(evaluate(window.document.project))


def test_nothing_is_left_running(helped: tuple[MainWindow, DragHelp], qtbot: QtBot) -> None:
    window, drag_help = helped
    qtbot.waitUntil(lambda: drag_help.processes.started == 1, timeout=10_000)
    (process,) = drag_help.processes._processes
    drag_help.shut_down()
    window.recompute.run_now()
    assert not process._process.is_alive()
    assert window.recompute.dragging is None
    end = time.monotonic() + 1.0
    while time.monotonic() < end:
        QApplication.processEvents()
    assert drag_help.processes.started == 0
