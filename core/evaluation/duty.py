"""Step 1 and 2: the duty at the motor shaft, entered as segments or derived from load and motion."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.evaluation.no_duty import NoDuty
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from core.physics.transmission import DIRECT, ShaftTimeline, shaft_timeline
from core.physics.transmission import Transmission as Gear
from core.project.application import Application
from core.project.duty_cycle import Segment
from core.project.load import Load
from core.project.transmission import Transmission
from core.records import dataclass
from core.results import DutyTrace
from core.sentences import sentence
from core.units import Kind

if TYPE_CHECKING:
    from core.evaluation.load_side import LoadDuty

SMALLEST_JUMP = 1e-6  # [rad/s] speeds closer than this are the same


@dataclass(frozen=True, slots=True)
class DerivedDuty:
    """What load, motion and transmission give at the motor shaft."""

    load: LoadDuty
    gear: Gear
    timeline: ShaftTimeline
    trace: DutyTrace


def duty_of(application: Application, transmission: Transmission | None) -> DutyTrace | NoDuty:
    """Return the duty at the motor shaft before the rotor's own inertia, or what it lacks."""
    if application.duty_from == "segments":
        if not application.duty_cycle:
            return NoDuty("a duty cycle")
        return duty_trace(application.duty_cycle)
    if application.duty_from == "trace":
        return NoDuty("a motor, whose rotor takes part in a measured duty")
    derived = derived_duty(application.load, transmission)
    return derived if isinstance(derived, NoDuty) else derived.trace


@remembered()
def duty_trace(segments: tuple[Segment, ...]) -> DutyTrace:
    """Return a duty cycle of segments as corner points over time."""
    duration = np.array([segment.duration for segment in segments])
    edges = np.concatenate(([0.0], np.cumsum(duration)))
    return DutyTrace(
        time=np.repeat(edges, 2)[1:-1],
        shaft_torque=np.repeat([segment.shaft_torque for segment in segments], 2).astype(float),
        speed=np.array([speed for s in segments for speed in (s.speed_start, s.speed_end)], dtype=float),
        edges=edges,
        segment=np.repeat(np.arange(len(segments)), 2),
        names=tuple(segment.name for segment in segments),
    )


@remembered()
def derived_duty(load: Load | None, transmission: Transmission | None) -> DerivedDuty | NoDuty:
    """Return the duty that a load asks of the motor shaft through a transmission."""
    if load is None:
        return NoDuty("a load with its motion")
    from core.evaluation.load_side import load_duty  # only where there is a load: it costs start-up time

    duty = load_duty(load)
    if isinstance(duty, NoDuty):
        return duty
    gear = gear_of(transmission)
    motion = duty.motion
    timeline = shaft_timeline(motion.time, motion.speed, duty.terms.total, gear, motion.held)
    ends = np.cumsum(timeline.duration)
    segment = duty.phase[timeline.piece]
    last = np.append(np.flatnonzero(np.diff(segment)), segment.size - 1)
    trace = DutyTrace(
        time=np.column_stack((ends - timeline.duration, ends)).ravel(),
        shaft_torque=timeline.torque.ravel(),
        speed=timeline.speed.ravel(),
        edges=np.concatenate(([0.0], ends[last])),
        segment=np.repeat(segment, 2),
        names=duty.phase_names,
    )
    return DerivedDuty(duty, gear, timeline, trace)


def gear_of(transmission: Transmission | None) -> Gear:
    """Return a transmission as the equations take it; none is direct drive."""
    if transmission is None:
        return DIRECT
    return Gear(
        ratio=transmission.ratio,
        efficiency=transmission.efficiency,
        back_driving_efficiency=transmission.back_driving_efficiency,
        drag_torque=transmission.drag_torque,
        input_inertia=transmission.input_inertia,
        backlash=transmission.backlash,
        continuous_torque=transmission.continuous_torque,
        intermittent_torque=transmission.intermittent_torque,
        largest_input_speed=transmission.largest_input_speed,
    )


def duty_at_shaft(trace: DutyTrace | NoDuty, rotor_inertia: float) -> ShaftDuty | None:
    """Return the duty that the rotor sees, its own inertia included; None where there is no duty."""
    if isinstance(trace, NoDuty):
        return None
    speed = trace.speed.reshape(-1, 2)
    duration = trace.time[1::2] - trace.time[::2]
    torque = trace.shaft_torque.reshape(-1, 2)
    return shaft_duty(duration, torque, speed[:, 0], speed[:, 1], rotor_inertia, trace.segment[::2])


def as_segments(trace: DutyTrace) -> tuple[Segment, ...]:
    """Return a derived duty as segments that can be edited: one for each phase of the motion.

    A segment keeps the phase's duration, its end speeds and its RMS torque (with the sign of the mean), so
    the heat stays; a torque that changes within a phase becomes constant.
    """
    torque, duration = trace.shaft_torque.reshape(-1, 2), trace.time[1::2] - trace.time[::2]
    square = (torque[:, 0] ** 2 + torque[:, 0] * torque[:, 1] + torque[:, 1] ** 2) / 3.0
    first = np.flatnonzero(np.diff(trace.segment[::2], prepend=-1))
    length = np.add.reduceat(duration, first)
    rms = np.sqrt(np.add.reduceat(square * duration, first) / length)
    mean = np.add.reduceat(torque.mean(axis=1) * duration, first)
    last = np.append(first[1:], duration.size) - 1
    return tuple(
        Segment(
            duration=float(length[k]),
            shaft_torque=float(np.copysign(rms[k], mean[k])),
            speed_start=float(trace.speed[2 * first[k]]),
            speed_end=float(trace.speed[2 * last[k] + 1]),
            name=trace.names[k],
        )
        for k in range(first.size)
    )


def with_friction_range(load: Load) -> tuple[tuple[str, float], ...]:
    """Return the friction factors to study, by name; nothing where the friction is known."""
    spread = load.friction_range
    factors = (("low friction", spread.low), ("high friction", spread.high))
    return tuple((name, factor) for name, factor in factors if factor != 1.0)


def ghost_of(application: Application, transmission: Transmission | None) -> DutyTrace | None:
    """Return the duty that the load would give, where the segments were detached from it."""
    if application.duty_from != "segments" or application.load is None:
        return None
    derived = derived_duty(application.load, transmission)
    return None if isinstance(derived, NoDuty) else derived.trace


def load_findings(
    application: Application, transmission: Transmission | None, rotor_inertia: float, drag: float
) -> tuple[Finding, ...]:
    """Return what load and transmission have to say about a candidate."""
    if application.duty_from == "segments":
        return _unused_transmission(transmission, "duty is entered")
    if application.duty_from == "trace":
        at_shaft = application.trace is not None and application.trace.at == "motor shaft"
        return _unused_transmission(transmission, "trace was measured") if at_shaft else ()
    derived = derived_duty(application.load, transmission)
    if isinstance(derived, NoDuty):
        return ()
    from core.physics.gear_findings import gear_findings

    inertia = float(derived.load.terms.inertia.max())
    gear = gear_findings(derived.timeline, derived.gear, rotor_inertia, inertia, drag)
    if transmission is None:
        return derived.load.findings
    phase = derived.load.phase
    gear = tuple(
        one if one.segment is None else replace(one, segment=int(phase[one.segment])) for one in gear
    )
    return (*derived.load.findings, *gear)


def _unused_transmission(transmission: Transmission | None, entry: str) -> tuple[Finding, ...]:
    if transmission is None or transmission.ratio == 1.0:
        return ()
    text = (
        f"The {entry} at the motor shaft, so the transmission of this candidate changes nothing; "
        "its limits are not checked."
    )
    return (Finding("transmission_not_used", "warning", text, {"ratio": transmission.ratio}),)


def speed_jumps(trace: DutyTrace | NoDuty) -> tuple[Finding, ...]:
    """Return a finding for each place where the speed jumps from one part to the next."""
    if isinstance(trace, NoDuty):
        return ()
    ends, starts = trace.speed[1::2], trace.speed[::2]
    following: FloatArray = np.roll(starts, -1)
    findings = []
    for index in np.flatnonzero(np.abs(following - ends) > SMALLEST_JUMP):
        last = index + 1 == ends.size
        segment = int(trace.segment[2 * index])
        text = sentence(
            "The speed jumps from {end} to {start} "
            + ("where the cycle repeats" if last else f"after segment {segment + 1}")
            + ". A jump would need infinite torque; what it takes to get there is not counted.",
            end=(float(ends[index]), Kind.SPEED),
            start=(float(following[index]), Kind.SPEED),
        )
        values = {"speed_before_rad_s": float(ends[index]), "speed_after_rad_s": float(following[index])}
        findings.append(Finding("speed_jumps", "warning", text, values, segment))
    return tuple(findings)
