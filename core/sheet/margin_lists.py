"""The margins of every candidate, smallest first, with target, demand, limit and where it happens."""

from __future__ import annotations

from core.margin_rows import percent
from core.results import CandidateResult, Margin, Status
from core.sentences import as_text, joined
from core.sheet.blocks import Block, Bullets, Cell, Column, Paragraph, Section, Table, Tone, Words
from core.sheet.cells import DASH, figures, listed, number
from core.sheet.subject import Subject, lacking
from core.units import Kind

_TONES: dict[Status, Tone] = {
    "met": "met", "missed": "missed", "excluded": "missed", "not checked": "soft"
}  # fmt: skip


def margins(subject: Subject) -> Section:
    """Return a table of margins for each candidate, and the equations of the chosen one."""
    title = "Margins, smallest first"
    known = [one for one in subject.result.candidates if one.margins]
    if not known:
        return Section(title, (lacking(subject, "The margins"),))
    blocks: list[Block] = [
        Paragraph(
            "A margin is what is left of the limit, as a share of it. First stands what is excluded, then "
            "what is furthest below its target or closest to it. The bar is the margin, the tick its target. "
            "A criterion marked “not required” does not decide.",
            "soft",
        )
    ]
    first = [one for one in known if one is subject.found]
    for one in (*first, *(one for one in known if one is not subject.found)):
        blocks += _of_candidate(subject, one)
    blocks += [block for one in first for block in _equations(subject, one)]
    return Section(title, tuple(blocks))


def _of_candidate(subject: Subject, one: CandidateResult) -> list[Block]:
    checked = [margin for margin in one.margins if margin.margin is not None or _stands_out(margin)]
    chosen = ", the chosen candidate" if one is subject.found and subject.others else ""
    blocks: list[Block] = []
    if checked:
        rows = tuple(_row(margin) for margin in checked)
        blocks.append(Table(_columns(), rows, f"{subject.name(one.index)}{chosen}"))
    answered = [margin for margin in one.margins if margin.status == "met" and margin.margin is None]
    if answered:
        words = listed([joined(_label(margin), " (", margin.where, ")") for margin in answered], "; ")
        blocks.append(Paragraph(joined("Met without a number: ", words, "."), "soft"))
    left_out = [margin for margin in one.margins if margin.status == "not checked"]
    if left_out:
        count = "1 criterion is" if len(left_out) == 1 else f"{len(left_out)} criteria are"
        blocks.append(Paragraph(f"{subject.name(one.index)}: {count} not checked:"))
        blocks.append(Bullets(tuple(joined(_label(margin), ": ", margin.why) for margin in left_out)))
    return blocks


def _stands_out(margin: Margin) -> bool:
    """Return whether a margin without a number belongs into the table all the same."""
    return margin.status in ("missed", "excluded")


def _columns() -> tuple[Column, ...]:
    return (
        Column("Criterion", weight=1.2),
        figures("Demand"),
        figures("Limit"),
        figures("Used", Kind.RATIO),
        figures("Margin", Kind.RATIO),
        figures("Target", Kind.RATIO),
        Column("", weight=0.7),
        Column("Status", weight=0.0),
        Column("Where"),
    )


def _row(margin: Margin) -> tuple[Cell, ...]:
    # a reserve is a factor, and reads badly in percent
    kind = Kind.NUMBER if margin.criterion == "torque_reserve" else margin.kind
    tone = _TONES[margin.status]
    bar = Cell("")
    if margin.margin is not None:
        bar = Cell("", tone, bar=min(max(margin.margin, 0.0), 1.0), tick=min(max(margin.target, 0.0), 1.0))
    where = margin.where if margin.status != "excluded" else margin.why
    return (
        Cell(_label(margin)),
        number(margin.demand, kind),
        number(margin.limit, kind),
        number(margin.utilisation, Kind.RATIO),
        number(margin.margin, Kind.RATIO, tone),
        number(margin.target if margin.margin is not None else None, Kind.RATIO),
        bar,
        Cell(margin.status, tone),
        Cell(where or DASH),
    )


def _label(margin: Margin) -> str:
    return margin.label if margin.required else f"{margin.label} (not required)"


def _equations(subject: Subject, one: CandidateResult) -> list[Block]:
    """Return how each margin of a candidate was computed, with its numbers."""
    rows = tuple(
        (Cell(margin.label), Cell(margin.equation))
        for margin in one.margins
        if margin.status != "not checked" and as_text(margin.equation, subject.units)
    )
    if not rows:
        return []
    caption = f"How the margins of {subject.name(one.index)} were computed"
    return [Table((Column("Criterion", weight=0.5), Column("Equation with its numbers")), rows, caption)]


def margin_words(margin: Margin) -> Words:
    """Return one margin in words, as it stands within a sentence."""
    if margin.margin is None:
        return joined(f"{margin.label}, {margin.status}", _reason(margin))
    left, target = percent(margin.margin, margin.target), f"{100.0 * margin.target:g} %"
    return f"{margin.label}, {margin.status} with a margin of {left} against a target of {target}"


def _reason(margin: Margin) -> Words:
    return joined(" (", margin.why, ")") if margin.why else ""
