"""Break text into rows of a width; widths of words are measured once."""

from __future__ import annotations

import unicodedata

from app.chart_canvas import Lettering

_DUST = 1e-6  # of sums of widths: a word that is as wide as its column is whole [mm]


class Setter:
    """Sets texts in rows. What cannot be printed is left out; a word wider than a row is broken."""

    def __init__(self, lettering: Lettering) -> None:
        self.lettering = lettering
        self._widths: dict[tuple[str, float, bool], float] = {}

    def width(self, text: str, pt: float, bold: bool = False) -> float:
        """Return the width of a short text, remembered. [mm]"""
        key = (text, pt, bold)
        found = self._widths.get(key)
        if found is None:
            found = self._widths[key] = self.lettering.width(text, pt, bold)
        return found

    def rows(self, text: str, pt: float, width: float, bold: bool = False) -> tuple[str, ...]:
        """Return the text in rows of at most this width; line ends in it stand. [mm]"""
        rows: list[str] = []
        for line in printable(text).split("\n"):
            rows += self._broken(line, pt, width, bold)
        return tuple(rows)

    def longest_word(self, text: str, pt: float, bold: bool = False) -> float:
        """Return the width of the widest word. [mm]"""
        return max((self.width(word, pt, bold) for word in printable(text).split(" ")), default=0.0)

    def _broken(self, line: str, pt: float, width: float, bold: bool) -> list[str]:
        rows, row, used = [], "", 0.0
        space = self.width(" ", pt, bold)
        for word in line.split(" "):
            wide = self.width(word, pt, bold)
            if row and used + space + wide <= width + _DUST:
                row, used = f"{row} {word}", used + space + wide
                continue
            if row:
                rows.append(row)
            while wide > width + _DUST and len(word) > 1:
                head = self._head(word, pt, width, bold)
                rows.append(word[:head])
                word = word[head:]
                wide = self.width(word, pt, bold)
            row, used = word, wide
        rows.append(row)
        return rows

    def _head(self, word: str, pt: float, width: float, bold: bool) -> int:
        """Return how many letters of a word fit, at least one."""
        low, high = 1, len(word)
        while low < high:
            middle = (low + high + 1) // 2
            if self.lettering.width(word[:middle], pt, bold) <= width:
                low = middle
            else:
                high = middle - 1
        return low


def printable(text: str) -> str:
    """Return a text without control letters; tabs become spaces, line ends stay.

    Examples
    --------
    >>> printable("a\\tb\\x07c")
    'a bc'
    """
    spaced = text.replace("\r\n", "\n").replace("\t", " ")
    return "".join(c for c in spaced if c == "\n" or unicodedata.category(c) not in ("Cc", "Cf", "Cs"))
