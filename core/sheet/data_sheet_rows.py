"""Every figure of a data sheet with the convention it was read in, beside what the calculation uses."""

from __future__ import annotations

from core.project.candidate import Candidate
from core.project.motor import Motor, Winding
from core.project.motor_heat import ContinuousPoint, DataSheetHeat, GeometryHeat
from core.results import CandidateResult, CanonicalConstants
from core.sentences import joined, sentence
from core.sheet.blocks import Block, Cell, Column, Paragraph, Table, Words
from core.sheet.cells import DASH, figures, listed, quantity
from core.sheet.subject import Subject
from core.units import Kind


def data_sheet_figures(subject: Subject, candidate: Candidate, found: CandidateResult) -> list[Block]:
    """Return the constants of one motor as stated, and as the calculation uses them."""
    motor, winding = candidate.motor, candidate.chosen_winding
    if motor is None or winding is None:
        return [
            Paragraph(
                f"{subject.name(found.index)}: no winding is chosen, so there are no constants.", "soft"
            )
        ]
    columns = (
        Column("", weight=0.7),
        figures("Data sheet"),
        Column("which means"),
        figures("Calculated with"),
        Column("which means"),
    )
    rows = (
        *_machine_rows(motor, winding, candidate, found.constants),
        *_limit_rows(winding),
        *_drag_rows(candidate),
        *_heat_rows(candidate),
    )
    caption = joined(f"{subject.name(found.index)}: ", motor.name, ", winding ", winding.name)
    return [Table(columns, rows, caption)]


def _row(label: str, stated: Words, convention: Words, used: Words, meaning: Words) -> tuple[Cell, ...]:
    return Cell(label), Cell(stated), Cell(convention, "soft"), Cell(used), Cell(meaning, "soft")


def _machine_rows(
    motor: Motor, winding: Winding, candidate: Candidate, used: CanonicalConstants | None
) -> list[tuple[Cell, ...]]:
    per = {"six-step": "per link ampere", "sinusoidal": "per peak phase ampere"}[candidate.commutation]
    ampere = f"{per}, {candidate.commutation}"
    magnets = sentence("magnets at {temp}", temp=(motor.magnet_ref_temp, Kind.TEMPERATURE))
    cold = sentence("winding at {temp}", temp=(winding.resistance.temp, Kind.TEMPERATURE))
    speed = winding.speed_constant
    stated = (
        ("Back-EMF constant", winding.back_emf_constant, Kind.BACK_EMF_CONSTANT, "",
         None if used is None else used.back_emf_constant, listed(("line-to-line peak", magnets))),
        ("Torque constant", winding.torque_constant, Kind.TORQUE_CONSTANT, "",
         None if used is None else used.torque_constant, listed((ampere, magnets))),
        ("Resistance", winding.resistance, Kind.RESISTANCE, cold,
         None if used is None else used.resistance, listed(("line-to-line", cold))),
        ("Inductance", winding.inductance, Kind.INDUCTANCE, "",
         None if used is None else used.inductance, "line-to-line"),
    )  # fmt: skip
    rows = []
    for label, figure, kind, at, value, meaning in stated:
        read = DASH if figure is None else quantity(figure.value, kind)
        convention = "not stated" if figure is None else listed((figure.convention, at))
        rows.append(_row(label, read, convention, quantity(value, kind), meaning))
    if speed is not None:
        rows.append(_row("Speed constant", quantity(speed.value, Kind.SPEED_CONSTANT), speed.convention, DASH,
                         "taken into the back-EMF constant"))  # fmt: skip
    if used is not None:
        constant = quantity(used.motor_constant, Kind.MOTOR_CONSTANT)
        rows.append(_row("Motor constant", DASH, "", constant, "torque over root of copper loss, six-step"))
    return rows


def _limit_rows(winding: Winding) -> list[tuple[Cell, ...]]:
    """Return the currents that a winding bears, which are read as stated."""
    at = winding.demagnetisation_temp
    hot = "" if at is None else sentence("magnets at {temp}", temp=(at, Kind.TEMPERATURE))
    second_at = winding.second_demagnetisation_temp
    hotter = "" if second_at is None else sentence("magnets at {temp}", temp=(second_at, Kind.TEMPERATURE))
    named: tuple[tuple[str, float | None, Words], ...] = (
        ("Peak current", winding.peak_current, "per link ampere, six-step, for a short time"),
        (
            "Current that weakens the magnets",
            winding.demagnetisation_current,
            hot or "temperature not stated",
        ),
        ("and at another temperature", winding.second_demagnetisation_current, hotter),
        ("Torque is linear up to", winding.linear_current, ""),
    )
    return [
        _row(label, quantity(value, Kind.CURRENT), meaning, DASH, "as stated")
        for label, value, meaning in named
        if value is not None
    ]


def _drag_rows(candidate: Candidate) -> list[tuple[Cell, ...]]:
    """Return the no-load points of a variant."""
    variant = candidate.chosen_variant
    return [
        _row(
            "Drag without load",
            quantity(point.drag_torque, Kind.TORQUE),
            sentence("torque that turns the rotor at {speed}", speed=(point.speed, Kind.SPEED)),
            DASH,
            "the law of the drag goes by it",
        )
        for point in (() if variant is None else variant.no_load)
    ]


def _heat_rows(candidate: Candidate) -> list[tuple[Cell, ...]]:
    """Return the thermal figures of the data sheet; what the network gives for them is in the uncertainty."""
    variant = candidate.chosen_variant
    heat = None if variant is None else variant.heat
    if not isinstance(heat, DataSheetHeat | GeometryHeat):
        return []
    at_rest = listed(("at standstill", heat.stated_mounting))
    named = (
        ("Winding to housing", heat.winding_housing_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Housing to ambient", heat.housing_ambient_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Time constant of the winding", heat.winding_time_constant, Kind.TIME,
         "winding to housing times heat capacity of the winding"),
        ("Time constant of the motor", heat.motor_time_constant, Kind.TIME,
         "housing to ambient times the whole heat capacity"),
    )  # fmt: skip
    use = "as stated" if isinstance(heat, DataSheetHeat) else "the network is brought to it"
    rows = [
        _row(label, quantity(value, kind), meaning, DASH, use)
        for label, value, kind, meaning in named
        if value is not None
    ]
    points = heat.continuous_points if isinstance(heat, GeometryHeat) else (heat.continuous_point,)
    rows += [
        _row("Continuous torque", *_point_words(point), DASH, use) for point in points if point is not None
    ]
    return rows


def _point_words(point: ContinuousPoint) -> tuple[Words, Words]:
    conditions = sentence(
        f"at the shaft at {{speed}}, ambient {{ambient}}, mean winding {{winding}}, {point.commutation}",
        speed=(point.speed, Kind.SPEED),
        ambient=(point.ambient, Kind.TEMPERATURE),
        winding=(point.winding_temp, Kind.TEMPERATURE),
    )
    return quantity(point.shaft_torque, Kind.TORQUE), conditions
