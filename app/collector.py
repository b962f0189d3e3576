"""Garbage collection kept out of the way of the first paint.

Loading makes some hundred thousand objects that all stay; looking through them for garbage again and again
takes a twentieth of the start, and later a tenth of a frame each time.
"""

from __future__ import annotations

import gc
from typing import Final

# New objects between two collections of the youngest, a megabyte or two. With the number of Python one frame
# of a drag in ten was collected after (0.4 ms), with this one in some hundreds (0.9 ms).
_YOUNG: Final = 10_000


def hold_collection() -> None:
    """Let nothing be collected until `release_collection` or `resume_collection`."""
    gc.disable()


def resume_collection() -> None:
    """Collect again from here on, for what ends soon anyway."""
    gc.enable()


def release_collection() -> None:
    """Collect once, leave what is there now alone for good, and collect again from here on, but rarely."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_YOUNG, *gc.get_threshold()[1:])
    gc.enable()
