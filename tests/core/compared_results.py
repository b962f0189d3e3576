"""Results of two invented candidates with numbers that a hand calculator can follow."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from core.deferred import Deferred
from core.project.application import Application, Site
from core.project.candidate import Candidate
from core.project.motor import Inductance, Motor, Resistance, TorqueConstant, Variant, VariantKind, Winding
from core.project.project import Project
from core.results import (
    CandidateResult,
    DutyTrace,
    HeatBand,
    LoadPoints,
    Losses,
    Margin,
    PeakTemperature,
    PlaneCurves,
    Result,
    Status,
    SupplyDemand,
)
from core.units import Kind

SPEEDS = (0.0, 100.0, 250.0, 400.0)
RISING = tuple(0.1 + 1e-4 * speed for speed in SPEEDS)
"""0.12 N m at 200 rad/s, between two speeds of the curve, on which it is straight."""

LEVEL = (0.12,) * 4


@dataclass
class Given:
    """What a test states about one candidate; the rest is the same for all."""

    torque: tuple[float, ...] | None = LEVEL
    doubts: dict[str, float] | None = None  # relative half widths at every speed
    shared: bool = False
    frame: str = "one frame"
    kind: VariantKind = "open rotor"
    margin: float | None = 0.3
    status: Status = "met"
    label: str = "Winding"
    voltage_limit: tuple[float, ...] | None = None
    winding_temp: float = 100.0
    losses: Losses | None = field(default_factory=lambda: Losses(4.0, 2.0, 0.5, 1.0, 0.5))
    winding_band: tuple[float, float, float] | None = None
    peak_doubts: tuple[float, ...] | None = None  # of the winding, for each of `doubts` [K]
    fields: dict[str, object] = field(default_factory=dict)  # of the candidate in the project


def margin(given: Given) -> Margin:
    value = given.margin
    return Margin(
        criterion="winding",
        label=given.label,
        kind=Kind.TEMPERATURE,
        unit="degC",
        demand=None,
        limit=None,
        utilisation=None if value is None else 1.0 - value,
        margin=value,
        target=0.1,
        status=given.status,
        required=True,
        where="end of 1",
        why="" if value is not None else "of a reason",
        equation="",
        segment=0,
    )


def duty() -> DutyTrace:
    """3 s at 100 rad/s and 1 s at 300 rad/s: the mean speed is 150 rad/s."""
    return DutyTrace(
        time=np.array([0.0, 3.0, 3.0, 4.0]),
        shaft_torque=np.full(4, 0.05),
        speed=np.array([100.0, 100.0, 300.0, 300.0]),
        edges=np.array([0.0, 3.0, 4.0]),
        segment=np.array([0, 0, 1, 1]),
        names=("slow", "fast"),
    )


def heat_band(given: Given) -> HeatBand | None:
    if given.doubts is None or given.torque is None:
        return None
    widths = np.array(list(given.doubts.values()))
    torque, whole = np.array(given.torque), float(np.sqrt(np.sum(widths**2)))
    return HeatBand(
        speed=np.array(SPEEDS),
        low=torque * (1.0 - whole),
        mid=torque,
        high=torque * (1.0 + whole),
        sources=tuple(given.doubts),
        effects=np.repeat(widths[:, None], len(SPEEDS), axis=1),
        shared=(given.shared,) * len(widths),
        winding=given.winding_band,
        outside=None,
        peak_effects=None if given.peak_doubts is None else np.column_stack([given.peak_doubts] * 2),
    )


def curves(given: Given) -> PlaneCurves:
    return PlaneCurves(
        speed=np.array(SPEEDS),
        voltage_limit=None if given.voltage_limit is None else np.array(given.voltage_limit),
        voltage_limit_braking=None,
        continuous=None if given.torque is None else np.array(given.torque),
        continuous_braking=None,
        short_time=None,
        short_time_braking=None,
        short_time_seconds=10.0,
        peak=None,
        peak_braking=None,
        peak_reason="",
        largest_speed=None,
    )


def candidate_result(index: int, given: Given) -> CandidateResult:
    band = heat_band(given)
    own = margin(given)
    two = np.array([100.0, 300.0])
    return CandidateResult(
        index=index,
        name=f"candidate {index}",
        margins=(own,),
        governing=own,
        findings=(),
        cautions=(),
        missing=(),
        duty=duty(),
        load_points=LoadPoints(two, two, 0.0 * two + 0.05, 0.0 * two + 1.0, 0.0 * two, two, two > 0.0, None),
        curves=curves(given),
        peaks=(PeakTemperature("winding", "winding", given.winding_temp, 90.0, 155.0, 0, 3.0),),
        losses=given.losses,
        supply=SupplyDemand(20.0, 60.0, None, None, 0.0),
        torque_reserve=1.4,
        band_later=Deferred(lambda: band),
    )


def motor(given: Given) -> Motor:
    winding = Winding(
        name="only one",
        torque_constant=TorqueConstant(value=0.02, convention="per link ampere, six-step"),
        resistance=Resistance(value=0.5),
        inductance=Inductance(value=1e-4),
    )
    variant = Variant(
        kind=given.kind, rotor_inertia=1e-5, mass=0.2, diameter=0.04, length=0.02, length_with_fittings=0.025
    )
    return Motor(name=given.frame, pole_pairs=8, windings=(winding,), variants=(variant,))


def candidate(index: int, given: Given) -> Candidate:
    fields: dict[str, object] = {
        "name": f"candidate {index}",
        "motor": motor(given),
        "winding": "only one",
        "variant": given.kind,
    }
    return Candidate(**(fields | given.fields))  # type: ignore[arg-type]


def result(*givens: Given, site: Site | None = None, application: Application | None = None) -> Result:
    """Return the result of these candidates."""
    application = application or Application(title="by hand", site=site or Site(ambient=40.0))
    project = Project(
        application=application, candidates=tuple(candidate(i, given) for i, given in enumerate(givens))
    )
    found = tuple(candidate_result(i, given) for i, given in enumerate(givens))
    return Result(project=project, duty=duty(), candidates=found, chosen=0)
