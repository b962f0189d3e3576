"""Put document, evaluation, preferences and window together, and run the window."""

from __future__ import annotations

import sys
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QStandardPaths, QTimer
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from app.collector import release_collection
from app.dialogs import Dialogs
from app.document import ProjectDocument
from app.drag_help import DragHelp
from app.files import FIRST_SAMPLE
from app.main_window import MainWindow
from app.preferences import Preferences
from app.recompute import Recompute
from app.theme import BODY_PT, register_fonts
from core.evaluate import evaluate
from core.project.project import Project


def run_window(path: Path | None = None) -> int:
    """Open the window on a file, or on the sample project, and return when it is closed."""
    running = QApplication.instance()
    application = running if isinstance(running, QApplication) else QApplication(sys.argv[:1])
    application.setApplicationName("ampturn")
    application.setApplicationDisplayName("Ampturn")
    application.setDesktopFileName("ampturn")
    window = build_window(Preferences(preferences_path()), path, recovery_folder=recovery_path())
    _say_unexpected_errors(window)
    hints = application.styleHints()
    hints.colorSchemeChanged.connect(lambda _scheme: window.preferences.dress())
    if window.preferences.flag("maximised", False):
        window.showMaximized()
    else:
        window.show()
    QTimer.singleShot(0, release_collection)
    QTimer.singleShot(0, window.shelf.load)  # the frames to choose from are not needed for the first paint
    QTimer.singleShot(0, window.care.offer_left)
    if path is None:
        QTimer.singleShot(0, window.help.offer_tour)
    helped = DragHelp(window.recompute, window)
    try:
        return application.exec()
    finally:
        helped.shut_down()


def build_window(
    preferences: Preferences,
    path: Path | None = None,
    dialogs: Dialogs | None = None,
    recovery_folder: Path | None = None,
) -> MainWindow:
    """Return a window that shows a file, or the sample project, with its answer."""
    _take_style_and_font()
    document = ProjectDocument(Project())
    recompute = Recompute(document, evaluate)
    window = MainWindow(document, recompute, preferences, dialogs, recovery_folder)
    document.setParent(window)
    recompute.setParent(window)
    # dressed when it is complete: a stylesheet that is there before would style each part several times
    preferences.dress()
    opened = window.files.open(path) if path is not None else window.files.open_sample(FIRST_SAMPLE)
    if not opened:
        window.files.new()
    if preferences.notice:
        window.messages.show_message("notice", preferences.notice)
    recompute.run_now()
    return window


def _take_style_and_font() -> None:
    """Let everything be measured in the shipped typeface from the start, and no widget change its style."""
    QApplication.setStyle("Fusion")
    font = QFont(register_fonts())
    font.setPointSizeF(BODY_PT)
    QApplication.setFont(font)


def preferences_path() -> Path:
    """Return where the preferences of this user are."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericConfigLocation)
    return Path(folder or Path.home()) / "ampturn" / "preferences.ini"


def recovery_path() -> Path:
    """Return where unsaved changes of this user are kept for the case of a crash."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericDataLocation)
    return Path(folder or Path.home()) / "ampturn" / "recovery"


def _say_unexpected_errors(window: MainWindow) -> None:
    """Show a defect in the message bar instead of only in a terminal that nobody sees."""

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        traceback.print_exception(kind, error, trace)
        if not issubclass(kind, KeyboardInterrupt):
            window.fail(f"Something in Ampturn failed ({kind.__name__}: {error}). The project is unchanged.")

    sys.excepthook = hook
