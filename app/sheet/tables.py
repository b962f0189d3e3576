"""Tables and facts in columns: how wide each is, and their rows as pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from app.sheet.paper import COMPACT_PT, TABLE_PT
from app.sheet.pieces import BAR_MM, MARK_MM, PAD, ROW_PAD, Entry, Piece, RowPiece
from app.sheet.setting import Setter, printable
from core.sentences import as_text
from core.sheet.blocks import Cell, Column, Facts, Table
from core.units import DisplayUnits

_MOST_ROWS = 44  # of text in one row of a table; a longer one goes on in a next row
_WIDEST_WORD = 0.4  # of the table
_NAME_SHARE, _NAME_SHARE_NARROW = 0.42, 0.56  # of a column of facts, at most
_NARROW = 100.0  # of the room for facts that is a column itself [mm]
_RULE, _HEAD_RULE = 0.1, 0.25


def table_pieces(table: Table, width: float, setter: Setter, units: DisplayUnits) -> Iterator[Piece]:
    """Return a table as pieces: head, words of groups, rows, all with the same columns."""
    pt = COMPACT_PT if table.compact else TABLE_PT
    pad = ROW_PAD * (0.45 if table.compact else 0.8)
    heads = [column.title(units) for column in table.columns]
    texts = [
        [column.shown(cell, units) for cell, column in zip(row, table.columns, strict=True)]
        for row in table.rows
    ]
    widths = _widths(table, heads, texts, width, setter, pt)
    lefts = [sum(widths[:k]) for k in range(len(widths))]
    head = RowPiece(
        tuple(
            _entry(setter, Cell(text, "strong"), text, column, left, wide, pt)
            for text, column, left, wide in zip(heads, table.columns, lefts, widths, strict=True)
        ),
        pt, pad=pad, rule=_HEAD_RULE, width=width, strong_rule=True, gap=1.0, with_next=True,
    )  # fmt: skip
    yield head
    before = dict(table.groups)
    for number, (row, shown) in enumerate(zip(table.rows, texts, strict=True)):
        if number in before:
            words = setter.rows(as_text(before[number], units), pt, width - 2.0 * PAD, True)
            entry = Entry(words, PAD, width, "soft", bold=True)
            yield RowPiece((entry,), pt, pad=pad, rule=_RULE, width=width, gap=0.8, with_next=True, head=head)
        entries = [
            _entry(setter, cell, text, column, left, wide, pt)
            for cell, text, column, left, wide in zip(row, shown, table.columns, lefts, widths, strict=True)
        ]
        # no part of a table is a single row, neither below its head nor at the top of the next page
        last = len(table.rows) - 1
        beside_next = number < last and (number == 0 or number == last - 1)
        for piece in _rows(entries, width, head, pt, pad):
            piece.with_next = beside_next
            yield piece


def _rows(entries: list[Entry], width: float, head: Piece, pt: float, pad: float) -> Iterator[Piece]:
    """Return a row as one piece, or as several where no page could hold it."""
    count = max((len(entry.rows) for entry in entries), default=1)
    for start in range(0, max(count, 1), _MOST_ROWS):
        part = tuple(
            Entry(entry.rows[start : start + _MOST_ROWS], entry.left, entry.width, entry.tone, entry.bold,
                  entry.right_aligned, *((entry.candidate, entry.bar, entry.tick) if start == 0 else ()))
            for entry in entries
        )  # fmt: skip
        yield RowPiece(part, pt, pad=pad, rule=_RULE, width=width, head=head)


def _entry(
    setter: Setter, cell: Cell, text: str, column: Column, left: float, width: float, pt: float
) -> Entry:
    inner = width - 2.0 * PAD - _beside(cell)
    bold = _is_bold(cell)
    rows = setter.rows(text, pt, max(inner, 2.0), bold)
    return Entry(rows, left + PAD, width - 2.0 * PAD, cell.tone, bold, column.align == "right",
                 cell.candidate, cell.bar, cell.tick)  # fmt: skip


def _is_bold(cell: Cell) -> bool:
    return cell.tone in ("strong", "missed")


def _beside(cell: Cell) -> float:
    """Return the room that mark and bar of a cell take. [mm]"""
    return (MARK_MM if cell.candidate is not None else 0.0) + (BAR_MM + PAD if cell.bar is not None else 0.0)


def _widths(
    table: Table,
    heads: Sequence[str],
    texts: Sequence[Sequence[str]],
    width: float,
    setter: Setter,
    pt: float,
) -> list[float]:
    """Return widths that fill the table: at least the longest word, the rest by what there is to say."""
    least, wanted = [], []
    for k in range(len(table.columns)):
        cells = [(heads[k], 0.0, True)]
        cells += [
            (row[k], _beside(table.rows[n][k]), _is_bold(table.rows[n][k])) for n, row in enumerate(texts)
        ]
        words = max(setter.longest_word(text, pt, bold) + more for text, more, bold in cells)
        whole = max(
            max(setter.width(line, pt, bold) for line in printable(text).split("\n")) + more
            for text, more, bold in cells
        )
        least.append(min(words, _WIDEST_WORD * width) + 2.0 * PAD)
        wanted.append(max(whole + 2.0 * PAD, least[-1]))
    room = width - sum(least)
    if room <= 0.0:  # more words than paper: the widest columns give way, and their words are broken
        return _capped(least, width)
    more = [want - one for want, one in zip(wanted, least, strict=True)]
    if sum(more) >= room:
        # a long text takes several rows in any case: it counts less than its length, and what
        # is nearly whole is made whole first
        shares = [max(extra, 0.0) ** 0.8 for extra in more]
        return _shared(least, more, shares, room)
    left = room - sum(more)
    weights = [column.weight for column in table.columns]
    total = sum(weights) or float(len(weights))
    return [
        want + left * (weight if sum(weights) else 1.0) / total
        for want, weight in zip(wanted, weights, strict=True)
    ]


def _capped(least: list[float], width: float) -> list[float]:
    """Return widths that fill the table, the narrow ones as they are and the others all alike."""
    left = width
    for done, one in enumerate(narrow := sorted(least)):
        alike = left / (len(narrow) - done)
        if one > alike:
            return [min(one, alike) for one in least]
        left -= one
    return least


def _shared(least: list[float], more: list[float], shares: list[float], room: float) -> list[float]:
    """Return widths with the room shared out, none beyond what it wants."""
    given = [0.0] * len(least)
    open_ = {k for k, extra in enumerate(more) if extra > 0.0}
    while open_ and room > 1e-6:
        total = sum(shares[k] for k in open_)
        full = {k for k in open_ if given[k] + room * shares[k] / total >= more[k]}
        if not full:
            for k in open_:
                given[k] += room * shares[k] / total
            break
        for k in full:
            room -= more[k] - given[k]
            given[k] = more[k]
        open_ -= full
    return [one + extra for one, extra in zip(least, given, strict=True)]


def facts_pieces(
    facts: Facts, width: float, setter: Setter, units: DisplayUnits, pt: float
) -> Iterator[Piece]:
    """Return facts as rows: names soft, what is known beside them, in columns read downwards."""
    pairs = [(as_text(name, units), as_text(words, units)) for name, words in facts.pairs]
    columns = max(1, min(facts.columns, len(pairs)))
    count = -(-len(pairs) // columns)
    wide = width / columns
    names = max((setter.width(name, pt) for name, _ in pairs), default=0.0)
    room = min(names + 3.0, (_NAME_SHARE if width > _NARROW else _NAME_SHARE_NARROW) * wide)
    for row in range(count):
        entries = []
        for column in range(columns):
            place = column * count + row
            if place >= len(pairs):
                continue
            name, words = pairs[place]
            left = column * wide
            entries.append(Entry(setter.rows(name, pt, room - 2.0), left, room, "soft"))
            entries.append(Entry(setter.rows(words, pt, wide - room - 3.0), left + room, wide - room - 3.0))
        yield RowPiece(tuple(entries), pt, pad=0.35, gap=1.0 if row == 0 else 0.0)
