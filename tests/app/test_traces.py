"""The trace of the open document: read beside the window, evaluated beside it, and never lost unsaid."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path
from threading import Event

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from app.background import Background
from app.document import ProjectDocument
from app.files import SAMPLE_FOLDER
from app.main_window import MainWindow
from app.recompute import Recompute
from core.catalogue.demo_trace import CART_TRACE, MEASURED_CART
from core.evaluate import evaluate
from core.physics.sampled_trace import Trace
from core.project import edits
from core.project.project import Project
from core.project.project_file import read_project
from core.results import Result
from core.trace_format import preview_trace
from core.trace_import import ImportedTrace, read_trace
from tests.app.whole_window import open_window

NAME = "ampturn background"


def background_threads() -> list[threading.Thread]:
    return [thread for thread in threading.enumerate() if thread.name == NAME]


def measured_cart(folder: Path) -> Path:
    """Copy project and trace into a folder and return the project file."""
    for name in (MEASURED_CART, CART_TRACE):
        shutil.copyfile(SAMPLE_FOLDER / name, folder / name)
    return folder / MEASURED_CART


def settled(window: MainWindow) -> bool:
    return not window.recompute.is_stale and not window.traces.traces.is_reading


def wait_for_trace(qtbot: QtBot, window: MainWindow) -> Result:
    """Wait until the result comes from the trace, and return it."""

    def there() -> bool:
        measured = window.traces.traces.measured(window.document.project)
        return measured is not None and settled(window)

    qtbot.waitUntil(there, timeout=20_000)
    result = window.recompute.result
    assert result is not None
    return result


def status(result: Result, code: str) -> str:
    chosen = result.chosen_candidate
    margin = None if chosen is None else chosen.margin(code)
    return "" if margin is None else margin.status


# the thread -------------------------------------------------------------------------------------------


def test_of_waiting_jobs_the_newest_is_done_and_the_thread_ends(qtbot: QtBot) -> None:
    background, gate = Background(), Event()
    heard: list[object] = []
    background.finished.connect(heard.append)

    def job(word: str) -> Callable[[Callable[[float], None], Event], object]:
        def work(_tell: Callable[[float], None], _stop: Event) -> object:
            gate.wait(5.0)
            return word

        return work

    background.start(job("first"))
    qtbot.waitUntil(lambda: bool(background_threads()))
    time.sleep(0.05)  # let it take the first job
    background.start(job("second"))
    background.start(job("third"))
    assert len(background_threads()) == 1
    gate.set()
    qtbot.waitUntil(lambda: not background.is_busy)
    assert heard == ["first", "third"]
    qtbot.waitUntil(lambda: not background_threads())


def test_after_cancel_nothing_is_heard_and_the_job_is_asked_to_stop(qtbot: QtBot) -> None:
    background = Background()
    heard: list[object] = []
    background.finished.connect(heard.append)
    background.failed.connect(heard.append)
    stopped = Event()

    def job(_tell: Callable[[float], None], stop: Event) -> object:
        if stop.wait(5.0):
            stopped.set()
        return "late"

    background.start(job)
    time.sleep(0.05)
    background.cancel()
    assert not background.is_busy
    background.start(lambda _tell, _stop: "next")
    qtbot.waitUntil(lambda: not background.is_busy)
    assert stopped.is_set()
    assert heard == ["next"]
    background.shut_down()
    assert not background_threads()


def test_what_fails_in_the_thread_is_told(qtbot: QtBot) -> None:
    background = Background()
    heard: list[object] = []
    background.failed.connect(heard.append)

    def job(_tell: Callable[[float], None], _stop: Event) -> object:
        raise ValueError("no such luck")

    background.start(job)
    qtbot.waitUntil(lambda: not background.is_busy)
    assert [str(error) for error in heard] == ["no such luck"]
    background.shut_down()


# recompute --------------------------------------------------------------------------------------------


class SlowEvaluation(QObject):
    """Evaluates a trace in the time of a gate, and knows in which threads it ran."""

    def __init__(self) -> None:
        super().__init__()
        self.gate, self.threads, self.seen = Event(), set[str](), list[str]()

    def evaluated(self, project: Project, measured: ImportedTrace | None = None) -> Result:
        self.threads.add(threading.current_thread().name)
        self.seen.append(project.application.title)
        if measured is not None:
            self.gate.wait(5.0)
        return evaluate(project)


def titled(project: Project, title: str) -> Project:
    return edits.change_application(project, title=title)


def traced_recompute() -> tuple[ProjectDocument, Recompute, SlowEvaluation]:
    import numpy as np

    document = ProjectDocument(read_project(SAMPLE_FOLDER / MEASURED_CART))
    slow = SlowEvaluation()
    recompute = Recompute(document, slow.evaluated)
    few = Trace(np.arange(3.0), np.zeros(3), np.ones(3))
    form = preview_trace(SAMPLE_FOLDER / CART_TRACE).format
    imported = ImportedTrace(few, (), form)
    recompute.measured = lambda p: imported if p.application.duty_from == "trace" else None
    return document, recompute, slow


def test_a_trace_is_evaluated_beside_the_window_and_the_newest_edit_wins(qtbot: QtBot) -> None:
    document, recompute, slow = traced_recompute()
    shown: list[str] = []
    recompute.result_ready.connect(lambda result: shown.append(result.project.application.title))
    document.edit(titled(document.project, "one"), "call it")
    recompute.run_now()
    qtbot.waitUntil(lambda: slow.seen == ["one"])
    assert recompute.is_stale
    for title in ("two", "three", "four"):
        document.edit(titled(document.project, title), "call it")
        recompute.run_now()
    slow.gate.set()
    qtbot.waitUntil(lambda: not recompute.is_stale)
    assert slow.seen == shown == ["one", "four"]  # older than the document, and newer than the screen
    assert slow.threads == {NAME}
    recompute.shut_down()
    assert not background_threads()


def test_a_duty_without_a_trace_is_evaluated_at_once_and_overtakes_the_thread(qtbot: QtBot) -> None:
    document, recompute, slow = traced_recompute()
    shown: list[str] = []
    recompute.result_ready.connect(lambda result: shown.append(result.project.application.title))
    recompute.run_now()
    qtbot.waitUntil(lambda: len(slow.seen) == 1)
    document.edit(titled(edits.follow_load(document.project), "from the load"), "back")
    recompute.run_now()
    assert shown == ["from the load"]
    assert threading.current_thread().name in slow.threads
    assert not recompute.is_stale
    slow.gate.set()
    recompute.shut_down()
    qtbot.wait(20)
    assert shown == ["from the load"]


def test_a_failure_beside_the_window_reaches_the_user(qtbot: QtBot) -> None:
    document, recompute, slow = traced_recompute()
    said: list[str] = []
    recompute.failed.connect(said.append)

    def broken(_project: Project, _measured: ImportedTrace | None = None) -> Result:
        raise RuntimeError("no such luck")

    recompute._evaluate = broken  # type: ignore[assignment]
    recompute.run_now()
    qtbot.waitUntil(lambda: bool(said))
    assert "no such luck" in said[0]
    assert document.revision != recompute.result_revision
    slow.gate.set()
    recompute.shut_down()


# the window -------------------------------------------------------------------------------------------


def test_an_opened_project_reads_the_trace_beside_it(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, measured_cart(tmp_path))
    result = wait_for_trace(qtbot, window)
    assert result.duty.names == ("trace",)
    assert status(result, "torque_reserve") == "met"
    assert window.bench.plane.result is result
    assert window.messages.message("trace") == ""
    assert window.traces.words == ""
    qtbot.waitUntil(lambda: not background_threads())


def test_a_sample_has_its_trace_too(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.open_sample(SAMPLE_FOLDER / MEASURED_CART)
    assert status(wait_for_trace(qtbot, window), "torque_reserve") == "met"


def test_a_missing_trace_is_said_and_nothing_else_is_lost(qtbot: QtBot, tmp_path: Path) -> None:
    path = measured_cart(tmp_path)
    (tmp_path / CART_TRACE).unlink()
    window, _ = open_window(qtbot, path)
    qtbot.waitUntil(lambda: bool(window.messages.message("trace")))
    words = window.messages.message("trace")
    assert CART_TRACE in words
    assert str(tmp_path) in words
    assert window.document.project == read_project(path)
    result = window.recompute.result
    assert result is not None
    assert status(result, "torque_reserve") == "not checked"
    window.traces.duty_from("load")
    qtbot.waitUntil(lambda: settled(window) and window.messages.message("trace") == "")
    window.document.undo_stack.undo()
    qtbot.waitUntil(lambda: bool(window.messages.message("trace")))


def test_a_trace_that_is_back_can_be_imported_anew(qtbot: QtBot, tmp_path: Path) -> None:
    path = measured_cart(tmp_path)
    (tmp_path / CART_TRACE).rename(tmp_path / "away.csv")
    window, _ = open_window(qtbot, path)
    qtbot.waitUntil(lambda: bool(window.messages.message("trace")))
    before = window.document.project
    (tmp_path / "away.csv").rename(tmp_path / CART_TRACE)
    window.traces.choose_columns()
    dialog = window.traces.dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: dialog.read is not None)
    dialog.accept()
    assert status(wait_for_trace(qtbot, window), "torque_reserve") == "met"
    qtbot.waitUntil(lambda: window.messages.message("trace") == "")
    assert window.document.project == before


def test_a_changed_trace_is_read_and_named(qtbot: QtBot, tmp_path: Path) -> None:
    path = measured_cart(tmp_path)
    with (tmp_path / CART_TRACE).open("a", encoding="utf-8") as file:
        file.write("93.04,0.000,0.00\n")
    window, _ = open_window(qtbot, path)
    chosen = wait_for_trace(qtbot, window).chosen_candidate
    assert chosen is not None
    assert "trace_file_changed" in {finding.code for finding in chosen.findings}


def test_a_damaged_trace_is_refused_with_its_row(qtbot: QtBot, tmp_path: Path) -> None:
    path = measured_cart(tmp_path)
    trace = tmp_path / CART_TRACE
    lines = trace.read_text(encoding="utf-8").splitlines()
    lines[1000] = "39.96,nan,0.00"
    trace.write_text("\n".join(lines), encoding="utf-8")
    window, _ = open_window(qtbot, path)
    qtbot.waitUntil(lambda: bool(window.messages.message("trace")))
    assert "row 1001, column 2" in window.messages.message("trace")


def test_the_trace_goes_with_the_project(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    window.open_sample(SAMPLE_FOLDER / MEASURED_CART)
    wait_for_trace(qtbot, window)
    dialogs.path = tmp_path / "mine.json"
    assert window.save_project()
    assert (tmp_path / CART_TRACE).read_bytes() == (SAMPLE_FOLDER / CART_TRACE).read_bytes()
    assert "copied beside the project" in window.messages.message("notice")
    wait_for_trace(qtbot, window)  # no second reading, no message
    assert window.messages.message("trace") == ""
    other = tmp_path / "other"
    other.mkdir()
    (other / CART_TRACE).write_text("not ours", encoding="utf-8")
    dialogs.path = other / "mine.json"
    assert window.save_project_as()
    assert "another file" in window.messages.message("notice")
    assert (other / CART_TRACE).read_text(encoding="utf-8") == "not ours"


def test_edits_of_a_traced_project_are_undone_and_redone(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, measured_cart(tmp_path))
    before = wait_for_trace(qtbot, window)
    document = window.document
    document.edit(edits.change_application_part(document.project, ("site", "ambient"), 55.0), "ambient")
    hot = wait_for_trace(qtbot, window)
    assert hot.project.application.site.ambient == 55.0
    window.traces.duty_from("segments")
    qtbot.waitUntil(lambda: settled(window))
    assert document.project.application.duty_from == "segments"
    for _ in range(2):
        document.undo_stack.undo()
    assert wait_for_trace(qtbot, window).project == before.project


def test_beside_a_trace_no_segment_is_edited_unseen(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, measured_cart(tmp_path))
    wait_for_trace(qtbot, window)
    assert not window.bench.cycle.cycle.handles.isVisible()
    window.selection.select_segment(0)
    before = window.document.project
    window.remove_segment()
    window.duplicate_segment()
    assert window.document.project is before
    window.insert_segment()
    application = window.document.project.application
    assert application.duty_from == "segments"
    assert len(application.duty_cycle) == 1
    assert window.menus.undo.text().endswith("duty from segments")


def test_closing_while_a_trace_is_read_leaves_nothing_running(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = measured_cart(tmp_path)
    began = Event()

    def endless(
        _source: object, _folder: Path, _progress: Callable[[float], None], cancel: Event
    ) -> ImportedTrace:
        began.set()
        cancel.wait(10.0)
        raise RuntimeError("cancelled")

    monkeypatch.setattr("app.traces.open_trace", endless)
    window, _ = open_window(qtbot, path)
    qtbot.waitUntil(began.is_set)
    assert window.traces.words == "reading 0 %"
    window.close()
    assert not background_threads()


def test_two_hundred_thousand_rows_are_read_and_shown(qtbot: QtBot, tmp_path: Path) -> None:
    project = read_project(measured_cart(tmp_path))
    form = preview_trace(tmp_path / CART_TRACE).format
    short = read_trace(tmp_path / CART_TRACE, form).trace
    rounds = 86
    rows = [
        f"{t + k * 93.04:.3f},{m:.3f},{9.5493 * w:.2f}"
        for k in range(rounds)
        for t, m, w in zip(short.time.tolist(), short.torque.tolist(), short.speed.tolist(), strict=True)
    ]
    text = "\n".join(("time [s],torque [N·m],speed [rpm]", *rows, ""))
    (tmp_path / CART_TRACE).write_text(text, encoding="utf-8")
    assert len(rows) > 200_000
    assert project.application.trace is not None
    window, _ = open_window(qtbot, tmp_path / MEASURED_CART)
    result = wait_for_trace(qtbot, window)
    assert result.duty.time.size <= 4_000  # drawn by its extremes
    assert result.duty.time[-1] == pytest.approx(rounds * 93.04 - 0.04, abs=0.1)
    assert status(result, "torque_reserve") == "met"


def test_the_source_of_another_column_is_another_trace(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, measured_cart(tmp_path))
    wait_for_trace(qtbot, window)
    project = window.document.project
    source = project.application.trace
    assert source is not None
    in_millis = replace(source, torque=replace(source.torque, unit="mN·m"))
    window.document.edit(edits.take_trace(project, in_millis), "unit")
    assert window.traces.traces.measured(window.document.project) is None
    wait_for_trace(qtbot, window)
    measured = window.traces.traces.measured(window.document.project)
    assert measured is not None
    assert measured.trace.torque.max() < 0.01
