"""A generated catalogue for the benchmark of the shortlist: invented, of any size, never written to a file.

The frame of 47 mm with the figures of a data sheet is scaled by the torque it gives: `t` times the torque is
made by t^0.5 times the flux of a winding with t^-0.5 times its resistance, which asks for the same copper
loss over t^0.5 and so keeps temperatures alike with thermal resistances that fall with t^-0.5; mass and
length grow with t^0.7, inertia with t^1.5, time constants with t^0.3 and t^0.4, the largest speed falls
with t^-0.3. There is a frame for every thousand candidates; they span 0.1 to 10 times the torque, evenly in
its logarithm. Each has two variants and five windings; every one is combined with ten drives, four kinds of
feedback or none, and a brake or none.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.project.application import Application, Requirements, Site, Supply, Surroundings
from core.project.candidate import Candidate, Drive
from core.project.duty_cycle import Segment
from core.project.motor import Motor, Variant, Winding
from tests.core.projects import SHEET_FIGURES, sheet_motor

PER_FRAME = 1000  # 2 variants x 5 windings x 10 drives x 5 kinds of feedback x 2 brakes


def frame(torque: float) -> Motor:
    """Return a frame of `torque` times the torque of the frame of 47 mm."""
    base = sheet_motor()

    def variant(one: Variant) -> Variant:
        sheet = SHEET_FIGURES[one.kind]
        assert sheet.continuous_point is not None  # the figures have one
        heat = replace(
            sheet,
            winding_housing_resistance=sheet.winding_housing_resistance * torque**-0.5,
            housing_ambient_resistance=sheet.housing_ambient_resistance * torque**-0.5,
            winding_time_constant=sheet.winding_time_constant * torque**0.3,
            motor_time_constant=sheet.motor_time_constant * torque**0.4,
            continuous_point=replace(
                sheet.continuous_point, shaft_torque=sheet.continuous_point.shaft_torque * torque
            ),
        )
        scale = torque**0.7
        return replace(
            one,
            heat=heat,
            mass=None if one.mass is None else one.mass * scale,
            length=None if one.length is None else one.length * torque**0.2,
            diameter=None if one.diameter is None else one.diameter * torque**0.25,
            rotor_inertia=one.rotor_inertia * torque**1.5,
            largest_speed=None if one.largest_speed is None else one.largest_speed * torque**-0.3,
        )

    def winding(one: Winding) -> Winding:
        constants = {
            name: replace(getattr(one, name), value=getattr(one, name).value * torque**0.5)
            for name in ("torque_constant", "back_emf_constant")
            if getattr(one, name) is not None
        }
        return replace(
            one,
            speed_constant=None,
            resistance=replace(one.resistance, value=one.resistance.value * torque**-0.5),
            peak_current=None if one.peak_current is None else one.peak_current * torque**0.5,
            demagnetisation_current=None,
            second_demagnetisation_current=None,
            linear_current=None,  # a data sheet seldom tells where the iron saturates
            **constants,
        )

    return replace(
        base,
        name=f"frame times {torque:.4g}",
        variants=tuple(variant(one) for one in base.variants),
        windings=tuple(winding(one) for one in base.windings),
    )


def drives() -> list[Drive]:
    """Return ten drives beside the motor, made of three of the demo by their current."""
    demo = load_demo_parts().drives
    made = []
    for number, current in enumerate((1.5, 3.0, 5.0, 8.0, 12.0, 16.0, 20.0, 25.0, 30.0, 40.0)):
        kind = replace(demo[(0, 3, 4)[number % 3]], field_weakening=False)
        made.append(
            replace(
                kind,
                name=f"{kind.name}, made for {current:g} A",
                continuous_current=current,
                peak_current=2.5 * current,
                on_resistance=0.08 / current,
                highest_supply=60.0,
                trip_voltage=66.0,
            )
        )
    return made


def candidates(count: int) -> Iterator[Candidate]:
    """Yield so many candidates of the catalogue, frame by frame."""
    parts, electronics = load_demo_parts(), drives()
    feedbacks = (None, *parts.feedback[:4])
    brakes = (None, parts.brakes[0])
    frames = -(-count // PER_FRAME)
    number = 0
    for place in range(frames):
        motor = frame(10.0 ** (2.0 * (place + 0.5) / frames - 1.0))
        choices = itertools.product(motor.variants, motor.windings, electronics, feedbacks, brakes)
        for variant, winding, drive, feedback, brake in itertools.islice(choices, count - number):
            yield Candidate(
                name=f"candidate {number}",
                motor=motor,
                winding=winding.name,
                variant=variant.kind,
                commutation="six-step" if drive.commutations == ("six-step",) else "sinusoidal",
                drive=drive,
                feedback=feedback,
                brake=brake,
            )
            number += 1


def application(segments: int) -> Application:
    """Return a duty of so many segments that the middle of the catalogue meets: moves, rests, steady runs."""
    rng = np.random.default_rng(1)
    speeds = np.where(rng.random(segments) < 0.3, 0.0, rng.uniform(-0.5, 1.0, segments) * 250.0)
    duty = tuple(
        Segment(
            duration=float(rng.uniform(0.1, 3.0)),
            shaft_torque=float(rng.uniform(-0.4, 1.0) * 0.12),
            speed_start=float(speeds[k]),
            speed_end=float(speeds[(k + 1) % segments]),
        )
        for k in range(segments)
    )
    clean = Surroundings(dust="no", magnetic_swarf="no", liquid="no", reach_of_fingers="no")
    return Application(
        title="benchmark",
        duty_cycle=duty,
        site=Site(ambient=40.0, lowest_ambient=5.0, surroundings=clean),
        supply=Supply(
            nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=26.0, source_resistance=0.05,
            takes_energy_back="yes",
        ),
        requirements=Requirements(),
    )  # fmt: skip
