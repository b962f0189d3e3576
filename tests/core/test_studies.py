"""Studies over ratio and friction: they are the plain evaluation at other inputs."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.coupling import coupling, inertia_ratio
from core.evaluation.motor_model import motor_model
from core.evaluation.studies import friction_range, ratio_study
from core.project import edits
from core.project.mechanism import DirectRotaryLoad
from core.project.motion import FrictionRange, RampStep, RunStep
from core.project.project import Project
from core.project.transmission import Transmission
from tests.core.projects import project, segment
from tests.core.test_load_side import FLYWHEEL, with_load

GEAR = Transmission(ratio=3.0, efficiency=0.9, available_ratios=(2.0, 3.0, 5.0))


def test_the_scan_is_the_evaluation_at_each_ratio() -> None:
    of = with_load(FLYWHEEL, GEAR)
    study = ratio_study(of, 0)
    assert study is not None
    assert set(study.scan.ratio[study.scan.available]) >= {2.0, 3.0, 5.0}
    for ratio in (2.0, 5.0):
        geared = edits.change_candidate(of, 0, transmission=replace(GEAR, ratio=ratio))
        result = evaluate(geared).candidates[0]
        at = int(np.argmin(np.abs(study.scan.ratio - ratio)))
        assert study.scan.values["torque_reserve"][at] == pytest.approx(result.torque_reserve)
        winding = next(peak.temp for peak in result.peaks if peak.role == "winding")
        assert study.scan.values["winding_temp"][at] == pytest.approx(winding)


def test_the_least_loss_ratio_is_where_a_motor_without_drag_is_coolest() -> None:
    of = with_load(replace(FLYWHEEL, friction_factor=0.0), replace(GEAR, efficiency=1.0))
    variant = of.candidates[0].chosen_variant
    motor = of.candidates[0].motor
    assert variant is not None
    assert motor is not None
    frictionless = replace(variant, no_load=())
    of = edits.change_candidate(of, 0, motor=replace(motor, variants=(frictionless,)))
    study = ratio_study(of, 0)
    assert study is not None
    # pure inertia: sqrt(J_L/J_M), R. S. Khurmi and J. K. Gupta, Theory of Machines, Ex. 3.14 [as re-worked in
    # a public textbook-companion notebook; the printed page was not seen]
    assert study.least_loss == pytest.approx(np.sqrt(1e-4 / variant.rotor_inertia), rel=1e-6)
    coolest = study.scan.ratio[np.nanargmin(study.scan.values["winding_temp"])]
    step = study.scan.ratio[1] / study.scan.ratio[0]
    assert coolest == pytest.approx(study.least_loss, rel=step - 1.0)


def linear(of: Project) -> Project:
    """Return the project without data of the saturation of its first motor."""
    chosen = of.candidates[0]
    assert chosen.motor is not None
    windings = tuple(
        replace(one, linear_current=None, saturated_current=None, saturated_torque=None)
        for one in chosen.motor.windings
    )
    return replace(of, candidates=(replace(chosen, motor=replace(chosen.motor, windings=windings)),))


def test_friction_low_and_high_bracket_the_result() -> None:
    # linear, since friction lessens the peak of braking here, which saturation makes dear
    of = linear(with_load(replace(FLYWHEEL, friction_range=FrictionRange(low=0.5, high=2.0))))
    usual = evaluate(of).candidates[0].torque_reserve
    (low_name, low), (high_name, high) = friction_range(of, 0)
    assert (low_name, high_name) == ("low friction", "high friction")
    assert low.torque_reserve is not None
    assert high.torque_reserve is not None
    assert usual is not None
    assert low.torque_reserve > usual > high.torque_reserve
    assert friction_range(with_load(FLYWHEEL), 0) == ()


def test_resonance_of_a_coupling_stiffness_at_the_load() -> None:
    of = with_load(replace(FLYWHEEL, coupling_stiffness=40.0), replace(GEAR, input_inertia=1e-6))
    application, chosen = of.application, of.candidates[0]
    found = coupling(application, chosen)
    variant = chosen.chosen_variant
    assert found is not None
    assert variant is not None
    own = variant.rotor_inertia + 1e-6
    assert found.anti_resonance == pytest.approx(np.sqrt(40.0 / 1e-4) / (2 * np.pi))
    assert found.resonance == pytest.approx(
        np.sqrt(40.0 / 9.0 * (own + 1e-4 / 9.0) / (own * 1e-4 / 9.0)) / (2 * np.pi)
    )
    assert found.inertia_ratio == pytest.approx(1e-4 / 9.0 / own)
    assert inertia_ratio(application, chosen) == pytest.approx(found.inertia_ratio)


def test_there_is_no_study_without_a_load() -> None:
    of = project(segment(1.0, 0.02, 100.0))
    assert ratio_study(of, 0) is None
    assert friction_range(of, 0) == ()
    assert coupling(of.application, of.candidates[0]) is None
    assert inertia_ratio(of.application, of.candidates[0]) is None


def test_a_ratio_outside_its_window_is_said_with_how_it_may_have_been_chosen() -> None:
    slow = (
        RampStep(end_speed=5.0, duration=0.5),
        RunStep(duration=1.0),
        RampStep(end_speed=0.0, duration=0.5),
    )
    heavy = replace(FLYWHEEL, mechanism=DirectRotaryLoad(inertia=1e-4, steady_torque=6.0), motion=slow)

    def codes(ratio: float) -> set[str]:
        result = evaluate(with_load(heavy, Transmission(ratio=ratio, efficiency=0.9))).candidates[0]
        return {finding.code for finding in result.findings}

    motor = with_load(heavy).candidates[0]
    model = motor_model(with_load(heavy).application.site, with_load(heavy).application.requirements, motor)
    assert model is not None
    # by hand: locked motor at 24 V, peak phase voltage 24/sqrt3 over half the line-to-line resistance
    current = 24.0 / np.sqrt(3.0) / (0.5 * model.constants.resistance)
    stall = np.sqrt(3.0) / 2.0 * model.constants.back_emf_constant * current
    assert "ratio_from_stall_torque" in codes(6.001 / stall)
    assert "ratio_below_window" in codes(6.001 / stall)
    assert "ratio_above_window" in codes(400.0)
    assert not {code for code in codes(30.0) if code.startswith("ratio_")}
