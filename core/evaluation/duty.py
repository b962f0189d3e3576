"""Step 1 and 2: the duty cycle as arrays, and as the motor shaft sees it."""

from __future__ import annotations

import numpy as np

from core.findings import Finding
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from core.project.duty_cycle import Segment
from core.results import DutyTrace
from core.sentences import sentence
from core.units import Kind

SMALLEST_JUMP = 1e-6  # [rad/s] speeds closer than this are the same


def duty_trace(segments: tuple[Segment, ...]) -> DutyTrace:
    """Return the duty cycle as corner points over time."""
    duration = np.array([segment.duration for segment in segments])
    edges = np.concatenate(([0.0], np.cumsum(duration)))
    return DutyTrace(
        time=np.repeat(edges, 2)[1:-1],
        shaft_torque=np.repeat([segment.shaft_torque for segment in segments], 2).astype(float),
        speed=np.array([speed for s in segments for speed in (s.speed_start, s.speed_end)], dtype=float),
        edges=edges,
        segment=np.repeat(np.arange(len(segments)), 2),
    )


def duty_at_shaft(trace: DutyTrace, rotor_inertia: float) -> ShaftDuty | None:
    """Return the duty that the rotor sees; None where there is no segment yet."""
    if trace.time.size == 0:
        return None
    return shaft_duty(
        np.diff(trace.edges), trace.shaft_torque[::2], trace.speed[::2], trace.speed[1::2], rotor_inertia
    )


def speed_jumps(trace: DutyTrace) -> tuple[Finding, ...]:
    """Return a finding for each place where the speed jumps from one segment to the next."""
    if trace.time.size == 0:
        return ()
    ends, starts = trace.speed[1::2], trace.speed[::2]
    following = np.roll(starts, -1)
    findings = []
    for index in np.flatnonzero(np.abs(following - ends) > SMALLEST_JUMP):
        last = index + 1 == ends.size
        text = sentence(
            "The speed jumps from {end} to {start} "
            + ("where the cycle repeats" if last else f"after segment {index + 1}")
            + ". A jump would need infinite torque; what it takes to get there is not counted.",
            end=(float(ends[index]), Kind.SPEED),
            start=(float(following[index]), Kind.SPEED),
        )
        values = {"speed_before_rad_s": float(ends[index]), "speed_after_rad_s": float(following[index])}
        findings.append(Finding("speed_jumps", "warning", text, values, int(index)))
    return tuple(findings)
