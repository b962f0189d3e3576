"""Cautions: what can hurt someone here, with its numbers. Local codes and licensed practice decide."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.bus_state import LEAST_ENERGY_BACK, BusState
from core.evaluation.criteria_heat import touch_words
from core.evaluation.free_speed import free_speed
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.temperatures import CycleTemperatures
from core.findings import Caution, Finding
from core.physics.surface_contact import touch_threshold
from core.project.application import Application
from core.project.duty_cycle import Segment
from core.project.mounting import Box, Guard
from core.results import PeakTemperature
from core.sentences import sentence
from core.units import Kind

LEAST_HELD_TORQUE = 1e-6  # [N m]


def cautions(
    application: Application,
    motor: MotorModel,
    points: OperatingPoints | None,
    temps: CycleTemperatures | None,
    peaks: tuple[PeakTemperature, ...],
    bus: BusState | None,
    findings: tuple[Finding, ...],
) -> tuple[Caution, ...]:
    """Return the cautions that apply to one candidate in this application, some from its findings."""
    found = [
        _hot_surface(application, peaks),
        _turning_rotor(application, motor, points),
        _strong_magnets(motor),
        _over_speed(application, motor),
        _energy_back(application, bus),
        _held_by_current(application.duty_cycle) if application.duty_from == "segments" else None,
        _moves_without_power(findings),
        _run_away(temps),
    ]
    return tuple(caution for caution in found if caution is not None)


def _hot_surface(application: Application, peaks: tuple[PeakTemperature, ...]) -> Caution | None:
    outside = next((peak for peak in peaks if peak.role == "outside"), None)
    contact = application.requirements.touch_contact
    threshold = touch_threshold(contact)
    if outside is None or outside.temp <= threshold or application.site.ambient is None:
        return None
    text = sentence(
        f"The {outside.node} reaches {{temp}} at {{ambient}} ambient. Bare metal touched for "
        f"{touch_words(contact)} can burn from {{threshold}} on. Guard or label it; never test it by touch.",
        temp=(outside.temp, Kind.TEMPERATURE),
        ambient=(application.site.ambient, Kind.TEMPERATURE),
        threshold=(threshold, Kind.TEMPERATURE),
    )
    return Caution(
        "hot_surface", "Hot surface", text, {"outside_degC": outside.temp, "threshold_degC": threshold}
    )


def _turning_rotor(
    application: Application, motor: MotorModel, points: OperatingPoints | None
) -> Caution | None:
    if motor.variant.kind != "open rotor" or points is None:
        return None
    speed = float(np.abs(points.speed).max())
    diameter = motor.variant.rim_diameter or motor.variant.diameter
    rim = "" if diameter is None else ", rim {rim}"
    what = "Specify a guard; keep fingers, cables, hair and dirt away."
    if isinstance(application.site.around, Guard):
        what = (
            "Keep the guard closed; its openings must keep fingers and cables out, and dirt still comes in."
        )
    elif isinstance(application.site.around, Box):
        what = "Keep the box closed while it turns; inside, cables and dirt must stay away."
    text = sentence(
        f"The outside turns at up to {{speed}}{rim}. {what}",
        speed=(speed, Kind.SPEED),
        rim=(speed * 0.5 * (diameter or 0.0), Kind.LINEAR_SPEED),
    )
    return Caution("turning_rotor", "Turning rotor", text, {"speed_rad_s": speed})


def _strong_magnets(motor: MotorModel) -> Caution | None:
    if motor.variant.kind != "open rotor":
        return None
    text = (
        "An open rotor has strong magnets: it pinches and attracts swarf and tools. Keep it away from people "
        "with a pacemaker or another implant, and from data carriers."
    )
    return Caution("strong_magnets", "Strong magnets", text)


def _over_speed(application: Application, motor: MotorModel) -> Caution | None:
    reach, limit = free_speed(application.supply, motor), motor.variant.largest_speed
    if reach is None or limit is None:
        return None
    if reach <= limit:
        return None
    text = sentence(
        "Without load, or with a wrong feedback signal, the motor can reach {reach}; its mechanical limit is "
        "{limit}. Provide a speed limit that does not depend on the controller alone.",
        reach=(reach, Kind.SPEED),
        limit=(limit, Kind.SPEED),
    )
    return Caution("over_speed", "Overspeed", text, {"no_load_rad_s": reach, "limit_rad_s": limit})


def _energy_back(application: Application, bus: BusState | None) -> Caution | None:
    takes = application.supply.takes_energy_back
    if bus is None or bus.returned < LEAST_ENERGY_BACK or takes == "yes":
        return None
    doubt = "cannot take energy back" if takes == "no" else "is not known to take energy back"
    reached = bus.reached
    values = {"energy_back_J": bus.returned}
    rise = "The voltage rises at every stop"
    if reached is not None:
        values["voltage_V"] = reached
        rise += ", cycle after cycle" if math.isinf(reached) else ", up to {voltage}"
    measure = "add capacitance or a clamp resistor, or brake more slowly, and check the highest voltage"
    if bus.held is not None:
        measure = "the clamp must work at each of them; check the highest voltage, also with a failed one"
    text = sentence(
        f"Braking returns {{energy}} per cycle and the supply {doubt}. {rise}: {measure}.",
        energy=(bus.returned, Kind.ENERGY),
        voltage=(reached or 0.0, Kind.VOLTAGE),
    )
    return Caution("voltage_rise", "Voltage rise on braking", text, values)


def _held_by_current(segments: tuple[Segment, ...]) -> Caution | None:
    held = [
        abs(segment.shaft_torque)
        for segment in segments
        if segment.speed_start == segment.speed_end == 0.0 and abs(segment.shaft_torque) > LEAST_HELD_TORQUE
    ]
    if not held:
        return None
    text = sentence(
        "At rest {torque} is held by current alone. Without power the load may move: where it can hurt or "
        "fall, provide a power-off brake or a lock.",
        torque=(max(held), Kind.TORQUE),
    )
    return Caution("held_by_current", "Held by current", text, {"held_torque_Nm": max(held)})


def _moves_without_power(findings: tuple[Finding, ...]) -> Caution | None:
    """Return the caution of a load that gravity moves, with the torques of the finding at its axis."""
    codes = ("released_under_gravity", "load_moves_without_power")
    finding = next((one for one in findings if one.code in codes), None)
    if finding is None:
        return None
    gravity, friction = (finding.values[f"{name}_torque_Nm"] for name in ("gravity", "friction"))
    text = sentence(
        "Without power the load can fall or run back: gravity pulls with up to {gravity}, friction holds "
        "{friction}. Where that can hurt, provide a brake or a lock that holds without power.",
        gravity=(gravity, Kind.LOAD_TORQUE),
        friction=(friction, Kind.LOAD_TORQUE),
    )
    numbers = {"gravity_torque_Nm": gravity, "friction_torque_Nm": friction}
    return Caution("load_moves_without_power", "Load moves without power", text, numbers)


def _run_away(temps: CycleTemperatures | None) -> Caution | None:
    finding = next((f for f in temps.findings if f.code == "thermal_run_away"), None) if temps else None
    if finding is None:
        return None
    text = sentence(
        "This duty destroys the motor if it is kept up: the first temperature limit is passed after {time} "
        "from cold. Protect the winding by current and time, or by a sensor in it.",
        time=(finding.values["time_to_limit_s"], Kind.TIME),
    )
    return Caution("thermal_run_away", "Thermal run-away", text, dict(finding.values))
