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
from core.project.feedback import Encoder, HallSensors
from core.project.motor import (
    ContinuousPoint,
    DataSheetHeat,
    GeometryHeat,
    Motor,
    NetworkHeat,
    VariantKind,
    Winding,
)
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


def evaluated(motor: Motor, winding: Winding, variant: VariantKind, speed: float) -> CandidateResult:
    """Evaluate one choice, running without load at a speed at 25 degC."""
    run = Segment(duration=1.0, shaft_torque=0.0, speed_start=speed, speed_end=speed)
    application = Application(
        duty_cycle=(run,), site=Site(ambient=25.0), supply=Supply(nominal_voltage=80.0, lowest_voltage=80.0)
    )
    candidate = Candidate(
        name="A", motor=motor, winding=winding.name, variant=variant, commutation="six-step"
    )
    return evaluate(Project(application=application, candidates=(candidate,))).candidates[0]


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_evaluation_takes_every_winding_and_variant_without_a_complaint(motor: Motor) -> None:
    for winding, variant in itertools.product(motor.windings, motor.variants):
        result = evaluated(motor, winding, variant.kind, 100.0)
        assert result.missing == ()
        assert [f.code for f in result.findings if f.severity in ("warning", "serious")] == []
        assert result.torque_reserve is not None


def stated_points(heat: DataSheetHeat | GeometryHeat | NetworkHeat | None) -> tuple[ContinuousPoint, ...]:
    if isinstance(heat, GeometryHeat):
        return heat.continuous_points
    return (heat.continuous_point,) if isinstance(heat, DataSheetHeat) and heat.continuous_point else ()


def test_heat_is_given_in_every_way_a_data_sheet_may_give_it() -> None:
    ways = {
        motor.name: (type(heat), len(stated_points(heat)))
        for motor in MOTORS
        for heat in (motor.variants[0].heat,)
    }
    assert ways == {
        "23 mm frame": (GeometryHeat, 0),
        "31 mm frame": (DataSheetHeat, 1),
        "38 mm frame": (GeometryHeat, 0),
        "47 mm frame": (GeometryHeat, 3),
        "58 mm frame": (GeometryHeat, 2),
        "73 mm frame": (GeometryHeat, 1),
    }
    stated = {
        motor.name: (heat.winding_housing_resistance is not None, heat.motor_time_constant is not None)
        for motor in MOTORS
        for heat in (motor.variants[1].heat,)
        if isinstance(heat, DataSheetHeat | GeometryHeat)
    }
    assert stated == {
        "23 mm frame": (False, False),
        "31 mm frame": (True, True),
        "38 mm frame": (True, False),
        "47 mm frame": (True, True),
        "58 mm frame": (True, True),
        "73 mm frame": (True, False),
    }


@pytest.mark.parametrize("motor", MOTORS, ids=name_of)
def test_what_was_measured_differs_from_what_dimensions_say_within_the_widths_of_the_laws(
    motor: Motor,
) -> None:
    """No two variants are alike, and no factor is one: else there would be nothing to calibrate."""
    truth = demo_heat.TRUTH[motor.name]
    for factors in truth.values():
        assert 0.75 <= factors.winding_core <= 1.3
        assert 0.7 <= factors.end_winding <= 1.5
        assert 0.9 <= factors.surface <= 1.12
        assert 0.85 <= factors.turning <= 1.15
    every = [factors for kinds in demo_heat.TRUTH.values() for factors in kinds.values()]
    assert len(set(every)) == 12


@pytest.mark.parametrize("motor", [m for m in MOTORS if stated_points(m.variants[0].heat)], ids=name_of)
def test_evaluation_finds_the_stated_torques_again(motor: Motor) -> None:
    """On the stated plate at 25 degC, within the 3 % that a stated torque is trusted to; a data sheet
    without dimensions has but one point, through which its open rotor goes, while its enclosed one knows
    no air that stirs inside."""
    for variant in motor.variants:
        for point in stated_points(variant.heat):
            result = evaluated(motor, motor.windings[0], variant.kind, point.speed)
            assert result.curves is not None
            assert result.curves.continuous is not None
            found = float(np.interp(point.speed, result.curves.speed, result.curves.continuous))
            free = isinstance(variant.heat, DataSheetHeat) and variant.kind == "enclosed"
            assert found == pytest.approx(point.shaft_torque, rel=0.06 if free else 0.03)


def test_fittings_belong_to_each_other() -> None:
    parts = load_demo_parts()
    lists = (parts.drives, parts.feedback, parts.brakes, parts.transmissions)
    assert [len(one) for one in lists] == [6, 5, 2, 4]
    assert [drive.built_in for drive in parts.drives].count(True) == 1
    encoders = [device for device in parts.feedback if isinstance(device, Encoder)]
    assert len(encoders) == 3
    assert len({encoder.start for encoder in encoders}) == 3
    for encoder in encoders:
        assert encoder.largest_speed is not None
        assert encoder.largest_signal_frequency is not None
        signal = encoder.counts / encoder.edges_per_line * encoder.largest_speed / (2.0 * pi)
        assert signal <= encoder.largest_signal_frequency * (1.0 + 1e-12)
    for transmission in parts.transmissions:
        assert transmission.ratio in transmission.available_ratios
    origin = "invented demo part, made by the recipe in core/catalogue/demo_recipe.py"
    for part in (*parts.feedback, *parts.brakes, *parts.transmissions):
        assert part.origin == origin


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
    """At most four significant figures, of angles and speeds in degrees and rpm; what is counted has more."""
    text = json.dumps(json.loads(next(iter(generated_files().values()))))
    numbers = [word.strip('",:[]{}') for word in text.split() if word.strip('",:[]{}')[:1].isdigit()]
    for number in numbers:
        if number.isdigit():  # counts, as of an encoder
            continue
        try:
            value = float(number)
        except ValueError:
            continue
        printed = (value, math.degrees(value), value * 30.0 / pi)
        assert any(float(f"{one:.4g}") == pytest.approx(one, rel=1e-13) for one in printed), number


def test_angles_and_speeds_of_the_fittings_are_whole_in_the_units_of_data_sheets() -> None:
    """What a sheet gives as 4 degrees or 12000 rpm reads so in an entry, not as 3.9998 and 12003."""
    parts = demo_parts()
    angles = [one.edge_error for one in parts.feedback if isinstance(one, HallSensors)]
    angles += [one.backlash for one in parts.transmissions if one.backlash]
    speeds = [one.largest_input_speed for one in parts.transmissions if one.largest_input_speed]
    speeds += [one.largest_speed for one in parts.feedback if isinstance(one, Encoder) and one.largest_speed]
    assert angles
    assert speeds
    for value, per_unit in [(x, math.pi / 1800.0) for x in angles] + [
        (x, 50.0 * math.pi / 3.0) for x in speeds
    ]:
        assert value / per_unit == pytest.approx(round(value / per_unit), rel=1e-12)  # tenths, 500 rpm
