"""The parts a sheet is made of. They say what is printed; how it looks is the painter's business.

Every text may be a `Sentence`, so that numbers stand in the reader's units. Texts from files are plain
text: whoever lays them out must not read mark-up into them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from core.charts.chart import Chart
from core.charts.load_sketch import LoadSketch
from core.records import dataclass
from core.results import HeatFlows
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
    compact: bool = False  # in small type, as in an appendix
    heads: bool = False  # stands over what follows it, as a strong single line does in any case


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list; `to_tick` prints a box before each entry, for checks that are still to be done."""

    entries: tuple[Words, ...]
    to_tick: bool = False
    compact: bool = False


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
    compact: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Pairs of a name and what is known of it, in one to three columns."""

    pairs: tuple[tuple[Words, Words], ...]
    columns: int = 2
    compact: bool = False


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
class FlowOfHeat:
    """The heat network with its temperatures and watts, drawn to the room it gets (`heat_picture`)."""

    flows: HeatFlows
    limits: dict[str, float]
    candidate: int
    caption: Words
    height_mm: float = 80.0
    share: float = 1.0  # of the text width, as of a `Picture`


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution with its numbers, framed."""

    title: Words
    text: Words


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks in columns of one width each, that stand beside each other where a page holds them."""

    columns: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True, slots=True)
class Folded:
    """Blocks that run through two columns, down the left one and on in the right one."""

    blocks: tuple[Block, ...]


Figure = Picture | Drawing | FlowOfHeat
Block = Paragraph | Bullets | Table | Facts | Figure | Warned | Beside | Folded


def flat(blocks: Iterable[Block]) -> Iterator[Block]:
    """Yield blocks and those within columns, in the order in which they are read."""
    for block in blocks:
        if isinstance(block, Beside):
            for column in block.columns:
                yield from flat(column)
        elif isinstance(block, Folded):
            yield from flat(block.blocks)
        else:
            yield block


@dataclass(frozen=True, slots=True)
class Section:
    """A numbered part of the sheet; `in_appendix` is for looking up, after what is to be read."""

    title: str
    blocks: tuple[Block, ...]
    new_page: bool = False
    in_appendix: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet.

    `head` are facts printed at the top of the first page, `answer` is the decision in one or two sentences,
    `decision` what it rests on: these and the contents are the first page. `running` is the line at the foot
    of each page beside the page number. `project_file` is the exact project as it is attached,
    `project_hash` its SHA-256 in hexadecimal digits.
    """

    title: str
    head: Facts
    answer: Paragraph
    sections: tuple[Section, ...]
    running: str
    project_file: bytes
    project_hash: str
    decision: tuple[Block, ...] = ()
