"""Tab goes through a window as one reads it, and what it reaches is brought into sight.

Groups that are made when they are first opened come last in the chain of Qt, so the order is read off the
window at each Tab: row by row, from the left, what lies together staying together.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QWidget


def walk(window: QWidget, forward: bool) -> bool:
    """Give the focus to the next control, after the last one to the first; tell whether it went."""
    order = _read(window)
    if not order:
        return False
    here = window.focusWidget()
    step = 1 if forward else -1
    at = order.index(here) if here in order else (-1 if forward else 0)
    reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
    order[(at + step) % len(order)].setFocus(reason)
    bring_into_sight(window.focusWidget())
    return True


def bring_into_sight(control: QWidget | None) -> None:
    """Scroll every area that a control lies in so that it is seen."""
    above = None if control is None else control.parentWidget()
    while above is not None and control is not None:
        if isinstance(above, QScrollArea):
            above.ensureWidgetVisible(control, 0, 24)
        above = above.parentWidget()


def _read(widget: QWidget) -> list[QWidget]:
    """Return the controls in a widget that Tab can reach, in the order in which they are read."""
    found = []
    for child in _by_rows(widget):
        takes_tab = bool(child.focusPolicy() & Qt.FocusPolicy.TabFocus) and child.isEnabled()
        if takes_tab and child.focusProxy() is None:
            found.append(child)
        found += _read(child)
    return found


def _by_rows(widget: QWidget) -> list[QWidget]:
    """Return the visible children: those beside each other from the left, then the row below."""
    children = [
        child
        for child in widget.children()
        if isinstance(child, QWidget) and not child.isWindow() and child.isVisible()
    ]
    children.sort(key=lambda child: child.y() + child.height() / 2.0)
    rows: list[list[QWidget]] = []
    for child in children:
        if rows and rows[-1][0].y() + rows[-1][0].height() > child.y() + child.height() / 2.0:
            rows[-1].append(child)
        else:
            rows.append([child])
    return [child for row in rows for child in sorted(row, key=QWidget.x)]
