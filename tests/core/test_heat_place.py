"""Altitude, vacuum, plate, bracket, guard and box of a project change the heat of a candidate."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import brentq

from core.evaluate import evaluate
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.heat_place import carrier, flange_diameter, heat_place, place_pressure
from core.evaluation.motor_model import motor_model
from core.physics.closed_box import ClosedBox, box_wall_conductance
from core.physics.data_sheet_mounting import carrier_conductance, convection_factor
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices, settled_at
from core.physics.motor_dimensions import CarryingBracket, CarryingPlate, HeatPlace
from core.project.application import Requirements, Site
from core.project.motor import DataSheetHeat, HeatLink, HeatNode, NetworkHeat, VariantKind
from core.project.mounting import Box, Bracket, Guard, Mounting, Plate
from tests.core.projects import candidate, project, segment, sheet_motor

STATED = Plate(side=0.07, thickness=0.002)
BOX = Box(width=0.3, depth=0.25, height=0.2)


def model(site: Site, kind: VariantKind = "enclosed", plate: Plate | None = STATED) -> HeatModel:
    """Return the heat of the 47 mm frame by a data sheet without dimensions, measured on a plate."""
    chosen = candidate(variant=kind, motor=sheet_motor())
    assert chosen.motor is not None
    variants = tuple(
        replace(v, heat=replace(v.heat, stated_plate=plate) if isinstance(v.heat, DataSheetHeat) else v.heat)
        for v in chosen.motor.variants
    )
    chosen = replace(chosen, motor=replace(chosen.motor, variants=variants))
    motor = motor_model(site, Requirements(), chosen)
    assert motor is not None
    heat = heat_model(site, motor)
    assert isinstance(heat, HeatModel), heat
    return heat


def site(**fields: object) -> Site:
    return Site(ambient=25.0, **fields)  # type: ignore[arg-type]


def winding_temp(network: HeatNetwork, speed: float = 0.0, copper: float = 6.0) -> float:
    """Return the steady temperature of the winding under the laws at the temperatures that come out."""
    temps = np.full(len(network.nodes), 50.0)
    heat = np.zeros(len(network.nodes))
    heat[network.winding], heat[network.core] = copper, 1.0
    for _ in range(300):
        conductance = link_conductance_at(settled_at(network, temps), np.array([speed]), temps[None, :])
        matrix, inflow = node_matrices(network, conductance)
        new = np.linalg.solve(matrix[0], inflow[0] + heat)
        if np.abs(new - temps).max() < 1e-9:
            return float(new[network.winding])
        temps = 0.5 * (new + temps)
    raise AssertionError("no steady state")


def codes(heat: HeatModel) -> set[str]:
    return {finding.code for finding in heat.findings}


def test_pressure_of_a_place() -> None:
    # ISO 2533, library fluids 1.3.1: 101325 Pa, 79495.216 Pa at a geopotential altitude of 2000 m
    assert place_pressure(site()) == pytest.approx(101325.0)
    assert place_pressure(site(altitude=2000.0)) == pytest.approx(79495.216, rel=1e-5)
    assert place_pressure(site(altitude=2000.0, air="vacuum")) == 0.0


def test_carrier_of_a_mounting() -> None:
    assert carrier(Mounting(), None) is None
    assert carrier(Mounting(), STATED) == CarryingPlate(160.0, 0.07, 0.002, 0.85, 2e-4)
    steel = Plate(material="steel", conductivity=45.0, side=0.2, thickness=0.003, emissivity=0.3,
                  joint_resistance=1e-4)  # fmt: skip
    assert carrier(Mounting(plate=steel), STATED) == CarryingPlate(45.0, 0.2, 0.003, 0.3, 1e-4)
    arm = Bracket(section=1e-4, length=0.1, perimeter=0.05)
    assert carrier(Mounting(bracket=arm), STATED) == CarryingBracket(160.0, 1e-4, 0.1, 0.05, 0.85, 2e-4)
    assert carrier(Mounting(insulated=True), STATED) is None
    assert carrier(Mounting(housing_ambient_resistance=4.0), STATED) is None
    assert heat_place(site(altitude=1000.0), STATED).pressure == pytest.approx(89874.571, rel=1e-5)


@pytest.mark.parametrize("kind", ["open rotor", "enclosed"])
@pytest.mark.parametrize("plate", [STATED, None])
@pytest.mark.parametrize("speed", [0.0, 200.0])
def test_higher_is_never_cooler_and_vacuum_is_hottest(
    kind: VariantKind, plate: Plate | None, speed: float
) -> None:
    temps = [
        winding_temp(model(site(altitude=h), kind, plate).network, speed)
        for h in (-500.0, 0.0, 1000.0, 2500.0, 5000.0, 11000.0)
    ]
    assert (np.diff(temps) > 0.05).all()
    vacuum = model(site(air="vacuum"), kind, plate)
    assert winding_temp(vacuum.network, speed) > temps[-1] + 1.0
    assert winding_temp(vacuum.network, 0.0) == pytest.approx(winding_temp(vacuum.network, 200.0), abs=1e-6)
    assert "vacuum" in codes(vacuum)


def test_convection_goes_with_the_power_of_the_pressure() -> None:
    # ISO 2533 at 4000 m: 61640.235 Pa (library fluids 1.3.1); 0.60834^0.6 by hand 0.7422
    assert convection_factor(61640.235) == pytest.approx(0.7422, rel=1e-3)
    low, high = (model(site(altitude=h), "open rotor", None).network for h in (0.0, 4000.0))
    assert high.natural.max() == pytest.approx(0.7422 * low.natural.max(), rel=1e-3)
    assert high.rotating.max() == pytest.approx(0.7422 * low.rotating.max(), rel=1e-3)
    assert high.fixed == pytest.approx(low.fixed)


@pytest.mark.parametrize("kind", ["open rotor", "enclosed"])
def test_the_plate_of_the_project_takes_the_place_of_the_stated_one(kind: VariantKind) -> None:
    same = model(site(), kind)
    again = model(site(mounting=Mounting(plate=STATED)), kind)
    assert winding_temp(again.network) == pytest.approx(winding_temp(same.network), rel=1e-9)
    large = model(site(mounting=Mounting(plate=replace(STATED, side=0.3, thickness=0.01))), kind)
    plastic = model(site(mounting=Mounting(plate=replace(STATED, conductivity=0.2))), kind)
    none = model(site(mounting=Mounting(insulated=True)), kind)
    stiff = Bracket(section=4e-4, length=0.03, perimeter=0.1)
    arm = model(site(mounting=Mounting(bracket=stiff)), kind)
    order = [winding_temp(heat.network) for heat in (large, same, plastic, none)]
    assert (np.diff(order) > 0.2).all()
    assert winding_temp(arm.network) < winding_temp(same.network)  # 2 W/K to the frame, fins aside
    assert "mounting_replaces_data_sheet" in codes(none)
    assert "surface_split_with_plate" in codes(none)
    assert "mounting_not_applied" not in codes(none)


def test_insulated_motor_loses_what_the_plate_carried() -> None:
    """Conductance of the surface = 1/R_ha - plate; 25 degC and sea level as on the data sheet."""
    chosen = sheet_motor()
    variant = next(v for v in chosen.variants if v.kind == "enclosed")
    assert isinstance(variant.heat, DataSheetHeat)
    flange = flange_diameter(chosen, variant)
    assert flange is not None
    plate = carrier_conductance(carrier(Mounting(), STATED), flange, HeatPlace(25.0))
    network = model(site(mounting=Mounting(insulated=True))).network
    to_air = network.end_b >= len(network.nodes)
    left = float((network.fixed + network.natural)[to_air].sum())
    assert left == pytest.approx(1.0 / variant.heat.housing_ambient_resistance - plate, rel=1e-9)


def test_a_plate_barely_larger_than_the_flange_is_a_finding() -> None:
    """Its disc of equal area conducts 7 % more at 1.2 times the flange: see the reference of the fin."""
    motor = sheet_motor()
    flange = flange_diameter(motor, motor.variants[0])
    assert flange is not None

    def on(share: float) -> set[str]:
        plate = Plate(side=share * flange, thickness=0.003)
        return codes(model(site(mounting=Mounting(plate=plate))))

    assert "plate_barely_larger" in on(1.1)
    assert "plate_barely_larger" not in on(1.25)
    assert "plate_barely_larger" not in codes(model(site()))


def test_unknown_plate_is_said_and_a_contradicting_one_too() -> None:
    insulated = site(mounting=Mounting(insulated=True))
    unknown = model(insulated, plate=None)
    assert "mounting_not_applied" in codes(unknown)
    assert winding_temp(unknown.network) == winding_temp(model(site(), plate=None).network)
    assert "mounting_not_applied" not in codes(model(site(), plate=None))
    huge = model(insulated, plate=Plate(side=1.0, thickness=0.02))
    assert "plate_contradicts_data_sheet" in codes(huge)


def test_box_warms_both_variants_and_costs_the_open_one_more() -> None:
    rises = {}
    kinds: tuple[VariantKind, ...] = ("open rotor", "enclosed")
    for kind in kinds:
        free, boxed = model(site(), kind), model(site(around=BOX), kind)
        assert boxed.network.nodes[-1] == "air in the box"
        assert boxed.limit.shape == (len(boxed.network.nodes),)
        rises[kind] = winding_temp(boxed.network, 200.0) / winding_temp(free.network, 200.0)
        assert "box_assumed" in codes(boxed)
        hotter = model(site(around=replace(BOX, other_heat=10.0)), kind)
        assert winding_temp(hotter.network) > winding_temp(boxed.network) + 5.0
    assert rises["open rotor"] > rises["enclosed"] > 1.0
    assert "box_costs_the_open_rotor" in codes(model(site(around=BOX), "open rotor"))
    assert "box_costs_the_open_rotor" not in codes(model(site(around=BOX), "enclosed"))


def test_guard_is_for_the_open_rotor() -> None:
    temps = [
        winding_temp(model(site(around=Guard(open_share=s)), "open rotor").network, 200.0)
        for s in (0.0, 0.2, 0.5, 0.9, 1.0)
    ]
    assert (np.diff(temps) < 0.0).all()
    assert temps[-1] == pytest.approx(winding_temp(model(site(), "open rotor").network, 200.0), rel=1e-9)
    closed = model(site(around=Guard(open_share=0.0)), "enclosed")
    assert winding_temp(closed.network) == winding_temp(model(site(), "enclosed").network)
    assert "guard_without_effect" in codes(closed)
    assert "guard_costs_the_open_rotor" in codes(model(site(around=Guard(open_share=0.2)), "open rotor"))
    lumped = model(site(around=Guard(open_share=0.2)), "open rotor", None)
    assert "mounting_behind_guard" in codes(lumped)


@pytest.mark.parametrize(
    ("altitude", "severity", "words"),
    [(1000.0, None, ""), (1500.0, "note", "1000"), (4500.0, "warning", "special agreement")],
)
def test_site_limits_are_noted(altitude: float, severity: str | None, words: str) -> None:
    # IEC 60034-1 site limits as a public glossary gives them (read): 1000 m and 40 degC, above 4000 m special
    found = [f for f in model(site(altitude=altitude)).findings if f.code == "thin_air"]
    assert [f.severity for f in found] == ([] if severity is None else [severity])
    assert all(words in str(f.text) for f in found)


def test_network_node_by_node_takes_thin_air_and_box_but_no_plate() -> None:
    heat = NetworkHeat(
        nodes=(HeatNode(name="winding", capacity=15.0), HeatNode(name="stator", capacity=100.0)),
        links=(
            HeatLink(between=("winding", "stator"), fixed=0.8),
            HeatLink(between=("stator", "ambient"), fixed=0.1, natural=0.1, rotating=0.01),
        ),
        winding="winding", core="stator", magnets="stator", outside="stator", stated_mounting="a rig",
    )  # fmt: skip
    chosen = candidate(variant="open rotor")
    assert chosen.motor is not None
    variants = tuple(replace(v, heat=heat) for v in chosen.motor.variants)
    chosen = replace(chosen, motor=replace(chosen.motor, variants=variants))

    def here(place: Site) -> HeatModel:
        motor = motor_model(place, Requirements(), chosen)
        assert motor is not None
        got = heat_model(place, motor)
        assert isinstance(got, HeatModel)
        return got

    assert here(site(altitude=4000.0)).network.natural.tolist() == pytest.approx([0.0, 0.07422], rel=1e-3)
    boxed = here(site(around=BOX, mounting=Mounting(plate=STATED)))
    assert boxed.network.air == 2
    assert "mounting_not_applied" in codes(boxed)


@pytest.mark.parametrize(
    "place",
    [{"altitude": 3000.0}, {"air": "vacuum"}, {"around": BOX}, {"around": Guard(open_share=0.3)}],
    ids=["high", "vacuum", "box", "guard"],
)
def test_a_whole_evaluation_is_hotter_there(place: dict[str, object]) -> None:
    duty = (segment(2.0, 0.03, 0.0, 150.0), segment(20.0, 0.03, 150.0), segment(2.0, 0.0, 150.0, 0.0))
    free, there = evaluate(project(*duty)), evaluate(project(*duty, **place))  # type: ignore[arg-type]
    peaks = [
        [next(p.temp for p in c.peaks if p.role == "winding") for c in r.candidates] for r in (free, there)
    ]
    (enclosed, opened), (enclosed_there, opened_there) = peaks  # as `project` gives them
    assert opened_there > opened + 0.1
    if isinstance(place.get("around"), Guard):
        assert enclosed_there == enclosed
    else:
        assert enclosed_there > enclosed + 0.1


def test_steady_run_in_a_box_adds_up() -> None:
    """Outside of an enclosed motor = ambient + heat over walls + heat over what the data sheet states."""
    place = project(segment(4000.0, 0.03, 150.0), candidates=(candidate(motor=sheet_motor()),), around=BOX)
    result = evaluate(place).candidates[0]
    losses = result.losses
    assert losses is not None
    heat = losses.copper + losses.core_and_bearing + losses.windage
    walls = ClosedBox(0.3, 0.25, 0.2, 0.003, 0.2)
    rise = brentq(
        lambda r: float(box_wall_conductance(walls, np.array([r]), 40.0, 101325.0)[0]) * r - heat, 1e-3, 100.0
    )
    outside = next(peak.mean for peak in result.peaks if peak.role == "outside")
    assert outside == pytest.approx(40.0 + rise + 7.64 * heat, abs=0.02)  # 7.64 K/W stated
