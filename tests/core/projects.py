"""Projects for the evaluation tests: demo motors under duties made here."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.project.application import Application, Requirements, Site, Supply, Surroundings
from core.project.candidate import Candidate, Drive
from core.project.duty_cycle import Segment
from core.project.motor import ContinuousPoint, DataSheetHeat, Motor, VariantKind
from core.project.project import Project

CLEAN = Surroundings(dust="no", magnetic_swarf="no", liquid="no", reach_of_fingers="no")

# Invented: what a data sheet without dimensions would say of the 47 mm frame.
SHEET_FIGURES: dict[VariantKind, DataSheetHeat] = {
    "open rotor": DataSheetHeat(
        winding_housing_resistance=1.74,
        housing_ambient_resistance=7.98,
        winding_time_constant=18.2,
        motor_time_constant=533.0,
        stated_mounting="aluminium plate 70 mm x 70 mm x 2 mm",
        continuous_point=ContinuousPoint(
            speed=544.5, shaft_torque=0.1081, winding_temp=145.0, commutation="six-step"
        ),
    ),
    "enclosed": DataSheetHeat(
        winding_housing_resistance=1.74,
        housing_ambient_resistance=7.64,
        winding_time_constant=18.2,
        motor_time_constant=632.0,
        stated_mounting="aluminium plate 70 mm x 70 mm x 2 mm",
        continuous_point=ContinuousPoint(
            speed=544.5, shaft_torque=0.07532, winding_temp=132.8, commutation="six-step"
        ),
    ),
}


def sheet_motor() -> Motor:
    """Return the 47 mm frame with heat by the figures of a data sheet alone, its plate not known."""
    motor = load_demo_parts().motor("47 mm frame")
    variants = tuple(replace(variant, heat=SHEET_FIGURES[variant.kind]) for variant in motor.variants)
    return replace(motor, variants=variants)


def segment(duration: float, torque: float, start: float, end: float | None = None) -> Segment:
    return Segment(
        duration=duration, shaft_torque=torque, speed_start=start, speed_end=start if end is None else end
    )


def candidate(
    frame: str = "47 mm frame", winding: str = "24 V", variant: VariantKind = "enclosed", **fields: object
) -> Candidate:
    drive = Drive(
        name="test electronics",
        continuous_current=20.0,
        peak_current=60.0,
        largest_duty=0.95,
        on_resistance=0.01,
        largest_electrical_frequency=2000.0,
    )
    chosen = Candidate(
        name=f"{frame}, {variant}",
        motor=load_demo_parts().motor(frame),
        winding=winding,
        variant=variant,
        drive=drive,
        lead_resistance=0.02,
    )
    return replace(chosen, **fields)


def project(*duty: Segment, candidates: tuple[Candidate, ...] = (), **site: object) -> Project:
    site_fields = {"ambient": 40.0, "lowest_ambient": 5.0, "surroundings": CLEAN} | site
    return Project(
        application=Application(
            title="test",
            duty_cycle=duty,
            site=Site(**site_fields),  # type: ignore[arg-type]
            supply=Supply(nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=26.0),
            requirements=Requirements(),
        ),
        candidates=candidates or (candidate(), candidate(variant="open rotor")),
    )


def random_duty(seed: int, largest_torque: float = 0.06, largest_speed: float = 260.0) -> tuple[Segment, ...]:
    """Return 3 to 9 segments with shared speeds that close the cycle, reversing at times."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 10))
    speeds = np.where(rng.random(count) < 0.25, 0.0, rng.uniform(-0.4, 1.0, count) * largest_speed)
    return tuple(
        segment(
            float(rng.uniform(0.05, 8.0)),
            float(rng.uniform(-0.6, 1.0) * largest_torque),
            float(speeds[k]),
            float(speeds[(k + 1) % count]),
        )
        for k in range(count)
    )
