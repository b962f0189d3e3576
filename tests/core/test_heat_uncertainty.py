"""Bands of heat: independent causes, their squares added, and what sampling says about it."""

from __future__ import annotations

import math
from dataclasses import astuple, replace

import numpy as np
import pytest

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.calibration_figures import StatedHeat, lasting_torques
from core.physics.heat_calibration import FACTOR_NAMES, Calibration, FactorWidths, calibrated
from core.physics.heat_figures import HeatFigures, Mounting, RatedPoint
from core.physics.heat_from_data_sheet import open_network
from core.physics.heat_from_geometry import geometry_network, standstill_resistances
from core.physics.heat_network import HeatNetwork, link_conductance
from core.physics.heat_uncertainty import (
    HOT_SPOT,
    HOT_SPOT_NAME,
    SPEED_LAW_NAME,
    SPEED_LAW_WIDTH,
    HeatSources,
    band,
    heat_sources,
    network_sources,
    varied_network,
)
from core.physics.motor_dimensions import (
    CarryingPlate,
    EnclosedRotor,
    HeatPlace,
    LawFactors,
    OpenRotor,
)
from tests.core.dimensioned_motor import ENCLOSED, FRAME, OPEN, PLATE

SPEEDS = (50.0, 200.0, 400.0, 700.0)


def built(
    factors: LawFactors, variant: OpenRotor | EnclosedRotor = OPEN, carrier: CarryingPlate | None = None
) -> HeatNetwork:
    place = HeatPlace(25.0, carrier=carrier)
    return geometry_network(FRAME, variant, place, factors, highest_speed=1000.0).network


def rated(speed: float, hot_spot: float = HOT_SPOT) -> RatedPoint:
    drag = 0.004 + 1.2e-5 * speed
    return RatedPoint(0.1, speed, 25.0, 130.0 - hot_spot, drag, 0.8 * drag, copper_per_torque_squared=400.0)


def torque_curve(network: HeatNetwork, hot_spot: float) -> FloatArray:
    return lasting_torques(network, tuple(rated(w, hot_spot) for w in SPEEDS)).shaft_torque


@pytest.fixture(scope="module")
def known_motor() -> Calibration:
    truth = built(LawFactors(1.2, 0.8, 1.1, 0.9))
    inner, outer = standstill_resistances(truth, 80.0)
    torque = float(lasting_torques(truth, (rated(400.0),)).shaft_torque[0])
    return calibrated(built, StatedHeat(inner, outer, torques=(replace(rated(400.0), shaft_torque=torque),)))


@pytest.mark.parametrize("lasting", [False, True])
def test_independent_causes_add_up_to_the_covariance(known_motor: Calibration, lasting: bool) -> None:
    found = heat_sources(known_motor, lasting=lasting)
    count = 4 if lasting else 6
    assert [source.name for source in found.sources[count:]] == [SPEED_LAW_NAME, HOT_SPOT_NAME]
    changes = np.array([source.change for source in found.sources[:count]])
    together = changes.T @ changes
    assert together[:count, :count] == pytest.approx(known_motor.covariance[:count, :count], abs=1e-12)
    assert not together[count:].any()


def test_each_cause_is_nearest_to_the_law_whose_name_it_carries(known_motor: Calibration) -> None:
    found = heat_sources(known_motor)
    widths = np.array(astuple(known_motor.posterior_width))
    for k, source in enumerate(found.sources[: widths.size]):
        assert np.argmax(np.abs(source.change / widths)) == k
        assert source.change[k] > 0.0
    assert found.sources[-1].name == HOT_SPOT_NAME
    assert found.sources[-1].hot_spot == 5.0


def test_lining_and_end_windings_make_up_for_each_other(known_motor: Calibration) -> None:
    # a stated resistance holds the sum of both conductances: what one has more the other has less
    lining, ends = FACTOR_NAMES.index("winding_core"), FACTOR_NAMES.index("end_winding")
    assert known_motor.covariance[lining, ends] < 0.0
    assert heat_sources(known_motor).sources[lining].change[ends] < 0.0


def test_effects_of_powers_add_as_squares() -> None:
    """y = surface^a turning^b: one width w moves ln y by a w, so the half widths follow by hand."""
    w = FactorWidths(surface=0.01, turning=0.02)
    sources = network_sources(w, hot_spot_width=0.0)
    found = band(lambda f, spot: np.array([5.0 * f.surface**2 * f.turning**-1.5]), sources)
    # 2 * 1 % and 1.5 * 2 %: sqrt(2^2 + 3^2) = 3.606 % of 5
    assert found.mid.tolist() == [5.0]
    assert found.high - found.mid == pytest.approx(0.18028, rel=0.02)
    assert found.mid - found.low == pytest.approx(0.18028, rel=0.02)
    assert found.effects[:, 0] == pytest.approx([0.1, -0.15, 0.0], rel=1e-3)
    wide = band(lambda f, spot: np.array([5.0 * f.surface**2 * f.turning**-1.5]), sources, coverage=2.0)
    assert wide.high - wide.mid == pytest.approx(2.0 * (found.high - found.mid))


def test_an_uneven_answer_gives_an_uneven_band() -> None:
    # the hot spot adds 3 K per kelvin upwards and 1 K downwards: 15 and 5 for 5 K
    def quantity(factors: LawFactors, spot: float) -> FloatArray:
        return np.array([3.0 * max(spot - HOT_SPOT, 0.0) + min(spot - HOT_SPOT, 0.0)])

    found = band(quantity, network_sources())
    assert (found.low.item(), found.mid.item(), found.high.item()) == (-5.0, 0.0, 15.0)


def test_both_sides_may_point_the_same_way() -> None:
    found = band(lambda f, spot: np.array([(spot - HOT_SPOT) ** 2]), network_sources())
    assert (found.low.item(), found.mid.item(), found.high.item()) == (0.0, 0.0, 25.0)


def test_a_run_away_on_one_side_opens_the_band() -> None:
    def peak(factors: LawFactors, spot: float) -> FloatArray:
        return np.array([np.inf if factors.surface < 0.95 else 100.0 / factors.surface, 7.0])

    found = band(peak, network_sources())
    assert found.high.tolist() == [np.inf, 7.0]
    assert found.low[0] == pytest.approx(100.0 / math.exp(0.15))
    assert found.low[1] == 7.0


def test_a_run_away_in_the_middle_keeps_the_best_case() -> None:
    def peak(factors: LawFactors, spot: float) -> FloatArray:
        return np.array([100.0 if factors.surface > 1.05 else np.inf])

    found = band(peak, network_sources())
    assert (found.low.item(), found.mid.item(), found.high.item()) == (100.0, np.inf, np.inf)


def sampled(sources: HeatSources, calibration: Calibration, count: int) -> FloatArray:
    """Return torque curves of motors drawn from what the calibration leaves open, shape (count, speeds)."""
    rng = np.random.default_rng(20)
    covariance = calibration.covariance.copy()
    covariance[FACTOR_NAMES.index("turning"), FACTOR_NAMES.index("turning")] += SPEED_LAW_WIDTH**2
    logs = rng.multivariate_normal(np.log(astuple(sources.factors)), covariance, count)
    spots = rng.normal(sources.hot_spot, 5.0, count)
    motors = (LawFactors(*np.exp(row).tolist()) for row in logs)
    return np.array(
        [torque_curve(built(factors), max(spot, 0.0)) for factors, spot in zip(motors, spots, strict=True)]
    )


def test_the_band_covers_what_sampling_finds(known_motor: Calibration) -> None:
    """Propagation of distributions by sampling: JCGM 101:2008 (from memory)."""
    sources = heat_sources(known_motor, lasting=True)
    found = band(lambda factors, spot: torque_curve(built(factors), spot), sources)
    drawn = sampled(sources, known_motor, 400)
    # 400 samples know a standard deviation to 1/sqrt(800) = 3.5 %
    assert 0.5 * (found.high - found.low) == pytest.approx(drawn.std(axis=0), rel=0.12)
    inside = ((drawn > found.low) & (drawn < found.high)).mean(axis=0)
    # 68.3 % of a normal distribution, to sqrt(0.68 * 0.32/400) = 2.3 % each
    assert inside == pytest.approx(np.full(len(SPEEDS), 0.683), abs=0.07)


def bent(network: HeatNetwork, change: float) -> HeatNetwork:
    """Return a network whose rotor-driven part has another exponent, the same coefficient at 400 rad/s."""
    assert network.forced is not None
    table = network.forced.conductance
    speed = network.forced.highest * np.linspace(0.0, 1.0, len(table)) ** 2
    bend = (np.maximum(speed, 1e-3) / 400.0) ** change
    # what is there at rest follows another law than a power of the speed
    other = np.where(table[0] == 0.0, table * bend[:, None], table)
    return replace(network, forced=replace(network.forced, conductance=other))


@pytest.mark.parametrize("change", [-0.1, 0.1])
def test_the_band_reaches_over_another_law_of_speed(change: float) -> None:
    """Drawn motors with an exponent that the laws do not have, calibrated at standstill and 300 rad/s."""
    rng = np.random.default_rng(11)
    inside = []
    for _ in range(12):
        logs = np.array(astuple(FactorWidths())) * rng.normal(size=6)
        truth = bent(built(LawFactors(*np.exp(logs).tolist())), change)
        inner, outer = standstill_resistances(truth, 80.0)
        carried = lasting_torques(truth, (rated(300.0),)).shaft_torque[0]
        point = replace(rated(300.0), shaft_torque=float(carried))
        found = heat_sources(calibrated(built, StatedHeat(inner, outer, torques=(point,))), lasting=True)
        two = band(lambda factors, spot: torque_curve(built(factors), spot), found, coverage=2.0)
        wanted = torque_curve(truth, HOT_SPOT)[1:]
        inside.append((two.low[1:] < wanted) & (wanted < two.high[1:]))
    assert np.mean(inside) >= 0.9


def test_a_calibration_narrows_the_band(known_motor: Calibration) -> None:
    def curve(factors: LawFactors, spot: float) -> FloatArray:
        return torque_curve(built(factors), spot)

    before = band(curve, heat_sources(calibrated(built, StatedHeat()), lasting=True))
    after = band(curve, heat_sources(known_motor, lasting=True))
    assert ((after.high - after.low) < 0.6 * (before.high - before.low)).all()


@pytest.mark.parametrize("variant", [OPEN, ENCLOSED], ids=["open", "enclosed"])
@pytest.mark.parametrize("factor", [0.8, 1.3])
def test_varied_surfaces_are_those_of_the_laws(variant: OpenRotor | EnclosedRotor, factor: float) -> None:
    """Two ways to one network: the law made anew with its factor, and its tables multiplied."""
    varied = varied_network(built(LawFactors(), variant, PLATE), surface=factor)
    again = built(LawFactors(surface=factor), variant, PLATE)
    assert varied.by_temperature is not None
    assert again.by_temperature is not None
    own = slice(len(varied.names) - 1)
    assert varied.by_temperature.fixed[:, own] == pytest.approx(again.by_temperature.fixed[:, own], rel=1e-12)
    assert varied.natural[own] == pytest.approx(again.natural[own], rel=1e-12)
    # heat runs along the plate before the air takes it: the last link answers with less than the factor
    plate, anew = ((net.fixed + net.natural)[-1] for net in (varied, again))
    assert plate == pytest.approx(anew, rel=0.1)


@pytest.mark.parametrize("variant", [OPEN, ENCLOSED], ids=["open", "enclosed"])
def test_varied_turning_is_that_of_the_laws(variant: OpenRotor | EnclosedRotor) -> None:
    varied = varied_network(built(LawFactors(), variant), turning=1.2)
    again = built(LawFactors(turning=1.2), variant)
    speed = np.array([0.0, 300.0, 900.0])
    outside = varied.end_b >= len(varied.nodes)
    # the air inside an open motor blends two ways at once, which no factor on the result repeats exactly
    assert link_conductance(varied, speed)[:, outside].sum(axis=1) == pytest.approx(
        link_conductance(again, speed)[:, outside].sum(axis=1), rel=0.02
    )


def test_a_data_sheet_network_keeps_its_plate_and_its_inside() -> None:
    figures = HeatFigures(1.2, 4.0, 18.0, 600.0)
    point = RatedPoint(0.5, 400.0, 25.0, 125.0, 0.03, 0.02, copper_per_torque_squared=60.0)
    network = open_network(figures, point, Mounting(ambient_temp=25.0, plate_share=0.3)).network
    varied = varied_network(network, surface=1.2, turning=0.9)
    # links: winding to stator, stator to air, stator to plate
    assert varied.fixed == pytest.approx(network.fixed * np.array([1.0, 1.2, 1.0]))
    assert varied.natural == pytest.approx(network.natural * np.array([1.0, 1.2, 1.0]))
    assert varied.rotating == pytest.approx(network.rotating * 0.9)
    assert varied_network(network).fixed == pytest.approx(network.fixed)


def test_values_out_of_range_are_refused() -> None:
    network = built(LawFactors())
    with pytest.raises(InputRangeError, match="factor on the surfaces"):
        varied_network(network, surface=0.0)
    with pytest.raises(InputRangeError, match="factor on what the rotor drives"):
        varied_network(network, turning=-1.0)
    with pytest.raises(InputRangeError, match="width of the hot spot"):
        network_sources(hot_spot_width=-1.0)
    with pytest.raises(InputRangeError, match="coverage"):
        band(lambda f, spot: np.zeros(1), network_sources(), coverage=0.0)
