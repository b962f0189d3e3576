"""A sheet as plain text: to be read in a terminal, searched, and compared with an earlier one."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from core.sentences import as_text
from core.sheet.blocks import (
    Block,
    Bullets,
    Cell,
    Drawing,
    Facts,
    FlowOfHeat,
    Paragraph,
    Picture,
    Section,
    Sheet,
    Table,
    Warned,
    Words,
    flat,
)
from core.units import DisplayUnits

WIDTH = 120
_NARROWEST = 6
_BAR = 12  # letters of a full bar
_GAP = "  "


def plain_text(sheet: Sheet, units: DisplayUnits, width: int = WIDTH) -> str:
    """Return a sheet as lines of text; pictures stand by their captions and summaries."""
    title = _shown(sheet.title, units)
    lines = [title, "=" * min(len(title), width), ""]
    lines += _block(sheet.head, units, width)
    lines += ["", *_block(sheet.answer, units, width)]
    for block in flat(sheet.decision):
        lines += ["", *_block(block, units, width)]
    for number, section in enumerate(sheet.sections, start=1):
        lines += ["", "", *_section(number, section, units, width)]
    lines += ["", "", _shown(sheet.running, units), f"SHA-256 of the project file: {sheet.project_hash}", ""]
    return "\n".join(line.rstrip() for line in lines)


def _section(number: int, section: Section, units: DisplayUnits, width: int) -> list[str]:
    title = f"{number}  {section.title}"
    lines = [title, "-" * len(title)]
    for block in flat(section.blocks):
        lines += ["", *_block(block, units, width)]
    return lines


def _block(block: Block, units: DisplayUnits, width: int) -> list[str]:
    if isinstance(block, Paragraph):
        return _wrapped(_shown(block.text, units), width)
    if isinstance(block, Bullets):
        mark = "[ ] " if block.to_tick else "-   "
        return [line for entry in block.entries for line in _hanging(mark, _shown(entry, units), width)]
    if isinstance(block, Facts):
        return _facts(block, units, width)
    if isinstance(block, Table):
        return _table(block, units, width)
    if isinstance(block, Warned):
        return _hanging("!   ", f"{_shown(block.title, units)}: {_shown(block.text, units)}", width)
    if isinstance(block, Picture):
        return _picture(block.caption, block.chart.summary, units, width)
    if isinstance(block, FlowOfHeat):
        return _picture(block.caption, "", units, width)  # the caption has the balance
    if isinstance(block, Drawing):
        return _picture(block.caption, "", units, width)  # what a sketch shows stands beside it in words
    return [line for part in flat((block,)) for line in _block(part, units, width)]


def _picture(caption: Words, summary: str, units: DisplayUnits, width: int) -> list[str]:
    return _hanging("[picture] ", f"{_shown(caption, units)} {_printable(summary)}", width)


def _facts(facts: Facts, units: DisplayUnits, width: int) -> list[str]:
    pairs = [(_shown(name, units), _shown(words, units)) for name, words in facts.pairs]
    widest = min(max((len(name) for name, _ in pairs), default=0), width // 2)
    return [line for name, words in pairs for line in _hanging(f"{name:<{widest}}{_GAP}", words, width)]


def _table(table: Table, units: DisplayUnits, width: int) -> list[str]:
    heads = [column.title(units) for column in table.columns]
    rows = [
        [_cell(cell, column.shown(cell, units)) for cell, column in zip(row, table.columns, strict=True)]
        for row in table.rows
    ]
    heads, rows = [_printable(head) for head in heads], [[_printable(text) for text in row] for row in rows]
    widths = _widths([heads, *rows], width)
    lines = [_shown(table.caption, units), ""] if table.caption else []
    lines += [*_row(heads, widths, table), "-" * (sum(widths) + len(_GAP) * (len(widths) - 1))]
    before = dict(table.groups)
    for place, row in enumerate(rows):
        lines += [f"[{_shown(before[place], units)}]"] if place in before else []
        lines += _row(row, widths, table)
    return lines


def _cell(cell: Cell, text: str) -> str:
    if cell.bar is None:
        return text
    full = round(_BAR * cell.bar)
    bar = "#" * full + "." * (_BAR - full)
    if cell.tick is not None:
        tick = min(round(_BAR * cell.tick), _BAR - 1)
        bar = f"{bar[:tick]}|{bar[tick + 1 :]}"
    return f"{text} {bar}".strip()


def _widths(rows: Sequence[Sequence[str]], width: int) -> list[int]:
    """Return widths of columns that fit together; the widest ones give way first."""
    widths = [max(max(len(row[k]) for row in rows), 1) for k in range(len(rows[0]))]
    room = width - len(_GAP) * (len(widths) - 1)
    while sum(widths) > room and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _row(row: Sequence[str], widths: Sequence[int], table: Table) -> list[str]:
    cells = [textwrap.wrap(text, width) or [""] for text, width in zip(row, widths, strict=True)]
    lines = []
    for k in range(max(map(len, cells))):
        texts = [cell[k] if k < len(cell) else "" for cell in cells]
        lines.append(
            _GAP.join(
                text.rjust(width) if column.align == "right" else text.ljust(width)
                for text, width, column in zip(texts, widths, table.columns, strict=True)
            )
        )
    return lines


def _hanging(mark: str, text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=mark, subsequent_indent=" " * len(mark)) or [mark]


def _wrapped(text: str, width: int) -> list[str]:
    return [line for part in text.split("\n") for line in textwrap.wrap(part, width) or [""]]


def _shown(words: Words, units: DisplayUnits) -> str:
    return _printable(as_text(words, units))


def _printable(text: str) -> str:
    """Return text that a terminal only shows: a name from a file must not send it control characters."""
    plain = text.replace("\N{NO-BREAK SPACE}", " ")
    return "".join(
        letter if letter.isprintable() or letter == "\n" else "\N{REPLACEMENT CHARACTER}" for letter in plain
    )
