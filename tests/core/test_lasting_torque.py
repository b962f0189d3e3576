"""Continuous torque with saturation, field weakening, built-in electronics, against the balance of its nodes.

The balance is written out once more: matrix and inflow of the network, the heat of one current by hand, and
the torque searched until the first node is at its limit.
"""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import brentq

from core.evaluate import evaluate
from core.evaluation.curves import plane_curves
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.lasting_torque import lasting_torque, saturated, short_torque
from core.evaluation.motor_model import MotorModel, motor_of
from core.evaluation.operating_rows import operating_rows
from core.evaluation.weakening import weakening_current
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.project.candidate import Candidate
from core.project.project import Project
from tests.core.projects import candidate, project, segment


def bent() -> Candidate:
    """Linear to 1.5 A; 6 A make 5/8 of the torque of a linear winding."""
    base = candidate(commutation="six-step")
    assert base.motor is not None
    assert base.chosen_winding is not None
    constants = evaluate(project(segment(1.0, 0.01, 50.0), candidates=(base,))).candidates[0].constants
    assert constants is not None
    winding = replace(
        base.chosen_winding,
        linear_current=1.5,
        saturated_current=6.0,
        saturated_torque=3.75 * constants.torque_constant,
        peak_current=None,
    )
    return replace(base, motor=replace(base.motor, windings=(winding,)))


def weakening() -> Candidate:
    base = candidate()
    return replace(base, drive=replace(base.drive, field_weakening=True))


def built_in() -> Candidate:
    base = candidate()
    drive = replace(base.drive, built_in=True, on_resistance=0.08, idle_power=1.0)
    return replace(base, drive=drive)


def linear(of: Candidate) -> Candidate:
    """Return the candidate without data of its saturation."""
    assert of.motor is not None
    windings = tuple(
        replace(one, linear_current=None, saturated_current=None, saturated_torque=None)
        for one in of.motor.windings
    )
    return replace(of, motor=replace(of.motor, windings=windings))


def parts(of: Candidate) -> tuple[MotorModel, HeatModel]:
    whole: Project = project(segment(1.0, 0.01, 50.0), candidates=(of,))
    motor = motor_of(whole.application, of)
    assert motor is not None
    heat = heat_model(whole.application.site, motor)
    assert isinstance(heat, HeatModel)
    return motor, heat


def current_by_search(motor: MotorModel, torque: float, constant: float) -> float:
    law = motor.saturation
    plain = torque / constant
    if law is None or plain <= law.linear_current:
        return plain

    def missing(current: float) -> float:
        x = current / law.linear_current - 1.0
        return constant * law.linear_current * (1.0 + x / (1.0 + law.bend * x)) - torque

    return float(brentq(missing, plain, 1e4 * plain, xtol=1e-13))


def room(motor: MotorModel, heat: HeatModel, speed: float, torque: float) -> float:
    """Return how far the hottest node is from its limit at a lasting electromagnetic torque. [K]"""
    rows, network, law = operating_rows(heat, motor, np.array([speed])), heat.network, heat.law
    at = (np.array([torque]), np.array([speed]))
    weak = weakening_current(motor, *at)
    against = 0.0 if weak is None else float(weak[0])
    factor = 1.0 if motor.commutation == "six-step" else 0.75
    temps: FloatArray = np.full(len(network.nodes), 80.0)
    for _ in range(400):
        flux = 1.0 + law.magnet_temp_coefficient * (temps[network.magnets] - law.magnet_ref_temp)
        rho = (law.copper_constant + temps[network.winding]) / (law.copper_constant + law.winding_ref_temp)
        q = current_by_search(motor, torque, motor.torque_constant * flux)
        flow = rows.inflow[0].copy()
        # as the rows have it, loss that makes no torque grows with the weaker magnets too
        flow[network.winding] += factor * motor.constants.resistance * rho * (q**2 + (against / flux) ** 2)
        if motor.drive.built_in:
            hot = torque / motor.hot_torque_constant
            flow[network.outside] += 1.5 * motor.drive.on_resistance * (hot**2 + against**2)
        new = np.linalg.solve(rows.matrix[0], flow)
        if new.max() > 400.0:
            return -1.0  # on its way to nowhere
        if np.abs(new - temps).max() < 1e-11:
            break
        temps = new
    return float((heat.limit - temps).min())


@pytest.mark.parametrize("of", [bent, weakening, built_in], ids=["saturated", "weakened", "built in"])
@pytest.mark.parametrize("speed", [100.0, 300.0, 480.0, 560.0])
def test_first_limit_is_met_in_the_balance_of_the_nodes(of: object, speed: float) -> None:
    motor, heat = parts(of())  # type: ignore[operator]
    found = lasting_torque(heat, motor, np.array([speed]))
    around = float(found.em_torque[0])  # far above, no balance exists at all
    exact = brentq(lambda torque: room(motor, heat, speed, torque), 0.7 * around, 1.1 * around, xtol=1e-9)
    # 1e-5: the root is sought to 1e-6 of the torque
    assert float(found.em_torque[0]) == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize("of", [bent, weakening, built_in], ids=["saturated", "weakened", "built in"])
def test_each_costs_torque_where_it_acts_and_none_elsewhere(of: object) -> None:
    chosen: Candidate = of()  # type: ignore[operator]
    plain = replace(linear(chosen), drive=candidate().drive)
    motor, heat = parts(chosen)
    other, other_heat = parts(plain)
    fast = np.array([560.0])
    assert (
        lasting_torque(heat, motor, fast).em_torque
        < 0.995 * lasting_torque(other_heat, other, fast).em_torque
    )
    if motor.weakening_voltage is not None:  # below the voltage limit nothing is weakened
        slow = np.array([50.0])
        kept = replace(linear(chosen), drive=chosen.drive)
        motor, heat = parts(kept)
        assert lasting_torque(heat, motor, slow).em_torque == pytest.approx(
            lasting_torque(other_heat, other, slow).em_torque, rel=1e-9
        )


def test_short_time_torque_bends_with_the_saturation() -> None:
    """The current of the linear machine, on the hyperbola at hot magnets."""
    motor, heat = parts(bent())
    other, other_heat = parts(linear(bent()))
    speed = np.array([100.0, 300.0])
    plain = short_torque(other_heat, other, speed, 10.0)
    law = motor.saturation
    assert law is not None
    x = plain / motor.hot_torque_constant / law.linear_current - 1.0
    by_hand = motor.hot_torque_constant * law.linear_current * (1.0 + x / (1.0 + law.bend * x))
    assert short_torque(heat, motor, speed, 10.0) == pytest.approx(by_hand, rel=1e-9)


def test_lasting_duty_at_the_continuous_torque_of_a_weakened_field_has_the_reserve_one() -> None:
    """The curve and the cycle are two ways to the same limit; the cycle is the reference here."""
    chosen = weakening()
    motor, heat = parts(chosen)
    whole = project(segment(1.0, 0.01, 50.0), candidates=(chosen,))
    curves = plane_curves(whole.application.supply, whole.application.requirements, motor, heat, 0.0)
    assert curves.continuous is not None
    speed = 500.0
    torque = float(lasting_torque(heat, motor, np.array([speed])).motoring[0])
    result = evaluate(project(segment(10.0, torque, speed), candidates=(chosen,))).candidates[0]
    assert result.torque_reserve is not None
    # weakening is held at the torque of the cycle while the reserve is sought: exact at the reserve 1
    assert result.torque_reserve == pytest.approx(1.0, abs=3e-3)


def test_a_run_away_by_saturation_alone_tells_its_time() -> None:
    """A torque that a linear winding holds for ever, while of the bent one no steady state exists."""
    one = segment(10.0, 0.1, 100.0)
    plain = evaluate(project(one, candidates=(linear(bent()),))).candidates[0]
    assert "thermal_run_away" not in {finding.code for finding in plain.findings}
    away = evaluate(project(one, candidates=(bent(),))).candidates[0]
    told = next(finding for finding in away.findings if finding.code == "thermal_run_away")
    assert 0.0 < told.values["time_to_limit_s"] < 3600.0


@pytest.mark.parametrize("torque", [0.06, 0.09, 0.093])
def test_reserve_of_a_lasting_saturated_torque_is_the_curve_over_it(torque: float) -> None:
    """Up to the fold beyond which no steady state exists at all, at 0.098 N m."""
    motor, heat = parts(bent())
    lasting = float(lasting_torque(heat, motor, np.array([100.0])).motoring[0])
    result = evaluate(project(segment(10.0, torque, 100.0), candidates=(bent(),))).candidates[0]
    # saturation at the mean flux of the magnets, as the curve has it; coefficients to 0.3 K each
    assert result.torque_reserve == pytest.approx(lasting / torque, rel=1e-3)


@pytest.mark.parametrize(
    ("current", "share", "limit"), [(3.0, 2.0, None), (3.0, 2.0, 180.0), (4.0, 2.4, 220.0)]
)
def test_a_cooler_state_may_have_the_largest_torque(
    current: float, share: float, limit: float | None
) -> None:
    """With magnets that weaken and hard saturation the state at the limit is passed on the way down."""
    base = bent()
    assert base.motor is not None
    motor, _ = parts(base)
    winding = replace(
        base.motor.windings[0], saturated_current=current, saturated_torque=share * motor.torque_constant
    )
    frame = replace(base.motor, windings=(winding,))
    chosen = replace(
        base, motor=frame if limit is None else replace(frame, winding_limit=limit, magnet_limit=limit)
    )
    motor, heat = parts(chosen)
    found = lasting_torque(heat, motor, np.array([100.0]))
    rows = operating_rows(heat, motor, np.array([100.0]))
    plain = continuous_torque(rows)
    at_limit = saturated(motor, plain.em_torque, rows.speed, plain.node_temp[:, rows.magnets])
    assert float(found.em_torque[0]) > 1.005 * float(at_limit[0])
    # found once more among the repeating states of a cycle of one segment, a few per cent of rise apart
    result = evaluate(project(segment(10.0, 0.05, 100.0), candidates=(chosen,))).candidates[0]
    assert result.torque_reserve == pytest.approx(float(found.motoring[0]) / 0.05, rel=2e-3)


@pytest.mark.parametrize("speed", [100.0, 560.0])
@pytest.mark.parametrize("of", [bent, built_in], ids=["saturated", "built in"])
def test_supply_pays_shaft_power_and_every_loss(of: object, speed: float) -> None:
    """Two ways to the same power: losses from the heat of the pieces, supply from the currents."""
    chosen: Candidate = of()  # type: ignore[operator]
    result = evaluate(project(segment(10.0, 0.08, speed), candidates=(chosen,))).candidates[0]
    assert result.supply is not None
    assert result.losses is not None
    losses = result.losses
    spent = losses.copper + losses.core_and_bearing + losses.windage + losses.leads_and_switches + losses.idle
    # the flux is followed to 1e-5
    assert result.supply.mean_power == pytest.approx(0.08 * speed + spent, rel=1e-4)
