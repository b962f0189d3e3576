"""The heat network from dimensions: single links by hand, whole motors by formulas, what always holds."""

from __future__ import annotations

import re
from dataclasses import replace
from math import log, pi

import numpy as np
import pytest

from core.errors import AmpturnError, InputRangeError
from core.numeric import FloatArray
from core.physics.heat_from_geometry import geometry_network, standstill_resistances
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices
from core.physics.motor_dimensions import (
    CarryingBracket,
    CarryingPlate,
    EnclosedRotor,
    HeatPlace,
    LawFactors,
    OpenRotor,
)
from tests.core.motor_by_hand import BRACKET, ENCLOSED, FRAME, OPEN, PLATE, SIGMA, ByHand, Gas

TOP = 1000.0
ROOM = HeatPlace(25.0)
VARIANTS = pytest.mark.parametrize("variant", [OPEN, ENCLOSED], ids=["open", "enclosed"])


def network_of(
    variant: OpenRotor | EnclosedRotor, place: HeatPlace = ROOM, factors: LawFactors | None = None
) -> HeatNetwork:
    return geometry_network(FRAME, variant, place, factors or LawFactors(), highest_speed=TOP).network


def settled(network: HeatNetwork, heat: tuple[float, ...], speed: float) -> FloatArray:
    """Return the temperatures at which heat flows balance with conductances of the same temperatures."""
    temps = np.full(len(heat), network.sink_temp[0] + 60.0)
    for _ in range(200):
        conductance = link_conductance_at(network, np.array([speed]), temps[None, :])
        matrix, inflow = node_matrices(network, conductance)
        new = np.linalg.solve(matrix[0], inflow[0] + np.array(heat))
        change, temps = float(np.abs(new - temps).max()), new
        if change < 1e-9:
            return temps
    raise AssertionError("not settled")


def link(network: HeatNetwork, name: str) -> int:
    assert name in network.names, network.names
    return network.names.index(name)


def at_usual(network: HeatNetwork, name: str) -> tuple[float, float]:
    i = link(network, name)
    return float(network.fixed[i]), float(network.natural[i])


def driven(network: HeatNetwork, name: str, speed: float) -> float:
    assert network.forced is not None
    return float(network.forced.at(np.array([speed]))[0, link(network, name)])


# ---- whole motors against formulas, scipy finding the temperatures ----


@pytest.mark.parametrize("speed", [0.0, 100.0, 400.0, 900.0])
@pytest.mark.parametrize("place", [
    ROOM,
    HeatPlace(40.0, carrier=PLATE),
    HeatPlace(-10.0, 70000.0, carrier=BRACKET),
    HeatPlace(25.0, 0.0, carrier=PLATE),
], ids=["free", "plate", "bracket, thin air", "vacuum, plate"])  # fmt: skip
@VARIANTS
def test_whole_motor_agrees_with_its_formulas(
    variant: OpenRotor | EnclosedRotor, place: HeatPlace, speed: float
) -> None:
    network = network_of(variant, place)
    # enough for 60 to 90 K at the winding, where the tables are meant to be used
    unit = standstill_resistances(network, 70.0)
    copper = 70.0 / sum(unit)
    heat = (copper, 0.15 * copper, 0.0, 0.05 * copper)[: len(network.nodes)]
    by_hand = ByHand(variant, place, speed).solved(heat)
    difference = settled(network, heat, speed) - by_hand
    print(np.round(by_hand, 2), np.round(difference, 3))
    # Formulas: turning films at their own temperatures, radiation between nodes to the fourth power; the
    # tables have neither. Largest difference found: 0.13 K, at the rotor of the open motor.
    assert np.abs(difference).max() < 0.2


# ---- single links by hand ----


def test_slot_lining_is_area_times_conductance() -> None:
    fixed, natural = at_usual(network_of(OPEN), "winding to core through the slot lining")
    assert fixed == pytest.approx(2.2e-3 * 180.0)
    assert natural == 0.0


def test_magnetic_gap_conducts_and_radiates_whatever_turns() -> None:
    network = network_of(OPEN, HeatPlace(20.0))  # its usual state has all nodes at 80 degC
    fixed, natural = at_usual(network, "core to rotor across the magnetic gap")
    # k/g = 75.69 W/(m2 K) for 0.4 mm at 80 degC: k of air by the CoolProp reference equation; 1.5 % is the
    # tolerance of k. A gap around 19.25 mm conducts 1 + g/(2 r) of it.
    conducted = 75.69062 * (1.0 + 0.4 / (2.0 * 19.25))
    emissivity = 1.0 / (1.0 / 0.8 + 38.5 / 39.3 * (1.0 / 0.8 - 1.0))
    radiated = emissivity * 4.0 * SIGMA * 353.15**3
    assert fixed == pytest.approx(pi * 0.0385 * 0.009 * (conducted + radiated), rel=0.015)
    assert natural == driven(network, "core to rotor across the magnetic gap", TOP) == 0.0


def test_rim_radiates_between_its_two_temperatures() -> None:
    network = network_of(OPEN)
    assert network.by_temperature is not None
    links = network.end_a.size
    fixed, _ = network.by_temperature.at(np.full((1, links), 90.0), np.full((1, links), 25.0))
    # 7.036737 W/(m2 K) for 0.85 between 90 and 25 degC: package ht 1.2.0, q_rad over 65 K
    rim = fixed[0, link(network, "rim of the cup to ambient")]
    assert rim == pytest.approx(7.036737 * pi * 0.045 * 0.0145, rel=5e-4)


def test_face_of_an_open_rotor_is_the_disc_of_von_karman() -> None:
    # 55 degC; Nu = 0.3259 sqrt(Re) at Pr 0.71 (von Karman 1921, energy equation solved), Pr here 0.70
    gas, radius = Gas(55.0, 101325.0), 0.0225
    expected = 0.32586064 * (400.0 * radius**2 / gas.nu) ** 0.5 * gas.k / radius * 0.8 * pi * radius**2
    assert driven(network_of(OPEN), "face of the cup to ambient", 400.0) == pytest.approx(expected, rel=0.01)


def test_rim_of_an_open_rotor_is_the_cylinder_of_becker() -> None:
    gas = Gas(55.0, 101325.0)
    reynolds = 400.0 * 0.045**2 / (2.0 * gas.nu)
    # Becker 1963, 800 < Re < 1e5 (from memory)
    expected = 0.133 * reynolds ** (2 / 3) * gas.Pr ** (1 / 3) * gas.k / 0.045 * pi * 0.045 * 0.0145
    assert driven(network_of(OPEN), "rim of the cup to ambient", 400.0) == pytest.approx(expected, rel=1e-3)


def test_still_gap_to_the_housing_conducts_once_not_twice() -> None:
    fixed, _ = at_usual(network_of(ENCLOSED, HeatPlace(20.0)), "rim of the cup to the housing")
    area, k = pi * 0.045 * 0.0145, 75.69062 * 4e-4  # k of air at 80 degC, as above
    radiated = 4.0 * SIGMA * 353.15**3 / (1.0 / 0.85 + 22.5 / 23.7 * 0.25)
    # Nu = 2 is two films in a row: k/g in all, not 2 k/g
    assert fixed == pytest.approx(area * (k / (0.0225 * log(23.7 / 22.5)) + radiated), rel=0.015)


def test_capacities_are_masses_times_specific_heats() -> None:
    network = network_of(ENCLOSED)
    assert network.capacity == pytest.approx([
        1.15 * 385.0 * 0.018,
        460.0 * 0.030 + 900.0 * 0.020,
        450.0 * 0.040,
        900.0 * 0.040,
    ])  # fmt: skip


# ---- what must hold whatever the numbers ----


@VARIANTS
def test_what_goes_in_comes_out_at_settled_temperatures(variant: OpenRotor | EnclosedRotor) -> None:
    network = network_of(variant, HeatPlace(25.0, carrier=PLATE))
    heat = (9.0, 2.0, 0.0, 0.5)[: len(network.nodes)]
    temps = settled(network, heat, 300.0)
    every = np.append(temps, network.sink_temp)
    conductance = link_conductance_at(network, np.array([300.0]), temps[None, :])[0]
    flow = conductance * (every[network.end_a] - every[network.end_b])
    out = np.zeros(every.size)
    np.add.at(out, network.end_a, flow)
    np.add.at(out, network.end_b, -flow)
    # 1e-6 W over the smallest conductance of a node, some 0.1 W/K, is far below 1e-3 K
    assert out[:-1] == pytest.approx(np.array(heat), abs=1e-6)
    assert -out[-1] == pytest.approx(sum(heat), abs=1e-6)


@VARIANTS
def test_tables_name_each_link_and_hold_at_the_usual_state(variant: OpenRotor | EnclosedRotor) -> None:
    network = network_of(variant, HeatPlace(25.0, carrier=PLATE))
    temps = np.full((1, len(network.nodes)), 85.0)
    at_rest = link_conductance_at(network, np.zeros(1), temps)[0]
    assert network.forced is not None
    still = network.forced.at(np.zeros(1))[0]
    assert at_rest == pytest.approx(network.fixed + np.cbrt(network.natural**3 + still**3), rel=1e-12)
    assert len(set(network.names)) == len(network.names) == network.end_a.size


@VARIANTS
def test_vacuum_leaves_solids_and_radiation(variant: OpenRotor | EnclosedRotor) -> None:
    network = network_of(variant, HeatPlace(25.0, 0.0))
    assert network.forced is not None
    assert not network.natural.any()
    assert not network.forced.conductance.any()
    assert not any("air" in name or "openings" in name for name in network.names)
    fixed, _ = at_usual(network, "core to rotor across the magnetic gap")
    emissivity = 1.0 / (1.0 / 0.8 + 38.5 / 39.3 * 0.25)
    assert fixed == pytest.approx(pi * 0.0385 * 0.009 * emissivity * 4.0 * SIGMA * 358.15**3, rel=1e-3)


@VARIANTS
def test_thin_air_lowers_convection_and_nothing_else(variant: OpenRotor | EnclosedRotor) -> None:
    low, high = network_of(variant), network_of(variant, HeatPlace(25.0, 61640.0))
    assert low.names == high.names
    stirred = np.array(["through the air inside" in name for name in low.names])
    assert high.fixed[~stirred] == pytest.approx(low.fixed[~stirred], rel=1e-12)
    convects = low.natural > 0.0
    assert convects.any()
    assert (high.natural[convects] < 0.9 * low.natural[convects]).all()
    assert low.forced is not None
    assert high.forced is not None
    moved = low.forced.at(np.array([500.0]))[0] > 0.0
    within = moved & ~stirred  # what the openings take from the links inside falls too, so those may rise
    assert (high.forced.at(np.array([500.0]))[0, within] < low.forced.at(np.array([500.0]))[0, within]).all()


@VARIANTS
def test_metal_plate_cools_and_plastic_plate_less(variant: OpenRotor | EnclosedRotor) -> None:
    heat = (5.0, 0.5, 0.0, 0.0)[: 3 if isinstance(variant, OpenRotor) else 4]
    free, plastic, metal = (
        settled(network_of(variant, HeatPlace(25.0, carrier=carrier)), heat, 100.0)[0]
        for carrier in (None, replace(PLATE, conductivity=0.25), PLATE)
    )
    assert metal < plastic
    assert metal < free - 10.0


def test_joint_and_length_of_a_bracket_cost_cooling() -> None:
    heat = (5.0, 0.5, 0.0)
    here, long, loose = (
        settled(network_of(OPEN, HeatPlace(25.0, carrier=bracket)), heat, 0.0)[0]
        for bracket in (BRACKET, replace(BRACKET, length=0.16), replace(BRACKET, joint_resistance=1e-3))
    )
    assert here < min(long, loose)


def test_perfect_bracket_without_air_is_joint_and_bar() -> None:
    black = replace(BRACKET, emissivity=1e-6)
    network = network_of(OPEN, HeatPlace(25.0, 0.0, black))
    # k A / L = 160 * 6e-5 / 0.08 = 0.12 W/K; joint: pi 18^2 mm2 / 2e-4 = 5.0894 W/K
    fixed, natural = at_usual(network, "flange through what carries it to ambient")
    assert fixed == pytest.approx(1.0 / (1.0 / 0.12 + 1.0 / 5.08938), rel=1e-4)
    assert natural == 0.0


def test_open_rotor_leads_at_speed_and_the_lead_grows() -> None:
    copper, iron = 5.0, 0.002  # iron and bearing loss grow with speed
    lead = []
    for speed in (0.0, 50.0, 200.0, 400.0):
        rise = [
            settled(network_of(variant), (copper, iron * speed, 0.0, 0.0)[:count], speed)[0] - 25.0
            for variant, count in ((OPEN, 3), (ENCLOSED, 4))
        ]
        lead.append(rise[1] / rise[0])
    assert lead[2] > 1.0
    assert lead == sorted(lead)


def test_openings_carry_heat_only_while_the_rotor_turns() -> None:
    network = network_of(OPEN)
    name = "end windings to ambient through the openings"
    assert driven(network, name, 0.0) == 0.0
    assert 0.0 < driven(network, name, 100.0) < driven(network, name, 400.0)
    assert name not in network_of(OpenRotor()).names


def test_factors_act_on_their_own_laws() -> None:
    plain = network_of(ENCLOSED, HeatPlace(25.0, carrier=None))
    lining = network_of(ENCLOSED, factors=LawFactors(winding_core=1.5))
    changed = ~np.isclose(lining.fixed, plain.fixed, rtol=1e-12)
    assert [plain.names[i] for i in np.flatnonzero(changed)] == ["winding to core through the slot lining"]
    outer = network_of(ENCLOSED, factors=LawFactors(surface=1.5))
    to_air = plain.end_b == len(plain.nodes)
    assert outer.fixed[to_air] == pytest.approx(1.5 * plain.fixed[to_air])
    assert outer.natural[to_air] == pytest.approx(1.5 * plain.natural[to_air])
    assert outer.fixed[~to_air] == pytest.approx(plain.fixed[~to_air])
    turning = network_of(ENCLOSED, factors=LawFactors(turning=1.5))
    assert turning.fixed == pytest.approx(plain.fixed)
    for name in ("rim of the cup to the housing", "end windings to inside of the cup through the air inside"):
        assert driven(turning, name, 600.0) == pytest.approx(1.5 * driven(plain, name, 600.0))
    stirred = network_of(ENCLOSED, factors=LawFactors(end_winding=2.0))
    name = "end windings to inside of the cup through the air inside"
    assert at_usual(stirred, name)[0] == pytest.approx(2.0 * at_usual(plain, name)[0])
    heavy = network_of(ENCLOSED, factors=LawFactors(winding_capacity=2.0, body_capacity=3.0))
    assert heavy.capacity == pytest.approx(plain.capacity * np.array([2.0, 3.0, 3.0, 3.0]))


def test_outside_and_windage_follow_the_variant() -> None:
    open_motor, enclosed = network_of(OPEN), network_of(ENCLOSED)
    assert (open_motor.nodes[open_motor.outside], open_motor.air) == ("stator core", -1)
    assert enclosed.nodes[enclosed.outside] == enclosed.nodes[enclosed.air] == "housing"


# ---- resistances at rest ----


@VARIANTS
def test_resistances_at_rest_are_what_heating_the_winding_shows(variant: OpenRotor | EnclosedRotor) -> None:
    network = network_of(variant, HeatPlace(25.0, carrier=PLATE))
    found = standstill_resistances(network, 75.0)
    heat = 75.0 / (found.winding_to_housing + found.housing_to_ambient)
    temps = settled(network, (heat, 0.0, 0.0, 0.0)[: len(network.nodes)], 0.0)
    assert temps[0] == pytest.approx(100.0, abs=1e-3)
    assert (temps[0] - temps[network.outside]) / heat == pytest.approx(found.winding_to_housing, rel=1e-5)
    by_hand = ByHand(variant, HeatPlace(25.0, carrier=PLATE), 0.0).solved(
        (heat, 0.0, 0.0, 0.0)[: len(network.nodes)]
    )
    assert by_hand[0] == pytest.approx(100.0, abs=0.05)


def test_resistance_to_ambient_falls_with_the_rise() -> None:
    network = network_of(ENCLOSED)
    cold, hot = (standstill_resistances(network, rise).housing_to_ambient for rise in (20.0, 120.0))
    assert hot < 0.9 * cold


def test_no_rise_of_the_winding_is_refused() -> None:
    with pytest.raises(InputRangeError, match="rise of the winding"):
        standstill_resistances(network_of(OPEN), 0.0)


# ---- findings and refusals ----


def codes(variant: OpenRotor | EnclosedRotor, highest_speed: float, place: HeatPlace = ROOM) -> list[str]:
    found = geometry_network(FRAME, variant, place, highest_speed=highest_speed).findings
    return [finding.code for finding in found if finding.severity != "assumed"]


def test_laws_within_their_ranges_are_not_mentioned() -> None:
    assert codes(OPEN, 800.0) == codes(ENCLOSED, 800.0) == []


def test_each_law_out_of_range_is_one_finding_with_its_number() -> None:
    result = geometry_network(FRAME, OPEN, ROOM, highest_speed=2500.0)
    by_code = {finding.code: finding for finding in result.findings}
    assert len(by_code) == len(result.findings)
    # 2500 * 0.045^2 / (2 nu), nu of air at 55 degC 1.85e-5 m2/s: about 137000, above 1e5 of Becker
    rim = by_code["rim_out_of_range"]
    assert rim.severity == "warning"
    assert rim.values["value"] == pytest.approx(137e3, rel=0.02)
    assert rim.values["high"] == 1e5
    assert "Heat of the turning rim" in str(rim.text)
    # 2500 * 0.01925 m = 48.1 m/s
    assert by_code["end_winding_out_of_range"].values["value_m_s"] == pytest.approx(48.125)
    assert {"magnetic_gap_out_of_range"}.isdisjoint(by_code)


def test_wide_clearance_and_thin_air_are_findings() -> None:
    assert codes(replace(ENCLOSED, face_clearance=0.006), 800.0) == ["face_clearance_out_of_range"]
    assert codes(OPEN, 800.0, HeatPlace(25.0, 500.0)) == ["thin_air_out_of_range"]
    assert codes(OPEN, 800.0, HeatPlace(25.0, 0.0)) == []


def test_air_and_still_convection_beyond_their_laws_are_findings() -> None:
    """Air is known from -60 to 350 degC; a Rayleigh number of 1e12 takes a body of metres."""
    assert codes(OPEN, 800.0, HeatPlace(-80.0)) == ["air_out_of_range"]
    assert "air_out_of_range" in codes(ENCLOSED, 800.0, HeatPlace(340.0))
    assert codes(OPEN, 800.0, HeatPlace(-50.0)) == []
    compressed = HeatPlace(25.0, 101325.0 * 3000.0)  # Ra goes with the square of the pressure
    assert "natural_convection_out_of_range" in codes(OPEN, 800.0, compressed)


def test_what_is_no_length_is_refused_with_its_own_unit() -> None:
    for name, unit in (("rotor_length", "m"), ("copper_mass", "kg"), ("slot_wall_area", "m^2")):
        words = f"{name.replace('_', ' ')} must be > 0, got 0 {unit}"
        with pytest.raises(InputRangeError, match=f"^{re.escape(words)}$"):
            replace(FRAME, **{name: 0.0})
    with pytest.raises(InputRangeError, match=r"got 0 W/K$"):
        replace(ENCLOSED, flange_contact=0.0)


@pytest.mark.parametrize(("change", "words"), [
    ({"yoke_diameter": 0.04}, "yoke diameter must be below the stator diameter"),
    ({"rotor_diameter": 0.039}, "stator diameter with the gap must be below the rotor diameter"),
    ({"rotor_diameter": 0.049}, "rotor diameter with its gap must be below the diameter of the housing"),
    ({"rotor_length": 0.0235}, "rotor length with its clearance must be below the length of the housing"),
])  # fmt: skip
def test_parts_that_do_not_fit_are_refused(change: dict[str, float], words: str) -> None:
    with pytest.raises(InputRangeError, match=words):
        geometry_network(replace(FRAME, **change), ENCLOSED, ROOM, highest_speed=TOP)


def test_other_impossible_input_is_refused_by_name() -> None:
    with pytest.raises(InputRangeError, match="radius of the openings"):
        network_of(OpenRotor(opening_share=0.1, opening_radius=0.03))
    with pytest.raises(InputRangeError, match="side of the carrying plate"):
        network_of(OPEN, HeatPlace(25.0, carrier=CarryingPlate(160.0, 0.03, 0.005)))
    with pytest.raises(InputRangeError, match="length of the bracket"):
        network_of(OPEN, HeatPlace(25.0, carrier=CarryingBracket(160.0, 1e-4, 0.0, 0.04)))
    for speed in (0.0, float("nan"), float("inf")):
        with pytest.raises(AmpturnError, match="highest tabulated speed"):
            geometry_network(FRAME, OPEN, ROOM, highest_speed=speed)
