"""Where the window stands: as the last time, but wholly on a screen that there is now; small, it scrolls."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFrame, QMainWindow, QScrollArea, QWidget

from app.preferences import Preferences

SMALLEST_SIZE: Final = (560, 380)  # what does not fit into it is scrolled
USUAL_SIZE: Final = (1440, 900)
_TITLE_BAR: Final = 32  # px, which belongs to the desktop and lies above the window's own area


class SmallestPage(QWidget):
    """Asks the area that scrolls it for its smallest height at a width, not for the height it would like.

    As soon as it holds words that wrap, in the guide or in a message, the area asks for a height at its width
    and takes what is asked for: by what the plots would like, a large window would be scrolled.
    """

    def heightForWidth(self, width: int) -> int:
        layout = self.layout()
        return -1 if layout is None else layout.totalMinimumHeightForWidth(width)


def scrolled(page: SmallestPage) -> QScrollArea:
    """Return the page in an area that scrolls it where a small screen has no room for its smallest size."""
    scroller = QScrollArea()
    scroller.setProperty("bare", True)
    scroller.setWidgetResizable(True)
    scroller.setFrameShape(QFrame.Shape.NoFrame)
    scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroller.setWidget(page)
    page.setAutoFillBackground(False)  # `setWidget` has switched it on: the ground is painted once
    scroller.viewport().setAutoFillBackground(False)
    return scroller


def take_place(window: QMainWindow, preferences: Preferences) -> None:
    """Put the window where it was, made to fit; at its first start in its usual size."""
    screens = [screen.availableGeometry() for screen in QGuiApplication.screens()]
    kept = preferences.window_rectangle()
    window.setMinimumSize(*SMALLEST_SIZE)
    if kept is None:
        window.resize(fitted(QRect(0, 0, *USUAL_SIZE), screens).size())
    else:
        window.setGeometry(fitted(QRect(*kept), screens))


def keep_place(window: QMainWindow, preferences: Preferences) -> None:
    """Remember where the window is."""
    box = window.normalGeometry() if window.isMaximized() else window.geometry()
    preferences.keep_window((box.x(), box.y(), box.width(), box.height()), window.isMaximized())


def fitted(wanted: QRect, screens: Sequence[QRect]) -> QRect:
    """Return a rectangle that lies on one screen: the one that has most of it, the first where none has any.

    Examples
    --------
    >>> fitted(QRect(1500, 100, 1600, 1000), [QRect(0, 0, 1280, 800)]).getRect()
    (0, 32, 1280, 768)
    """
    if not screens:
        return wanted
    screen = max(screens, key=lambda one: _area(one.intersected(wanted)))
    room = screen.adjusted(0, _TITLE_BAR, 0, 0)
    width, height = min(wanted.width(), room.width()), min(wanted.height(), room.height())
    if wanted.width() < 1 or wanted.height() < 1:  # of a damaged settings file
        width, height = min(USUAL_SIZE[0], room.width()), min(USUAL_SIZE[1], room.height())
    left = max(room.left(), min(wanted.left(), room.right() + 1 - width))
    top = max(room.top(), min(wanted.top(), room.bottom() + 1 - height))
    return QRect(left, top, width, height)


def _area(box: QRect) -> int:
    return box.width() * box.height() if box.isValid() else 0
