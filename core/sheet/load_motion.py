"""What moves and how: the sketch of the load, its course over the cycle, and the duty at the motor shaft."""

from __future__ import annotations

from core.charts.load_chart import load_chart, load_table
from core.charts.load_sketch import load_sketch
from core.project.load import Load, TraceSource
from core.results import CandidateResult, DutyTrace, LoadCourse
from core.sentences import sentence
from core.sheet.blocks import (
    Beside,
    Block,
    Cell,
    Column,
    Drawing,
    Facts,
    Paragraph,
    Picture,
    Section,
    Table,
    Words,
)
from core.sheet.cells import figures, number, quantity, span, without_dust
from core.sheet.subject import Subject, lacking
from core.units import Kind

_FROM = {
    "segments": "The duty at the motor shaft is as it was entered, segment by segment.",
    "load": "The duty at the motor shaft is derived from load and motion; each candidate adds its rotor.",
    "trace": "The duty is a measured trace.",
}


def load_and_motion(subject: Subject) -> Section:
    """Return the load with its sketch, or where else the duty comes from."""
    application = subject.application
    blocks: list[Block] = [Paragraph(_FROM[application.duty_from])]
    if application.duty_from == "trace" and application.trace is not None:
        blocks.append(Facts(_trace_facts(application.trace)))
    load, course = application.load, subject.result.load
    if load is not None:
        if application.duty_from != "load":
            blocks.append(Paragraph("The load below is kept beside it and does not count here.", "caution"))
        blocks += _load_blocks(subject, load, course)
    elif application.duty_from == "load":
        blocks.append(Paragraph("No load is described yet.", "caution"))
    return Section("What moves", tuple(blocks))


def _load_blocks(subject: Subject, load: Load, course: LoadCourse | None) -> list[Block]:
    names = subject.result.duty.names if subject.application.duty_from == "load" else ()
    sketch = load_sketch(load, course, subject.units, names=names)
    where = "; the arrows and torques are those of the hardest moment" if course is not None else ""
    drawing = Drawing(sketch, f"What moves{where}.", height_mm=52.0)
    if course is None:
        late = "The motion of the load is not complete, so its course is not known."
        return [Beside(((drawing,), (Paragraph(sketch.description), Paragraph(late, "caution"))))]
    table = load_table(course, None)
    rows = tuple(
        (Cell(term.cause), number(term.peak, Kind.LOAD_TORQUE), number(term.share, Kind.RATIO))
        for term in table.terms
    )
    columns = (
        Column("Torque at the mechanism's axis, by cause"),
        figures("Largest", Kind.LOAD_TORQUE),
        figures("Share of the mean square", Kind.RATIO),
    )
    told = (Paragraph(sketch.description), Table(columns, rows), Paragraph(table.words))
    chart = load_chart(course, subject.units)
    blocks: list[Block] = [
        Beside(((drawing,), told)),
        Picture(chart, "The load over one cycle, before the transmission.", height_mm=90.0),
    ]
    if load.friction_range.low != 1.0 or load.friction_range.high != 1.0:
        words = sentence(
            "Friction may be {low} to {high} times what is entered; what that does stands under uncertainty.",
            low=(load.friction_range.low, Kind.NUMBER),
            high=(load.friction_range.high, Kind.NUMBER),
        )
        blocks.append(Paragraph(words))
    return blocks


def _trace_facts(trace: TraceSource) -> tuple[tuple[Words, Words], ...]:
    rotor = "contains" if trace.contains_rotor else "does not contain"
    smoothing = "as measured" if trace.smoothed_over == 1 else f"over {trace.smoothed_over} intervals"
    return (
        ("File beside the project", trace.file),
        ("SHA-256 of the file", trace.sha256 or "not stated"),
        ("Measured at the", trace.at),
        ("Torque", f"{rotor} what the rotor takes"),
        ("Units of time, torque, speed", f"{trace.time.unit}, {trace.torque.unit}, {trace.speed.unit}"),
        ("Acceleration", smoothing),
    )


def duty_cycle(subject: Subject) -> Section:
    """Return the segments at the motor shaft with what the chosen candidate needs in each of them."""
    duty, found = subject.result.duty, subject.found
    title = "Duty cycle at the motor shaft"
    if len(duty.edges) < 2:
        return Section(title, (lacking(subject, "The duty cycle"),))
    if subject.application.duty_from == "trace":
        return Section(title, tuple(_trace_blocks(duty)))
    columns = (
        figures("No."),
        Column("Segment"),
        figures("Duration", Kind.TIME),
        figures("Speed at start", Kind.SPEED),
        figures("at end", Kind.SPEED),
        figures("Shaft torque at start", Kind.TORQUE),
        figures("at end", Kind.TORQUE),
        figures("Motor torque, worst", Kind.TORQUE),
        figures("Current there", Kind.CURRENT),
        figures("Of the voltage", Kind.RATIO),
    )
    rows = tuple(_segment_row(subject, duty, k, found) for k in range(len(duty.edges) - 1))
    whole = sentence("Cycle of {cycle}.", cycle=(float(duty.edges[-1]), Kind.TIME))
    blocks: list[Block] = [Table(columns, rows, whole)]
    if found is not None:
        blocks.append(
            Paragraph(
                f"Motor torque, current and voltage are those of {subject.name(found.index)} at the worst "
                "point of the segment: the torque beyond the motor's own drag, with what the rotor takes to "
                "speed up, in the direction of the motion (negative brakes); the current as an amplitude of "
                "its commutation; the voltage as a share of what is available, worst of hot and cold.",
                "soft",
            )
        )
    return Section(title, tuple(blocks))


def _trace_blocks(duty: DutyTrace) -> list[Block]:
    """Return what a trace goes through; it has too many rows to print, and no segments."""
    pairs = (
        ("Lasts", quantity(float(duty.edges[-1]), Kind.TIME)),
        ("Intervals", str(len(duty.time) // 2)),
        ("Shaft torque", span(float(duty.shaft_torque.min()), float(duty.shaft_torque.max()), Kind.TORQUE)),
        ("Speed", span(float(duty.speed.min()), float(duty.speed.max()), Kind.SPEED)),
    )
    words = "The trace repeats, and counts as one segment. Its file holds every row."
    return [Facts(pairs), Paragraph(words, "soft")]


def _segment_row(
    subject: Subject, duty: DutyTrace, k: int, found: CandidateResult | None
) -> tuple[Cell, ...]:
    part = duty.segment[::2] == k
    speed, torque = duty.speed.reshape(-1, 2)[part], duty.shaft_torque.reshape(-1, 2)[part]
    points, largest = None if found is None else found.load_points, abs(duty.shaft_torque).max()
    if points is None or len(points.speed) != len(duty.edges) - 1:
        motor: tuple[float | None, ...] = (None, None, None)
    else:
        share = None if points.voltage_utilisation is None else float(points.voltage_utilisation[k])
        torques, currents = abs(points.torque).max(), abs(points.current).max()
        motor = (
            without_dust(float(points.torque[k]), torques),
            without_dust(float(points.current[k]), currents),
            share if share is None else without_dust(share, 1.0),
        )
    return (
        Cell(str(k + 1)),
        Cell(segment_name(subject, k) or "–"),
        number(float(duty.edges[k + 1] - duty.edges[k]), Kind.TIME),
        number(float(speed[0, 0]), Kind.SPEED),
        number(float(speed[-1, 1]), Kind.SPEED),
        number(without_dust(float(torque[0, 0]), largest), Kind.TORQUE),
        number(without_dust(float(torque[-1, 1]), largest), Kind.TORQUE),
        number(motor[0], Kind.TORQUE),
        number(motor[1], Kind.CURRENT),
        number(motor[2], Kind.RATIO),
    )


def segment_name(subject: Subject, index: int) -> str:
    """Return what a segment is called, empty where it has no name."""
    names = subject.result.duty.names
    if index < len(names):
        return names[index]
    segments = subject.application.duty_cycle
    return (
        segments[index].name if subject.application.duty_from == "segments" and index < len(segments) else ""
    )
