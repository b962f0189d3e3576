"""The parts a sheet is made of. They say what is printed; how it looks is the painter's business.

Every text may be a `Sentence`, so that numbers stand in the reader's units. Texts from files are plain
text: whoever lays them out must not read mark-up into them.
"""

from __future__ import annotations

from typing import Literal

from core.charts.chart import Chart
from core.charts.load_sketch import LoadSketch
from core.records import dataclass
from core.sentences import Sentence, as_text
from core.units import DisplayUnits, Kind

Words = str | Sentence
Tone = Literal["plain", "strong", "soft", "met", "missed", "caution"]
Align = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: Words
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list; `to_tick` prints a box before each entry, for checks that are still to be done."""

    entries: tuple[Words, ...]
    to_tick: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table; `mark` is a short word or sign that says what the tone says."""

    text: Words
    tone: Tone = "plain"
    candidate: int | None = None
    bar: float | None = None  # a share from 0 to 1 drawn as a bar, with `tick` as its target
    tick: float | None = None

    @property
    def quantity(self) -> tuple[float, Kind] | None:
        """The SI value and kind of a cell that is one quantity and nothing else."""
        text = self.text
        if isinstance(text, str) or len(text.values) != 1:
            return None
        name, value, kind = text.values[0]
        return (value, kind) if text.template == f"{{{name}}}" else None


@dataclass(frozen=True, slots=True)
class Column:
    """Head and alignment of a column; `weight` shares out the width that is left, 0 is as wide as needed.

    A column of one `kind` has the unit in its head and bare numbers in its cells.
    """

    head: Words
    align: Align = "left"
    weight: float = 1.0
    kind: Kind | None = None

    def title(self, units: DisplayUnits) -> str:
        """Return the head as it is printed, with the unit where the column has one."""
        head = as_text(self.head, units)
        symbol = "" if self.kind is None else units.symbol(self.kind)
        return f"{head} ({symbol})" if symbol else head

    def shown(self, cell: Cell, units: DisplayUnits) -> str:
        """Return the text of a cell of this column as it is printed."""
        quantity = cell.quantity
        if quantity is None or quantity[1] is not self.kind:
            return as_text(cell.text, units)
        return units.format_value(*quantity)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads that are repeated on each page; no row is split.

    `groups` are pairs of a row number and the words that stand before that row.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    caption: Words = ""
    groups: tuple[tuple[int, Words], ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """Pairs of a name and what is known of it, in one to three columns."""

    pairs: tuple[tuple[Words, Words], ...]
    columns: int = 2


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart in vector form, as wide as the text."""

    chart: Chart
    caption: Words
    height_mm: float = 80.0
    share: float = 1.0  # of the text width; two pictures of one half stand side by side


@dataclass(frozen=True, slots=True)
class Drawing:
    """The sketch of what moves, whose shapes have their own frame (`core.charts.sketch_shapes`)."""

    sketch: LoadSketch
    caption: Words
    height_mm: float = 60.0
    share: float = 1.0  # of the text width, as of a `Picture`


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution with its numbers, framed."""

    title: Words
    text: Words


Block = Paragraph | Bullets | Table | Facts | Picture | Drawing | Warned


@dataclass(frozen=True, slots=True)
class Section:
    """A numbered part of the sheet."""

    title: str
    blocks: tuple[Block, ...]
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet.

    `head` are facts printed at the top of the first page, `running` the line at the foot of each page
    beside the page number; `answer` is the decision in one or two sentences. `project_file` is the
    exact project as it is attached, `project_hash` its SHA-256 in hexadecimal digits.
    """

    title: str
    head: Facts
    answer: Paragraph
    sections: tuple[Section, ...]
    running: str
    project_file: bytes
    project_hash: str
