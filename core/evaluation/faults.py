"""What happens when something fails, candidate by candidate, in numbers: the table of faults.

It costs some milliseconds, so it is a deferred part of the result.
"""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.bus_state import LEAST_ENERGY_BACK, BusState
from core.evaluation.current_limits import weakening_of_magnets
from core.evaluation.feed import highest_voltage
from core.evaluation.free_speed import free_speed
from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.held_load import LEAST_PULL, HeldLoad, held_load
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import operating_rows
from core.evaluation.temperatures import CycleTemperatures
from core.fault_results import FaultRow, FaultTable
from core.numeric import FloatArray
from core.physics.body_inertia import kinetic_energy
from core.physics.brake import brake_stop
from core.physics.fault_facts import frozen_angle_swing, run_away, run_down
from core.physics.machine_constants import stall_torque
from core.physics.materials import magnet_flux_factor
from core.physics.operating_heat import resting_temperatures
from core.physics.shaft_duty import ShaftDuty
from core.physics.short_circuit import short_circuit, short_circuit_run_down, strongest_short_circuit
from core.physics.short_time import time_to_limit
from core.physics.temperatures import RunAway
from core.physics.voltage import available_voltage
from core.project.application import Application, Supply
from core.project.candidate import Candidate
from core.project.feedback import Sensorless
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.units import Kind, format_number

STOPPED = 0.05  # of the speed at the fault: what counts as stopped where a torque fades with the speed
TURN = 2.0 * math.pi  # [rad]


@dataclass(frozen=True, slots=True)
class FaultInput:
    """All that the faults of one candidate are computed from."""

    application: Application
    candidate: Candidate
    motor: MotorModel
    heat: HeatModel | NoHeatModel
    temps: CycleTemperatures | None
    duty: ShaftDuty
    bus: BusState | None


def faults_of(known: FaultInput) -> FaultTable | None:
    """Return the faults of a candidate; None where a load does not fit together."""
    held = held_load(known.application, known.candidate.transmission, known.duty)
    if held is None:
        return None
    supply = known.application.supply
    return fault_table(Fault(supply, known.candidate, known.motor, known.heat, known.temps, held, known.bus))


@dataclass(frozen=True, slots=True)
class Fault:
    """One candidate with what pulls at its shaft."""

    supply: Supply
    candidate: Candidate
    motor: MotorModel
    heat: HeatModel | NoHeatModel
    temps: CycleTemperatures | None
    held: HeldLoad
    bus: BusState | None

    @property
    def top(self) -> float:
        """Highest speed of the cycle. [rad/s]"""
        return self.held.top_speed

    @property
    def inertia(self) -> float:
        """Inertia at the motor shaft, without the load where that is not known. [kg m2]"""
        return self.motor.inertia + (self.held.inertia or 0.0)

    @property
    def largest_current(self) -> float | None:
        """Current at standstill: what the electronics give, or what the voltage drives. [A]"""
        motor, voltage = self.motor, highest_voltage(self.supply)
        known = [] if motor.current_limit is None else [motor.current_limit]
        if voltage is not None:
            drive = motor.drive
            available = available_voltage(motor.commutation, voltage, drive.largest_duty, drive.modulation)
            known.append(
                float(stall_torque(motor.constants, motor.commutation, available)) / motor.torque_constant
            )
        return min(known, default=None)

    @property
    def largest_torque(self) -> float | None:
        """Torque of that current at hot magnets, saturation included. [N m]"""
        current, motor = self.largest_current, self.motor
        return None if current is None else float(motor.torque_of(current, motor.hot_torque_constant))


def fault_table(fault: Fault) -> FaultTable:
    """Return the faults of a candidate that can happen to it and whose numbers are known."""
    rows = (
        _loss_of_load(fault),
        _lost_feedback(fault),
        _frozen_feedback(fault),
        _jam(fault),
        _supply_lost(fault),
        _tripped_while_braking(fault),
        _shorted(fault),
    )
    found = tuple(row for row in rows if row is not None)
    return FaultTable(found, fault.inertia, fault.held.inertia is not None)


def _loss_of_load(fault: Fault) -> FaultRow | None:
    reach, limit = free_speed(fault.supply, fault.motor), fault.motor.variant.largest_speed
    if reach is None:
        return None
    energy = kinetic_energy(fault.motor.inertia, reach)
    values = {"speed_rad_s": reach, "energy_J": energy}
    beyond = "; its mechanical limit is not known"
    if limit is not None:
        values["limit_rad_s"] = limit
        beyond = f", {'more' if reach > limit else 'not more'} than its mechanical limit of {{limit}}"
    text = sentence(
        f"Without its load the motor can reach {{reach}} at hot magnets and the highest voltage{beyond}.",
        reach=(reach, Kind.SPEED),
        limit=(limit or 0.0, Kind.SPEED),
    )
    measure = "none for the motor itself; a broken belt or coupling must be noticed all the same"
    if limit is None or reach > limit:
        measure = "a limit of speed or voltage that does not depend on the control of the speed"
    return FaultRow("loss_of_load", "The load comes off", text, measure, energy, values)


def _lost_feedback(fault: Fault) -> FaultRow | None:
    """Return how soon a drive with a wrong sign of its feedback is at full speed."""
    if isinstance(fault.candidate.feedback, Sensorless):
        return None
    reach, torque = free_speed(fault.supply, fault.motor), fault.largest_torque
    if reach is None or torque is None or fault.inertia <= 0.0:
        return None
    run = run_away(reach, torque + fault.held.pull, fault.inertia)
    wrong = 0.5 * math.pi / fault.motor.constants.pole_pairs
    text = sentence(
        "With the speed signal lost or its sign swapped, the control asks for full torque: {torque} brings "
        f"the drive to {{reach}} in {{time}}{_whole(fault)}, after {format_number(run.turns)} turns at the "
        "soonest. An angle that is wrong by more than {wrong} of the shaft turns the torque round.",
        torque=(torque, Kind.TORQUE),
        reach=(reach, Kind.SPEED),
        time=(run.time, Kind.TIME),
        wrong=(wrong, Kind.ANGLE),
    )
    values = {"speed_rad_s": reach, "time_s": run.time, "turns": run.turns, "wrong_angle_rad": wrong}
    measure = (
        "check that power has the sign that was asked for (braking asked for and power driving is a fault), "
        "compare signals, limit the speed independently, stop safely without the signal"
    )
    return FaultRow("lost_feedback", "The speed signal is lost", text, measure, run.energy, values)


def _frozen_feedback(fault: Fault) -> FaultRow | None:
    torque = fault.largest_torque
    if torque is None or fault.inertia <= 0.0 or isinstance(fault.candidate.feedback, Sensorless):
        return None
    angle, speed = frozen_angle_swing(torque, fault.motor.constants.pole_pairs, fault.inertia)
    text = sentence(
        "With the angle frozen the field stands still: the shaft swings by up to {angle} and at up to {speed}"
        f"{_whole(fault)}, then stands as in a jam with the full current in the winding.",
        angle=(angle, Kind.ANGLE),
        speed=(speed, Kind.SPEED),
    )
    values = {"swing_rad": angle, "speed_rad_s": speed}
    measure = "trip where current flows and the angle does not change; until then the limits of a jam hold"
    energy = kinetic_energy(fault.inertia, speed)
    return FaultRow("frozen_feedback", "The angle signal freezes", text, measure, energy, values)


def _jam(fault: Fault) -> FaultRow | None:
    current, heat, motor = fault.largest_current, fault.heat, fault.motor
    if current is None or isinstance(heat, NoHeatModel) or not np.isfinite(heat.limit).any():
        return None
    state = None if fault.temps is None else fault.temps.state
    warm = None if state is None or isinstance(state, RunAway) else state.mean
    cold_time = _time_to_limit(heat, motor, current, resting_temperatures(heat.network))
    warm_time = None if warm is None else _time_to_limit(heat, motor, current, warm)
    values = {"current_A": current, "time_from_cold_s": cold_time}
    from_warm = ""
    if warm_time is not None:
        values["time_from_warm_s"] = warm_time
        from_warm = " and after {warm} from the mean temperatures of the cycle"
    passed = "no limit is passed"
    if math.isfinite(cold_time):
        passed = f"the first limit is passed after {{cold}} from cold{from_warm}"
    text = sentence(
        f"Jammed with {{current}} in the winding, {passed}.",
        current=(current, Kind.CURRENT),
        cold=(cold_time if math.isfinite(cold_time) else 0.0, Kind.TIME),
        warm=(warm_time if warm_time is not None and math.isfinite(warm_time) else 0.0, Kind.TIME),
    )
    measure = "none" if math.isinf(cold_time) else "switch off or lower the current before that time"
    return FaultRow("jam", "The rotor is jammed", text, measure, None, values)


def _time_to_limit(heat: HeatModel, motor: MotorModel, current: float, start: FloatArray) -> float:
    """Return the time to the first limit under a current at the worst angle of rest. [s]

    The rows at speed zero count the hottest phase; the torque is that of the linear machine at the magnets'
    temperature of the start, since the copper loss follows the current.
    """
    c = motor.constants
    flux = magnet_flux_factor(
        float(start[heat.network.magnets]), c.magnet_temp_coefficient, c.magnet_ref_temp
    )
    torque = np.array([current * motor.torque_constant * float(flux)])
    return float(time_to_limit(operating_rows(heat, motor, np.zeros(1)), torque, start)[0])


def _supply_lost(fault: Fault) -> FaultRow | None:
    if fault.inertia <= 0.0 or fault.top <= 0.0:
        return None
    held, energy = fault.held, kinetic_energy(fault.inertia, fault.top)
    if fault.candidate.brake is not None:
        return _braked(fault, energy)
    if held.pull > max(held.friction + fault.motor.drag.constant, LEAST_PULL) and not held.self_locking:
        return _falls(fault, energy)
    time, turns, text = _coasts(fault)
    values = {"speed_rad_s": fault.top, "time_s": time, "turns": turns}
    measure = "where running on can hurt: a brake that closes without power, a guard until it stands"
    return FaultRow("supply_lost", "The supply fails in motion", text, measure, energy, values)


def _coasts(fault: Fault) -> tuple[float, float, Sentence]:
    """Return time [s], turns and words of a run-down from the highest speed."""
    time, angle = run_down(fault.motor.drag, fault.held.friction, fault.inertia, fault.top)
    turns = angle / TURN
    words = f"stands after {{time}} and {format_number(turns)} turns" if math.isfinite(time) else "creeps on"
    text = sentence(
        f"From {{top}} the drive runs on against friction alone and {words}{_whole(fault)}.",
        top=(fault.top, Kind.SPEED),
        time=(time if math.isfinite(time) else 0.0, Kind.TIME),
    )
    return time, turns, text


def _falls(fault: Fault, energy: float) -> FaultRow:
    held = fault.held
    net = held.pull - held.friction - fault.motor.drag.constant
    acceleration = net / fault.inertia
    known = held.inertia is not None
    pulls = (
        "The load pulls with {pull} at the shaft, more than friction holds: it falls."
        if known
        else "If the {pull} that the duty holds are the pull of a load, it falls."
    )
    text = sentence(
        f"{pulls} One second after the loss from rest it moves the motor at {{speed}}{_whole(fault)}, and "
        "faster from then on.",
        pull=(held.pull, Kind.TORQUE),
        speed=(acceleration, Kind.SPEED),
    )
    values = {"pull_Nm": held.pull, "speed_after_1s_rad_s": acceleration}
    measure = "a brake or lock that holds without power; shorting the winding slows the fall, but never holds"
    return FaultRow("supply_lost", "The supply fails in motion", text, measure, energy, values)


def _braked(fault: Fault, energy: float) -> FaultRow:
    brake, held = fault.candidate.brake, fault.held
    assert brake is not None  # `_supply_lost` asks for it
    speeds = np.array([held.along, -held.against])
    stop = brake_stop(brake.holding_torque, held.pull, fault.inertia, speeds, brake.engage_delay)
    turns = float(np.abs(stop.angle).max()) / TURN
    time = brake.engage_delay + float(stop.brake_time.max())
    if math.isfinite(turns):
        words = f"stops it after {{time}} and {format_number(turns)} turns"
    else:
        words = "is weaker than the pull of the load and never stops it"
    text = sentence(
        f"From {{top}} the brake closes and {words}{_whole(fault)}.",
        top=(fault.top, Kind.SPEED),
        time=(time if math.isfinite(time) else 0.0, Kind.TIME),
    )
    values = {"speed_rad_s": fault.top, "time_s": time, "turns": turns}
    measure = "feed the coil from the same supply, so that it closes with it; test the brake regularly"
    return FaultRow("supply_lost", "The supply fails in motion", text, measure, energy, values)


def _tripped_while_braking(fault: Fault) -> FaultRow | None:
    """Return what a trip by over-voltage does, where braking returns energy that nothing takes."""
    bus = fault.bus
    if bus is None or bus.returned < LEAST_ENERGY_BACK or fault.inertia <= 0.0 or fault.top <= 0.0:
        return None
    if fault.supply.takes_energy_back == "yes":
        return None
    time, turns, coasting = _coasts(fault)
    rise = "" if bus.rating is None else f", at the {bus.rating_of},"
    text = sentence(
        f"Braking raises the bus; tripped by it{rise} the electronics let go and the axis coasts: "
        + coasting.template[0].lower()
        + coasting.template[1:],
        **{name: (value, kind) for name, value, kind in coasting.values},
    )
    values = {"returned_J": bus.returned, "time_s": time, "turns": turns}
    measure = "a clamp or capacitor so that it does not trip; a brake or room to run on if it does"
    energy = kinetic_energy(fault.inertia, fault.top)
    return FaultRow("trip_while_braking", "The electronics trip while braking", text, measure, energy, values)


def _shorted(fault: Fault) -> FaultRow | None:
    """Return what a shorted winding does: current against the magnets, braking torque, run-down."""
    motor, top = fault.motor, fault.top
    if top <= 0.0 or fault.inertia <= 0.0:
        return None
    short = short_circuit(motor.constants, top, motor.cold_temp, motor.hot_magnet_temp)
    strongest = _strongest_below(motor, top)
    time, angle = short_circuit_run_down(
        motor.constants, fault.inertia, top, STOPPED * top, motor.cold_temp, motor.hot_magnet_temp
    )
    first = float(short.first_peak)
    values = {
        "current_A": float(short.current),
        "first_peak_A": first,
        "torque_Nm": float(short.torque),
        "strongest_torque_Nm": strongest,
        "time_s": time,
        "turns": angle / TURN,
    }
    limit = weakening_of_magnets(motor.winding, motor.cold_temp, motor.hot_magnet_temp)
    magnets = "; what the magnets stand is not known"
    if limit is not None:
        values["demagnetisation_A"] = limit
        magnets = f", {'more' if first > limit else 'less'} than the {{limit}} that weakens the magnets"
    text = sentence(
        f"Shorted at {{top}} the winding carries {{current}}, for a moment {{first}}{magnets}. It brakes "
        f"with {{torque}}, at most {{strongest}} on the way down, and in {{time}} to a twentieth"
        f"{_whole(fault)}.",
        top=(top, Kind.SPEED),
        current=(values["current_A"], Kind.CURRENT),
        first=(first, Kind.CURRENT),
        limit=(limit or 0.0, Kind.CURRENT),
        torque=(values["torque_Nm"], Kind.TORQUE),
        strongest=(strongest, Kind.TORQUE),
        time=(time, Kind.TIME),
    )
    measure = "check electronics, gear and magnets against that current and torque before it is used to stop"
    if limit is not None and first > limit:
        measure = "never short this winding at that speed without resistance in the leads: the magnets suffer"
    energy = kinetic_energy(fault.inertia, top)
    return FaultRow("shorted_winding", "The winding is shorted", text, measure, energy, values)


def _strongest_below(motor: MotorModel, top: float) -> float:
    """Return the largest braking torque of the shorted winding up to a speed. [N m]"""
    temps = motor.cold_temp, motor.hot_magnet_temp
    at, strongest = strongest_short_circuit(motor.constants, *temps)
    return float(strongest if at <= top else short_circuit(motor.constants, top, *temps).torque)


def _whole(fault: Fault) -> str:
    return "" if fault.held.inertia is not None else " with the inertia of the rotor alone"
