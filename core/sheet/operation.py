"""Where the motor works: speed-torque plane and cycle, temperatures, losses."""

from __future__ import annotations

from core.charts.bar_charts import losses_chart, peaks_chart
from core.charts.cycle_chart import cycle_chart
from core.charts.display_axis import letter
from core.charts.heat_picture import balance_words, node_limits
from core.charts.speed_torque_chart import speed_torque_chart
from core.charts.temperature_chart import temperature_chart
from core.evaluation.comparison_figures import LOSS_CAUSES, PEAK_WORDS, total
from core.results import CandidateResult, PeakTemperature
from core.sentences import joined, sentence
from core.sheet.blocks import (
    Beside,
    Block,
    Cell,
    Column,
    FlowOfHeat,
    Paragraph,
    Picture,
    Section,
    Table,
)
from core.sheet.cells import DASH, figures, listed, number
from core.sheet.subject import Subject, lacking
from core.units import Kind


def speed_torque_plane(subject: Subject) -> Section:
    """Return the speed-torque plane and the cycle as pictures, with what the RMS torque is worth."""
    found = subject.found
    blocks: list[Block] = []
    if any(one.curves is not None for one in subject.result.candidates):
        blocks.append(
            Picture(
                speed_torque_chart(subject.result, subject.units),
                "Continuous torque, short-time torque, peak torque and voltage limit of each candidate, with "
                "the load points of the chosen one; torque beyond the motor's own drag.",
                height_mm=84.0,
            )
        )
    else:
        blocks.append(lacking(subject, "The limits over speed"))
    if len(subject.result.duty.edges) > 1:
        chart = cycle_chart(subject.result, subject.units)
        blocks.append(Picture(chart, "One cycle of the repeating state.", height_mm=72.0))
    if found is not None and found.rms is not None:
        words = sentence(
            "RMS torque of the cycle {torque} at a mean speed of {speed}; ",
            torque=(found.rms.torque, Kind.TORQUE),
            speed=(found.rms.speed, Kind.SPEED),
        )
        blocks.append(Paragraph(joined(words, found.rms.statement, ".")))
    return Section("Speed-torque plane and cycle", tuple(blocks))


def temperatures(subject: Subject) -> Section:
    """Return the heating up from cold, and the peaks of the repeating state against their limits."""
    known = [one for one in subject.result.candidates if one.peaks]
    title = "Temperatures"
    if not known:
        return Section(title, (lacking(subject, "The temperatures"), *_run_away(subject)))
    blocks: list[Block] = list(_run_away(subject))
    if any(one.heating_up is not None for one in known):
        chart = temperature_chart(subject.result, subject.units)
        words = "Heating up from cold: lowest to highest within each cycle."
        blocks.append(Picture(chart, words, 68.0, 0.56))
    chart = peaks_chart(subject.result, subject.units)
    blocks.append(Picture(chart, "Peak temperatures, their limits and their uncertainty.", 68.0, 0.44))
    columns = (
        Column("Candidate"),
        Column("Part", weight=0.6),
        figures("Peak", Kind.TEMPERATURE),
        figures("Mean", Kind.TEMPERATURE),
        figures("Limit", Kind.TEMPERATURE),
        figures("Left", Kind.TEMPERATURE_DIFFERENCE),
        figures("By the uncertainty"),
        figures("Segment"),
    )
    rows = [_peak_row(subject, one, peak) for one in known for peak in one.peaks]
    blocks.append(
        Table(
            columns, tuple(rows), "Peaks of the repeating cycle, the winding at its hottest place",
            compact=len(known) > 1,
        )
    )  # fmt: skip
    reserves = [
        sentence(f"{letter(one.index)} {{reserve}}", reserve=(one.torque_reserve, Kind.NUMBER))
        for one in known
        if one.torque_reserve is not None
    ]
    if reserves:
        words = "Torque reserve, the factor by which the torque of the whole cycle could grow before a "
        blocks.append(Paragraph(joined(f"{words}temperature reaches its limit: ", listed(reserves), ".")))
    blocks += _flow(subject)
    return Section(title, tuple(blocks))


def _run_away(subject: Subject) -> list[Block]:
    cautions = [
        (one, caution)
        for one in subject.result.candidates
        for caution in one.cautions
        if caution.code == "thermal_run_away"
    ]
    return [Paragraph(joined(subject.name(one.index), ": ", c.text), "missed") for one, c in cautions]


def _flow(subject: Subject) -> list[Block]:
    """Return where the heat of the chosen candidate goes, in the mean over the cycle."""
    found = subject.found
    flows = None if found is None else found.flows
    if found is None or flows is None:
        return []
    words = f"{subject.name(found.index)}: where the heat goes, mean over the cycle. The bar in a box is how "
    caption = f"{words}much of the rise up to its limit is used. {balance_words(flows, subject.units)}"
    limits = node_limits(subject.result, found)
    return [FlowOfHeat(flows, limits, found.index, caption, 78.0)]


def _peak_row(subject: Subject, one: CandidateResult, peak: PeakTemperature) -> tuple[Cell, ...]:
    left = None if peak.limit is None else peak.limit - peak.temp
    band = one.band
    ends = None if band is None else {"winding": band.winding, "outside": band.outside}.get(peak.role)
    within: Cell = Cell(DASH)
    if ends is not None:
        words = sentence("{low} to {high}", low=(ends[0], Kind.TEMPERATURE), high=(ends[2], Kind.TEMPERATURE))
        within = Cell(words)
    return (
        Cell(letter(one.index), candidate=one.index),
        Cell(f"{PEAK_WORDS[peak.role].lower()} ({peak.node})"),
        number(peak.temp, Kind.TEMPERATURE, "missed" if left is not None and left < 0.0 else "plain"),
        number(peak.mean, Kind.TEMPERATURE),
        number(peak.limit, Kind.TEMPERATURE),
        number(left, Kind.TEMPERATURE_DIFFERENCE),
        within,
        Cell(str(peak.segment + 1)),
    )


def losses(subject: Subject) -> Section:
    """Return the mean losses by cause, as a table and as bars beside the peak temperatures."""
    known = [one for one in subject.result.candidates if one.losses is not None]
    title = "Losses"
    if not known:
        return Section(title, (lacking(subject, "The losses"),))
    columns = (
        Column("Mean loss over the cycle"),
        *(figures(letter(one.index), Kind.POWER) for one in known),
    )
    rows = [
        (Cell(words), *(number(part(one.losses), Kind.POWER) for one in known if one.losses is not None))
        for _, words, part in LOSS_CAUSES
    ]
    sums = (number(total(one.losses), Kind.POWER, "strong") for one in known if one.losses is not None)
    rows.append((Cell("together", "strong"), *sums))
    chart = Picture(losses_chart(subject.result, subject.units), "Mean losses by cause.", 58.0)
    return Section(title, (Beside(((Table(columns, tuple(rows)),), (chart,))),))
