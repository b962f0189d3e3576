"""Networks from data-sheet figures: capacities, self-ventilation, mounting, refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import AmpturnError, InputRangeError
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_figures import HeatFigures, Mounting, RatedPoint, RotorFigures
from core.physics.heat_from_data_sheet import CoolingContradictionError, enclosed_network, open_network
from core.physics.heat_network import HeatNetwork, link_conductance
from core.physics.heat_pieces import CopperLaw
from core.physics.operating_heat import operating_heat

FIGURES = HeatFigures(
    winding_to_housing=1.2, housing_to_ambient=4.0, winding_time_constant=18.0, motor_time_constant=600.0
)
LAW = CopperLaw(magnet_temp_coefficient=-0.0011)
RATED = RatedPoint(
    shaft_torque=0.5,
    speed=400.0,
    ambient_temp=25.0,
    winding_limit=125.0,
    drag_torque=0.03,
    core_drag_torque=0.02,
    copper_per_torque_squared=60.0,
    copper_law=LAW,
)
HERE = Mounting(ambient_temp=25.0)
ROTOR = RotorFigures(core_to_rotor=9.0, capacity=70.0, rotor_to_ambient=12.0)


def rated_torque(network: HeatNetwork, rated: RatedPoint = RATED) -> float:
    limit = np.full(len(network.nodes), np.inf)
    limit[network.winding] = rated.winding_limit
    fixed = np.zeros((1, len(network.nodes)))
    fixed[0, network.core] = rated.core_drag_torque * rated.speed
    heat = operating_heat(
        network,
        np.array([rated.speed]),
        limit=limit,
        copper_per_torque_squared=rated.copper_per_torque_squared,
        drag_torque=rated.drag_torque,
        fixed_heat=fixed,
        copper_law=rated.copper_law,
    )
    return float(continuous_torque(heat).motoring[0])


def to_air(network: HeatNetwork, speed: float) -> float:
    surface = network.end_b >= len(network.nodes)
    return float(link_conductance(network, np.array([speed]))[0, surface].sum())


def codes(findings: object) -> set[str]:
    assert isinstance(findings, tuple)
    return {finding.code for finding in findings}


def test_capacities_follow_from_the_time_constants() -> None:
    network = enclosed_network(FIGURES, HERE).network
    # 18 s/1.2 K/W = 15 J/K; 600 s/4 K/W = 150 J/K for both
    assert network.capacity == pytest.approx([15.0, 135.0])
    assert network.nodes == ("winding", "housing")
    assert network.air == network.core == network.magnets == 1
    assert to_air(network, 0.0) == to_air(network, 900.0) == pytest.approx(0.25)


def test_open_motor_carries_exactly_its_rated_torque() -> None:
    for rotor in (None, ROTOR):
        network = open_network(FIGURES, RATED, HERE, rotor).network
        assert rated_torque(network) == pytest.approx(0.5, rel=1e-9)
        assert network.air == -1


def test_strength_of_two_nodes_agrees_with_the_balance_by_hand() -> None:
    """At the limit the copper loss crosses R_wh, so the stator temperature and its cooling are known."""
    law = CopperLaw()
    network = open_network(FIGURES, replace(RATED, copper_law=law), HERE).network
    copper = 60.0 * 0.53**2 * 360.0 / 260.0
    stator = 125.0 - 1.2 * copper
    needed = (copper + 0.02 * 400.0) / (stator - 25.0)
    strength = (((needed - 0.125) ** 3 - 0.125**3) ** (1.0 / 3.0)) / 400.0**0.6
    assert to_air(network, 400.0) == pytest.approx(needed, rel=1e-9)
    assert network.rotating == pytest.approx([0.0, strength], rel=1e-9)


def test_stated_torque_below_what_standstill_cooling_carries_is_refused_with_numbers() -> None:
    with pytest.raises(CoolingContradictionError, match="less cooling") as caught:
        open_network(FIGURES, replace(RATED, shaft_torque=0.2), HERE)
    error = caught.value
    assert isinstance(error, AmpturnError)
    assert error.rated_torque == 0.2
    # what the unventilated network carries at the rated speed
    still = enclosed_network(FIGURES, HERE).network
    assert error.standstill_torque == pytest.approx(rated_torque(still), rel=1e-9)
    assert f"{error.standstill_torque:.4g}" in str(error)


def test_stated_torque_beyond_endless_cooling_is_refused_with_numbers() -> None:
    with pytest.raises(CoolingContradictionError, match="no cooling of the surface") as caught:
        open_network(FIGURES, replace(RATED, shaft_torque=2.0, copper_law=CopperLaw()), HERE)
    # stator held at 25 degC: 100 K over 1.2 K/W
    endless = np.sqrt(100.0 / 1.2 / (60.0 * 360.0 / 260.0)) - 0.03
    assert caught.value.unlimited_torque == pytest.approx(endless, rel=1e-4)


def test_project_ambient_does_not_touch_the_calibration() -> None:
    cool = open_network(FIGURES, RATED, HERE).network
    warm = open_network(FIGURES, RATED, Mounting(ambient_temp=60.0)).network
    assert np.array_equal(cool.rotating, warm.rotating)
    assert rated_torque(warm) < 0.5
    # rated at 40 degC it needs more cooling for the same torque
    hotter = open_network(FIGURES, replace(RATED, ambient_temp=40.0), HERE).network
    assert hotter.rotating[1] > cool.rotating[1]


def test_mounting_replaces_the_resistance_but_not_the_capacities() -> None:
    here = Mounting(ambient_temp=25.0, housing_to_ambient=2.5)
    built = open_network(FIGURES, RATED, here)
    assert to_air(built.network, 0.0) == pytest.approx(0.4)
    assert built.network.capacity == pytest.approx([15.0, 135.0])
    # the plate changes the conduction: the natural half of 1/4 W/K stays
    assert built.network.natural[1] == pytest.approx(0.125)
    assert "mounting_replaces_data_sheet" in codes(built.findings)
    poor = Mounting(ambient_temp=25.0, housing_to_ambient=9.0)
    with pytest.raises(InputRangeError, match="at most 8 K/W"):
        open_network(FIGURES, RATED, poor)
    # an enclosed motor has no cooling that depends on the split
    assert to_air(enclosed_network(FIGURES, poor).network, 0.0) == pytest.approx(1.0 / 9.0)


def test_plate_is_a_sink_of_its_own() -> None:
    here = Mounting(ambient_temp=25.0, plate_share=0.2, plate_temp=45.0)
    built = open_network(FIGURES, RATED, here)
    network = built.network
    assert network.sinks == ("ambient air", "mounting plate")
    assert network.sink_temp.tolist() == [25.0, 45.0]
    assert to_air(network, 0.0) == pytest.approx(0.25)
    assert network.fixed[2] == pytest.approx(0.05)
    assert network.rotating[2] == 0.0
    assert rated_torque(network) < 0.5
    assert "plate_share_assumed" in codes(built.findings)
    with pytest.raises(InputRangeError, match="share of heat into the plate"):
        enclosed_network(FIGURES, replace(here, plate_share=0.6))


def test_thin_air_weakens_convection_alone() -> None:
    sea = open_network(FIGURES, RATED, HERE, ROTOR).network
    high = open_network(FIGURES, RATED, Mounting(25.0, convection_factor=0.8), ROTOR).network
    assert np.array_equal(high.fixed, sea.fixed)
    assert high.natural == pytest.approx(0.8 * sea.natural)
    assert high.rotating == pytest.approx(0.8 * sea.rotating)


def test_rotor_figures_give_the_magnets_a_node() -> None:
    built = enclosed_network(FIGURES, HERE, RotorFigures(core_to_rotor=9.0, capacity=70.0))
    assert built.network.nodes == ("winding", "housing", "rotor")
    assert built.network.magnets == 2
    assert "magnet_node_assumed" not in codes(built.findings)
    assert "magnet_node_assumed" in codes(enclosed_network(FIGURES, HERE).findings)


def test_findings_say_what_was_used_and_assumed() -> None:
    built = open_network(FIGURES, RATED, HERE)
    found = {finding.code: finding for finding in built.findings}
    assert found["surface_split_assumed"].severity == "assumed"
    assert found["surface_split_assumed"].values == {"fixed_share": 0.5}
    assert found["heat_figures_used"].values["housing_capacity_J_per_K"] == pytest.approx(135.0)
    assert found["ventilation_from_rated_torque"].values["conductance_rated_speed_W_K"] == pytest.approx(
        to_air(built.network, 400.0)
    )
    assert "surface_split_assumed" not in codes(open_network(FIGURES, RATED, HERE, fixed_share=0.5).findings)


def test_time_constants_of_the_network_differ_from_the_stated_ones() -> None:
    found = {f.code: f for f in enclosed_network(FIGURES, HERE).findings}["time_constants_of_network"].values
    # roots of s^2 - s (1/18 + (1/1.2 + 1/4)/135) + 1/(18*135*4) with 1/R_wh/C_w = 1/18
    rates = np.roots([1.0, -(1.0 / 18.0 + (1.0 / 1.2 + 0.25) / 135.0), 0.25 / 135.0 / 18.0])
    assert [found["motor_network_s"], found["winding_network_s"]] == pytest.approx(sorted(1.0 / rates)[::-1])
    assert found["motor_stated_s"] == 600.0
    assert 1.0 < found["motor_network_s"] / 600.0 < 1.3
    assert 0.7 < found["winding_network_s"] / 18.0 < 1.0


def test_rated_torque_of_an_enclosed_motor_is_a_check() -> None:
    own = rated_torque(enclosed_network(FIGURES, HERE).network, replace(RATED, core_drag_torque=0.03))
    rated = replace(RATED, shaft_torque=own)
    found = {f.code: f for f in enclosed_network(FIGURES, HERE, rated=rated).findings}["rated_torque_check"]
    # windage stays inside the housing, so that all the drag heats it
    assert found.values["predicted_Nm"] == pytest.approx(own, rel=1e-9)
    assert found.severity == "note"
    high = enclosed_network(FIGURES, HERE, rated=replace(RATED, shaft_torque=2.0 * own))
    assert {f.code: f for f in high.findings}["rated_torque_check"].severity == "warning"


@given(st.floats(0.35, 0.75), st.floats(100.0, 900.0), st.floats(0.0, 1.0))
def test_every_feasible_rating_is_met(torque: float, speed: float, share: float) -> None:
    rated = replace(RATED, shaft_torque=torque, speed=speed)
    # its own fixed and natural parts without turning say what standstill cooling carries
    standing = rated_torque(enclosed_network(FIGURES, HERE).network, rated)
    if torque < standing:
        with pytest.raises(CoolingContradictionError, match="less cooling"):
            open_network(FIGURES, rated, HERE, fixed_share=share)
    else:
        network = open_network(FIGURES, rated, HERE, fixed_share=share).network
        assert rated_torque(network, rated) == pytest.approx(torque, rel=1e-8)


def test_bad_figures_name_the_quantity() -> None:
    with pytest.raises(InputRangeError, match="time constant of the motor must be > 60 s"):
        HeatFigures(1.2, 4.0, 18.0, 60.0)
    with pytest.raises(InputRangeError, match="winding to housing"):
        HeatFigures(0.0, 4.0, 18.0, 600.0)
    with pytest.raises(InputRangeError, match="core to rotor"):
        RotorFigures(-1.0, 10.0)
    with pytest.raises(InputRangeError, match="rated winding limit"):
        replace(RATED, winding_limit=20.0)
    with pytest.raises(InputRangeError, match="heats the core"):
        replace(RATED, core_drag_torque=0.04)
    with pytest.raises(InputRangeError, match="rated speed"):
        replace(RATED, speed=0.0)
    with pytest.raises(InputRangeError, match="radiation and conduction"):
        enclosed_network(FIGURES, HERE, fixed_share=1.5)
    with pytest.raises(InputRangeError, match="ambient"):
        Mounting(ambient_temp=float("nan"))
    with pytest.raises(InputRangeError, match="convection factor"):
        Mounting(25.0, convection_factor=-0.1)
