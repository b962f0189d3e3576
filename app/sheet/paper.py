"""Papers and the measures of the sheet's typography, in millimetres and points."""

from __future__ import annotations

from typing import Final

from core.records import dataclass

BODY_PT: Final = 8.5
TABLE_PT: Final = 7.6
SMALL_PT: Final = 7.0  # captions and the foot
COMPACT_PT: Final = 6.8  # lists to look something up in
SECTION_PT: Final = 12.0
PART_PT: Final = 15.0
TITLE_PT: Final = 19.0
ANSWER_PT: Final = 10.5


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper and its margins. [mm]"""

    name: str
    width: float
    height: float
    left: float = 19.0
    right: float = 14.0
    top: float = 14.0
    bottom: float = 17.0

    @property
    def text_width(self) -> float:
        """Width of the text. [mm]"""
        return self.width - self.left - self.right

    @property
    def text_height(self) -> float:
        """Height of the text. [mm]"""
        return self.height - self.top - self.bottom


A4: Final = Paper("A4", 210.0, 297.0)
LETTER: Final = Paper("Letter", 215.9, 279.4)
PAPERS: Final[dict[str, Paper]] = {"a4": A4, "letter": LETTER}
