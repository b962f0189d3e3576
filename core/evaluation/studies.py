"""Studies of one project: other gear ratios, more and less friction. Each is a handful of evaluations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from msgspec.structs import replace

from core.evaluate import evaluate_candidate
from core.evaluation.duty import DerivedDuty, derived_duty, with_friction_range
from core.evaluation.motor_model import MotorModel, motor_of
from core.evaluation.ratio import window_of
from core.physics.ratio_study import (
    RatioScan,
    RatioWindow,
    loss_minimising_ratio,
)
from core.project.project import Project
from core.project.transmission import Transmission
from core.records import dataclass
from core.results import CandidateResult

NAMES = (
    "winding_temp",
    "rms_torque",
    "largest_speed",
    "supply_current",
    "torque_reserve",
    "least_margin",
)
SPAN = 4.0  # the scan reaches from the present ratio by this factor down and up
STEPS = 31


@dataclass(frozen=True, slots=True)
class RatioStudy:
    """How a candidate goes with the ratio of its transmission.

    `scan.values` holds `winding_temp` [degC], `rms_torque` [N m], `largest_speed` [rad/s],
    `supply_current` [A], `torque_reserve` [-] and `least_margin` (smallest margin minus target) [-].
    `window` is what torque and speed at the lowest voltage allow; `least_loss` the ratio with the least
    copper loss for pure inertia and load torque; `available` are the ratios of the transmission that can
    be had, smallest first.
    """

    ratio: float
    available: tuple[float, ...]
    scan: RatioScan
    window: RatioWindow | None
    least_loss: float | None


def ratio_study(project: Project, index: int) -> RatioStudy | None:
    """Return the ratio study of a candidate; None where the duty does not come from a load."""
    study = None
    for step in ratio_study_steps(project, index):
        study = step
    return study


def ratio_study_steps(project: Project, index: int) -> Iterator[RatioStudy | None]:
    """Yield None after each evaluation and the ratio study at the end, so that a window can go on between.

    Nothing is yielded where the duty does not come from a load.
    """
    candidate = project.candidates[index]
    derived = derived_duty(project.application.load, candidate.transmission)
    if project.application.duty_from != "load" or not isinstance(derived, DerivedDuty):
        return
    transmission = candidate.transmission or Transmission()
    present, available = transmission.ratio, tuple(sorted(set(transmission.available_ratios)))
    rows: dict[float, Mapping[str, float]] = {}
    for ratio in _ratios(present, available):
        geared = replace(candidate, transmission=replace(transmission, ratio=ratio))
        rows[ratio] = _numbers(evaluate_candidate(project.application, geared, index))
        yield None
    scan = RatioScan(
        np.array(list(rows)),
        np.isin(list(rows), available),
        {name: np.array([row.get(name, np.nan) for row in rows.values()]) for name in NAMES},
    )
    motor = motor_of(project.application, candidate)
    window = None if motor is None else window_of(project.application, motor, derived)
    least_loss = None if motor is None else _least_loss(motor, derived)
    yield RatioStudy(present, available, scan, window, least_loss)


def _ratios(present: float, available: tuple[float, ...]) -> tuple[float, ...]:
    """Return the ratios to scan: even steps of proportion, the present one and those that can be had."""
    exact = np.unique((*available, present))
    steps = np.geomspace(min(present / SPAN, exact[0]), max(present * SPAN, exact[-1]), STEPS)
    # a step beside a ratio that is scanned anyway says nothing new
    apart = np.abs(steps[:, None] / exact - 1.0).min(axis=1) > 1e-3
    return tuple(float(ratio) for ratio in np.sort(np.concatenate((steps[apart], exact))))


def friction_range(project: Project, index: int) -> tuple[tuple[str, CandidateResult], ...]:
    """Return the results of a candidate at low and at high friction, by name; empty where it is known."""
    return tuple(friction_range_steps(project, index))


def friction_range_steps(project: Project, index: int) -> Iterator[tuple[str, CandidateResult]]:
    """Yield the results of `friction_range` one by one."""
    application = project.application
    if application.duty_from != "load" or application.load is None:
        return
    for name, factor in with_friction_range(application.load):
        load = replace(application.load, friction_factor=factor)
        shifted = replace(application, load=load)
        yield name, evaluate_candidate(shifted, project.candidates[index], index)


def _numbers(result: CandidateResult) -> Mapping[str, float]:
    numbers = {}
    winding = next((peak.temp for peak in result.peaks if peak.role == "winding"), None)
    above = [margin.above_target for margin in result.margins if margin.above_target is not None]
    lost = any(margin.status in ("missed", "excluded") and margin.margin is None for margin in result.margins)
    for name, value in (
        ("winding_temp", winding),
        ("rms_torque", result.rms.torque if result.rms else None),
        ("largest_speed", float(np.abs(result.duty.speed).max()) if result.duty else None),
        ("supply_current", result.supply.mean_current if result.supply else None),
        ("torque_reserve", result.torque_reserve),
        ("least_margin", min(above) if above and not lost else None),
    ):
        if value is not None and np.isfinite(value):
            numbers[name] = value
    return numbers


def _least_loss(motor: MotorModel, derived: DerivedDuty) -> float | None:
    motion, own = derived.load.motion, motor.inertia + derived.gear.input_inertia
    if not motion.acceleration.any() or own <= 0.0:
        return None
    return loss_minimising_ratio(
        motion.duration, derived.load.terms.total, motion.acceleration, own, derived.gear.efficiency
    )
