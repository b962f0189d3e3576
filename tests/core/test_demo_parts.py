"""The demo parts are what the recipe makes, and the recipe keeps to the laws it states."""

from __future__ import annotations

import itertools
import json
import math
from math import pi, sqrt

import numpy as np
import pytest

from core.catalogue import demo_frames, demo_heat
from core.catalogue.demo_frames import FRAMES, Frame
from core.catalogue.demo_recipe import demo_parts, generated_files
from core.catalogue.parts_check import winding_constants
from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate
from core.physics.machine_constants import MachineConstants
from core.project.application import Application, Site, Supply
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.motor import DataSheetHeat, Motor, VariantKind, Winding
from core.project.project import Project
from core.results import CandidateResult

MOTORS = load_demo_parts().motors


def name_of(part: Frame | Motor) -> str:
    return part.name


@pytest.mark.parametrize("path", list(generated_files()), ids=lambda path: path.name)
def test_generated_files_are_as_committed(path: object) -> None:
    """After a change of the recipe: `python -m core.catalogue.demo_recipe`."""
    files = generated_files()
    for each, content in files.items():
        if each == path:
            assert each.read_bytes() == content


def test_recipe_gives_the_same_parts_again() -> None:
    assert demo_parts() == demo_parts() == load_demo_parts()


def test_parts_say_that_they_are_invented() -> None:
    parts = load_demo_parts()
    for origin in (parts.origin, *(m.origin for m in parts.motors), *(d.origin for d in parts.drives)):
        assert origin.startswith("invented demo part, made by the recipe in core/catalogue/demo_recipe.py")


def test_there_are_six_frames_with_both_variants() -> None:
    assert len(MOTORS) == 6
    for motor in MOTORS:
        assert [variant.kind for variant in motor.variants] == ["open rotor", "enclosed"]
        assert 4 <= len(motor.windings) <= 6
        assert 0.022 <= (motor.variants[0].diameter or 0.0) <= 0.076


def test_conventions_differ_so_that_conversion_is_exercised() -> None:
    stated: set[object] = set()
    for motor in MOTORS:
        for winding in motor.windings:
            for figure in (winding.torque_constant, winding.back_emf_constant, winding.speed_constant):
                stated.add(figure.convention if figure else None)
            stated.add(f"R {winding.resistance.convention}")
            stated.add(winding.resistance.temp)
    assert {"R line-to-line", "R phase of star", "R branch of delta", 20.0, 25.0} < stated
    assert len(stated) >= 13


# --- each figure again, by another way than the recipe's -------------------------------------------


def turns(winding: Winding) -> float:
    """Turns of the star that the winding equals: a delta has sqrt(3) times as many."""
    count = float(winding.turns_per_coil or 0)
    return count / sqrt(3.0) if winding.connection == "delta" else count


def at_25_degc(constants: MachineConstants) -> float:
    """Resistance at 25 degC: copper by IEC 60034-1, 235 degC."""
    return constants.resistance * (235.0 + 25.0) / (235.0 + constants.resistance_ref_temp)


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_constants_follow_the_turns(motor: Motor) -> None:
    """k_e ~ N, R and L ~ N^2, to the four figures that are printed (two of them rounded: 2e-3)."""
    reference = motor.windings[0]
    first, _ = winding_constants(motor, reference)
    for winding in motor.windings:
        one, disagreements = winding_constants(motor, winding)
        ratio = turns(winding) / turns(reference)
        assert one.back_emf_constant == pytest.approx(ratio * first.back_emf_constant, rel=1e-3)
        assert at_25_degc(one) == pytest.approx(ratio**2 * at_25_degc(first), rel=2e-3)
        assert one.inductance == pytest.approx(ratio**2 * first.inductance, rel=2e-3)
        assert disagreements == ()


@pytest.mark.parametrize("frame", FRAMES, ids=name_of)
def test_torque_is_gap_shear_stress_times_surface_and_radius(frame: Frame) -> None:
    """T = (pi D l)(D/2) k_w B_1 A_1/2 with the linear current density A_1 = 6 N I/(pi D).

    Source: textbook sizing equation of electrical machines, from memory. The winding factors are
    those of published tables for tooth coils (9/8, 9/10 and 18/16: 0.945; 12/10 and 24/20: 0.933;
    12/16: 0.866), from memory.
    """
    slots, poles = frame.slots, 2 * frame.pole_pairs
    factor = {
        (9, 8): 0.945,
        (9, 10): 0.945,
        (12, 10): 0.933,
        (12, 16): 0.866,
        (18, 16): 0.945,
        (24, 20): 0.933,
    }
    motor = load_demo_parts().motor(frame.name)
    winding = next(winding for winding in motor.windings if winding.connection == "star")
    constants, _ = winding_constants(motor, winding)
    current = 1.0  # peak phase ampere
    loading = 6.0 * (slots / 3 * turns(winding)) * current / (pi * frame.gap_diameter)
    field = frame.remanence * frame.magnet / (frame.magnet + 1.05 * frame.gap)
    fundamental = 0.88 * 4.0 / pi * field * math.sin(0.85 * pi / 2.0)
    stress = 0.5 * factor[slots, poles] * fundamental * loading
    torque = pi * frame.gap_diameter * frame.stack * stress * frame.gap_diameter / 2.0
    assert 0.5 * sqrt(3.0) * constants.back_emf_constant * current == pytest.approx(torque, rel=2e-3)


@pytest.mark.parametrize("frame", FRAMES, ids=name_of)
def test_copper_loss_is_current_density_squared_times_volume(frame: Frame) -> None:
    """P = rho J^2 V over all copper, the same for every winding: no turns, no connections."""
    motor = load_demo_parts().motor(frame.name)
    density = 5e6  # rms [A/m2]
    volume = demo_frames.copper_mass(frame) / 8930.0
    loss = 1.757e-8 * density**2 * volume
    for winding in motor.windings:
        constants, _ = winding_constants(motor, winding)
        wire = 0.5 * 0.36 * frame.slot_area / turns(winding)
        peak = sqrt(2.0) * density * wire
        assert 0.75 * peak**2 * at_25_degc(constants) == pytest.approx(loss, rel=1e-3)


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_windings_reach_the_stated_speed_at_the_voltage_in_their_name(motor: Motor) -> None:
    """Within half a turn, at the mean of the line-to-line EMF over a sixth of a period."""
    rpm = float(motor.origin.split("about ")[1].split(" rpm")[0])
    for winding in motor.windings:
        constants, _ = winding_constants(motor, winding)
        voltage = float(winding.name.removesuffix(" V"))
        reached = voltage / (3.0 / pi * constants.back_emf_constant) * 30.0 / pi
        assert reached == pytest.approx(rpm, rel=0.5 / (winding.turns_per_coil or 1) + 0.04)


@pytest.mark.parametrize("motor", [m for m in MOTORS if len(m.variants[1].no_load) > 1], ids=name_of)
def test_stated_continuous_torque_closes_the_heat_balance_of_the_data_sheet(motor: Motor) -> None:
    """T_W = T_A + (P + P_drag) R_ha + P R_wh, from the printed figures of the enclosed variant alone."""
    heat = motor.variants[1].heat
    assert isinstance(heat, DataSheetHeat)
    point = heat.continuous_point
    assert point is not None
    constants, _ = winding_constants(motor, motor.windings[0])
    slow, fast = motor.variants[1].no_load[1:]
    share = (point.speed - slow.speed) / (fast.speed - slow.speed)
    drag = slow.drag_torque + share * (fast.drag_torque - slow.drag_torque)
    torque = point.shaft_torque + drag
    housing, loss = 80.0, 0.0
    for _ in range(60):
        flux = 3.0 / pi * constants.back_emf_constant * (1.0 - 0.0011 * (housing - 25.0))
        hot = at_25_degc(constants) * (235.0 + point.winding_temp) / 260.0
        loss = (torque / flux) ** 2 * hot
        housing = point.ambient + heat.housing_ambient_resistance * (loss + drag * point.speed)
    winding = housing + loss * heat.winding_housing_resistance
    assert winding == pytest.approx(point.winding_temp, abs=1.0)  # three figures of the resistances
    assert housing <= (motor.magnet_limit or 0.0) + 1.0


@pytest.mark.parametrize("frame", FRAMES, ids=name_of)
def test_open_rotor_gains_with_speed_and_not_at_rest(frame: Frame) -> None:
    """Common practice, no source: about even near standstill, the lead of the open rotor grows."""
    speeds = [share * frame.rated_speed for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    ratios = [
        demo_heat.continuous_torque(frame, speed, False) / demo_heat.continuous_torque(frame, speed, True)
        for speed in speeds
    ]
    assert 0.95 <= ratios[0] <= 1.05
    assert 1.25 <= ratios[-1] <= 1.7
    assert all(slow < fast for slow, fast in itertools.pairwise(ratios))
    enclosed = [demo_heat.continuous_torque(frame, speed, True) for speed in speeds]
    assert all(slow > fast for slow, fast in itertools.pairwise(enclosed))


def evaluated(motor: Motor, winding: Winding, variant: VariantKind, speed: float) -> CandidateResult:
    """Evaluate one choice, running without load at a speed at 25 degC."""
    run = Segment(duration=1.0, shaft_torque=0.0, speed_start=speed, speed_end=speed)
    application = Application(
        duty_cycle=(run,), site=Site(ambient=25.0), supply=Supply(nominal_voltage=80.0, lowest_voltage=80.0)
    )
    candidate = Candidate(name="A", motor=motor, winding=winding.name, variant=variant)
    return evaluate(Project(application=application, candidates=(candidate,))).candidates[0]


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_evaluation_takes_every_winding_and_variant_without_a_complaint(motor: Motor) -> None:
    for winding, variant in itertools.product(motor.windings, motor.variants):
        result = evaluated(motor, winding, variant.kind, 100.0)
        assert result.missing == ()
        assert [f.code for f in result.findings if f.severity in ("warning", "serious")] == []
        assert result.torque_reserve is not None


@pytest.mark.parametrize("frame", FRAMES, ids=name_of)
def test_evaluation_sees_the_same_lead_of_the_open_rotor(frame: Frame) -> None:
    """From the printed figures alone: about even at rest, 1.25 to 1.7 at rated speed."""
    motor = load_demo_parts().motor(frame.name)
    ratios = []
    for speed in (1.0, frame.rated_speed):
        torques = []
        for variant in motor.variants:
            curves = evaluated(motor, motor.windings[-1], variant.kind, speed).curves
            assert curves is not None
            assert curves.continuous is not None
            torques.append(float(np.interp(speed, curves.speed, curves.continuous)))
        ratios.append(torques[0] / torques[1])
    assert 0.95 <= ratios[0] <= 1.05
    assert 1.25 <= ratios[1] <= 1.7


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_variants_differ_as_their_build_says(motor: Motor) -> None:
    bare, closed = motor.variants
    assert bare.tolerates.dust is bare.tolerates.magnetic_swarf is bare.tolerates.liquid is False
    assert bare.tolerates.reach_of_fingers is False
    assert closed.tolerates.dust is closed.tolerates.magnetic_swarf is True
    assert closed.tolerates.reach_of_fingers is True
    assert "encoder" not in bare.can_be_fitted_with
    assert "encoder" in closed.can_be_fitted_with
    assert bare.rim_diameter == bare.diameter
    assert closed.rim_diameter is None
    for smaller, larger in ((bare.mass, closed.mass), (bare.diameter, closed.diameter)):
        assert smaller is not None
        assert larger is not None
        assert smaller < larger
    assert bare.rotor_inertia < closed.rotor_inertia


@pytest.mark.parametrize("frame", FRAMES, ids=name_of)
def test_rotor_inertia_lies_between_disc_and_ring(frame: Frame) -> None:
    """A cup has more inertia than a disc of its mass and less than a ring (0.5 and 1.0 of m r^2)."""
    mass, inertia = demo_frames.rotor_mass_and_inertia(frame, 1.0)
    ring = mass * (0.5 * frame.outer_diameter) ** 2
    assert 0.4 * ring < inertia < ring


def test_limits_fit_magnets_and_winding() -> None:
    for motor in MOTORS:
        assert motor.thermal_class in ("B", "F")
        assert motor.magnet_limit is not None
        assert 110.0 <= motor.magnet_limit <= 130.0
        for winding in motor.windings:
            assert winding.peak_current is not None
            assert winding.demagnetisation_current is not None
            assert winding.peak_current <= 0.6 * winding.demagnetisation_current * 1.01


def test_figures_are_printed_as_a_data_sheet_would() -> None:
    """At most four significant figures; only sums of printed lengths could have more."""
    text = json.dumps(json.loads(next(iter(generated_files().values()))))
    numbers = [word.strip('",:[]{}') for word in text.split() if word.strip('",:[]{}')[:1].isdigit()]
    for number in numbers:
        try:
            value = float(number)
        except ValueError:
            continue
        assert float(f"{value:.4g}") == value, number
