"""The shortlist as plain text for a terminal: the best as a table, then who is out and by what."""

from __future__ import annotations

import math
from collections import Counter
from typing import Final

from core.margin_rows import outcome
from core.notices import CLOSING
from core.sentences import as_text
from core.shortlist.best import Row, Shortlist
from core.shortlist.chunk_result import STATUSES
from core.units import DisplayUnits, Kind

_GAP: Final = "  "
_COLUMNS: Final = (
    ("Mass", "mass", Kind.MASS),
    ("Length", "length", Kind.LENGTH),
    ("Losses", "mean_losses", Kind.POWER),
    ("Outside", "outside_temperature", Kind.TEMPERATURE),
)
_RIGHT: Final = frozenset({"", "Margin", *(heading for heading, _, _ in _COLUMNS)})


def shortlist_text(found: Shortlist, units: DisplayUnits) -> str:
    """Return a shortlist as lines of text."""
    blocks = [found.title, _counts(found), _table(found, units), _ties(found, units), _out(found)]
    blocks += [_refused(found), CLOSING]
    text = "\n\n".join(block for block in blocks if block) + "\n"
    # a name from a file must not be able to send a terminal control characters
    plain = text.replace("\N{NO-BREAK SPACE}", " ")
    return "".join(one if one.isprintable() or one == "\n" else "\N{REPLACEMENT CHARACTER}" for one in plain)


def _counts(found: Shortlist) -> str:
    verdict = found.listing.verdict
    counts = {status: int((verdict == place).sum()) for place, status in enumerate(STATUSES)}
    told = (
        f"{counts['met']} meet every requirement, {counts['not checked']} lack a check, "
        f"{counts['missed']} miss one, {counts['excluded']} are excluded."
    )
    if found.complete:
        return f"{found.possible} candidates: {told}"
    return f"Cancelled after {len(verdict)} of {found.possible} candidates: {told}"


def _table(found: Shortlist, units: DisplayUnits) -> str:
    if not found.rows:
        return ""
    headings = (
        "",
        "Status",
        "Margin",
        "Governed by",
        "Where",
        *(heading for heading, _, _ in _COLUMNS),
        "Candidate",
    )
    table = [headings, *(_cells(row, units) for row in found.rows)]
    widths = [max(len(row[k]) for row in table) for k in range(len(headings))]
    lines = [
        _GAP.join(
            cell.rjust(width) if heading in _RIGHT else cell.ljust(width)
            for heading, cell, width in zip(headings, row, widths, strict=True)
        ).rstrip()
        for row in table
    ]
    lines.insert(1, "-" * max(map(len, lines)))
    return "\n".join(lines)


def _cells(row: Row, units: DisplayUnits) -> tuple[str, ...]:
    numbers = (
        "–" if math.isnan(row.objectives[name]) else units.format_quantity(row.objectives[name], kind)
        for _, name, kind in _COLUMNS
    )
    governing = row.governing
    return (
        f"{row.rank}{'' if row.tie is None else ' ='}",
        row.verdict,
        outcome(governing),
        "–" if governing is None else governing.label,
        "" if governing is None else as_text(governing.where, units),
        *numbers,
        row.candidate.name,
    )


def _ties(found: Shortlist, units: DisplayUnits) -> str:
    """Return why candidates of the same margin stand as they do, each sentence once."""
    told: dict[str, list[str]] = {}
    for row in found.rows:
        if row.tie is not None:
            told.setdefault(as_text(row.tie, units), []).append(str(row.rank))
    return "\n".join(f"= {', '.join(ranks)}: {text}." for text, ranks in told.items())


def _out(found: Shortlist) -> str:
    labels = {one.code: one.label for one in found.listing.criteria}
    counts = found.listing.losers_by_reason()
    if not counts:
        return ""
    width = len(str(max(counts.values())))
    lines = [f"  {count:>{width}}  {labels[code]}" for code, count in counts.items()]
    return "\n".join(["Out by the first condition they break, or by what governs", *lines])


def _refused(found: Shortlist) -> str:
    """Return why candidates could not be evaluated, each reason once."""
    counts = Counter(found.listing.refused.values())
    lines = [f"  {count}  {reason}" for reason, count in counts.most_common()]
    return "\n".join(["Not evaluated", *lines]) if lines else ""
