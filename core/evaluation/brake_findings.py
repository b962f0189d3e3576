"""What is easily got wrong about holding: service stops, self-locking, brake before torque, the coil."""

from __future__ import annotations

import numpy as np

from core.evaluation.brake_coil import coil_power, held_open_power
from core.evaluation.criteria_brake import emergency_stops
from core.evaluation.held_load import LEAST_PULL, HeldLoad
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.remembered import remembered
from core.evaluation.wires import conductor_of
from core.findings import Finding
from core.physics.brake import holding_brake_torque, stops_per_hour
from core.physics.conductors import pair_resistance
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application, Supply
from core.project.candidate import Candidate
from core.project.fittings import HoldingBrake
from core.sentences import sentence
from core.units import Kind, format_number

COIL_LOSS_NOTED = 0.02  # share of the coil's voltage lost in a cable that is worth saying
COIL_LOSS_TOO_MUCH = 0.10  # coils release at 90 % of their voltage: common practice, no source


def brake_findings(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    duty: ShaftDuty | None,
    held: HeldLoad | None,
) -> tuple[Finding, ...]:
    """Return what is to be said about a candidate's brake, or about its absence."""
    if held is None or duty is None:
        return ()
    brake = candidate.brake
    if brake is None:
        found = [_no_brake(application, held), _self_locking(held)]
    else:
        found = [
            _drop_and_stop(brake, held, motor),
            _service_brake(brake, held, motor, duty),
            _sequence(brake) if held.pull > LEAST_PULL else None,
            _coil_in_cable(application.supply, candidate, brake),
            _coil_heat(application, candidate, brake),
        ]
    return tuple(finding for finding in found if finding is not None)


def _no_brake(application: Application, held: HeldLoad) -> Finding | None:
    """Return a finding where gravity is stronger than what holds the load without power."""
    if application.duty_from != "load" or held.pull <= max(held.friction, LEAST_PULL) or held.self_locking:
        return None
    factor = max(application.requirements.holding_factor, 1.0)
    needed = float(holding_brake_torque(held.pull, factor=factor))
    text = sentence(
        "The load pulls with {pull} at the motor shaft, friction there holds {friction}, and this candidate "
        f"has no brake. One that holds without power needs {{needed}}, {factor:g} times the pull.",
        pull=(held.pull, Kind.TORQUE),
        friction=(held.friction, Kind.TORQUE),
        needed=(needed, Kind.TORQUE),
    )
    numbers = {"pull_Nm": held.pull, "friction_Nm": held.friction, "needed_Nm": needed}
    return Finding("no_brake_for_a_pulling_load", "warning", text, numbers)


def _self_locking(held: HeldLoad) -> Finding | None:
    if not held.self_locking or held.pull <= LEAST_PULL:
        return None
    text = sentence(
        "Nothing but the friction of a gear or screw that locks itself holds the load, {pull} at the motor "
        "shaft. Vibration, oil and running-in take that friction away: a gear is not a brake. Provide one "
        "where a moving load can hurt.",
        pull=(held.pull, Kind.TORQUE),
    )
    return Finding("self_locking_is_no_brake", "warning", text, {"pull_Nm": held.pull})


def _drop_and_stop(brake: HoldingBrake, held: HeldLoad, motor: MotorModel) -> Finding | None:
    """Return how far the load moves until the brake holds it, in the load's own coordinate."""
    stops = emergency_stops(brake, held, motor)
    if stops is None or held.pull <= LEAST_PULL or np.isinf(stops.largest_angle):
        return None
    still, moving = (abs(float(angle)) * held.per_angle for angle in stops.stop.angle[:2])
    kind, unit = (Kind.LENGTH, "m") if held.linear else (Kind.ANGLE, "rad")
    text = sentence(
        "Until the brake holds, the load moves {still} when power is lost at rest, and {moving} when it is "
        "lost while the load moves at its fastest with the pull.",
        still=(still, kind),
        moving=(moving, kind),
    )
    return Finding("brake_drop", "note", text, {f"from_rest_{unit}": still, f"while_moving_{unit}": moving})


def _service_brake(brake: HoldingBrake, held: HeldLoad, motor: MotorModel, duty: ShaftDuty) -> Finding | None:
    """Return what it would mean if the brake, and not the motor, made every stop of the cycle."""
    stops = _stops_in(duty)
    emergency = emergency_stops(brake, held, motor)
    if emergency is None or stops == 0 or np.isinf(emergency.largest_energy):
        return None
    energy = emergency.largest_energy
    power = energy * stops / duty.cycle_time
    numbers = {"energy_J": energy, "stops_per_h": 3600.0 * stops / duty.cycle_time, "power_W": power}
    if brake.heat_power is None:
        text = sentence(
            "This is a holding brake: the motor must make the stops and the brake only keep them. Used for "
            f"all {stops} stops of the cycle it would take {{power}}; what it stands is not known.",
            power=(power, Kind.POWER),
        )
        return Finding("holding_brake_only", "note", text, numbers)
    most = float(stops_per_hour(energy, brake.heat_power))
    too_much = power > brake.heat_power
    text = sentence(
        "This is a holding brake: the motor must make the stops and the brake only keep them. Used for "
        f"{'the stop' if stops == 1 else f'all {stops} stops'} of the cycle it would take {{power}}, "
        f"{'more than' if too_much else 'within'} the {{limit}} that it gives off (enough for "
        f"{format_number(most)} such stops an hour), and it would wear out far sooner.",
        power=(power, Kind.POWER),
        limit=(brake.heat_power, Kind.POWER),
    )
    numbers |= {"limit_W": brake.heat_power, "largest_stops_per_h": most}
    return Finding("holding_brake_only", "warning" if too_much else "note", text, numbers)


def _stops_in(duty: ShaftDuty) -> int:
    """Return how often the shaft comes to rest in a cycle."""
    return int(np.count_nonzero((duty.speed_end == 0.0) & (duty.speed_start != 0.0)))


@remembered()
def _sequence(brake: HoldingBrake) -> Finding:
    text = sentence(
        "Order of brake and torque: at the start torque first, then release the brake and wait {release} "
        "before moving; at the end stand still, apply the brake, keep the torque for {engage}, then switch "
        "off. Released before the torque is there, the load falls.",
        release=(brake.release_delay, Kind.TIME),
        engage=(brake.engage_delay, Kind.TIME),
    )
    numbers = {"release_delay_s": brake.release_delay, "engage_delay_s": brake.engage_delay}
    return Finding("brake_sequence", "note", text, numbers)


def _coil_in_cable(supply: Supply, candidate: Candidate, brake: HoldingBrake) -> Finding | None:
    """Return the share of the coil's voltage that is lost on the way, where voltage and cable are known."""
    voltage, cable = supply.nominal_voltage or lowest_voltage(supply), candidate.cable
    if voltage is None or cable is None or brake.pull_in_power == 0.0:
        return None
    return _lost(voltage, lowest_voltage(supply) or voltage, candidate, brake)


@remembered()
def _lost(voltage: float, lowest: float, candidate: Candidate, brake: HoldingBrake) -> Finding | None:
    cable = candidate.cable
    assert cable is not None  # `_coil_in_cable` asks for it
    current = brake.pull_in_power / voltage
    drop = current * float(pair_resistance(conductor_of(cable), cable.length, cable.temp))
    left = (lowest - drop) / voltage
    if 1.0 - left < COIL_LOSS_NOTED:
        return None
    text = sentence(
        "A coil of {power} at {voltage} draws {current}. At the lowest supply of {lowest} and with {drop} "
        "lost in two conductors like those of the motor cable, it has {left} of its voltage to release with; "
        "coils commonly need nine tenths.",
        power=(brake.pull_in_power, Kind.POWER),
        voltage=(voltage, Kind.VOLTAGE),
        current=(current, Kind.CURRENT),
        lowest=(lowest, Kind.VOLTAGE),
        drop=(drop, Kind.VOLTAGE),
        left=(left, Kind.RATIO),
    )
    numbers = {"lost_V": drop, "left_share": left}
    too_much = left < 1.0 - COIL_LOSS_TOO_MUCH
    return Finding("brake_coil_voltage", "warning" if too_much else "note", text, numbers)


def _coil_heat(application: Application, candidate: Candidate, brake: HoldingBrake) -> Finding | None:
    """Return what the coil heats, which at a small motor is not little."""
    power = coil_power(application, candidate)
    if power <= 0.0:
        return None
    text = sentence(
        "The coil of the brake heats the motor with {mean} on average, {open} while it is held open; that is "
        "in the temperatures.",
        mean=(power, Kind.POWER),
        open=(held_open_power(brake), Kind.POWER),
    )
    return Finding("brake_coil_heat", "note", text, {"mean_W": power, "held_open_W": held_open_power(brake)})
