"""What the evaluation noticed, and what can hurt someone."""

from __future__ import annotations

from core.notices import notices, who
from core.sentences import as_text
from core.sheet.blocks import Block, Bullets, Folded, Paragraph, Section, Tone, Warned, Words
from core.sheet.subject import Subject

DEFERENCE = (
    "This sheet is an engineering estimate. It is no approval and no proof of conformity. Wherever someone "
    "could be hurt or property damaged, local codes and standards and the judgement of a licensed "
    "practitioner decide; they come before every number printed here."
)
ALWAYS = (
    "The axis may move when power comes on or returns, and when an angle is searched: enable it by hand, "
    "with nobody within reach.",
    "After switching off, capacitors and all that turns still hold energy: wait, measure, then touch.",
    "When the electronics trip, the axis coasts unless a brake or a short circuit stops it; how far, the "
    "faults say. A controller alone is no safe stop.",
    "Medical use, lifting of people, vehicles, explosive areas and food fall under rules of their own.",
)
WIRING = (
    "Fuses, wires and isolation follow the electrical code that applies where the machine is used. "
    "Screening, chokes against interference and filters are not checked here."
)


def findings(subject: Subject) -> Section:
    """Return findings by their weight; assumptions, cautions and notes stand in sections of their own."""
    blocks: list[Block] = []
    for notice in notices(subject.result.candidates, subject.units):
        if notice.rank in ("serious", "warning"):
            tone: Tone = "missed" if notice.rank == "serious" else "caution"
            blocks += [Paragraph(notice.title, tone, heads=True), Paragraph(notice.text)]
        elif notice.rank == "still needed":
            blocks += [Paragraph(notice.title, "strong"), Bullets(tuple(notice.text.split("\n")))]
    if not blocks:
        blocks.append(
            Paragraph(
                "Nothing beside the margins and the cautions was noticed; notes on the calculation stand in "
                "the appendix."
            )
        )
    return Section("Findings", tuple(blocks))


def notes(subject: Subject) -> Section:
    """Return the notes on how all this was computed."""
    entries = [
        entry
        for notice in notices(subject.result.candidates, subject.units)
        if notice.rank == "notes"
        for entry in notice.text.split("\n")
    ]
    if not entries:
        return Section("Notes on the calculation", (Paragraph("There are none.", "soft"),))
    return Section("Notes on the calculation", (Folded((Bullets(tuple(entries), compact=True),)),))


def cautions(subject: Subject) -> Section:
    """Return what can hurt someone, with numbers, closed by what decides in the end."""
    candidates = subject.result.candidates
    same: dict[tuple[str, str], tuple[Words, list[int]]] = {}
    for one in candidates:
        for caution in one.cautions:
            key = (caution.title, as_text(caution.text, subject.units))
            indices = same.setdefault(key, (caution.text, []))[1]
            indices += [] if one.index in indices else [one.index]
    # those of the chosen candidate first, and one below the other what is the same with other numbers
    first = subject.result.chosen
    order = list(dict.fromkeys(title for title, _ in same))
    ranked = sorted(same.items(), key=lambda one: (order.index(one[0][0]), first not in one[1][1]))
    framed: list[Block] = []
    for (title, _), (text, indices) in ranked:
        several = f", {who(indices, candidates)}" if len(candidates) > 1 else ""
        framed.append(Warned(f"{title}{several}", text))
    blocks: list[Block] = [Folded(tuple(framed))] if framed else []
    if not framed:
        blocks.append(Paragraph("The calculation raised no caution; that is no proof that nothing can hurt."))
    blocks += [Paragraph("With every drive", "strong"), Bullets((*ALWAYS, WIRING))]
    blocks += [Paragraph(DEFERENCE, "strong")]
    return Section("Cautions", tuple(blocks))
