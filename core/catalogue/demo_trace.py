"""A sample whose duty is a measured trace: the greenhouse cart, as a hub with a torque sensor would see it.

The trace is as invented as the cart. Its torque follows from the cart's mass, slope and rolling resistance
(`demo_loads.cart`), and from what a calculation leaves out: a path that is softer in places, joints
between its slabs, and the ripple of speed that comes with them. The waves are sums of sines over the way,
so that the same recipe gives the same bytes. `demo_recipe` writes trace and project side by side.
"""

from __future__ import annotations

import hashlib
import math

import numpy as np
from msgspec.structs import replace

from core.catalogue.demo_loads import cart
from core.catalogue.parts_file import PartsFile
from core.numeric import FloatArray
from core.project.load import TraceColumnChoice, TraceSource
from core.project.mechanism import WheelDrive
from core.project.project import Project
from core.project.project_file import encode_project

MEASURED_CART = "greenhouse_cart_measured.json"
CART_TRACE = "greenhouse_cart_trace.csv"

STEP = 0.04  # [s]
SPEED = 0.8  # of the cart [m/s]
RAMP_UP, RUN, RAMP_DOWN, REST = 2.0, 18.0, 1.5, 25.0  # there, and in the same times back [s]
SLAB = 2.4  # length of a slab of the path [m]
GRAVITY = 9.81  # rounded, as the load equations take it [m/s2]

_NOTES = (
    "Invented example: the greenhouse cart with a torque sensor and an encoder in the hub of one driven "
    "wheel, one trip up the path and back. What was calculated is kept: take the duty from load and motion "
    "to compare. The measured torque also has the soft places of the path and the joints between its slabs. "
    "It was measured at the wheel, so it passes the gear of each candidate, and what gear and rotor take to "
    "speed up is added."
)


def trace_samples(parts: PartsFile) -> dict[str, bytes]:
    """Return the content of the trace and of the project that uses it, by file name."""
    trace = cart_trace(parts)
    return {CART_TRACE: trace, MEASURED_CART: encode_project(measured_cart(parts, trace))}


def measured_cart(parts: PartsFile, trace: bytes) -> Project:
    """Return the cart with its trace as duty."""
    source = TraceSource(
        file=CART_TRACE,
        sha256=hashlib.sha256(trace).hexdigest(),
        time=TraceColumnChoice(number=0, unit="s", heading="time [s]"),
        torque=TraceColumnChoice(number=1, unit="N·m", heading="torque [N·m]"),
        speed=TraceColumnChoice(number=2, unit="rpm", heading="speed [rpm]"),
        at="load",
    )
    project = cart(parts)
    application = replace(
        project.application,
        title="Greenhouse cart, measured",
        notes=_NOTES,
        duty_from="trace",
        trace=source,
    )
    return replace(project, application=application)


def cart_trace(parts: PartsFile) -> bytes:
    """Return the trace file: time, torque at the wheel and speed of the wheel."""
    load = cart(parts).application.load
    assert load is not None
    wheels = load.mechanism
    assert isinstance(wheels, WheelDrive)
    rows_after_first = round(2.0 * (RAMP_UP + RUN + RAMP_DOWN + REST) / STEP)
    time: FloatArray = np.arange(rows_after_first + 1, dtype=np.float64) * STEP
    speed = _cart_speed(time)
    way = np.concatenate(([0.0], np.cumsum(0.5 * (speed[:-1] + speed[1:]) * STEP)))
    speed = speed * (1.0 + 0.01 * _waves(way, 1.7))
    acceleration = np.gradient(speed, STEP)
    share = 1.0 / wheels.driven_wheels  # of the cart that one driven wheel moves
    inertia = share * (wheels.mass * wheels.wheel_radius**2 + wheels.wheels * wheels.wheel_inertia)
    weight = share * wheels.mass * GRAVITY * wheels.wheel_radius
    soft = 1.0 + 0.25 * _waves(way, 0.6) + 0.35 * _joints(way)
    rolling = wheels.friction.coefficient * weight * math.cos(wheels.slope) * soft
    climbing = weight * math.sin(wheels.slope)
    moving = speed != 0.0
    torque = (
        inertia * acceleration / wheels.wheel_radius
        + np.where(moving, climbing, 0.0)  # at rest the parking brake carries it
        + rolling * np.sign(speed)
    )
    rpm = speed / wheels.wheel_radius * 30.0 / math.pi
    rows = (f"{t:.2f},{m:.3f},{n:.2f}" for t, m, n in zip(time, torque + 0.0, rpm + 0.0, strict=True))
    return "\n".join(("time [s],torque [N·m],speed [rpm]", *rows, "")).replace("-0.000,", "0.000,").encode()


def _cart_speed(time: FloatArray) -> FloatArray:
    """Return the speed of the cart on one trip up and back, the ramps rounded at their ends."""
    half = RAMP_UP + RUN + RAMP_DOWN + REST
    within = np.mod(time, half)
    up = np.clip(within / RAMP_UP, 0.0, 1.0)
    down = np.clip((RAMP_UP + RUN + RAMP_DOWN - within) / RAMP_DOWN, 0.0, 1.0)
    share = np.minimum(up, down)
    direction = np.where(time < half, 1.0, -1.0)
    speed: FloatArray = SPEED * direction * share * share * (3.0 - 2.0 * share)
    return speed


def _waves(way: FloatArray, wave: float) -> FloatArray:
    """Return unevenness between -1 and 1 that belongs to the place on the path, not to the time."""
    angle = 2.0 * np.pi * way / wave
    sum_of_three: FloatArray = (
        np.sin(angle) + 0.7 * np.sin(0.37 * angle + 1.0) + 0.5 * np.sin(2.13 * angle + 2.0)
    ) / 2.2
    return sum_of_three


def _joints(way: FloatArray) -> FloatArray:
    """Return a bump of 1 at each joint between two slabs, about 8 cm wide."""
    from_joint = np.mod(way + 0.5 * SLAB, SLAB) - 0.5 * SLAB
    bumps: FloatArray = np.exp(-((from_joint / 0.04) ** 2))
    return bumps
