"""A measured trace as duty: every sample counts for torque, voltage and heat, drawings take a few."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.duty import gear_of
from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import standing_copper_factor, standing_phase_factor
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.numeric import FloatArray, IntArray
from core.physics.gear_findings import GearDemand, gear_demand
from core.physics.sampled_trace import (
    Trace,
    TraceIntervals,
    interval_acceleration,
    timeline_intervals,
    trace_intervals,
    trace_through,
)
from core.physics.shaft_duty import ShaftDuty
from core.physics.trace_duty import BinnedCycle, StandStill, interval_bins
from core.physics.trace_points import TracePoints, interval_load_points, trace_findings
from core.project.load import TraceSource
from core.project.transmission import Transmission
from core.records import dataclass
from core.results import DutyTrace, LoadPoints

DRAWN_BUCKETS = 1000  # each is drawn by its lowest and its highest value
MOST_LOAD_POINTS = 24


@dataclass(frozen=True, slots=True)
class TracedDuty:
    """A trace at the motor shaft, whole (`intervals`, `duty`) and as it is drawn (`drawn`).

    `gear` is what it asks of the transmission that it passed.
    """

    trace: Trace
    intervals: TraceIntervals
    duty: ShaftDuty
    drawn: DutyTrace
    gear: GearDemand | None


def traced_duty(
    trace: Trace, source: TraceSource, transmission: Transmission | None, motor: MotorModel
) -> TracedDuty:
    """Return a trace as duty at the shaft of a motor, the inertia of its rotor included where it must be."""
    return _traced(trace, source, transmission, _added_inertia(source, motor))


@remembered(4)  # of a million samples each takes 130 MB
def _traced(
    trace: Trace, source: TraceSource, transmission: Transmission | None, inertia: float
) -> TracedDuty:
    gear, acceleration = None, interval_acceleration(trace, source.smoothed_over)
    if source.at == "load":
        through = gear_of(transmission)
        timeline = trace_through(trace, through, source.smoothed_over)
        acceleration = acceleration[timeline.piece] * through.ratio
        # a trace is one segment
        gear = replace(gear_demand(timeline), peak_torque_piece=0, peak_speed_piece=0)
        parts = timeline_intervals(timeline, inertia, acceleration)
    else:
        parts = trace_intervals(trace, inertia, source.smoothed_over)
        acceleration = acceleration[parts.sample]
    duty = ShaftDuty(
        duration=parts.duration,
        torque_start=parts.torque_start,
        torque_end=parts.torque_end,
        speed_start=parts.speed_start,
        speed_end=parts.speed_end,
        segment=np.zeros(parts.duration.size, dtype=np.int64),
        start=parts.start,
    )
    return TracedDuty(trace, parts, duty, _drawn(parts, inertia * acceleration), gear)


@remembered(8)
def traced_cycle(traced: TracedDuty, motor: MotorModel, heat: HeatModel) -> BinnedCycle:
    """Return the heat of a trace in bins that no node of the network can tell from it (0.05 K)."""
    still = StandStill(
        phase_factor=float(standing_phase_factor(heat, motor, np.zeros(1))[0]),
        copper_factor=float(standing_copper_factor(motor, np.zeros(1))[0]),
    )
    copper = motor.copper_per_torque_squared
    bins = interval_bins(traced.intervals, heat.network, motor.drag, copper, still)
    return BinnedCycle(bins, heat.network, copper, still.phase_factor)


def traced_findings(traced: TracedDuty, source: TraceSource, motor: MotorModel) -> tuple[Finding, ...]:
    """Return what is doubtful about a trace that shall stand for a cycle."""
    return trace_findings(traced.trace, _added_inertia(source, motor))


def _added_inertia(source: TraceSource, motor: MotorModel) -> float:
    """Return what the rotor adds to the inertia of a trace: a torque measured at a load contains no rotor."""
    measured_with_rotor = source.contains_rotor and source.at == "motor shaft"
    return 0.0 if measured_with_rotor else motor.inertia


@remembered(8)
def traced_load_points(traced: TracedDuty, motor: MotorModel) -> LoadPoints:
    """Return the few load points that stand for a trace in the speed-torque plane."""
    points = _few_points(traced)
    zero = np.zeros(points.speed.size)
    return LoadPoints(
        speed=points.speed,
        other_speed=points.speed,
        torque=points.torque,
        direction=zero + 1.0,
        inertia_torque=zero,
        current=motor.current_of(points.torque, motor.hot_torque_constant),
        at_start=zero > 0.0,
        voltage_utilisation=None,
    )


@remembered(8)
def _few_points(traced: TracedDuty) -> TracePoints:
    return interval_load_points(traced.intervals, MOST_LOAD_POINTS)


def _drawn(parts: TraceIntervals, rotor_torque: FloatArray) -> DutyTrace:
    """Return lowest and highest torque and speed of equal buckets of intervals, without the rotor's part."""
    torque = 0.5 * (parts.torque_start + parts.torque_end) - rotor_torque
    speed = 0.5 * (parts.speed_start + parts.speed_end)
    edges = np.unique(np.linspace(0, parts.duration.size, DRAWN_BUCKETS + 1).astype(np.int64))[:-1]
    ends = np.append(parts.start[edges[1:]], parts.start[-1] + parts.duration[-1])
    whole = float(ends[-1])
    return DutyTrace(
        time=np.column_stack((parts.start[edges], ends)).ravel(),
        shaft_torque=_lowest_and_highest(torque, edges),
        speed=_lowest_and_highest(speed, edges),
        edges=np.array([0.0, whole]),
        segment=np.zeros(2 * edges.size, dtype=np.int64),
        names=("trace",),
    )


def _lowest_and_highest(value: FloatArray, edges: IntArray) -> FloatArray:
    low, high = np.minimum.reduceat(value, edges), np.maximum.reduceat(value, edges)
    # the way through each bucket goes on from the end of the one before
    rising = np.concatenate(([True], value[edges[1:]] >= value[edges[1:] - 1]))
    pairs = np.where(rising[:, None], np.column_stack((low, high)), np.column_stack((high, low)))
    drawn: FloatArray = pairs.ravel()
    return drawn
