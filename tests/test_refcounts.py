"""The installed Qt binding keeps the books on the objects that Python shares."""

from __future__ import annotations

import sys

from PySide6.QtCore import QObject
from PySide6.QtGui import QPainterPath

CALLS = 10_000


def test_void_calls_leave_none_alone() -> None:
    # PySide6 6.12.0 drops one reference of None at each call that returns nothing, until Python 3.11 aborts
    # with "deallocating None". From 3.12 on None is immortal and its count never changes.
    item, path = QObject(), QPainterPath()
    before = sys.getrefcount(None)
    for _ in range(CALLS):
        item.setObjectName("a")
        path.moveTo(0.0, 0.0)
    assert abs(sys.getrefcount(None) - before) < CALLS / 100
