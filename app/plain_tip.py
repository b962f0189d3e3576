"""Tool tips with text from a file: shown as it is, never read as rich text."""

from __future__ import annotations

from html import escape

from PySide6.QtGui import Qt


def plain_tip(words: str) -> str:
    """Return the words as a tool tip that shows them as they are; Qt guesses whether a tip is rich text.

    Examples
    --------
    >>> plain_tip("47 mm frame"), plain_tip("<b>x</b>")
    ('47 mm frame', '<qt>&lt;b&gt;x&lt;/b&gt;</qt>')
    """
    if not Qt.mightBeRichText(words):
        return words
    return f"<qt>{escape(words).replace(chr(10), '<br/>')}</qt>"
