"""Tables about what belongs to the motor: windings of the frame, feedback, brake and shaft, faults."""

from __future__ import annotations

import math

from core.charts.display_axis import time_words
from core.charts.winding_chart import winding_chart
from core.fault_results import FaultRow
from core.feedback_results import FeedbackRow, FeedbackTable
from core.project.candidate import Candidate
from core.sentences import joined, sentence
from core.shaft_results import ShaftLoad
from core.sheet.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Facts,
    Paragraph,
    Picture,
    Section,
    Table,
    Tone,
    Words,
)
from core.sheet.candidate_facts import brake_words
from core.sheet.cells import NOT_GIVEN, figures, given, number, quantity
from core.sheet.margin_lists import margin_words
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import DisplayUnits, Kind
from core.winding_results import WindingFit, WindingStudy

_FITS: dict[bool | None, tuple[str, Tone]] = {
    True: ("yes", "met"), False: ("no", "missed"), None: ("open", "soft")
}  # fmt: skip
_VERDICTS: dict[str, tuple[str, Tone]] = {
    "pass": ("suits", "met"), "fail": ("does not suit", "missed"), "unknown": ("open", "soft")
}  # fmt: skip
_BRAKE_CRITERIA = ("brake_", "front_bearing", "rear_bearing")


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
        figures("Lasting current", Kind.CURRENT),
        Column("Fits", weight=0.0),
        Column("Why", weight=1.5),
    )
    rows = tuple(_winding_row(fit) for fit in study.windings)
    blocks: list[Block] = [
        *about_chosen(subject),
        Paragraph(_winding_words(study)),
        Table(columns, rows, "Line-to-line constants; currents with the weakest magnets"),
        Picture(winding_chart(found, study, subject.units), "Voltage limit of every winding.", 80.0),
    ]
    if study.findings:
        blocks.append(Bullets(tuple(finding.text for finding in study.findings)))
    return Section(title, tuple(blocks))


def _winding_words(study: WindingStudy) -> Words:
    fastest = "No winding fits" if study.fastest is None else f"The fastest that fits is {study.fastest}"
    window = "no number of turns would suit"
    if study.fewest_turns <= study.most_turns:
        window = "from {fewest} to {most} times the turns of the chosen one would suit"
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


def feedback(subject: Subject) -> Section:
    """Return each kind of feedback against what is asked of the motion."""
    title = "Feedback"
    found = subject.found
    table = None if found is None else found.feedback_table
    if table is None or not table.rows:
        return Section(title, (lacking(subject, "The comparison of feedback"),))
    columns = (
        Column("Feedback"),
        Column("Suits", weight=0.0),
        Column("Taken by the electronics, fits the motor", weight=0.7),
        figures("Edges a turn"),
        figures("Position error", Kind.ANGLE),
        figures("Torque at the start", Kind.RATIO),
        Column("Cabling"),
        Column("When it fails"),
    )
    rows = tuple(_feedback_row(row) for row in table.rows)
    return Section(
        title, (*about_chosen(subject), Table(columns, rows), *_feedback_cells(table))
    )  # fmt: skip


def _answer(value: bool | None) -> str:
    return {True: "yes", False: "no", None: "not stated"}[value]


def _feedback_row(row: FeedbackRow) -> tuple[Cell, ...]:
    words, tone = _VERDICTS[row.verdict]
    name = f"{row.name}, chosen" if row.chosen else row.name
    return (
        Cell(name, "strong" if row.chosen else "plain"),
        Cell(words, tone),
        Cell(f"{_answer(row.taken)}, {_answer(row.fits)}"),
        Cell(str(row.edges)),
        number(row.position_error, Kind.ANGLE),
        number(row.start_torque, Kind.RATIO),
        Cell(row.cabling),
        Cell(row.when_it_fails),
    )


def _feedback_cells(table: FeedbackTable) -> list[Block]:
    rows = tuple(
        (
            Cell(row.name),
            Cell(cell.requirement),
            number(cell.demand, cell.kind),
            number(cell.ability, cell.kind),
            Cell(*_VERDICTS[cell.verdict]),
            Cell(cell.reason),
        )
        for row in table.rows
        for cell in row.cells
    )
    columns = (
        Column("Feedback"), Column("Requirement"), figures("Asked"), figures("Able"),
        Column("Suits", weight=0.0), Column("Why", weight=1.5),
    )  # fmt: skip
    return [Table(columns, rows, "What is asked of it")] if rows else []


def brake_and_shaft(subject: Subject) -> Section:
    """Return the holding brake and the forces on the shaft, with their margins."""
    chosen, found = subject.chosen, subject.found
    title = "Brake and shaft"
    if chosen is None or found is None:
        return Section(title, (lacking(subject, "Brake and shaft"),))
    blocks: list[Block] = [*about_chosen(subject), *_brake(chosen, subject.units)]
    blocks += _shaft(found.shaft_load)
    words = [
        joined(margin_words(margin), *((": ", margin.why) if margin.why else ()))
        for margin in found.margins
        if margin.criterion.startswith(_BRAKE_CRITERIA) and margin.status != "not checked"
    ]
    if words:
        blocks.append(Bullets(tuple(words)))
    return Section(title, tuple(blocks))


def _brake(chosen: Candidate, units: DisplayUnits) -> list[Block]:
    brake = chosen.brake
    if brake is None:
        return [Paragraph("There is no holding brake: without power nothing but friction holds the shaft.")]
    pairs = (
        ("Brake", brake_words(chosen)),
        ("Holds after", time_words(brake.engage_delay, units)),
        ("Is free after", time_words(brake.release_delay, units)),
        ("Largest energy of one stop", quantity(brake.largest_stop_energy, Kind.ENERGY, NOT_GIVEN)),
        ("Power of the coil", quantity(brake.pull_in_power, Kind.POWER)),
        ("Share of the voltage at which it is held", quantity(brake.hold_voltage_share, Kind.RATIO)),
        ("Full voltage for", time_words(brake.pull_in_time, units)),
        ("Its heat goes", "into the motor" if brake.on_motor else "elsewhere"),
    )
    order = (
        "A holding brake only. Torque on first, then release it; close it first, then take the torque away. "
        "It is no brake for service stops, and a gear is no brake."
    )
    return [Facts(pairs), Paragraph(order, "caution")]


def _life(hours: float) -> Words:
    if math.isinf(hours):
        return "without end: nothing loads it"
    return (
        sentence("{life}", life=(hours * 3600.0, Kind.TIME))
        if hours < 1.0
        else f"{hours:,.0f} h".replace(",", " ")
    )


def _shaft(load: ShaftLoad | None) -> list[Block]:
    if load is None:
        return [Paragraph("No force on the shaft end is stated, so its bearings are not checked.")]
    pairs: tuple[tuple[Words, Words], ...] = (
        ("Radial force", quantity(load.radial, Kind.FORCE)),
        ("at a distance from the mounting face of", quantity(load.distance, Kind.LENGTH)),
        ("Axial force", quantity(load.axial, Kind.FORCE)),
        ("Front bearing answers with", quantity(load.front_reaction, Kind.FORCE)),
        ("Rear bearing answers with", quantity(load.rear_reaction, Kind.FORCE)),
        ("Front bearing lasts (L10)", _life(load.front_life)),
        ("Rear bearing lasts (L10)", _life(load.rear_life)),
        *given(
            (
                ("Wanted life", None if load.wanted_life is None else _life(load.wanted_life)),
                ("Largest radial force here for it", quantity(load.allowed_here, Kind.FORCE, "")),
            )
        ),
    )
    return [Paragraph("Forces on the shaft end", "strong"), Facts(pairs)]


def faults(subject: Subject) -> Section:
    """Return what happens when something fails."""
    title = "Faults"
    found = subject.found
    table = None if found is None else found.faults
    if found is None or table is None:
        return Section(title, (lacking(subject, "The table of faults"),))
    columns = (
        Column("Fault", weight=0.7),
        Column("What happens", weight=1.6),
        figures("Energy", Kind.ENERGY),
        Column("What is needed", weight=1.2),
    )
    rows = tuple(_fault_row(row) for row in table.rows)
    words = "with the load" if table.whole_inertia else "without the load, whose inertia is not known"
    inertia = sentence(
        f"Computed with {{inertia}} at the motor shaft, {words}.", inertia=(table.inertia, Kind.INERTIA)
    )
    return Section(title, (*about_chosen(subject), Table(columns, rows), Paragraph(inertia, "soft")))


def _fault_row(row: FaultRow) -> tuple[Cell, ...]:
    return Cell(row.fault, "strong"), Cell(row.effect), number(row.energy, Kind.ENERGY), Cell(row.measure)
