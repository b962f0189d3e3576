"""The margins of every candidate, smallest first, with target, demand, limit and where it happens."""

from __future__ import annotations

from collections.abc import Sequence

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
    """Return a table of margins for each candidate, those that are not met first."""
    title = "Margins, smallest first"
    known = [one for one in subject.result.candidates if one.margins]
    if not known:
        return Section(title, (lacking(subject, "The margins"),))
    blocks: list[Block] = [
        Paragraph(
            "A margin is what is left of the limit, as a share of it; for temperatures the rise over ambient "
            "counts, and a torque reserve is a factor whose margin is 1 - 1/reserve. The bar is the margin, "
            "the tick its target; where the target is 0 the limit itself decides. They stand in the order of "
            "what is left above the target.",
            "soft",
        )
    ]
    first = [one for one in known if one is subject.found]
    for one in (*first, *(one for one in known if one is not subject.found)):
        blocks += _of_candidate(subject, one)
    return Section(title, tuple(blocks))


def margin_equations(subject: Subject) -> Section:
    """Return how each margin of the chosen candidate was computed, with its numbers."""
    title = "Equations of the margins"
    found = subject.found
    rows = tuple(
        (Cell(margin.label), Cell(margin.equation))
        for margin in (() if found is None else found.margins)
        if margin.status != "not checked" and as_text(margin.equation, subject.units)
    )
    if found is None or not rows:
        return Section(title, (lacking(subject, "The equations of the margins"),))
    columns = (Column("Criterion", weight=0.5), Column("Equation with its numbers"))
    return Section(title, (Table(columns, rows, subject.name(found.index), compact=True),))


def _of_candidate(subject: Subject, one: CandidateResult) -> list[Block]:
    checked = [margin for margin in one.margins if margin.margin is not None or _stands_out(margin)]
    chosen = ", the chosen candidate" if one is subject.found and subject.others else ""
    other = one is not subject.found
    blocks: list[Block] = []
    if checked:
        blocks.append(margin_table(checked, f"{subject.name(one.index)}{chosen}", compact=True))
    answered = [margin for margin in one.margins if margin.status == "met" and margin.margin is None]
    if answered:
        words = listed([joined(_label(margin), " (", margin.where, ")") for margin in answered], "; ")
        blocks.append(Paragraph(joined("Met without a number: ", words, "."), "soft", compact=True))
    left_out = [margin for margin in one.margins if margin.status == "not checked"]
    if left_out:
        count = "1 criterion is" if len(left_out) == 1 else f"{len(left_out)} criteria are"
        blocks.append(Paragraph(f"{subject.name(one.index)}: {count} not checked:", compact=other))
        whys = tuple(joined(_label(margin), ": ", margin.why) for margin in left_out)
        blocks.append(Bullets(whys, compact=True))
    return blocks


def margin_table(checked: Sequence[Margin], caption: str = "", *, compact: bool = False) -> Table:
    """Return margins as rows, those that are not met before the others."""
    against = [margin for margin in checked if _is_against(margin)]
    beside = [margin for margin in checked if _stands_out(margin) and not margin.required]
    met = [margin for margin in checked if not _stands_out(margin)]
    excluded = [margin for margin in against if margin.status == "excluded"]
    missed = [margin for margin in against if margin.status == "missed"]
    parts = (("Excluded", excluded), ("Missed", missed), ("Missed, but not required", beside), ("Met", met))
    ordered = [margin for _, part in parts for margin in part]
    groups: list[tuple[int, Words]] = []
    start = 0
    for words, part in parts:
        if part:
            groups.append((start, words))
        start += len(part)
    rows = tuple(_row(margin) for margin in ordered)
    return Table(_columns(), rows, caption, tuple(groups), compact)


def _is_against(margin: Margin) -> bool:
    return _stands_out(margin) and margin.required


def _stands_out(margin: Margin) -> bool:
    """Return whether a margin is not met, and belongs into the table even without a number."""
    return margin.status in ("missed", "excluded")


def _columns() -> tuple[Column, ...]:
    return (
        Column("Criterion", weight=1.2),
        figures("Demand"),
        figures("Limit"),
        figures("Margin", Kind.RATIO),
        figures("Target", Kind.RATIO),
        Column("", weight=0.0),
        Column("Where", weight=1.8),
    )


def _row(margin: Margin) -> tuple[Cell, ...]:
    # a reserve is a factor, and reads badly in percent
    kind = Kind.NUMBER if margin.criterion == "torque_reserve" else margin.kind
    tone = _TONES[margin.status]
    bar = Cell("")
    if margin.margin is not None:
        bar = Cell("", tone, bar=min(max(margin.margin, 0.0), 1.0), tick=min(max(margin.target, 0.0), 1.0))
    where = margin.where if margin.margin is not None else margin.why or margin.where
    return (
        Cell(_label(margin)),
        number(margin.demand, kind),
        number(margin.limit, kind),
        number(margin.margin, Kind.RATIO, tone),
        number(margin.target if margin.margin is not None else None, Kind.RATIO),
        bar,
        Cell(where or DASH),
    )


def _label(margin: Margin) -> str:
    return margin.label if margin.required else f"{margin.label} (not required)"


def margin_words(margin: Margin) -> Words:
    """Return one margin in words, as it stands within a sentence."""
    if margin.margin is None:
        return joined(f"{margin.label}, {margin.status}", _reason(margin))
    left, target = percent(margin.margin, margin.target), f"{100.0 * margin.target:g} %"
    return f"{margin.label}, {margin.status} with a margin of {left} against a target of {target}"


def _reason(margin: Margin) -> Words:
    return joined(" (", margin.why, ")") if margin.why else ""
