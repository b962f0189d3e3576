"""Step 1: from mechanism and motion to torque and speed at the load's axis, by cause."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import numpy as np

from core.errors import AmpturnError
from core.evaluation.no_duty import NoDuty
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.numeric import IntArray
from core.physics import fluid_mechanisms, linear_mechanisms, rotary_mechanisms
from core.physics.load_friction import LinearFriction, RotaryFriction
from core.physics.load_terms import LoadTerms
from core.physics.mechanism_kinds import Mechanism as PhysicsMechanism
from core.physics.mechanism_kinds import with_friction
from core.physics.mechanisms import load_terms
from core.physics.motion import LoadMotion
from core.physics.motion_profiles import MotionProfile
from core.physics.moves import Dwell, Move, MoveBy, Ramp, Run, limit_findings, load_motion
from core.physics.moves import MotionLimits as PhysicsLimits
from core.physics.profile_shapes import (
    cycloid,
    harmonic,
    modified_sine,
    modified_trapezoid,
    parabola,
    polynomial_345,
    polynomial_4567,
    s_curve,
    trapezoid,
    triangle,
)
from core.physics.term_shares import term_shares
from core.project import mechanism as saved
from core.project.load import Load
from core.project.motion import DwellStep, MotionLimits, MotionStep, MoveStep, RampStep, RunStep
from core.records import dataclass
from core.results import LoadCourse

CAUSES = ("acceleration", "gravity", "friction", "process")

_PHYSICS: dict[type, Callable[..., PhysicsMechanism]] = {
    saved.RotaryTable: rotary_mechanisms.RotaryTable,
    saved.SwingArm: rotary_mechanisms.SwingArm,
    saved.DirectRotaryLoad: rotary_mechanisms.DirectRotaryLoad,
    saved.ScrewDrive: linear_mechanisms.ScrewDrive,
    saved.BeltDrive: linear_mechanisms.BeltDrive,
    saved.DrumWinch: linear_mechanisms.DrumWinch,
    saved.WheelDrive: linear_mechanisms.WheelDrive,
    saved.FanLoad: fluid_mechanisms.FanLoad,
    saved.DisplacementPump: fluid_mechanisms.DisplacementPump,
}
_PLAIN_PROFILES: dict[str, Callable[[], MotionProfile]] = {
    "triangle": triangle,
    "parabola": parabola,
    "cycloid": cycloid,
    "modified sine": modified_sine,
    "modified trapezoid": modified_trapezoid,
    "3-4-5 polynomial": polynomial_345,
    "4-5-6-7 polynomial": polynomial_4567,
    "sinusoid": harmonic,
}


@dataclass(frozen=True, slots=True)
class LoadDuty:
    """The load over one cycle at the mechanism's input axis.

    `payload` is the motion in the payload's own coordinate, on its own knots; `motion` and `terms` stand
    at the axis; `phase` numbers what a person calls a part of the cycle (accelerate, run,
    decelerate, hold), `phase_names` says it.
    """

    payload: LoadMotion
    motion: LoadMotion
    terms: LoadTerms
    phase: IntArray
    phase_names: tuple[str, ...]
    findings: tuple[Finding, ...]


@remembered()
def load_duty(load: Load) -> LoadDuty | NoDuty:
    """Return the load over one cycle, or why it cannot be put together."""
    if not load.motion:
        return NoDuty("a motion of the load")
    try:
        moves = _moves(load.motion)
        payload = load_motion(moves, load.start_position)
        mechanism = with_friction(physics_mechanism(load.mechanism), load.friction_factor)
        motion, terms, findings = load_terms(mechanism, payload)
    except AmpturnError as error:
        return NoDuty(f"a motion that fits together ({error})")
    limits = limit_findings(moves, _limits(load.limits), isinstance(load.mechanism, saved.LINEAR))
    phase, names = _phases(motion, load.motion)
    found = _in_segments((*limits, *findings), motion, phase)
    return LoadDuty(payload, motion, terms, phase, names, found)


def _in_segments(findings: tuple[Finding, ...], motion: LoadMotion, phase: IntArray) -> tuple[Finding, ...]:
    """Return findings about a step of the motion as findings about the first segment of that step."""
    return tuple(
        one
        if one.segment is None
        else replace(one, segment=int(phase[np.argmax(motion.move == one.segment)]))
        for one in findings
    )


def physics_mechanism(mechanism: saved.Mechanism) -> PhysicsMechanism:
    """Return the mechanism as the equations take it."""
    kind = _PHYSICS[type(mechanism)]
    known = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    values = {name: getattr(mechanism, name) for name in mechanism.__struct_fields__ if name in known}
    friction = mechanism.friction
    if isinstance(friction, saved.RotaryFriction):
        values["friction"] = RotaryFriction(friction.constant, friction.viscous, friction.breakaway)
    else:
        values["friction"] = LinearFriction(
            friction.coefficient, friction.constant, friction.viscous, friction.breakaway_ratio
        )
    return kind(**values)


def _moves(steps: tuple[MotionStep, ...]) -> list[Move]:
    """Return the steps as moves; ramps and runs start at the speed at which the step before ends."""
    # the cycle repeats, so the first step starts at the speed at which the last ramp leaves
    speed = next((s.end_speed if isinstance(s, RampStep) else 0.0 for s in reversed(steps)
                  if not isinstance(s, RunStep)), 0.0)  # fmt: skip
    moves: list[Move] = []
    for step in steps:
        if isinstance(step, MoveStep):
            moves.append(MoveBy(step.distance, step.duration, _profile(step)))
        elif isinstance(step, RampStep):
            moves.append(Ramp(speed, step.end_speed, duration=step.duration))
        elif isinstance(step, RunStep):
            moves.append(Run(speed, duration=step.duration))
        else:
            moves.append(Dwell(step.duration, step.held))
        speed = step.end_speed if isinstance(step, RampStep) else speed if isinstance(step, RunStep) else 0.0
    return moves


def _profile(step: MoveStep) -> MotionProfile:
    if step.profile == "trapezoid":
        return trapezoid(step.acceleration_share, step.deceleration_share)
    if step.profile == "S-curve":
        return s_curve(step.acceleration_share, step.jerk_share)
    return _PLAIN_PROFILES[step.profile]()


def _limits(limits: MotionLimits) -> PhysicsLimits:
    return PhysicsLimits(
        *(np.inf if value is None else value for value in (limits.speed, limits.acceleration, limits.jerk))
    )


def _phases(motion: LoadMotion, steps: tuple[MotionStep, ...]) -> tuple[IntArray, tuple[str, ...]]:
    """Return the phase of each piece and the names of the phases."""
    gain = np.sign(motion.acceleration * motion.direction).astype(int)
    key = np.column_stack((motion.move, gain))
    new = np.concatenate(([True], (key[1:] != key[:-1]).any(axis=1)))
    words = {1: "accelerate", 0: "run", -1: "decelerate"}
    names = []
    for piece in np.flatnonzero(new):
        step = steps[int(motion.move[piece])]
        if isinstance(step, DwellStep):
            names.append("hold" if step.held else "rest, released")
        else:
            names.append(words[int(gain[piece])])
    return np.cumsum(new) - 1, tuple(names)


@remembered()
def load_course(load: Load) -> LoadCourse | None:
    """Return the course of a load for drawing, None where its motion does not fit together."""
    duty = load_duty(load)
    if isinstance(duty, NoDuty):
        return None
    motion, terms, payload = duty.motion, duty.terms, duty.payload
    shares = term_shares(motion, terms)
    return LoadCourse(
        time=np.column_stack((motion.time[:-1], motion.time[1:])).ravel(),
        torque={cause: getattr(terms, cause).ravel() for cause in CAUSES},
        segment=np.repeat(duty.phase, 2),
        payload_time=payload.time,
        position=payload.position,
        speed=payload.speed,
        acceleration=payload.acceleration,
        rms_share=dict(shares.rms_share),
        linear=isinstance(load.mechanism, saved.LINEAR),
    )
