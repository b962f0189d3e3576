"""Calibration: a synthetic motor comes back, figures that cannot be its own are named, nothing else moves."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import astuple, replace
from itertools import permutations

import numpy as np
import pytest

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.calibration_figures import FigureWidths, StatedHeat, lasting_torques
from core.physics.heat_calibration import (
    FACTOR_NAMES,
    LARGEST_FACTOR,
    Calibration,
    FactorWidths,
    calibrated,
)
from core.physics.heat_figures import RatedPoint
from core.physics.heat_from_geometry import geometry_network, standstill_resistances
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.motor_dimensions import (
    CarryingPlate,
    EnclosedRotor,
    HeatPlace,
    LawFactors,
    OpenRotor,
)
from core.sentences import as_text
from tests.core.dimensioned_motor import ENCLOSED, FRAME, OPEN, PLATE

Build = Callable[[LawFactors], HeatNetwork]

EXACT = FigureWidths(1e-4, 1e-4, 1e-4)
"""Widths under which figures are met as they stand, and the dimensions add what figures do not tell."""

SPEEDS = np.linspace(20.0, 900.0, 23)


def small_motor(factors: LawFactors, exponent: float = 0.6) -> HeatNetwork:
    """Winding, core, rotor: both surfaces meet the air, the rotor drives it; invented numbers."""
    f = factors
    drive = f.turning * np.array([0.0, 0.0, 0.0, 1.0, 2.5]) * 0.05
    return HeatNetwork(
        nodes=("winding", "core", "rotor"),
        capacity=np.array([12.0 * f.winding_capacity, *(np.array([60.0, 90.0]) * f.body_capacity)]),
        sinks=("air",),
        sink_temp=np.array([25.0]),
        end_a=np.array([0, 1, 0, 1, 2]),
        end_b=np.array([1, 2, 3, 3, 3]),
        fixed=np.array([0.9 * f.winding_core, 0.35, 0.0, 0.06 * f.surface, 0.05 * f.surface]),
        natural=np.array([0.0, 0.0, 0.03 * f.end_winding, 0.05 * f.surface, 0.06 * f.surface]),
        # the middle of the range of speeds keeps its coefficient when the exponent changes
        rotating=drive / 300.0**exponent,
        exponent=np.full(5, exponent),
        winding=0,
        core=1,
        magnets=2,
        outside=1,
    )


def rated(speed: float, torque: float = 0.1) -> RatedPoint:
    """Iron and bearing drag that grow with speed; magnets that lose flux."""
    return RatedPoint(
        shaft_torque=torque,
        speed=speed,
        ambient_temp=25.0,
        winding_limit=125.0,
        drag_torque=0.004 + 1.2e-5 * speed,
        core_drag_torque=0.004 + 0.8e-5 * speed,
        copper_per_torque_squared=400.0,
        copper_law=CopperLaw(magnet_temp_coefficient=-0.0011),
    )


def torque_curve(network: HeatNetwork) -> FloatArray:
    return lasting_torques(network, tuple(rated(float(w)) for w in SPEEDS)).shaft_torque


def figures_from(network: HeatNetwork, speeds: tuple[float, ...] = (), rise: float = 80.0) -> StatedHeat:
    """Return the data sheet of a motor that is the network."""
    inner, outer = standstill_resistances(network, rise)
    return StatedHeat(
        inner,
        outer,
        inner * float(network.capacity[network.winding]),
        outer * float(network.capacity.sum()),
        tuple(rated(w, float(lasting_torques(network, (rated(w),)).shaft_torque[0])) for w in speeds),
        rise,
    )


def rms_error(build: Build, factors: LawFactors, truth: HeatNetwork) -> float:
    wanted = torque_curve(truth)
    error = torque_curve(build(factors)) / wanted - 1.0
    return float(np.sqrt(np.mean(error**2)))


def finding(calibration: Calibration, code: str) -> Finding:
    return next(found for found in calibration.findings if found.code == code)


def codes(calibration: Calibration) -> set[str]:
    return {found.code for found in calibration.findings}


TRUTH = LawFactors(1.3, 0.7, 1.12, 0.85, 1.1, 0.95)


def test_a_synthetic_motor_comes_back_where_its_figures_tell() -> None:
    stated = figures_from(small_motor(TRUTH), (100.0, 300.0, 800.0))
    found = calibrated(small_motor, stated, figure_widths=EXACT)
    assert astuple(found.factors) == pytest.approx(astuple(TRUTH), rel=0.02)
    assert all(found.told_by_data.values())
    assert max(abs(row.residual) for row in found.rows) < 1e-4
    assert codes(found) == {"figure_widths_assumed"}


def test_a_motor_of_usual_widths_lies_within_what_is_said_about_it() -> None:
    stated = figures_from(small_motor(TRUTH), (300.0,))
    found = calibrated(small_motor, stated)
    error = np.log(np.array(astuple(found.factors)) / np.array(astuple(TRUTH)))
    # squared distance in widths: six on average for six factors; one in a hundred passes 16.8 (chi-square)
    assert error @ np.linalg.solve(found.covariance, error) < 16.8
    assert rms_error(small_motor, found.factors, small_motor(TRUTH)) < 0.025


@pytest.mark.parametrize("exponent", [0.5, 0.8])
def test_the_torque_curve_comes_back_under_another_law_of_speed(exponent: float) -> None:
    """Truths of exponents that the model does not have, factors drawn from their widths.

    Speeds from 20 to 900 rad/s, stated are the four figures at standstill and one torque at 400 rad/s.
    """
    rng = np.random.default_rng(7)
    errors = []
    for _ in range(8):
        logs = np.array(astuple(FactorWidths())) * rng.normal(size=6)
        truth = small_motor(LawFactors(*np.exp(logs).tolist()), exponent)
        stated = figures_from(truth, (400.0,))
        usual = calibrated(small_motor, stated).factors
        trusted = calibrated(small_motor, stated, figure_widths=EXACT).factors
        errors.append([rms_error(small_motor, factors, truth) for factors in (LawFactors(), usual, trusted)])
    before, after, exact = np.sqrt(np.mean(np.square(errors), axis=0))
    print(f"rms of the torque curve: {before:.2%} uncalibrated, {after:.2%} calibrated, {exact:.2%} trusted")
    assert after < 0.03
    assert after < 0.3 * before
    assert exact < 0.025


def test_two_points_of_speed_tell_more_than_one() -> None:
    truth = small_motor(replace(TRUTH, turning=1.3), exponent=0.75)
    one = calibrated(small_motor, figures_from(truth, (400.0,)))
    many = calibrated(small_motor, figures_from(truth, (100.0, 200.0, 400.0, 600.0, 800.0)))
    assert many.posterior_width.turning < one.posterior_width.turning < one.prior_width.turning
    assert rms_error(small_motor, many.factors, truth) < 0.02


def test_without_figures_everything_stays_as_the_dimensions_have_it() -> None:
    found = calibrated(small_motor, StatedHeat())
    assert found.factors == LawFactors()
    assert astuple(found.posterior_width) == pytest.approx(astuple(found.prior_width))
    assert not any(found.told_by_data.values())
    assert found.rows == ()
    untold = finding(found, "laws_not_calibrated")
    assert untold.severity == "assumed"
    assert set(untold.values) == {f"{name}_width" for name in FACTOR_NAMES}


def test_missing_figures_leave_their_factors_alone() -> None:
    stated = figures_from(small_motor(TRUTH))
    standing = replace(stated, winding_time_constant=None, motor_time_constant=None)
    found = calibrated(small_motor, standing)
    # at standstill nothing turns, and a resistance has no heat capacity
    for name in ("turning", "winding_capacity", "body_capacity"):
        assert getattr(found.factors, name) == 1.0
        assert getattr(found.posterior_width, name) == pytest.approx(getattr(found.prior_width, name))
        assert not found.told_by_data[name]
    assert found.told_by_data["surface"]
    assert "turning_width" in finding(found, "laws_not_calibrated").values


def test_order_of_the_torques_does_not_matter() -> None:
    points = figures_from(small_motor(TRUTH), (150.0, 400.0, 700.0)).torques
    found = [calibrated(small_motor, StatedHeat(torques=order)) for order in permutations(points)]
    for other in found[1:]:
        assert astuple(other.factors) == pytest.approx(astuple(found[0].factors), rel=1e-5)
        assert other.covariance == pytest.approx(found[0].covariance, rel=1e-3, abs=1e-7)


def chain(factors: LawFactors) -> HeatNetwork:
    """Return 1 W/K inside and 0.2 W/K outside: every figure is a power of its factor."""
    return HeatNetwork(
        ("winding", "core"),
        np.array([10.0 * factors.winding_capacity, 90.0 * factors.body_capacity]),
        ("air",),
        np.array([25.0]),
        np.array([0, 1]),
        np.array([1, 2]),
        np.array([factors.winding_core, 0.2 * factors.surface]),
        np.zeros(2),
        np.zeros(2),
        np.ones(2),
        0,
        1,
        1,
        1,
    )


def test_a_chain_weighs_figure_and_dimensions_as_the_closed_form_does() -> None:
    """Two independent normal statements about a number: the mean weighed by 1/s^2 (textbook, from memory)."""
    found = calibrated(chain, StatedHeat(winding_to_housing=0.8, housing_to_ambient=5.5))
    inner, outer, s = math.log(1.5), 0.15, 0.05
    assert math.log(found.factors.winding_core) == pytest.approx(
        math.log(1.0 / 0.8) * inner**2 / (inner**2 + s**2), rel=1e-4
    )
    assert math.log(found.factors.surface) == pytest.approx(
        math.log(5.0 / 5.5) * outer**2 / (outer**2 + s**2), rel=1e-4
    )
    assert found.posterior_width.surface == pytest.approx((outer**-2 + s**-2) ** -0.5, rel=1e-3)
    assert found.posterior_width.winding_core == pytest.approx((inner**-2 + s**-2) ** -0.5, rel=1e-3)


def test_a_resistance_of_a_larger_plate_contradicts_the_dimensions() -> None:
    def with_plate(factors: LawFactors) -> HeatNetwork:
        plain = chain(factors)
        return replace(plain, fixed=plain.fixed + np.array([0.0, 0.05]))

    stated = StatedHeat(winding_to_housing=1.0, housing_to_ambient=1.25)
    found = calibrated(with_plate, stated, bare=chain)
    said = finding(found, "figure_contradicts_dimensions")
    assert said.severity == "warning"
    # 1/1.25; 0.2 + 0.05; 0.2 W/K alone
    assert said.values["stated_W_K"] == pytest.approx(0.8)
    assert said.values["from_dimensions_W_K"] == pytest.approx(0.25)
    assert said.values["bare_W_K"] == pytest.approx(0.2)
    # four fifths of the conductance follow the factor: sqrt((0.8 * 15 %)^2 + (5 %)^2) = 13 %
    assert said.values["most_W_K"] == pytest.approx(0.25 * math.exp(3 * 0.13), rel=1e-3)
    assert said.values["least_W_K"] == pytest.approx(0.25 * math.exp(-3 * 0.13), rel=1e-3)
    assert "larger plate" in as_text(said.text)
    assert "with nothing that carries the motor" in as_text(said.text)
    # no factor stands for a plate: it is left out, and the other figure still counts
    assert found.factors.surface == pytest.approx(1.0, abs=1e-6)
    assert [row.used for row in found.rows] == [True, False]
    assert found.told_by_data["winding_core"]
    assert not found.told_by_data["surface"]


def test_a_resistance_too_high_is_named_with_other_reasons() -> None:
    found = calibrated(chain, StatedHeat(housing_to_ambient=20.0))
    text = as_text(finding(found, "figure_contradicts_dimensions").text)
    assert "plate" not in text
    assert "Blank metal" in text


def test_a_torque_that_no_cooling_carries_is_left_out() -> None:
    stated = figures_from(small_motor(LawFactors()), (300.0,))
    strong = replace(stated.torques[0], shaft_torque=3.0 * stated.torques[0].shaft_torque)
    found = calibrated(small_motor, replace(stated, torques=(strong,)))
    said = finding(found, "figure_contradicts_dimensions")
    assert said.values["stated_Nm"] == strong.shaft_torque
    assert said.values["most_Nm"] < strong.shaft_torque
    assert found.factors.turning == pytest.approx(1.0)


def test_a_point_where_drag_takes_everything_is_no_error() -> None:
    dragging = replace(rated(300.0), drag_torque=0.5, core_drag_torque=0.02)
    found = calibrated(small_motor, StatedHeat(torques=(dragging,)))
    assert found.rows[0].dimensions < 0.0
    assert "figure_contradicts_dimensions" in codes(found)


def test_figures_that_do_not_belong_together_are_named() -> None:
    stated = figures_from(small_motor(LawFactors()), (300.0, 310.0))
    low, high = stated.torques
    apart = (
        replace(low, shaft_torque=0.88 * low.shaft_torque),
        replace(high, shaft_torque=1.12 * high.shaft_torque),
    )
    found = calibrated(small_motor, replace(stated, torques=apart))
    assert [row.used for row in found.rows][-2:] == [True, True]
    assert "figures_disagree" in codes(found)


def test_a_factor_stops_at_its_bound_and_says_so() -> None:
    # 1/6 of the resistance: within three widths of a law known to a factor 2, but beyond 4
    found = calibrated(
        chain,
        StatedHeat(winding_to_housing=1.0 / 6.0),
        factor_widths=FactorWidths(winding_core=math.log(2.0)),
    )
    assert found.factors.winding_core == pytest.approx(LARGEST_FACTOR, rel=1e-6)
    assert finding(found, "factor_at_its_bound").values["winding_core_factor"] == pytest.approx(4.0)


@pytest.mark.parametrize(
    "bad",
    [{"winding_to_housing": 0.0}, {"motor_time_constant": -1.0}, {"winding_rise": math.nan}],
)
def test_figures_out_of_range_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(InputRangeError, match="> 0"):
        StatedHeat(**bad)  # type: ignore[arg-type]


def dimensioned(variant: OpenRotor | EnclosedRotor, carrier: CarryingPlate | None = None) -> Build:
    place = HeatPlace(25.0, carrier=carrier)
    return lambda factors: geometry_network(FRAME, variant, place, factors, highest_speed=1000.0).network


@pytest.mark.parametrize("variant", [OPEN, ENCLOSED], ids=["open", "enclosed"])
def test_a_motor_from_dimensions_comes_back(variant: OpenRotor | EnclosedRotor) -> None:
    build = dimensioned(variant, PLATE)
    truth = build(TRUTH)
    found = calibrated(build, figures_from(truth, (150.0, 450.0)))
    error = np.log(np.array(astuple(found.factors)) / np.array(astuple(TRUTH)))
    assert error @ np.linalg.solve(found.covariance, error) < 16.8
    assert max(abs(row.residual) for row in found.rows) < 0.05
    before, after = rms_error(build, LawFactors(), truth), rms_error(build, found.factors, truth)
    print(f"rms error of the torque curve: {before:.2%} uncalibrated, {after:.2%} calibrated")
    assert after < 0.01 < before
    assert found.builds < 30


@pytest.mark.parametrize(
    ("change", "speeds", "least"),
    [
        (0.0, (300.0,), 0.015),
        (-0.1, (100.0, 700.0), 0.03),
        (0.1, (100.0, 700.0), 0.03),
        (0.1, (300.0,), 0.05),
    ],
)
def test_an_open_motor_of_another_law_of_speed_comes_near(
    change: float, speeds: tuple[float, ...], least: float
) -> None:
    """Truths whose rotor-driven part has another exponent, the same coefficient at 400 rad/s."""
    build = dimensioned(OPEN)

    def bent(factors: LawFactors) -> HeatNetwork:
        network = build(factors)
        assert network.forced is not None
        table = network.forced.conductance
        speed = network.forced.highest * np.linspace(0.0, 1.0, len(table)) ** 2
        bend = (np.maximum(speed, 1e-3) / 400.0) ** change
        # what is there at rest follows another law than a power of the speed
        other = np.where(table[0] == 0.0, table * bend[:, None], table)
        return replace(network, forced=replace(network.forced, conductance=other))

    rng = np.random.default_rng(7)
    errors = []
    for _ in range(6):
        logs = np.array(astuple(FactorWidths())) * rng.normal(size=6)
        truth = bent(LawFactors(*np.exp(logs).tolist()))
        found = calibrated(build, figures_from(truth, speeds)).factors
        errors.append([rms_error(build, factors, truth) for factors in (LawFactors(), found)])
    before, after = np.sqrt(np.mean(np.square(errors), axis=0))
    print(f"rms error of the torque curve: {before:.2%} uncalibrated, {after:.2%} calibrated")
    assert after < least
    assert after < 0.3 * before


@pytest.mark.parametrize("variant", [OPEN, ENCLOSED], ids=["open", "enclosed"])
def test_a_plate_that_nobody_named_is_found(variant: OpenRotor | EnclosedRotor) -> None:
    on_plate, alone = dimensioned(variant, PLATE), dimensioned(variant)
    stated = figures_from(on_plate(LawFactors()), (300.0,))
    found = calibrated(alone, stated, bare=alone)
    # torque and time constant were stated on that plate too, so no law is bent to meet them
    assert [row.used for row in found.rows] == [True, False, True, False, False]
    assert found.factors.surface == pytest.approx(1.0, abs=0.02)
    assert found.factors.turning == 1.0
    said = finding(found, "figure_contradicts_dimensions")
    assert said.values["stated_W_K"] > said.values["most_W_K"] > said.values["bare_W_K"]
    # with the plate named there is nothing to say
    assert "figure_contradicts_dimensions" not in codes(calibrated(on_plate, stated))


def test_rated_points_at_once_are_those_one_by_one() -> None:
    """Different ambients, limits and speeds share one iteration or not; each settles to 1e-5 K."""
    place = HeatPlace(25.0, carrier=PLATE)
    network = geometry_network(FRAME, OPEN, place, highest_speed=1000.0).network
    points = (
        rated(200.0),
        replace(rated(500.0), winding_limit=140.0),
        replace(rated(500.0), ambient_temp=40.0),
        replace(rated(200.0), copper_law=CopperLaw()),
    )
    together = lasting_torques(network, points)
    for row, point in enumerate(points):
        alone = lasting_torques(network, (point,))
        assert together.shaft_torque[row] == pytest.approx(alone.shaft_torque[0], rel=1e-6)
        np.testing.assert_allclose(together.node_temp[row], alone.node_temp[0], atol=2e-5)
        assert together.node_temp[row, network.winding] == pytest.approx(point.winding_limit)
