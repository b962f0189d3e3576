"""The sketch of a load says in shapes and words what is asked of the axis, at the instant that matters."""

from __future__ import annotations

import math

import pytest

from core.charts.load_sketch import load_sketch, moment_of
from core.charts.sketch_shapes import HEIGHT, WIDTH, Arrow, Direction, Label, Shape, outline
from core.evaluation.load_side import load_course
from core.project.load import Load
from core.project.mechanism import (
    BeltDrive,
    DirectRotaryLoad,
    DisplacementPump,
    DrumWinch,
    FanLoad,
    LinearFriction,
    Mechanism,
    RotaryTable,
    ScrewDrive,
    SwingArm,
    WheelDrive,
)
from core.project.motion import DwellStep, MotionStep, MoveStep
from core.units import DisplayUnits, Kind

UNITS = DisplayUnits()
STEEPEST = 0.5 * math.pi
THERE_AND_BACK: tuple[MotionStep, ...] = (
    MoveStep(distance=1.0, duration=1.0),
    DwellStep(duration=1.0),
    MoveStep(distance=-1.0, duration=1.0),
    DwellStep(duration=1.0),
)
HOIST = DrumWinch(mass=10.0, drum_radius=0.1, inclination=STEEPEST, friction=LinearFriction(constant=20.0))
MECHANISMS: tuple[Mechanism, ...] = (
    RotaryTable(inertia=0.1, axis_tilt=0.2, off_centre_mass=1.0, off_centre_distance=0.1),
    RotaryTable(inertia=0.1, axis_tilt=STEEPEST, off_centre_mass=1.0, off_centre_distance=0.1),
    SwingArm(payload_mass=2.0, lever=0.4, arm_mass=1.0, arm_centre=0.2, zero_angle=0.1, counter_mass=1.0,
             counter_lever=0.2),
    SwingArm(payload_mass=2.0, lever=0.4, arm_mass=1.0, arm_centre=0.2, zero_angle=-1.5),
    DirectRotaryLoad(inertia=0.1, steady_torque=0.0),
    ScrewDrive(mass=5.0, lead=0.005, inclination=STEEPEST, efficiency=0.4),
    ScrewDrive(mass=5.0, lead=0.005, inclination=-STEEPEST, efficiency=0.4),
    BeltDrive(mass=5.0, pulley_radius=0.02, inclination=0.0),
    BeltDrive(mass=5.0, pulley_radius=0.02, inclination=STEEPEST),
    HOIST,
    DrumWinch(mass=10.0, drum_radius=0.1, inclination=0.3, counterweight=2.0),
    WheelDrive(mass=50.0, wheel_radius=0.1, slope=0.4, driven_wheels=2,
               friction=LinearFriction(coefficient=0.02)),
    FanLoad(torque=0.05, speed=300.0),
    DisplacementPump(displacement=1e-6, pressure=3e5, efficiency=0.7),
)  # fmt: skip


def of(mechanism: Mechanism) -> Load:
    return Load(mechanism=mechanism, motion=THERE_AND_BACK)


def labels(shapes: tuple[Shape, ...]) -> list[str]:
    return [shape.text for shape in shapes if isinstance(shape, Label)]


def ladder(shapes: tuple[Shape, ...]) -> dict[str, tuple[str, float]]:
    """Return value in words and signed arrow length of each cause."""
    rows = [shape for shape in shapes if isinstance(shape, Label)]
    arrows = [shape for shape in shapes if isinstance(shape, Arrow) and shape.start[1] == shape.end[1]]
    found = {}
    for row in rows:
        if row.text in ("acceleration", "gravity", "friction", "process", "together"):
            beside = [one.text for one in rows if one.at[1] == row.at[1] and one is not row]
            lengths = [arrow.end[0] - arrow.start[0] for arrow in arrows if arrow.start[1] == row.at[1]]
            found[row.text] = (beside[0], lengths[0] if lengths else 0.0)
    return found


@pytest.mark.parametrize("mechanism", MECHANISMS, ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("segment", [None, 0, 3, 99])
def test_every_mechanism_stays_within_the_frame(mechanism: Mechanism, segment: int | None) -> None:
    load = of(mechanism)
    sketch = load_sketch(load, load_course(load), UNITS, segment)
    for shape in sketch.shapes:
        for x, y in outline(shape):
            assert -0.01 <= x <= WIDTH, shape
            assert -0.01 <= y <= HEIGHT, shape
    assert sketch.description


@pytest.mark.parametrize("mechanism", MECHANISMS, ids=lambda one: type(one).__name__)
def test_gravity_is_named_in_every_sketch_and_the_body_keeps_clear_of_the_rows(mechanism: Mechanism) -> None:
    load = of(mechanism)
    sketch = load_sketch(load, load_course(load), UNITS)
    assert set(ladder(sketch.shapes)) == {"acceleration", "gravity", "friction", "process", "together"}
    heading = next(s for s in sketch.shapes if isinstance(s, Label) and s.text.startswith("asked at"))
    ladder_parts = [
        shape for shape in sketch.shapes if max(y for _, y in outline(shape)) < heading.at[1] - 0.03
    ]
    body = [shape for shape in sketch.shapes if shape not in ladder_parts and shape is not heading]
    assert len(ladder_parts) >= 10
    assert all(min(y for _, y in outline(shape)) > heading.at[1] + 0.03 for shape in body)
    assert all(max(x for x, _ in outline(shape)) < 0.85 for shape in body if not isinstance(shape, Label))


def test_a_hoist_shows_its_weight_as_torque_and_force() -> None:
    load = of(HOIST)
    # going up, 1 m in 1 s by thirds: a = 4.5 m/s2; 98.1 N of weight, 45 N to accelerate, 20 N of friction
    rows = ladder(load_sketch(load, load_course(load), UNITS, 0).shapes)
    assert rows["gravity"][0] == "9.81\xa0N·m, 98.1\xa0N"
    assert rows["acceleration"][0] == "4.50\xa0N·m, 45.0\xa0N"
    assert rows["friction"][0] == "2.00\xa0N·m, 20.0\xa0N"
    assert rows["process"] == ("0\xa0N·m", 0.0)
    assert rows["together"][0] == "16.3\xa0N·m, 163\xa0N"


def test_arrows_have_one_scale_and_point_to_the_right_where_the_drive_must_supply() -> None:
    load = of(HOIST)
    course = load_course(load)
    up = ladder(load_sketch(load, course, UNITS, 0).shapes)
    assert up["acceleration"][1] / up["gravity"][1] == pytest.approx(45.0 / 98.1)
    assert up["together"][1] == pytest.approx(sum(up[cause][1] for cause in up if cause != "together"))
    assert all(up[cause][1] > 0.0 for cause in ("acceleration", "gravity", "friction"))
    down = ladder(load_sketch(load, course, UNITS, 4).shapes)  # speeding up on the way down
    assert down["gravity"][1] > 0.0
    assert down["friction"][1] < 0.0
    assert down["acceleration"][1] < 0.0


def test_the_instant_is_the_worst_of_the_part_or_of_the_cycle() -> None:
    course = load_course(of(HOIST))
    assert course is not None
    assert moment_of(course, None).segment == 0
    assert moment_of(course, 3).segment == 3
    assert moment_of(course, 3).way == 0
    assert moment_of(course, 77) == moment_of(course, None)
    # 1 m in 1 s by thirds runs at 1.5 m/s
    assert moment_of(course, 1).speed == pytest.approx(1.5)
    assert moment_of(course, 5).speed == pytest.approx(-1.5)


def test_an_arm_is_drawn_where_it_is() -> None:
    arm = SwingArm(payload_mass=2.0, lever=0.4, arm_mass=0.0, arm_centre=0.2, zero_angle=0.0)
    load = Load(mechanism=arm, motion=(MoveStep(distance=math.radians(60.0), duration=1.0),
                                       DwellStep(duration=1.0)))  # fmt: skip
    sketch = load_sketch(load, load_course(load), UNITS, 3)
    assert "above level 60.0°" in labels(sketch.shapes)


def test_without_a_motion_the_mechanism_stands_alone() -> None:
    load = Load(mechanism=HOIST)
    sketch = load_sketch(load, load_course(load), UNITS)
    assert not ladder(sketch.shapes)
    assert sketch.description == (
        "Drum or winch: mass 10.0\xa0kg, drum radius 100\xa0mm, pull above level 90.0°."
    )


def test_the_description_says_what_the_arrows_show_in_the_units_of_the_user() -> None:
    load = of(HOIST)
    units = UNITS.with_units({Kind.LOAD_TORQUE: "lbf*in", Kind.LINEAR_SPEED: "mm/s"})
    words = load_sketch(load, load_course(load), units, 0, ("accelerate",)).description
    assert "moves at up to 1500\xa0mm/s" in words
    assert "Asked at the drum, 1 accelerate: acceleration 39.8\xa0lbf·in, 45.0\xa0N" in words


def test_a_box_lies_along_its_direction() -> None:
    corners = Direction(STEEPEST).box((1.0, 1.0), 0.4, 0.2)
    assert [tuple(round(v, 9) for v in c) for c in corners] == [
        (1.1, 0.8),
        (1.1, 1.2),
        (0.9, 1.2),
        (0.9, 0.8),
    ]
