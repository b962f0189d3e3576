"""A hand that does anything: seeded random use of the whole window, sense and nonsense alike.

Each step is one thing a person can do with mouse, keyboard, clipboard or files. After each the window must
stand: no exception, no critical message of Qt, an evaluation that did not fail. Undo leads back to where the
project was opened, exactly.
"""

from __future__ import annotations

import random
import sys
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TypeVar

from PySide6.QtCore import (
    QEvent,
    QMessageLogContext,
    QModelIndex,
    QPoint,
    QPointF,
    Qt,
    QTimer,
    QtMsgType,
    qInstallMessageHandler,
)
from PySide6.QtGui import QGuiApplication, QKeySequence, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QApplication,
    QComboBox,
    QDialog,
    QGraphicsView,
    QLineEdit,
    QMenu,
    QTableView,
    QWidget,
)

from app.files import sample_files
from app.main_window import MainWindow
from app.pages import PAGES
from core.project.project import Project
from core.project.project_file import decode_project, encode_project
from tests.app.mouse import Mouse
from tests.app.whole_window import AnsweredDialogs

TYPED = (
    "12", "0.5", "12,5", "-3", "0", "1,234", "1 000", "1e3", "1e-300", "1e308", "1e400", "-1e308", "nan",
    "12 mN*m", "1.7 oz*in", "3000 rpm", "25 degC", "24 V", "100 %", "3 kg", "2 kg cm2", "5 furlongs", "1 2 3",
    "abc", "", " ", "-", "+", ".", "−5", "½", "１２", "Ω≈ç√", "💥", "<b>x</b>", "=A1+1", "../../passwd",
    "%s%n", "{0}", "\t", "x" * 300, "9" * 400, "0x10", "1_000", "1e", "NaN V", "infinity rpm", "inf",
)  # fmt: skip
PASTED = (
    "0.2\t0.05\t0\t100\n0.4\t0\t100\t100\n",
    "up\t0,2 s\t50 mN*m\t0 rpm\t1000 rpm\r\n",
    "a\tb\tc\n",
    "1\n2\n3\n",
    "\t\t\t\n",
    "nan\tnan\tnan\tnan\n",
    "1e308\t1e308\t1e308\t1e308\n",
    '"quoted\ncell"\t1\n',
    "0.001\t0.01\t0\t0\n" * 60,
    "x" * 5000,
    "",
)
_KEYS = (
    Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Delete,
    Qt.Key.Key_F2, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home,
    Qt.Key.Key_End, Qt.Key.Key_PageDown, Qt.Key.Key_Space, Qt.Key.Key_A, Qt.Key.Key_1, Qt.Key.Key_F1,
)  # fmt: skip
_SHORTCUTS = ("Copy", "Paste", "Cut", "SelectAll", "Undo", "Redo")
_HARMLESS = (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg)
_KNOWN = ("This plugin does not support",)  # what the offscreen platform says of focus and of size limits
Part = TypeVar("Part", bound=QWidget)


class WalkError(AssertionError):
    """What went wrong, with the steps that led there."""


class RandomWalk:
    """Walks through one window. `folder` holds the files that it opens and saves."""

    def __init__(self, window: MainWindow, dialogs: AnsweredDialogs, seed: int, folder: Path) -> None:
        self.window, self.dialogs, self.folder = window, dialogs, folder
        self.random = random.Random(seed)
        self.seed = seed
        self.done: list[str] = []
        self.troubles: list[str] = []
        self.start: Project = window.document.project
        window.document.replaced.connect(self._on_replaced)
        self.files = _make_files(folder)
        self._steps: tuple[tuple[Callable[[], str], int], ...] = (
            (self._type, 22), (self._press_button, 14), (self._choose_in_list, 10), (self._drag, 14),
            (self._press_key, 8), (self._shortcut, 4), (self._paste, 4), (self._type_in_table, 5),
            (self._slide, 2), (self._menu_entry, 5), (self._undo_or_redo, 8), (self._resize, 1),
            (self._turn_page, 2), (self._wheel, 2), (self._open, 2), (self._save, 1), (self._file_changes, 1),
        )  # fmt: skip

    def walk(self, steps: int) -> None:
        """Take so many steps, then go back and forth through the whole history."""
        with self._watched():
            for number in range(steps):
                self._step()
                if number % 60 == 59:
                    self._go_back_and_forth()
            self._go_back_and_forth()

    def _step(self) -> None:
        acts, weights = zip(*self._steps, strict=True)
        (act,) = self.random.choices(acts, weights)
        closing = QTimer()
        closing.timeout.connect(self._close_questions)
        closing.start(0)
        self.done.append(act.__name__)
        self.dialogs.unsaved = self.random.choice(("save", "discard", "cancel"))
        self.dialogs.replaces = self.random.random() < 0.5
        self.dialogs.path = self.random.choice((*self.files, None))
        self.done[-1] = f"{act.__name__.strip('_')}: {act()}"
        QApplication.processEvents()
        closing.stop()
        self._close_questions()
        # what a running event loop does when it is back at rest
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        self._check()

    def _check(self) -> None:
        stale = self.window.messages.message("stale")
        if stale:
            self.troubles.append(stale)
        if self.window.recompute.is_stale and not self.window.recompute.is_working:
            self.window.recompute.run_now()
            self.troubles += filter(None, [self.window.messages.message("stale")])
        if self.troubles:
            last = "\n  ".join(self.done[-25:])
            found = "\n".join(self.troubles)
            raise WalkError(f"seed {self.seed}, step {len(self.done)}:\n{found}\nafter\n  {last}")

    def _go_back_and_forth(self) -> None:
        """Undo everything and redo everything; a text that is being typed is taken or given up before."""
        self.window.take_typed_text()
        QApplication.processEvents()
        stack, now = self.window.document.undo_stack, self.window.document.project
        index = stack.index()
        while stack.canUndo():
            stack.undo()
        self._same(self.start, "undo")
        while stack.index() < index:
            stack.redo()
        self._same(now, "redo")
        if decode_project(encode_project(now)) != now:
            self.troubles.append("the project is not the same after saving and loading")
        QApplication.processEvents()
        self.done.append("undo and redo everything")
        self._check()

    def _same(self, expected: Project, way: str) -> None:
        found = self.window.document.project
        if found != expected or encode_project(found) != encode_project(expected):
            self.troubles.append(f"{way} does not lead to the project as it was")

    def _on_replaced(self) -> None:
        self.start = self.window.document.project

    # what a person can do ------------------------------------------------------------------------------

    def _one_of(self, kind: type[Part]) -> Part | None:
        """Return one of the widgets of a kind that can be used now."""
        places = [w for w in QApplication.topLevelWidgets() if w.isVisible() and not isinstance(w, QMenu)]
        found = [part for place in places for part in place.findChildren(kind)]
        usable = [part for part in found if part.isVisible() and part.isEnabled()]
        return self.random.choice(usable) if usable else None

    def _type(self) -> str:
        line = self._one_of(QLineEdit)
        if line is None:
            return ""
        text = self.random.choice(TYPED)
        if self.random.random() < 0.4:
            text = f"{self.random.choice((1.0, -1.0, 1e-3)) * 10 ** self.random.uniform(-4, 4):.4g}"
        line.setFocus()
        line.selectAll()
        line.insert(text)
        line.setModified(True)
        key = self.random.choice((Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape, None))
        if key is not None:
            QTest.keyClick(line, key)
        return f"{text[:40]!r} into {_name(line)}, then {key.name if key is not None else 'nothing'}"

    def _press_button(self) -> str:
        button = self._one_of(QAbstractButton)
        if button is None:
            return ""
        words = f"{button.text()!r} {_name(button)}"
        button.setFocus()
        button.click()
        return words

    def _choose_in_list(self) -> str:
        box = self._one_of(QComboBox)
        if box is None:
            return ""
        words = f"{_name(box)} {box.currentText()!r}"
        box.setFocus()
        QTest.keyClick(
            box, self.random.choice((Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_Home, Qt.Key.Key_End))
        )
        return words

    def _place(self, view: QGraphicsView) -> QPointF:
        """Return a place in a view, with a preference for what can be taken hold of."""
        area = view.viewport().rect()
        if self.random.random() < 0.7:
            items = [item for item in view.items() if item.isVisible() and item.acceptHoverEvents()]
            if items:
                item = self.random.choice(items)
                place = view.mapFromScene(item.sceneBoundingRect().center())
                if area.contains(place):
                    return QPointF(place)
        return QPointF(self.random.uniform(-5, area.width() + 5), self.random.uniform(-5, area.height() + 5))

    def _drag(self) -> str:
        view = self._one_of(QGraphicsView)
        if view is None:
            return ""
        mouse, start = Mouse(view), self._place(view)
        kind = self.random.choice(("drag", "drag", "drag", "click", "double click", "given up", "hover"))
        keys = self.random.choice((Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier))
        end = start + QPointF(self.random.gauss(0, 120), self.random.gauss(0, 80))
        if kind == "drag":
            mouse.drag(start, end, keys, steps=3)
        elif kind == "click":
            mouse.click(start)
        elif kind == "double click":
            mouse.double_click(start)
        elif kind == "hover":
            mouse.hover(start)
        else:
            mouse.press(start, keys)
            mouse.drag_on(start, end, keys, steps=2)
            QTest.keyClick(view, Qt.Key.Key_Escape)
            mouse.release(end, keys)
        return f"{kind} on {_name(view)} from {start.toTuple()} to {end.toTuple()}"

    def _wheel(self) -> str:
        view = self._one_of(QGraphicsView)
        if view is None:
            return ""
        place = self._place(view)
        turn = QPoint(0, self.random.choice((-1200, -120, 120, 1200)))
        event = QWheelEvent(
            place, QPointF(view.viewport().mapToGlobal(place.toPoint())), QPoint(), turn,
            Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(view.viewport(), event)
        return f"{turn.y()} over {_name(view)}"

    def _press_key(self) -> str:
        target = QApplication.focusWidget() or self.window
        key = self.random.choice(_KEYS)
        words = f"{key.name} on {_name(target)}"
        QTest.keyClick(target, key)
        return words

    def _shortcut(self) -> str:
        target = QApplication.focusWidget() or self.window
        word = self.random.choice(_SHORTCUTS)
        words = f"{word} on {_name(target)}"
        QTest.keySequence(target, QKeySequence(QKeySequence.StandardKey[word]))
        return words

    def _paste(self) -> str:
        grid = self.window.bench.table.table
        text = self.random.choice(PASTED)
        QGuiApplication.clipboard().setText(text)
        if not grid.isVisible():
            return self._shortcut()
        rows, columns = grid.model().rowCount(), grid.model().columnCount()
        grid.setFocus()
        grid.setCurrentIndex(
            grid.model().index(self.random.randint(0, rows), self.random.randint(0, columns))
        )
        QTest.keySequence(grid, QKeySequence(QKeySequence.StandardKey.Paste))
        return f"{text[:40]!r} into the segment table"

    def _type_in_table(self) -> str:
        grid = self._one_of(QAbstractItemView)
        if grid is None or grid.model() is None:
            return ""
        model = grid.model()
        rows = model.rowCount(QModelIndex())
        columns = model.columnCount(QModelIndex()) if isinstance(grid, QTableView) else 0
        row, column = self.random.randint(0, rows), self.random.randint(0, columns)
        grid.setFocus()
        grid.setCurrentIndex(model.index(row, column))
        QTest.keyClick(grid, self.random.choice((Qt.Key.Key_F2, Qt.Key.Key_5, Qt.Key.Key_Delete)))
        for editor in grid.viewport().findChildren(QLineEdit):
            if editor.isVisible():
                editor.selectAll()
                editor.insert(self.random.choice(TYPED))
                QTest.keyClick(editor, self.random.choice((Qt.Key.Key_Return, Qt.Key.Key_Escape)))
        return f"row {row}, column {column} of {_name(grid)}"

    def _slide(self) -> str:
        slider = self._one_of(QAbstractSlider)
        if slider is None:
            return ""
        slider.setFocus()
        QTest.keyClick(slider, self.random.choice((Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_End)))
        return _name(slider)

    def _menu_entry(self) -> str:
        # not by QAction.menu: a menu that is got from there is deleted with what Python has of it
        menu = self.random.choice(self.window.menuBar().findChildren(QMenu))
        menu.aboutToShow.emit()
        found = [
            entry for entry in menu.actions() if entry.isEnabled() and entry is not self.window.menus.quit
        ]
        if not found:
            return ""
        entry = self.random.choice(found)
        words = entry.text()
        entry.trigger()
        return words

    def _undo_or_redo(self) -> str:
        stack = self.window.document.undo_stack
        count, back = self.random.randint(1, 4), self.random.random() < 0.6
        for _ in range(count):
            (stack.undo if back else stack.redo)()
        return f"{'undo' if back else 'redo'} {count} times"

    def _resize(self) -> str:
        size = self.random.randint(300, 2600), self.random.randint(200, 1600)
        self.window.resize(*size)
        return str(size)

    def _turn_page(self) -> str:
        page = self.random.choice(PAGES).name
        self.window.turn_to(page)
        return page

    def _open(self) -> str:
        path = self.random.choice((*self.files, *sample_files()))
        if path in sample_files():
            self.window.open_sample(path)
        else:
            self.window.open_path(path)
        return path.name

    def _save(self) -> str:
        return f"{self.window.save_project_as()} to {self.dialogs.path}"

    def _file_changes(self) -> str:
        """Another program works on one of the files."""
        path = self.random.choice(self.files)
        if self.random.random() < 0.3:
            path.unlink(missing_ok=True)
            return f"{path.name} is removed"
        path.write_bytes(self.random.choice(sample_files()).read_bytes())
        return f"{path.name} is written"

    def _close_questions(self) -> None:
        """Answer what waits for an answer: menus are closed, modal dialogs used a little, then closed."""
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()
        question = QApplication.activeModalWidget()
        if isinstance(question, QDialog) and self.random.random() < 0.3:
            (question.accept if self.random.random() < 0.5 else question.reject)()

    @contextmanager
    def _watched(self) -> Iterator[None]:
        """Take note of every exception and every message that must not come."""

        def on_exception(
            kind: type[BaseException], error: BaseException, trace: TracebackType | None
        ) -> None:
            self.troubles.append("".join(traceback.format_exception(kind, error, trace)))

        def on_message(kind: QtMsgType, _context: QMessageLogContext, text: str) -> None:
            if kind not in _HARMLESS and not any(known in text for known in _KNOWN):
                self.troubles.append(f"Qt says: {text}")

        hook, sys.excepthook = sys.excepthook, on_exception
        handler = qInstallMessageHandler(on_message)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                yield
        finally:
            sys.excepthook = hook
            qInstallMessageHandler(handler)


def _name(widget: QWidget) -> str:
    words = widget.accessibleName() or widget.objectName() or type(widget).__name__
    return words[:60]


def _make_files(folder: Path) -> list[Path]:
    """Put good and bad files into a folder."""
    sample = sample_files()[0].read_bytes()
    contents = {
        "good.json": sample,
        "also good.json": sample_files()[-1].read_bytes(),
        "truncated.json": sample[: len(sample) // 2],
        "no project.json": b'{"format": "ampturn parts", "version": 1}',
        "later.json": sample.replace(b'"version": 1', b'"version": 999'),
        "noise.json": bytes(range(256)) * 4,
        "trace.csv": b"t [s];T [mNm];n [rpm]\n0;10;100\n0.1;20;200\n0.2;10;100\n",
        "broken.csv": b"t;T;n\n0;x;\n\xff\xfe",
        "table.csv": b"frame,winding\nA,24 V\n",
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    return [folder / name for name in (*contents, "is not there.json")]
