"""How far the heat may be off: the band, its causes, and how the model compares with the data sheet."""

from __future__ import annotations

import numpy as np

from core.charts.ratio_chart import friction_words
from core.evaluation.studies import friction_range
from core.physics.calibration_findings import FACTOR_WORDS
from core.results import CandidateResult, HeatBand, HeatCalibration
from core.sentences import sentence
from core.sheet.blocks import Beside, Block, Cell, Column, Paragraph, Section, Table
from core.sheet.cells import figures, number, quantity
from core.sheet.subject import Subject, lacking
from core.units import Kind


def uncertainty(subject: Subject) -> Section:
    """Return the band of continuous torque and peaks, what it comes from, and the calibration."""
    blocks: list[Block] = []
    bands = [(one, one.band) for one in subject.result.candidates]
    known = [(one, band) for one, band in bands if band is not None]
    if known:
        blocks.append(
            Paragraph(
                "Each cause of doubt was varied alone by one standard deviation to either side; the band is "
                "the root of the sum of their squares. It covers the laws of heat, not a wrong input. A "
                "cause is shared where it changes the variants of a frame alike, so that it cancels in their "
                "ratio. A law is told where the data sheet says more of it than the dimensions do.",
                "soft",
            )
        )
        rows = [row for one, band in known for row in _band_rows(subject, one, band)]
        columns = (
            Column("Candidate"),
            Column("Quantity"),
            figures("Low"),
            figures("Middle"),
            figures("High"),
        )
        blocks.append(Table(columns, tuple(rows), "What the heat allows and reaches", compact=True))
        blocks += _in_pairs([_causes(subject, one, band) for one, band in known])
    else:
        blocks.append(lacking(subject, "The uncertainty of the heat"))
    blocks += _friction(subject)
    for one in subject.result.candidates:
        if one.calibration is not None:
            blocks.append(_calibration(subject, one, one.calibration))
    return Section("Uncertainty", tuple(blocks))


def _in_pairs(tables: list[Table]) -> list[Block]:
    return [Beside(tuple((table,) for table in tables[k : k + 2])) for k in range(0, len(tables), 2)]


def _friction(subject: Subject) -> list[Block]:
    """Return what low and high friction leave, where the load says how far it may be off."""
    load, chosen = subject.application.load, subject.result.chosen
    if load is None or chosen is None or subject.application.duty_from != "load":
        return []
    words = friction_words(load.friction_range, friction_range(subject.project, chosen), subject.units)
    return [Paragraph("Friction", "strong"), Paragraph(f"{words}.")] if words else []


def _speed_of(one: CandidateResult, band: HeatBand) -> float:
    """Return the mean speed of the cycle, or rest where there is no cycle, within the band. [rad/s]"""
    speed = 0.0 if one.rms is None else one.rms.speed
    return float(np.clip(speed, band.speed[0], band.speed[-1]))


def _band_rows(subject: Subject, one: CandidateResult, band: HeatBand) -> list[tuple[Cell, ...]]:
    speed = _speed_of(one, band)
    at = sentence("Continuous torque at {speed}", speed=(speed, Kind.SPEED))
    torque = tuple(float(np.interp(speed, band.speed, v)) for v in (band.low, band.mid, band.high))
    named = (
        (at, torque, Kind.TORQUE),
        ("Peak temperature of the winding", band.winding, Kind.TEMPERATURE),
        ("Peak temperature outside", band.outside, Kind.TEMPERATURE),
    )
    return [
        (
            Cell(subject.name(one.index), candidate=one.index),
            Cell(label),
            *(number(value, kind) for value in values),
        )
        for label, values, kind in named
        if values is not None
    ]


def _causes(subject: Subject, one: CandidateResult, band: HeatBand) -> Table:
    speed = _speed_of(one, band)
    effects = [float(np.interp(speed, band.speed, effect)) for effect in band.effects]
    order = sorted(range(len(effects)), key=lambda k: -abs(effects[k]))
    rows = tuple(
        (
            Cell(band.sources[k]),
            number(effects[k], Kind.RATIO),
            Cell("shared" if band.shared[k] else "own"),
        )
        for k in order
    )
    columns = (
        Column("Cause of doubt"),
        figures("Effect on the torque", Kind.RATIO),
        Column("Shared or own", weight=0.0),
    )
    caption = sentence(
        _escaped(f"Causes of doubt, {subject.name(one.index)}") + ", at {speed}", speed=(speed, Kind.SPEED)
    )
    return Table(columns, rows, caption, compact=True)


def _escaped(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def _calibration(subject: Subject, one: CandidateResult, found: HeatCalibration) -> Block:
    name = subject.name(one.index)
    rows = tuple(
        (
            Cell(row.figure),
            Cell(quantity(row.stated, row.kind)),
            Cell(quantity(row.modelled, row.kind)),
            number(row.residual, Kind.RATIO),
        )
        for row in found.rows
    )
    columns = (
        Column("Figure of the data sheet"),
        figures("Stated"),
        figures("By the network"),
        figures("Difference", Kind.RATIO),
    )
    factors = tuple(
        (
            Cell(FACTOR_WORDS.get(factor.name, factor.name)),
            number(factor.value, Kind.NUMBER),
            number(factor.width, Kind.RATIO),
            number(factor.prior_width, Kind.RATIO),
            Cell("yes" if factor.told else "no"),
        )
        for factor in found.factors
    )
    heads = (
        Column("Law of heat"),
        figures("Factor", Kind.NUMBER),
        figures("Doubt left ±", Kind.RATIO),
        figures("before ±", Kind.RATIO),
        Column("Told by the sheet", weight=0.0),
    )
    against: Block = Paragraph(f"{name}: no figure of a data sheet was there to compare with.", "soft")
    if rows:
        against = Table(columns, rows, f"{name}: the model against its data sheet", compact=True)
    laws = Table(heads, factors, f"{name}: factors on the laws of heat", compact=True)
    return Beside(((against,), (laws,)))
