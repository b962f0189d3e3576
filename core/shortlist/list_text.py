"""The shortlist as plain text for a terminal: the best as a table, then what is out and by what."""

from __future__ import annotations

import math
from collections import Counter
from typing import Final

from core.margin_rows import outcome
from core.notices import CLOSING
from core.sentences import as_text
from core.shortlist.best import Row, Shortlist
from core.shortlist.chunk_result import STATUSES
from core.shortlist.filters import WORDS
from core.shortlist.free_ratio import FreeRatio
from core.shortlist.one_variable import Optimum
from core.shortlist.special_winding import SpecialWinding
from core.units import DisplayUnits, Kind

_GAP: Final = "  "
_COLUMNS: Final = (
    ("Mass", "mass", Kind.MASS),
    ("Length", "length", Kind.LENGTH),
    ("Losses", "mean_losses", Kind.POWER),
    ("Outside", "outside_temperature", Kind.TEMPERATURE),
)
_RIGHT: Final = frozenset({"", "Least margin", *(heading for heading, _, _ in _COLUMNS)})


def shortlist_text(found: Shortlist, units: DisplayUnits) -> str:
    """Return a shortlist as lines of text."""
    blocks = [found.title, _counts(found), _table(found, units), _ties(found, units), _out(found)]
    blocks += [_refused(found), *_free(found, units), CLOSING]
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
    if found.study is not None and len(found.study.conditions) > 1:
        told += f" Each counts with the worst of {len(found.study.conditions)} conditions."
    if found.looked_at is not None:
        told += f" {found.looked_at} are looked at."
    if found.pareto:
        words = [word for word, (name, _) in WORDS.items() if name in found.pareto]
        told += f" Listed are those that meet all and that none beats in {' and '.join(words)}."
    if found.complete:
        return f"{found.possible} candidates: {told}"
    return f"Cancelled after {len(verdict)} of {found.possible} candidates: {told}"


def _table(found: Shortlist, units: DisplayUnits) -> str:
    if not found.rows:
        return ""
    headings = (
        "",
        "Status",
        "Least margin",
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
        row.candidate.name + ("" if row.condition is None else f"; worst: {as_text(row.condition, units)}"),
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


def _free(found: Shortlist, units: DisplayUnits) -> list[str]:
    """Return the blocks of special windings and free ratios, best first."""
    blocks = []
    if found.special_windings:
        lines = [_special_line(one, units) for one in found.special_windings]
        blocks.append("\n".join(["Special windings, in the copper of a listed one", *lines]))
    if found.free_ratios:
        lines = [_ratio_line(one) for one in found.free_ratios]
        blocks.append("\n".join(["Ratios of one's own", *lines]))
    return blocks


def _special_line(one: SpecialWinding, units: DisplayUnits) -> str:
    constant = units.format_quantity(one.torque_constant, Kind.TORQUE_CONSTANT)
    turns = "" if one.turns_per_coil is None else f", {one.turns_per_coil} turns a coil"
    met = ""
    if one.met is not None:
        low, high = (units.format_quantity(end, Kind.TORQUE_CONSTANT) for end in one.met)
        met = f"; all is met from {low} to {high}"
    return f"  {_outcome(one.best)}  {constant}{turns}: {one.candidate.name}{met}"


def _ratio_line(one: FreeRatio) -> str:
    met = "" if one.best.met is None else f"; all is met from {one.best.met[0]:.4g} to {one.best.met[1]:.4g}"
    return f"  {_outcome(one.best)}  {one.best.value:.4g}:1: {one.candidate.name}{met}"


def _outcome(best: Optimum) -> str:
    """Return verdict and smallest margin above target."""
    margin = f"{100.0 * best.smallest_margin:+.1f} %" if math.isfinite(best.smallest_margin) else "–"
    return f"{best.verdict:<11}  {margin:>8}"
