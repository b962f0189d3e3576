"""All windings of a candidate's frame against its cycle: which of them the voltage and the current allow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

import numpy as np
from msgspec.structs import replace as replaced

from core.evaluation.curves import drawn_speed, temperature_cases
from core.evaluation.motor_model import MotorModel, motor_of
from core.evaluation.operating_points import OperatingPoints, lowest_voltage
from core.evaluation.part_means import part_means
from core.evaluation.wires import source_resistance
from core.findings import Finding
from core.numeric import FloatArray, read_only
from core.physics.drag import drag_torque
from core.physics.machine_constants import MachineConstants, motor_constant
from core.physics.shaft_duty import ShaftDuty
from core.physics.voltage import available_voltage, sagged_voltage, voltage_limit_torque
from core.physics.winding import rewound
from core.physics.winding_study import (
    WindingNeeds,
    WindingRow,
    WindingSupply,
    fastest_winding,
    turns_window,
    winding_table,
)
from core.project.application import Application
from core.project.candidate import Candidate
from core.results import SupplyDemand
from core.sentences import sentence
from core.units import Kind
from core.winding_results import WindingFit, WindingStudy

TOLERANCE = 0.05  # of back-EMF and resistance to either side, assumed; common practice, no source
SAME_FRAME = 0.05  # spread of the motor constant within which windings are the same copper
SPEEDS = 193
MOST_SPEED = 4.0  # how far beyond the cycle and the slowest winding the limits are followed


def winding_study(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    duty: ShaftDuty,
    points: OperatingPoints,
    power: SupplyDemand,
) -> WindingStudy | None:
    """Return the study of all windings of a frame; None without a supply voltage."""
    lowest = lowest_voltage(application.supply)
    if lowest is None:
        return None
    resistance = source_resistance(application.supply)
    voltage = float(sagged_voltage(lowest, resistance, power.peak_power)[0])
    models = _models(application, candidate)
    needs = _needs(motor, duty, points, voltage)
    fed = WindingSupply(motor.commutation, motor.path, TOLERANCE, TOLERANCE)
    rows = winding_table({name: model.constants for name, model in models.items()}, needs, fed)
    best, window = fastest_winding(rows), turns_window(motor.constants, needs, fed)
    top = float(np.abs(points.speed).max())
    ends = [drawn_speed(application.supply, model, top) for model in models.values()]
    speed = np.linspace(0.0, min(max(ends), MOST_SPEED * max(top, min(ends))), SPEEDS)
    fits = [_fit(row, models[row.name], candidate, points, needs, speed) for row in rows]

    def at_turns(turns: float) -> WindingFit:
        name = f"{turns:.2f} times the turns"
        row = winding_table({name: rewound(motor.constants, turns)}, needs, fed)[0]
        return _fit(row, motor, candidate, points, needs, speed)

    point_speed, point_torque = np.abs(points.speed), np.abs(points.delivered)
    read_only(speed, point_speed, point_torque)
    return WindingStudy(
        windings=tuple(sorted(fits, key=lambda fit: fit.back_emf_constant)),
        fastest=None if best is None else best.name,
        fewest_turns=window.fastest,
        most_turns=window.highest_by_voltage,
        voltage=voltage,
        tolerance=TOLERANCE,
        speed=speed,
        point_speed=point_speed,
        point_torque=point_torque,
        findings=_findings(application, motor, models, rows, voltage),
        at_turns=at_turns,
    )


def _models(application: Application, candidate: Candidate) -> dict[str, MotorModel]:
    """Return the model of the candidate with each winding whose constants are given, by name."""
    windings = () if candidate.motor is None else candidate.motor.windings
    made = {one.name: motor_of(application, replaced(candidate, winding=one.name)) for one in windings}
    return {name: model for name, model in made.items() if model is not None}


def _needs(motor: MotorModel, duty: ShaftDuty, points: OperatingPoints, voltage: float) -> WindingNeeds:
    square = part_means(duty, motor.drag).square
    drive = motor.drive
    available = available_voltage(motor.commutation, voltage, drive.largest_duty, drive.modulation)
    return WindingNeeds(
        em_torque=points.em_torque,
        speed=points.speed,
        available=float(available),
        winding_temps=(motor.cold_temp, motor.hot_winding_temp),
        magnet_temps=(motor.cold_temp, motor.hot_magnet_temp),
        lasting_torque=float(np.sqrt(square @ duty.duration / duty.cycle_time)),
        peak_current=drive.peak_current,
        lasting_current=drive.continuous_current,
        name_of=partial(_name_of, points),
    )


def _name_of(points: OperatingPoints, point: int) -> str:
    return f"{'end' if point % 2 else 'start'} of segment {int(points.segment[point]) + 1}"


def _fit(
    row: WindingRow,
    model: MotorModel,
    candidate: Candidate,
    points: OperatingPoints,
    needs: WindingNeeds,
    speed: FloatArray,
) -> WindingFit:
    spread = (1.0 - TOLERANCE, 1.0, 1.0 + TOLERANCE)
    limits = {
        (emf, copper): _limit(_differing(row.constants, emf, copper), model, needs, speed)
        for emf in spread
        for copper in spread
    }
    corners = np.array(list(limits.values()))
    # a speed that a part of the tolerance does not reach has no least torque
    known = np.isfinite(corners)
    least = np.where(known.all(axis=0), np.min(np.nan_to_num(corners), axis=0), np.nan)
    most = np.where(known.any(axis=0), np.max(np.nan_to_num(corners), axis=0), np.nan)
    torque = limits[1.0, 1.0]
    read_only(torque, least, most)
    return WindingFit(
        name=row.name,
        chosen=row.name == candidate.winding,
        back_emf_constant=row.constants.back_emf_constant,
        resistance=row.constants.resistance,
        voltage_share=row.voltage.utilisation,
        segment=int(points.segment[row.voltage.point]),
        case=row.voltage.case,
        peak_current=row.peak_current,
        lasting_current=row.lasting_current,
        fits=row.fits,
        reason=row.reason,
        torque=torque,
        least_torque=least,
        most_torque=most,
    )


def _differing(constants: MachineConstants, emf: float, copper: float) -> MachineConstants:
    return replace(
        constants,
        back_emf_constant=constants.back_emf_constant * emf,
        resistance=constants.resistance * copper,
    )


def _limit(
    constants: MachineConstants, model: MotorModel, needs: WindingNeeds, speed: FloatArray
) -> FloatArray:
    """Return the delivered torque that the voltage allows over speed. [N m]"""
    cases = temperature_cases(model)
    em = voltage_limit_torque(
        constants,
        model.commutation,
        speed,
        np.full(speed.shape, needs.available),
        cases[:, :1],
        cases[:, 1:],
        model.path,
    ).min(axis=0)
    delivered = em - np.where(speed > 0.0, np.asarray(drag_torque(model.drag, speed)), 0.0)
    return np.where(delivered >= 0.0, delivered, np.nan)


def _findings(
    application: Application,
    motor: MotorModel,
    models: Mapping[str, MotorModel],
    rows: tuple[WindingRow, ...],
    voltage: float,
) -> tuple[Finding, ...]:
    chosen = next(row for row in rows if row.name == motor.winding.name)
    text = sentence(
        "Back-EMF and resistance of every winding are taken to differ by {tolerance} to either side.",
        tolerance=(TOLERANCE, Kind.RATIO),
    )
    found = [Finding("winding_tolerance_assumed", "assumed", text, {"tolerance": TOLERANCE})]
    others = [row.name for row in rows if row.fits and row is not chosen]
    if chosen.fits is False:
        instead = f"{', '.join(others)} of this frame would." if others else "None of this frame would."
        text = sentence(f"Winding {chosen.name} does not do here; {instead}")
        share = chosen.voltage.utilisation
        found.append(Finding("winding_does_not_fit", "warning", text, {"voltage_share": share}))
    return (*found, *_nominal(application, chosen, voltage), *_same_copper(models))


def _nominal(application: Application, chosen: WindingRow, voltage: float) -> tuple[Finding, ...]:
    """Return a finding where a winding does at the nominal voltage only, which is not always there."""
    nominal, share = application.supply.nominal_voltage, chosen.voltage.utilisation
    if nominal is None or share <= 1.0 or share * voltage > nominal:
        return ()
    text = sentence(
        f"Winding {chosen.name} does at the nominal {{nominal}}, of which it takes {{at_nominal}}, but not "
        "at the {voltage} that are left at the lowest voltage under load, of which it takes {share}.",
        nominal=(nominal, Kind.VOLTAGE),
        at_nominal=(share * voltage / nominal, Kind.RATIO),
        voltage=(voltage, Kind.VOLTAGE),
        share=(share, Kind.RATIO),
    )
    numbers = {"nominal_V": nominal, "left_V": voltage, "voltage_share": share}
    return (Finding("winding_does_at_nominal_voltage_only", "warning", text, numbers),)


def _same_copper(models: Mapping[str, MotorModel]) -> tuple[Finding, ...]:
    """Return the finding that windings of one frame trade voltage for current and gain no torque."""
    constants = [motor_constant(model.constants) for model in models.values()]
    if len(constants) < 2 or max(constants) > (1.0 + SAME_FRAME) * min(constants):
        return ()
    text = sentence(
        "The windings of this frame trade voltage for current: all have nearly the same motor constant, so "
        "none gives more torque for the same heat.",
    )
    numbers = {"least_motor_constant": min(constants), "largest_motor_constant": max(constants)}
    return (Finding("windings_gain_no_torque", "note", text, numbers),)
