"""What the window says about the safety of the open file: lock, changes from outside, recovered changes."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtWidgets import QApplication

from app.message_bar import Offer
from app.recovery import LeftChanges, Recovery

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from core.project.recovery_file import KeptChanges


class FileCare(QObject):
    """Connects recovery, lock and watch with the messages of the window."""

    def __init__(self, window: MainWindow, recovery_folder: Path | None) -> None:
        super().__init__(window)
        self._window, self._files = window, window.files
        self.recovery = Recovery(window.document, window.files, recovery_folder, self)
        self._left: list[LeftChanges] = []
        self.recovery.failed.connect(lambda text: window.messages.show_message("notice", text))
        window.files.watch.changed.connect(self._on_file_changed)
        window.document.replaced.connect(self._on_replaced)
        window.files.saved.connect(lambda _folder: window.messages.show_message("file", ""))
        window.files.state_changed.connect(self._show_lock)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.applicationStateChanged.connect(self._on_turned_to)

    def may_replace(self, path: Path) -> bool:
        """Ask before a file is replaced that another program has changed since it was read."""
        watch = self._files.watch
        if path != watch.path or watch.look() != "changed":
            return True
        return self._window.dialogs.ask_replace(self._window, path)

    @Slot()
    def offer_left(self) -> None:
        """Offer what windows that died have left."""
        self._left = self.recovery.left()
        self._show_left()

    def shut_down(self) -> None:
        """Leave nothing behind: the window is closed."""
        for left in self._left:
            left.release()
        self._left = []
        self.recovery.shut_down()
        self._files.shut_down()

    # the lock ------------------------------------------------------------------------------------------

    def _show_lock(self) -> None:
        reason = self._window.document.read_only_reason
        offers: list[Offer] = []
        if reason and self._files.holder is not None:
            take = "Take it over" if self._files.holder.is_elsewhere else "Try again"
            offers = [("Work on a copy", self._work_on_copy), (take, self._take_over)]
        self._window.messages.show_message("read only", reason, offers)

    def _work_on_copy(self) -> None:
        if self._files.path is not None:
            self._files.open_sample(self._files.path)

    def _take_over(self) -> None:
        if self._files.path is not None and self._files.holder is not None:
            self._files.open(self._files.path, take_over=self._files.holder.is_elsewhere)

    # changes from outside ------------------------------------------------------------------------------

    @Slot(str)
    def _on_file_changed(self, state: str) -> None:
        path, read_only = self._files.path, bool(self._window.document.read_only_reason)
        text, offers = "", list[Offer]()
        if path is not None and state == "changed":
            text = f"{path} was changed by another program."
            offers = [("Read it anew", self._read_anew)]
            if not read_only:
                text += " Reading it anew can be undone; keeping yours replaces the file when you save."
                offers.append(("Keep mine", self._keep_mine))
        elif path is not None and state == "gone":
            text = f"{path} is not there any more: it was moved, renamed or removed."
            if not read_only:
                text += " The project is still open; saving writes the file again."
        self._window.messages.show_message("file", text, offers)

    def _read_anew(self) -> None:
        if self._files.read_anew():
            self._window.messages.show_message("file", "")
            self._window.messages.show_message("failure", "")

    def _keep_mine(self) -> None:
        self._files.keep_mine()
        self._window.messages.show_message("file", "")

    @Slot()
    def _on_replaced(self) -> None:
        self._window.messages.show_message("file", "")

    @Slot(Qt.ApplicationState)
    def _on_turned_to(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive:
            self._files.watch.look()

    # recovered changes ---------------------------------------------------------------------------------

    def _show_left(self) -> None:
        messages = self._window.messages
        if not self._left:
            messages.show_message("recovery", "")
            return
        left = self._left[0]
        more = f" ({len(self._left) - 1} more after this.)" if len(self._left) > 1 else ""
        offers: list[Offer] = [("Later", self._leave), ("Discard", self._discard)]
        if left.kept is not None:
            offers.insert(0, ("Open them", self._open_left))
        messages.show_message("recovery", words_of(left) + more, offers)

    def _leave(self) -> None:
        self._left.pop(0).release()
        self._show_left()

    def _discard(self) -> None:
        self._left.pop(0).discard()
        self._show_left()

    def _open_left(self) -> None:
        """Open the file, then its recovered changes as one step that can be undone, not saved yet."""
        left, window = self._left[0], self._window
        if left.kept is None or not window.may_leave():
            return
        self._open_base(left.kept)
        window.document.edit(left.kept.project, "Recover unsaved changes")
        del self._left[0]
        if self.recovery.keep_at_once():
            left.discard()
        else:
            left.release()
        self._show_left()

    def _open_base(self, kept: KeptChanges) -> None:
        """Open the file that changes belong to, or none where they can only be saved to another one."""
        path = kept.path
        opened = path is not None and path.exists() and self._files.open(path)
        if not opened or self._window.document.read_only_reason:
            self._files.new(kept.beside)


def words_of(left: LeftChanges) -> str:
    """Say what was left by a window that died."""
    if left.kept is None:
        return f"Changes that were kept for recovery cannot be read: {left.trouble}."
    path = left.kept.path
    name = (
        str(path) if path is not None else f"“{left.kept.project.application.title}”, which had no file yet,"
    )
    when = time.strftime("%Y-%m-%d %H:%M", time.localtime(left.kept.kept_at))
    text = f"Ampturn ended unexpectedly. The changes to {name} were not saved; they were kept on {when}."
    if left.file_is_newer:
        return f"{text} The file has been saved since then, so it may be the better one."
    if path is not None and not path.exists():
        return f"{text} The file itself is not there any more."
    return text
