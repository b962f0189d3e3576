"""A project whose duty is derived from a load with figures that can be checked by hand."""

from __future__ import annotations

from msgspec.structs import replace

from core.project import edits
from core.project.load import Load
from core.project.mechanism import DirectRotaryLoad, RotaryFriction
from core.project.motion import DwellStep, FrictionRange, RampStep, RunStep
from core.project.project import Project
from core.project.transmission import Transmission
from tests.app.bench_views import project_of

# To 40 rad/s in 0.2 s, 0.4 s of running, to rest in 0.2 s, 0.2 s of holding.
LOAD = Load(
    mechanism=DirectRotaryLoad(inertia=1e-3, steady_torque=0.0, friction=RotaryFriction(constant=0.05)),
    motion=(
        RampStep(end_speed=40.0, duration=0.2),
        RunStep(duration=0.4),
        RampStep(end_speed=0.0, duration=0.2),
        DwellStep(duration=0.2),
    ),
    friction_range=FrictionRange(low=0.5, high=2.0),
)
GEAR = Transmission(ratio=5.0, efficiency=1.0, available_ratios=(3.0, 5.0, 8.0))


def load_project(load: Load = LOAD, gear: Transmission | None = GEAR) -> Project:
    """Return the sample carousel with its duty derived from a load, both candidates behind a gear."""
    project = edits.change_application(project_of(()), duty_from="load", load=load)
    for index in range(len(project.candidates)):
        project = edits.change_candidate(project, index, transmission=gear)
    return project


def with_friction(torque: float) -> Load:
    """Return the load with another friction torque. [N m]"""
    mechanism = DirectRotaryLoad(inertia=1e-3, steady_torque=0.0, friction=RotaryFriction(constant=torque))
    return replace(LOAD, mechanism=mechanism)
