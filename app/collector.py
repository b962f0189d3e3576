"""Garbage collection kept out of the way of the first paint.

Loading makes some hundred thousand objects that all stay; looking through them for garbage again and again
takes a twentieth of the start, and later a tenth of a frame each time.
"""

from __future__ import annotations

import gc


def hold_collection() -> None:
    """Let nothing be collected until `release_collection` or `resume_collection`."""
    gc.disable()


def resume_collection() -> None:
    """Collect again from here on, for what ends soon anyway."""
    gc.enable()


def release_collection() -> None:
    """Collect once, leave what is there now alone for good, and collect again from here on."""
    gc.collect()
    gc.freeze()
    gc.enable()
