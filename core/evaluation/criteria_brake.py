"""The criteria of a holding brake: torque, drop, energy of an emergency stop, temperature."""

from __future__ import annotations

from typing import Final

import numpy as np

from core.evaluation.criterion import MOTOR, Criterion, Place, checked, missed, not_checked
from core.evaluation.heat_model import stator_side
from core.evaluation.held_load import LEAST_PULL, HeldLoad
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.evaluation.temperatures import CycleTemperatures
from core.physics.brake import BrakeStop, brake_stop, holding_brake_torque
from core.physics.temperatures import RunAway
from core.project.application import Requirements
from core.project.fittings import HoldingBrake
from core.records import dataclass
from core.results import Margin
from core.sentences import Sentence, sentence
from core.units import Kind

POWER_LOST: Final = Place("power lost at the worst instant")
_NO_INERTIA = "the duty is entered or measured at the motor shaft, so the inertia of the load is not known"


@dataclass(frozen=True, slots=True)
class EmergencyStops:
    """The brake alone stops the motor: at rest, moving with the pull, moving against it. [SI]

    `stop` has these three in its arrays; `inertia` [kg m2] is all that turns with the shaft.
    """

    stop: BrakeStop
    inertia: float

    @property
    def largest_angle(self) -> float:
        """Angle of the motor by which the load moves at worst, infinite where it is not stopped. [rad]"""
        return float(np.abs(self.stop.angle).max())

    @property
    def largest_energy(self) -> float:
        """Heat in the lining at worst, infinite likewise. [J]"""
        return float(self.stop.brake_energy.max())


def emergency_stops(brake: HoldingBrake, held: HeldLoad, motor: MotorModel) -> EmergencyStops | None:
    """Return the stops of a load by the brake alone; None where its inertia is not known.

    The brake slips at its least holding torque, which is all that a data sheet of a holding brake tells.
    """
    if held.inertia is None:
        return None
    inertia = held.inertia + motor.inertia
    return _stops(brake, held.pull, held.along, held.against, inertia)


@remembered()
def _stops(
    brake: HoldingBrake, pull: float, along: float, against: float, inertia: float
) -> EmergencyStops | None:
    if inertia <= 0.0:
        return None
    speed = np.array([0.0, along, -against])
    stop = brake_stop(brake.holding_torque, pull, inertia, speed, brake.engage_delay)
    return EmergencyStops(stop, inertia)


def brake_margins(
    requirements: Requirements,
    brake: HoldingBrake | None,
    motor: MotorModel,
    held: HeldLoad | None,
    temps: CycleTemperatures | None,
) -> list[Margin]:
    """Return the margins of a candidate's brake; none without one."""
    if brake is None:
        return []
    holding, drop, energy, warm = brake_criteria(requirements)
    rows = [_holding(holding, requirements.holding_factor, brake, held)]
    if requirements.largest_drop is not None:
        rows.append(_drop(drop, requirements.largest_drop, brake, motor, held))
    rows.append(_energy(energy, brake, motor, held))
    if brake.highest_temp is not None and brake.on_motor:
        rows.append(_temperature(warm, brake.highest_temp, motor, temps))
    return rows


@remembered()
def brake_criteria(requirements: Requirements) -> tuple[Criterion, ...]:
    """Return the criteria of holding, drop, energy and temperature."""
    targets = requirements.targets
    return (
        Criterion("brake_holding_torque", "Holding torque of the brake", Kind.TORQUE, targets.brake),
        Criterion("brake_drop", "Drop until the brake holds", Kind.ANGLE, targets.brake),
        Criterion("brake_energy", "Energy of an emergency stop", Kind.ENERGY, targets.brake),
        Criterion("brake_temperature", "Temperature of the brake", Kind.TEMPERATURE, targets.temperature),
    )


def _holding(criterion: Criterion, factor: float, brake: HoldingBrake, held: HeldLoad | None) -> Margin:
    if held is None:
        return not_checked(criterion, "the duty cycle is empty")
    if held.pull <= LEAST_PULL:
        return not_checked(
            criterion, "no torque at rest and none that drives the motor is known: nothing pulls at the brake"
        )
    needed = float(holding_brake_torque(held.pull, factor=max(factor, 1.0)))
    equation = sentence(
        f"factor × pull = {max(factor, 1.0):g} × {{pull}} = {{needed}}, friction left out; least torque of "
        "the brake {limit}: {used}",
        pull=(held.pull, Kind.TORQUE),
        needed=(needed, Kind.TORQUE),
        limit=(brake.holding_torque, Kind.TORQUE),
        used=(needed / brake.holding_torque, Kind.RATIO),
    )
    return checked(criterion, needed, brake.holding_torque, Place(held.where), equation)


def _never_stops(held: HeldLoad, brake: HoldingBrake) -> Sentence:
    return sentence(
        "the pull of {pull} is more than the {torque} of the brake: it never stops the load",
        pull=(held.pull, Kind.TORQUE),
        torque=(brake.holding_torque, Kind.TORQUE),
    )


def _drop(
    criterion: Criterion, limit: float, brake: HoldingBrake, motor: MotorModel, held: HeldLoad | None
) -> Margin:
    if held is None:
        return not_checked(criterion, "the duty cycle is empty")
    stops = emergency_stops(brake, held, motor)
    if stops is None:
        return not_checked(criterion, _NO_INERTIA)
    if np.isinf(stops.largest_angle):
        return missed(criterion, POWER_LOST, _never_stops(held, brake), "brake_holding_torque")
    angles = np.abs(stops.stop.angle) / held.ratio
    demand = float(angles.max())
    equation = sentence(
        "delay of {delay}, then the brake against {pull} on {inertia}: {still} from rest, {along} from "
        "{fast} with the pull, at the load's axis; of {limit}: {used}",
        delay=(brake.engage_delay, Kind.TIME),
        pull=(held.pull, Kind.TORQUE),
        inertia=(stops.inertia, Kind.INERTIA),
        still=(float(angles[0]), Kind.ANGLE),
        along=(float(angles[1]), Kind.ANGLE),
        fast=(held.along, Kind.SPEED),
        limit=(limit, Kind.ANGLE),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, POWER_LOST, equation)


def _energy(criterion: Criterion, brake: HoldingBrake, motor: MotorModel, held: HeldLoad | None) -> Margin:
    limit = brake.largest_stop_energy
    if held is None:
        return not_checked(criterion, "the duty cycle is empty")
    if limit is None:
        return not_checked(criterion, "missing: largest energy of a stop by the brake")
    stops = emergency_stops(brake, held, motor)
    if stops is None:
        return not_checked(criterion, _NO_INERTIA)
    demand = stops.largest_energy
    if np.isinf(demand):
        return missed(criterion, POWER_LOST, _never_stops(held, brake), "brake_holding_torque")
    worst = int(np.argmax(stops.stop.brake_energy))
    equation = sentence(
        "J ω² / 2 and the work of the pull until standstill: {inertia} from {speed}, {engaged} when the "
        "brake acts = {demand}; of {limit}: {used}",
        inertia=(stops.inertia, Kind.INERTIA),
        speed=((0.0, held.along, held.against)[worst], Kind.SPEED),
        engaged=(abs(float(stops.stop.engaged_speed[worst])), Kind.SPEED),
        demand=(demand, Kind.ENERGY),
        limit=(limit, Kind.ENERGY),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, POWER_LOST, equation)


def _temperature(
    criterion: Criterion, limit: float, motor: MotorModel, temps: CycleTemperatures | None
) -> Margin:
    if temps is None:
        return not_checked(criterion, "the temperatures of the cycle are not known")
    if isinstance(temps.state, RunAway):
        return missed(criterion, MOTOR, "the temperatures run away", "torque_reserve")
    network = temps.heat.network
    node = stator_side(network, motor.variant.kind)
    temp, ambient = float(temps.state.peak[node]), temps.heat.ambient
    equation = sentence(
        f"peak of the {network.nodes[node]} that carries the brake, coil heat included, above {{ambient}}: "
        "{temp} of {limit}; the coil itself is warmer",
        ambient=(ambient, Kind.TEMPERATURE),
        temp=(temp, Kind.TEMPERATURE),
        limit=(limit, Kind.TEMPERATURE),
    )
    return checked(criterion, temp, limit, MOTOR, equation, zero=ambient)
