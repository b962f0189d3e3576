"""What the user prefers, kept between sessions: units, theme, recent files, the shape of the window.

They live in one INI file at an explicit path. Anybody may have edited that file, so every value read is
untrusted: one of the wrong kind counts as absent, and a file that is no INI file is set aside with a notice.
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Final, cast

from PySide6.QtCore import QObject, QSettings, Signal
from PySide6.QtWidgets import QApplication

from app.theme import ThemeChoice, Tokens, apply_theme, current_tokens, resolve_theme, stylesheet_of
from core.errors import UnitError
from core.units import DisplayUnits, Kind

MOST_RECENT_FILES: Final = 8
_LONGEST_VALUE = 20_000
_THEMES: tuple[ThemeChoice, ...] = ("light", "dark", "system")

Rectangle = tuple[int, int, int, int]  # x, y, width, height [px]


class Preferences(QObject):
    """Display units, theme and the like. `changed` tells that units or theme are other ones now.

    Without a path nothing is kept, as tests and pictures want it.
    """

    changed = Signal()

    def __init__(self, path: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.notice = ""
        self._settings = self._opened(path) if path is not None else None
        self._theme: ThemeChoice = self._read_theme()
        self._units = self._read_units()
        self._recent = self._read_recent()

    def _opened(self, path: Path) -> QSettings | None:
        """Return the settings at a path, with a file that cannot be read as such set aside."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self.notice = f"Preferences are not kept: {path.parent} cannot be made ({error.strerror})."
            return None
        settings = QSettings(str(path), QSettings.Format.IniFormat)
        if settings.status() is QSettings.Status.FormatError:
            aside = path.with_suffix(".unreadable")
            with contextlib.suppress(OSError):
                path.replace(aside)
                self.notice = f"The preferences could not be read. They start anew; the old are in {aside}."
            settings = QSettings(str(path), QSettings.Format.IniFormat)
        return settings

    @property
    def display_units(self) -> DisplayUnits:
        """The unit in which each kind of quantity is shown."""
        return self._units

    @display_units.setter
    def display_units(self, units: DisplayUnits) -> None:
        if units == self._units:
            return
        self._units = units
        usual = DisplayUnits()
        chosen = {str(k): units.symbol(k) for k in Kind if units.symbol(k) != usual.symbol(k)}
        self._write("units", json.dumps(chosen))
        self.changed.emit()

    @property
    def theme(self) -> ThemeChoice:
        """The theme as chosen; `tokens` tells what it stands for now."""
        return self._theme

    @theme.setter
    def theme(self, choice: ThemeChoice) -> None:
        if choice != self._theme:
            self._theme = choice
            self._write("theme", choice)
            self.dress()

    @property
    def tokens(self) -> Tokens:
        """The colours on screen."""
        return current_tokens()

    def dress(self) -> None:
        """Dress the application in the chosen theme; called at start and when the desktop's hint changes."""
        application = QApplication.instance()
        if isinstance(application, QApplication) and not _is_dressed(application, self._theme):
            apply_theme(application, self._theme)
        self.changed.emit()

    @property
    def recent_files(self) -> tuple[Path, ...]:
        """Files opened or saved, the last one first."""
        return self._recent

    def add_recent_file(self, path: Path) -> None:
        """Put a file at the head of the recent ones."""
        kept = [path, *(old for old in self._recent if old != path)]
        self._set_recent(tuple(kept[:MOST_RECENT_FILES]))

    def forget_recent_file(self, path: Path) -> None:
        """Drop a file that is gone."""
        self._set_recent(tuple(old for old in self._recent if old != path))

    def window_rectangle(self) -> Rectangle | None:
        """Return where the window was; the window itself makes it fit the screens there are."""
        numbers = self.sizes("window")
        return numbers if len(numbers) == 4 else None

    def keep_window(self, rectangle: Rectangle, maximised: bool) -> None:
        """Remember where the window was."""
        self.keep_sizes("window", rectangle)
        self.keep_flag("maximised", maximised)

    def sizes(self, name: str) -> tuple[int, ...]:
        """Return the sizes kept under a name, as the shares of a splitter; empty where there are none."""
        found = self._read_json(f"sizes_{name}")
        if not isinstance(found, list) or len(found) > 16:
            return ()
        whole = [n for n in found if isinstance(n, int) and not isinstance(n, bool) and abs(n) < 100_000]
        return tuple(whole) if len(whole) == len(found) else ()

    def keep_sizes(self, name: str, sizes: tuple[int, ...]) -> None:
        """Remember sizes under a name."""
        self._write(f"sizes_{name}", json.dumps(list(sizes)))

    def flag(self, name: str, default: bool) -> bool:
        """Return a yes or no kept under a name, as whether a group is folded."""
        found = self._read_json(f"flag_{name}")
        return found if isinstance(found, bool) else default

    def keep_flag(self, name: str, value: bool) -> None:
        """Remember a yes or no under a name."""
        self._write(f"flag_{name}", json.dumps(value))

    def save(self) -> None:
        """Write the file now."""
        if self._settings is not None:
            self._settings.sync()

    def _write(self, key: str, text: str) -> None:
        if self._settings is not None:
            self._settings.setValue(key, text)

    def _read(self, key: str) -> str:
        found = self._settings.value(key, "") if self._settings is not None else ""
        # QSettings takes a text with a comma for a list.
        if isinstance(found, list) and all(isinstance(part, str) for part in found):
            found = ", ".join(found)
        return found if isinstance(found, str) and len(found) <= _LONGEST_VALUE else ""

    def _read_json(self, key: str) -> object:
        try:
            return cast(object, json.loads(self._read(key)))
        except (ValueError, RecursionError):
            return None

    def _read_theme(self) -> ThemeChoice:
        found = self._read("theme")
        return next((choice for choice in _THEMES if choice == found), "system")

    def _read_units(self) -> DisplayUnits:
        found = self._read_json("units")
        units = DisplayUnits()
        for kind in Kind:
            symbol = found.get(str(kind)) if isinstance(found, dict) else None
            if isinstance(symbol, str):
                with contextlib.suppress(UnitError):
                    units = units.with_units({kind: symbol})
        return units

    def _read_recent(self) -> tuple[Path, ...]:
        found = self._read_json("recent")
        names = found if isinstance(found, list) else []
        usable = (name for name in names if isinstance(name, str) and name and "\0" not in name)
        return tuple(Path(name) for name in usable)[:MOST_RECENT_FILES]

    def _set_recent(self, files: tuple[Path, ...]) -> None:
        self._recent = files
        self._write("recent", json.dumps([str(path) for path in files]))


def _is_dressed(application: QApplication, choice: ThemeChoice) -> bool:
    """Tell whether the application wears this theme: putting it on anew would style every widget again."""
    tokens = resolve_theme(application, choice)
    return current_tokens() == tokens and application.styleSheet() == stylesheet_of(tokens)
