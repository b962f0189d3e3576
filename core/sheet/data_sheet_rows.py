"""Every figure of a data sheet with the convention it was read in, beside what the calculation uses."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.charts.display_axis import letter
from core.project.candidate import Candidate
from core.project.motor import Motor, Winding
from core.project.motor_heat import ContinuousPoint, DataSheetHeat, GeometryHeat
from core.results import CanonicalConstants
from core.sentences import joined, sentence
from core.sheet.blocks import Beside, Block, Cell, Column, Paragraph, Section, Table, Words
from core.sheet.cells import DASH, figures, listed, quantity
from core.sheet.subject import Subject, lacking
from core.units import Kind

_USE = (
    "Constants of the winding stand beside what the calculation makes of them; the law of the drag goes by "
    "the points without load; a heat network from dimensions is brought to the thermal figures, one from "
    "figures takes them as stated."
)


def motor_figures(subject: Subject) -> Section:
    """Return the figures of each motor as stated and as used, those of one winding once."""
    title = "Figures of the motors"
    known = [
        index
        for index, candidate in enumerate(subject.project.candidates)
        if candidate.motor is not None and candidate.chosen_winding is not None
    ]
    if not known:
        return Section(title, (lacking(subject, "The figures of the motors"),))
    blocks: list[Block] = [Paragraph(_USE, "soft", compact=True)]
    blocks += [_winding_table(subject, alike) for alike in _alike(known, lambda k: _of_winding(subject, k))]
    candidates = subject.project.candidates
    variants = [
        table
        for alike in _alike(known, lambda k: (_frame(candidates[k]), candidates[k].chosen_variant))
        for table in _variant_tables(subject, alike)
    ]
    blocks += [Beside(tuple((t,) for t in variants[k : k + 2])) for k in range(0, len(variants), 2)]
    return Section(title, tuple(blocks))


def _alike(indices: Sequence[int], what: Callable[[int], object]) -> list[list[int]]:
    """Return candidates in groups of those of which something is the same."""
    groups: list[list[int]] = []
    for index in indices:
        group = next((group for group in groups if what(group[0]) == what(index)), None)
        if group is None:
            groups.append([index])
        else:
            group.append(index)
    return groups


def _frame(candidate: Candidate) -> tuple[object, ...]:
    motor = candidate.motor
    return () if motor is None else (motor.name, motor.magnet_ref_temp, motor.pole_pairs)


def _of_winding(subject: Subject, index: int) -> tuple[object, ...]:
    candidate = subject.project.candidates[index]
    used = subject.result.candidates[index].constants
    return _frame(candidate), candidate.chosen_winding, candidate.commutation, used


def _winding_table(subject: Subject, indices: list[int]) -> Table:
    candidate, found = subject.project.candidates[indices[0]], subject.result.candidates[indices[0]]
    motor, winding = candidate.motor, candidate.chosen_winding
    assert motor is not None  # see above
    assert winding is not None
    columns = (
        Column("", weight=0.7),
        figures("Data sheet"),
        Column("which means"),
        figures("Calculated with"),
        Column("which means"),
    )
    rows = (*_machine_rows(motor, winding, candidate, found.constants), *_limit_rows(winding))
    several = len(subject.project.candidates) > 1
    of = f"{', '.join(letter(index) for index in indices)}: " if several else ""
    caption = joined(of, motor.name, ", winding ", winding.name)
    return Table(columns, rows, caption, compact=True)


def _variant_tables(subject: Subject, indices: list[int]) -> list[Table]:
    candidate = subject.project.candidates[indices[0]]
    rows = (*_drag_rows(candidate), *_heat_rows(candidate))
    if not rows:
        return []
    columns = (Column("", weight=0.7), figures("Data sheet"), Column("which means"))
    heat = None if candidate.chosen_variant is None else candidate.chosen_variant.heat
    on: Words = ""
    if isinstance(heat, DataSheetHeat | GeometryHeat) and heat.stated_mounting:
        on = f"; heat on {heat.stated_mounting}"
    return [
        Table(columns, rows, joined("; ".join(subject.name(index) for index in indices), on), compact=True)
    ]


def _row(label: str, stated: Words, convention: Words, used: Words, meaning: Words) -> tuple[Cell, ...]:
    return Cell(label), Cell(stated), Cell(convention, "soft"), Cell(used), Cell(meaning, "soft")


def _stated(label: str, stated: Words, convention: Words) -> tuple[Cell, ...]:
    return Cell(label), Cell(stated), Cell(convention, "soft")


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
        _stated(
            "Torque that turns it without load",
            quantity(point.drag_torque, Kind.TORQUE),
            sentence("at {speed}", speed=(point.speed, Kind.SPEED)),
        )
        for point in (() if variant is None else variant.no_load)
    ]


def _heat_rows(candidate: Candidate) -> list[tuple[Cell, ...]]:
    """Return the thermal figures of the data sheet; what the network gives for them is in the uncertainty."""
    variant = candidate.chosen_variant
    heat = None if variant is None else variant.heat
    if not isinstance(heat, DataSheetHeat | GeometryHeat):
        return []
    at_rest = "at standstill"
    named = (
        ("Winding to housing", heat.winding_housing_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Housing to ambient", heat.housing_ambient_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Time constant of the winding", heat.winding_time_constant, Kind.TIME,
         "winding to housing, times its heat capacity"),
        ("Time constant of the motor", heat.motor_time_constant, Kind.TIME,
         "housing to ambient, times all heat capacity"),
    )  # fmt: skip
    rows = [
        _stated(label, quantity(value, kind), meaning)
        for label, value, kind, meaning in named
        if value is not None
    ]
    points = heat.continuous_points if isinstance(heat, GeometryHeat) else (heat.continuous_point,)
    rows += [
        _stated("Continuous torque at the shaft", *_point_words(point))
        for point in points
        if point is not None
    ]
    return rows


def _point_words(point: ContinuousPoint) -> tuple[Words, Words]:
    conditions = sentence(
        f"{{speed}}, ambient {{ambient}}, winding {{winding}}, {point.commutation}",
        speed=(point.speed, Kind.SPEED),
        ambient=(point.ambient, Kind.TEMPERATURE),
        winding=(point.winding_temp, Kind.TEMPERATURE),
    )
    return quantity(point.shaft_torque, Kind.TORQUE), conditions
