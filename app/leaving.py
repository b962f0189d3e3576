"""Closing the window asks once, about everything that would be lost with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from core.records import dataclass

if TYPE_CHECKING:
    from app.main_window import MainWindow


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """Something that is not finished: what it is, in words, and how it is saved, None where it cannot be."""

    words: str
    save: Callable[[], bool] | None


def loose_ends(window: MainWindow) -> tuple[LooseEnd, ...]:
    """Return what closing the window would lose, in the order in which it is saved."""
    found = []
    entry = window.parts.unsaved_entry()
    if entry is not None:
        words = f"the motor {entry.name} in the parts editor: figures that are in no parts file yet"
        found.append(LooseEnd(words, window.parts.save_entry))
    project = window.unsaved_words()
    if project:
        found.append(LooseEnd(project, window.save_project))
    searched = window.pages.search_under_way()
    if searched:
        found.append(LooseEnd(searched, None))
    return tuple(found)


def may_close(window: MainWindow) -> bool:
    """Ask once about all that is not saved; tell whether the window may close."""
    window.take_typed_text()
    ends = loose_ends(window)
    if ends:
        can_save = any(end.save is not None for end in ends)
        answer = window.dialogs.ask_unsaved(window, tuple(end.words for end in ends), can_save)
        if answer == "cancel":
            return False
        # one that cannot be saved after all keeps the window open, with what is said about it
        if answer == "save" and not all(end.save() for end in ends if end.save is not None):
            return False
    window.parts.close_entry()
    return True
