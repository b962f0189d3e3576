"""A motor behind a guard or in a box: limits, energy balance, walls by hand, an independent solution."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.closed_box import ClosedBox, box_capacity, box_wall_conductance
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.physics.enclosing_walls import through_wall
from core.physics.heat_from_geometry import geometry_network
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices, settled_at
from core.physics.motor_dimensions import CarryingPlate, FrameDimensions, HeatPlace, OpenRotor
from core.physics.rotor_guard import (
    RotorGuard,
    draught_conductance,
    driven_conductance,
    guard_wall_conductance,
    screen_openness,
)
from core.physics.surroundings import behind_guard, in_box

SEA = 101325.0
AMBIENT = 25.0
SIGMA = 5.670374419e-8
PLASTIC_BOX = ClosedBox(0.3, 0.25, 0.2, 0.003, 0.2)


def open_motor(other_sink: bool = False) -> HeatNetwork:
    """Winding, stator on a plate, rotor: the rotor ventilated, the flange not."""
    return HeatNetwork(
        nodes=("winding", "stator", "rotor"),
        capacity=np.array([15.0, 60.0, 70.0]),
        sinks=("ambient air", "machine frame") if other_sink else ("ambient air",),
        sink_temp=np.array([AMBIENT, 30.0] if other_sink else [AMBIENT]),
        end_a=np.array([0, 1, 2, 1]),
        end_b=np.array([1, 2, 3, 4 if other_sink else 3]),
        fixed=np.array([0.8, 0.15, 0.06, 0.1]),
        natural=np.array([0.0, 0.0, 0.05, 0.05]),
        rotating=np.array([0.0, 0.0, 0.012, 0.0]),
        exponent=np.array([0.6, 0.6, 0.6, 0.6]),
        winding=0,
        core=1,
        magnets=2,
        outside=1,
    )


def with_tables(network: HeatNetwork) -> HeatNetwork:
    """Return the same motor with tables whose columns the laws themselves fill."""
    speed = 500.0 * np.linspace(0.0, 1.0, 101) ** 2
    difference = (0.25 * np.arange(65)) ** 2
    mean = -40.0 + 5.0 * np.arange(60)
    growth = (difference / 20.0) ** 0.25
    warmth = ((mean + 273.15) / 318.15) ** 3
    fixed = np.tile(network.fixed, (60, 1))
    fixed[:, 2] *= warmth
    return replace(
        network,
        forced=ForcedTable(500.0, network.rotating * speed[:, None] ** network.exponent),
        by_temperature=TemperatureTable(-40.0, 5.0, fixed, 0.25, network.natural * growth[:, None]),
        rotating=np.zeros(4),
    )


def airless(network: HeatNetwork) -> HeatNetwork:
    """Return the motor in vacuum: nothing but its fixed parts."""
    return replace(network, natural=np.zeros(4), rotating=np.zeros(4))


def steady(network: HeatNetwork, speed: float, heat: FloatArray) -> FloatArray:
    """Return steady temperatures under the laws at those temperatures."""
    temps = np.full(len(network.nodes), AMBIENT + 30.0)
    for _ in range(200):
        conductance = link_conductance_at(settled_at(network, temps), np.array([speed]), temps[None, :])
        matrix, inflow = node_matrices(network, conductance)
        new = np.linalg.solve(matrix[0], inflow[0] + heat)
        if np.abs(new - temps).max() < 1e-10:
            return new
        temps = 0.5 * (temps + new)
    raise AssertionError("no steady state")


def motor_heat(network: HeatNetwork, winding: float = 8.0, core: float = 2.0) -> FloatArray:
    heat = np.zeros(len(network.nodes))
    heat[:2] = winding, core
    return heat


def to_sinks(network: HeatNetwork, speed: float, temps: FloatArray) -> float:
    """Return what all links give to the sinks. [W]"""
    conductance = link_conductance_at(network, np.array([speed]), temps[None, :])[0]
    every = np.append(temps, network.sink_temp)
    flow = conductance * (every[network.end_a] - every[network.end_b])
    outward = (network.end_b >= len(network.nodes)).astype(float)
    return float(flow @ outward)


def winding_temp(network: HeatNetwork, speed: float) -> float:
    return float(steady(network, speed, motor_heat(network))[0])


# walls


def test_grey_wall_in_vacuum_is_the_formula_of_two_grey_steps() -> None:
    # Radiosity inside to face, face to ambient, solved on fourth powers: q = sigma (T1^4 - T0^4) / r,
    # r = (1 - e)/e + 1/e (Mills, network of surface and space resistances, from memory).
    e, hot, cold = 0.4, 380.0, 293.15
    q = SIGMA * (hot**4 - cold**4) / ((1.0 - e) / e + 1.0 / e)
    got = through_wall(np.array([hot - cold]), cold - 273.15, 0.0, e, None)
    assert got[0] == pytest.approx(q / (hot - cold), rel=1e-7)


def test_wall_with_constant_films_by_hand() -> None:
    # 1/5 + 0.01/0.1 + 1/5 = 0.5 m2 K/W; emissivity so small that radiation is nothing
    film = 5.0
    got = through_wall(np.array([10.0, 40.0]), 20.0, 0.1, 1e-9, lambda face, air: np.full_like(face, film))
    assert got == pytest.approx([2.0, 2.0], rel=1e-7)


def test_heat_through_a_wall_is_the_same_at_every_face() -> None:
    """Another solver finds both faces; the law of the films is Churchill and Chu written out here."""

    def film(face: float, air: float, height: float) -> float:
        mean = 0.5 * (face + air) + 273.15
        viscosity = 1.458e-6 * mean**1.5 / (mean + 110.4)
        k = 2.64638e-3 * mean**1.5 / (mean + 245.4 * 10.0 ** (-12.0 / mean))
        pr, nu = viscosity * 1007.0 / k, viscosity * 287.055 * mean / SEA
        ra = 9.80665 / mean * abs(face - air) * height**3 * pr / nu**2
        # Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 (from memory)
        nu_l = (0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2
        return float(k / height * nu_l)

    def lost(face: float, air: float, height: float) -> float:
        radiated = 0.85 * SIGMA * ((face + 273.15) ** 4 - (air + 273.15) ** 4)
        return film(face, air, height) * (face - air) + radiated

    inside, height, slab = 60.0, 4.0, 0.015

    def imbalance(inner: float) -> float:
        outer = inner + slab * lost(inner, inside, height)  # what enters the inner face crosses the slab
        return lost(outer, AMBIENT, height) + lost(inner, inside, height)

    inner = brentq(imbalance, 26.0, 59.9, xtol=1e-12)
    expected = -lost(inner, inside, height) / (inside - AMBIENT)
    tall = ClosedBox(1e-4, 1.0, height, 0.003, 0.2)  # hardly any lid
    got = box_wall_conductance(tall, np.array([inside - AMBIENT]), AMBIENT, SEA)[0]
    assert got / tall.side_area == pytest.approx(expected, rel=2e-4)


def test_openness_has_both_ends() -> None:
    assert screen_openness(0.0) == 0.0
    assert screen_openness(1.0) == math.inf
    shares = [screen_openness(s) for s in np.linspace(0.0, 0.99, 50)]
    assert (np.diff(shares) > 0.0).all()


def test_flow_through_a_guard_by_hand() -> None:
    # half open: openness 0.5; guard 0.1 m, area pi (0.1 * 0.05 + 0.05^2) = 0.023562 m2; rim at 12 m/s
    # 1.184 kg/m3 * 1007 J/(kg K) * 0.011781 m2 * 0.15 * 12 / sqrt2 * 0.5 = 8.94 W/K
    guard = RotorGuard(0.5, 0.08, 0.04, 0.01)
    assert driven_conductance(guard, 300.0, AMBIENT, SEA) == pytest.approx(8.94, rel=2e-3)
    # draught at 30 K: sqrt(9.80665 * 0.05 * 30 / 298.15) = 0.22212 m/s,
    # 1192.2 J/(m3 K) * 0.011781 m2 * 0.22212 m/s * 0.5 = 1.560 W/K
    assert draught_conductance(guard, np.array([30.0]), AMBIENT, SEA)[0] == pytest.approx(1.560, rel=2e-3)
    assert driven_conductance(guard, 300.0, AMBIENT, 0.0) == 0.0


# box


@pytest.mark.parametrize("make", [open_motor, lambda: with_tables(open_motor())])
@pytest.mark.parametrize("speed", [0.0, 300.0])
def test_box_balances_and_a_huge_one_is_free_air(make: object, speed: float) -> None:
    network = make()  # type: ignore[operator]
    boxed = in_box(network, PLASTIC_BOX, SEA)
    assert boxed.nodes[-1] == "air in the box"
    temps = steady(boxed, speed, motor_heat(boxed))
    assert to_sinks(boxed, speed, temps) == pytest.approx(10.0, rel=1e-8)
    free = winding_temp(network, speed)
    assert temps[0] > free + 3.0
    huge = in_box(network, ClosedBox(100.0, 100.0, 100.0, 0.001, 200.0), SEA)
    assert winding_temp(huge, speed) == pytest.approx(free, abs=0.01)


def test_box_agrees_with_the_equations_written_out_and_solved_by_others() -> None:
    """Steady root by brentq and the course by solve_ivp; only the wall's conductance is taken over."""
    network = open_motor()
    box = replace(PLASTIC_BOX, other_heat=5.0)
    boxed = in_box(network, box, SEA)
    speed = 200.0
    surface = 0.06 + (0.05**3 + (0.012 * speed**0.6) ** 3) ** (1 / 3)

    def wall(air: float) -> float:
        return float(box_wall_conductance(box, np.array([air - AMBIENT]), AMBIENT, SEA)[0])

    air = brentq(lambda t: wall(t) * (t - AMBIENT) - 15.0, AMBIENT + 0.1, 200.0)
    # plate 0.15 W/K and rotor surface in parallel beyond the gap of 0.15 W/K; 8 W through 0.8 W/K
    rotor_way = 1.0 / (1.0 / 0.15 + 1.0 / surface)
    stator = air + 10.0 / (0.15 + rotor_way)
    expected = [stator + 8.0 / 0.8, stator, air + (stator - air) * rotor_way / surface, air]
    got = steady(boxed, speed, motor_heat(boxed))
    assert got == pytest.approx(expected, abs=0.05)  # the table of the wall

    def rates(_: float, t: FloatArray) -> FloatArray:
        w, s, r, a = t
        heat = [8.0 - 0.8 * (w - s), 2.0 + 0.8 * (w - s) - 0.15 * (s - r) - 0.15 * (s - a)]
        heat.append(0.15 * (s - r) - surface * (r - a))
        heat.append(5.0 + 0.15 * (s - a) + surface * (r - a) - wall(a) * (a - AMBIENT))
        rate: FloatArray = np.array(heat) / boxed.capacity
        return rate

    run = solve_ivp(rates, (0.0, 2e4), np.full(4, AMBIENT), method="LSODA", rtol=1e-8, atol=1e-8)
    assert run.y[:, -1] == pytest.approx(got, abs=0.05)


def test_thicker_walls_are_hotter() -> None:
    temps = [
        winding_temp(
            in_box(open_motor(), replace(PLASTIC_BOX, wall_thickness=t, wall_conductivity=0.04), SEA), 0.0
        )
        for t in (0.001, 0.01, 0.05, 0.2)
    ]
    assert (np.diff(temps) > 1.0).all()


def test_other_heat_raises_everything_by_heat_times_resistance() -> None:
    # insulation so thick that the films do not count: R = thickness / (k A)
    foam = ClosedBox(0.3, 0.3, 0.3, 0.2, 0.02)
    resistance = 0.2 / (0.02 * (4 * 0.09 + 0.09))
    without = steady(in_box(open_motor(), foam, SEA, highest_temp=900.0), 0.0, np.array([0.4, 0.0, 0.0, 0.0]))
    boxed = in_box(open_motor(), replace(foam, other_heat=0.5), SEA, highest_temp=900.0)
    rise = steady(boxed, 0.0, np.array([0.4, 0.0, 0.0, 0.0])) - without
    assert rise == pytest.approx(np.full(4, 0.5 * resistance), rel=0.03)
    assert boxed.heat is not None
    assert boxed.heat.tolist() == [0.0, 0.0, 0.0, 0.5]


def test_windage_and_ends_go_to_the_air_in_the_box() -> None:
    network = open_motor(other_sink=True)
    boxed = in_box(network, PLASTIC_BOX, SEA)
    assert boxed.air == 3
    assert boxed.end_a.tolist() == [0, 1, 2, 1, 3]
    assert boxed.end_b.tolist() == [1, 2, 3, 5, 4]  # the machine frame leaves the box as it was
    assert in_box(replace(network, air=1), PLASTIC_BOX, SEA).air == 1
    assert boxed.names[-1] == "walls of the box"
    assert len(boxed.names) == 5


def test_box_in_vacuum_only_radiates() -> None:
    difference = np.array([50.0])
    plastic = replace(PLASTIC_BOX, wall_thickness=1e-9)
    area = 2 * (0.3 + 0.25) * 0.2 + 0.3 * 0.25
    hot, cold = 75.0 + 273.15, 25.0 + 273.15
    expected = area * SIGMA * (hot**4 - cold**4) / 50.0 / (2.0 / 0.85 - 1.0)
    assert box_wall_conductance(plastic, difference, AMBIENT, 0.0)[0] == pytest.approx(expected, rel=1e-6)
    # only half of the walls' capacity is left
    assert box_capacity(PLASTIC_BOX, AMBIENT, 0.0) == pytest.approx(0.5 * 2e6 * area * 0.003)


# guard


def guard(share: float) -> RotorGuard:
    return RotorGuard(share, 0.08, 0.03, 0.01)


@pytest.mark.parametrize("make", [open_motor, lambda: with_tables(open_motor())])
@pytest.mark.parametrize("pressure", [SEA, 60000.0, 0.0])
@pytest.mark.parametrize("speed", [0.0, 100.0, 400.0])
def test_guard_lies_between_a_closed_cap_and_the_free_motor(
    make: object, pressure: float, speed: float
) -> None:
    network = make() if pressure > 0.0 else airless(open_motor())  # type: ignore[operator]
    free = winding_temp(network, speed)
    assert behind_guard(network, guard(1.0), pressure) is network
    shares = [0.0, 0.02, 0.1, 0.3, 0.6, 0.9, 0.99, 0.9999, 1.0]
    temps = [winding_temp(behind_guard(network, guard(s), pressure), speed) for s in shares]
    assert (np.diff(temps) < 1e-6).all()
    assert temps[0] > free + 0.5
    assert temps[-2] == pytest.approx(free, abs=0.15)


def test_closed_cap_has_one_way_out_and_balances() -> None:
    network = open_motor()
    capped = behind_guard(network, guard(0.0), SEA)
    assert capped.nodes[-1] == "air behind the guard"
    assert capped.names[-1] == "wall of the guard"
    temps = steady(capped, 300.0, motor_heat(capped))
    assert to_sinks(capped, 300.0, temps) == pytest.approx(10.0, rel=1e-8)
    # flange and plate stay in the free air
    assert (capped.end_a[3], capped.end_b[3]) == (1, 4)
    # what leaves the rotor passes the wall: G of the wall at its own difference, by the function itself
    wall = guard_wall_conductance(guard(0.0), np.array([temps[3] - AMBIENT]), AMBIENT, SEA)[0]
    surface = 0.06 + (0.05**3 + (0.012 * 300.0**0.6) ** 3) ** (1 / 3)
    assert wall * (temps[3] - AMBIENT) == pytest.approx(surface * (temps[2] - temps[3]), rel=5e-3)


def test_radiation_through_the_open_share_goes_straight_out() -> None:
    half = behind_guard(open_motor(), guard(0.5), SEA)
    straight = half.names.index("rotor to ambient air, past the guard")
    assert half.names[2] == "rotor to air behind the guard"
    assert half.fixed[2] == pytest.approx(0.03)
    assert half.fixed[straight] == pytest.approx(0.03)
    assert (half.end_a[straight], half.end_b[straight]) == (2, 4)
    assert half.natural[straight] == 0.0
    assert half.rotating[straight] == 0.0


@pytest.mark.parametrize("pressure", [SEA, 0.0])
def test_motor_from_dimensions_lies_between_cap_and_free_air_too(pressure: float) -> None:
    frame = FrameDimensions(0.04, 0.022, 0.012, 5e-4, 0.004, 1.2e-3, 250.0, 0.047, 0.016, 0.035, 0.03, 0.06,
                            0.04, 0.06)  # fmt: skip
    place = HeatPlace(AMBIENT, pressure, CarryingPlate(160.0, 0.07, 0.002))
    network = geometry_network(frame, OpenRotor(0.3, 0.012), place, highest_speed=800.0).network
    shares = (0.0, 0.05, 0.3, 0.8, 0.999, 1.0)
    temps = [
        winding_temp(behind_guard(network, RotorGuard(s, 0.047, 0.016, 0.01), pressure), 300.0)
        for s in shares
    ]
    assert (np.diff(temps) < 1e-6).all()
    assert temps[0] > temps[-1] + 1.0
    half = behind_guard(network, RotorGuard(0.5, 0.047, 0.016, 0.01), pressure)
    free_ends = {name for name, end in zip(half.names, half.end_b, strict=True) if end == 4}
    assert {"flange to ambient", "flange through what carries it to ambient"} <= free_ends
    assert "rim of the cup to air behind the guard" in half.names
    huge = in_box(network, ClosedBox(100.0, 100.0, 100.0, 0.001, 200.0), pressure)
    assert winding_temp(huge, 300.0) == pytest.approx(temps[-1], abs=0.02)


def test_what_goes_through_the_mounting_stays_outside() -> None:
    """A data-sheet motor has one link for motor and plate; the plate's part is told."""
    lumped = HeatNetwork(
        nodes=("winding", "stator"), capacity=np.array([15.0, 100.0]), sinks=("ambient air",),
        sink_temp=np.array([AMBIENT]), end_a=np.array([0, 1]), end_b=np.array([1, 2]),
        fixed=np.array([0.8, 0.2]), natural=np.array([0.0, 0.06]), rotating=np.array([0.0, 0.01]),
        exponent=np.array([0.6, 0.6]), winding=0, core=1, magnets=1, outside=1,
    )  # fmt: skip
    told = behind_guard(lumped, guard(0.0), SEA, staying=np.array([0.0, 0.15]))
    assert told.fixed[:3] == pytest.approx([0.8, 0.05, 0.15])
    assert told.end_b[:3].tolist() == [1, 2, 3]
    assert winding_temp(told, 300.0) < winding_temp(behind_guard(lumped, guard(0.0), SEA), 300.0)
    with pytest.raises(InputRangeError, match="through the mounting"):
        behind_guard(lumped, guard(0.0), SEA, staying=np.array([0.0, 0.25]))


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputRangeError, match='called "mist"'):
        in_box(open_motor(), PLASTIC_BOX, SEA, sink="mist")
    with pytest.raises(InputRangeError, match="open share of the guard"):
        RotorGuard(1.2, 0.08, 0.03, 0.01)
    with pytest.raises(InputRangeError, match="width of the box"):
        replace(PLASTIC_BOX, width=0.0)
    with pytest.raises(InputRangeError, match="emissivity of the box"):
        replace(PLASTIC_BOX, emissivity=0.0)
    with pytest.raises(InputRangeError, match="reach of the table"):
        in_box(open_motor(), PLASTIC_BOX, SEA, highest_temp=20.0)
