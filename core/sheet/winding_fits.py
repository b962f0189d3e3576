"""All windings of the chosen frame against the cycle."""

from __future__ import annotations

from core.charts.winding_chart import winding_chart
from core.sentences import joined, sentence
from core.sheet.blocks import Block, Bullets, Cell, Column, Paragraph, Picture, Section, Table, Tone, Words
from core.sheet.cells import figures, number
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import Kind
from core.winding_results import WindingFit, WindingStudy

_FITS: dict[bool | None, tuple[str, Tone]] = {
    True: ("yes", "met"), False: ("no", "missed"), None: ("open", "soft")
}  # fmt: skip


def windings(subject: Subject) -> Section:
    """Return all windings of the chosen frame against the cycle."""
    title = "Windings of the frame"
    found = subject.found
    study = None if found is None else found.winding_study
    if found is None or study is None:
        return Section(title, (lacking(subject, "The study of the windings"),))
    columns = (
        Column("Winding"),
        figures("Back-EMF constant", Kind.BACK_EMF_CONSTANT),
        figures("Resistance", Kind.RESISTANCE),
        figures("Of the voltage", Kind.RATIO),
        figures("Peak current", Kind.CURRENT),
        figures("Continuous current", Kind.CURRENT),
        Column("Fits", weight=0.0),
        Column("Why", weight=1.5),
    )
    rows = tuple(_winding_row(fit) for fit in study.windings)
    blocks: list[Block] = [
        *about_chosen(subject),
        Paragraph(_winding_words(study)),
        Table(columns, rows, "Line-to-line constants; currents with the weakest magnets", compact=True),
        Picture(winding_chart(found, study, subject.units), "Voltage limit of every winding.", 60.0),
    ]
    if study.findings:
        blocks.append(Bullets(tuple(finding.text for finding in study.findings)))
    return Section(title, tuple(blocks))


def _winding_words(study: WindingStudy) -> Words:
    fastest = "No winding fits" if study.fastest is None else f"The fastest that fits is {study.fastest}"
    window = "no number of turns would fit"
    if study.fewest_turns <= study.most_turns:
        window = "from {fewest} to {most} times the turns of the chosen one would fit"
    words = sentence(
        f"at {{voltage}} left at the electronics, back-EMF and resistance off by {{tolerance}} to either "
        f"side; {window}.",
        voltage=(study.voltage, Kind.VOLTAGE),
        tolerance=(study.tolerance, Kind.RATIO),
        fewest=(study.fewest_turns, Kind.NUMBER),
        most=(study.most_turns, Kind.NUMBER),
    )
    return joined(f"{fastest} ", words)


def _winding_row(fit: WindingFit) -> tuple[Cell, ...]:
    words, tone = _FITS[fit.fits]
    return (
        Cell(f"{fit.name}, chosen" if fit.chosen else fit.name, "strong" if fit.chosen else "plain"),
        number(fit.back_emf_constant, Kind.BACK_EMF_CONSTANT),
        number(fit.resistance, Kind.RESISTANCE),
        number(fit.voltage_share, Kind.RATIO),
        number(fit.peak_current, Kind.CURRENT),
        number(fit.lasting_current, Kind.CURRENT),
        Cell(words, tone),
        Cell(fit.reason),
    )
