"""All about the supply that is not a margin: too much for a drag, so it is computed when it is looked at."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.braking_energy import energy_split
from core.evaluation.bus_state import BusState
from core.evaluation.losses import mean_square_current
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints, lowest_voltage
from core.evaluation.supply_course import SupplyState, hot_course, mean_course
from core.evaluation.supply_statements import statements
from core.evaluation.temperatures import CycleTemperatures
from core.evaluation.wires import source_resistance
from core.physics.bus import battery_use, bus_rise, voltage_course
from core.physics.power_course import PowerCourse
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application, Supply
from core.project.drive import Drive
from core.project.transmission import Transmission
from core.supply_results import (
    BatteryRun,
    BrakingCourse,
    BusRise,
    ClampLoad,
    EnergySplit,
    FeedCurrents,
    SupplyDetail,
    VoltageLine,
    VoltageTrace,
)

# Points per piece of the course of the voltage, and pieces from which its ends must do, as of a trace.
_POINTS, _FEW_PIECES = 9, 2_000


def supply_detail(
    application: Application,
    transmission: Transmission | None,
    motor: MotorModel,
    duty: ShaftDuty,
    points: OperatingPoints,
    temps: CycleTemperatures | None,
    state: SupplyState,
    bus: BusState,
) -> SupplyDetail:
    """Return braking, bus, clamp, currents, battery, energies and the course of the voltage."""
    supply, events = application.supply, state.events
    split = energy_split(application, transmission, motor, duty, events)
    rise = _rise(bus, split)
    lowest, resistance = lowest_voltage(supply), source_resistance(supply)
    at_lowest = at_highest = None
    if lowest is not None:
        at_lowest = _trace(hot_course(duty, motor), lowest, resistance, supply, bus)
    if bus.start is not None:
        at_highest = _trace(state.returning, bus.start, resistance, supply, bus)
    return SupplyDetail(
        braking=BrakingCourse(events.start, events.duration, events.energy, events.peak_power),
        bus=rise,
        clamp=_clamp(supply, bus),
        currents=_currents(state, duty, motor, points),
        battery=_battery(supply, duty, motor, temps),
        split=split,
        at_lowest=at_lowest,
        at_highest=at_highest,
        lines=_lines(supply, motor.drive),
        statements=statements(supply, rise, split),
    )


def _rise(bus: BusState, split: EnergySplit | None) -> BusRise:
    """Return the rise of the bus, with the figures of a calculation without losses beside it."""
    released = None if split is None or split.released <= 0.0 else split.released
    by_hand = None
    if released is not None and bus.start is not None and bus.capacitance > 0.0:
        by_hand = float(bus_rise(bus.start, released, bus.capacitance))
    return BusRise(
        start_voltage=bus.start,
        capacitance=bus.capacitance,
        energy=bus.surplus,
        voltage=bus.free,
        held_voltage=bus.held,
        rating=bus.rating,
        rating_of=bus.rating_of,
        required_capacitance=bus.needed_capacitance(bus.surplus),
        lossless_energy=released,
        lossless_voltage=by_hand,
        lossless_capacitance=None if released is None else bus.needed_capacitance(released),
    )


def _clamp(supply: Supply, bus: BusState) -> ClampLoad | None:
    voltage, needed = supply.clamp_voltage or bus.rating, bus.resistor
    if voltage is None or needed is None:
        return None
    return ClampLoad(
        voltage=voltage,
        largest_resistance=needed.largest_resistance,
        peak_power=needed.peak_power,
        mean_power=needed.mean_power,
        largest_energy=needed.largest_energy,
        given_resistance=supply.clamp_resistance,
        given_power=supply.clamp_power,
    )


def _currents(
    state: SupplyState, duty: ShaftDuty, motor: MotorModel, points: OperatingPoints
) -> FeedCurrents:
    return FeedCurrents(
        supply_mean=state.demand.mean_current,
        supply_rms=state.rms_current,
        supply_peak=state.demand.peak_current,
        motor_rms=math.sqrt(mean_square_current(duty, motor)),
        motor_peak=float(points.current.max()),
    )


def _battery(
    supply: Supply, duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None
) -> BatteryRun | None:
    if supply.battery_energy is None:
        return None
    accepted = 1.0 if supply.takes_energy_back == "yes" else 0.0
    use = battery_use(mean_course(duty, motor, temps), supply.battery_energy, accepted)
    return BatteryRun(use.drawn, use.returned, use.net, use.run_time)


def _trace(
    course: PowerCourse, source: float, resistance: float, supply: Supply, bus: BusState
) -> VoltageTrace:
    """Return the voltage at the electronics; energy stays on the bus unless the supply is known to take it.

    Where it stays and the capacitance is not known the voltage cannot be told. A clamp cuts it off, while
    what the resistor has burnt is still counted as on the bus: the voltage falls sooner than shown.
    """
    count = _POINTS if course.duration.size <= _FEW_PIECES else 2
    sinks = supply.takes_energy_back == "yes"
    capacitance = None if sinks or bus.capacitance == 0.0 else bus.capacitance
    seen = voltage_course(course, source, resistance, capacitance, count)
    voltage = np.where(seen.reachable, seen.voltage, np.nan)
    if not sinks and capacitance is None:
        voltage[course.returns] = np.nan
    if not sinks and bus.held is not None:
        voltage = np.minimum(voltage, bus.held)
    time, voltage = seen.time.ravel(), voltage.ravel()
    for array in (time, voltage):
        array.flags.writeable = False
    return VoltageTrace(time, voltage)


def _lines(supply: Supply, drive: Drive) -> tuple[VoltageLine, ...]:
    """Return the voltages that bound the course, lowest first."""
    named = (
        ("lowest of the supply", lowest_voltage(supply)),
        ("highest of the supply", supply.highest_voltage),
        ("lowest supply of the electronics", drive.lowest_supply),
        ("highest supply of the electronics", drive.highest_supply),
        ("clamp", supply.clamp_voltage),
        ("trip", drive.trip_voltage),
    )
    lines = [VoltageLine(name, voltage) for name, voltage in named if voltage is not None]
    return tuple(sorted(lines, key=lambda line: line.voltage))
