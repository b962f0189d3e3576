"""What is asked about a load, as rows: figures of each mechanism, its friction, limits and coupling."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from app.inputs.rows import Binding, Heading, QuantityRow, Row
from core.errors import AmpturnError, InputRangeError
from core.evaluation.load_side import physics_mechanism
from core.load_draft import MechanismForm, Place
from core.project import edits
from core.project import mechanism as saved
from core.project.application import Application
from core.project.load import Load
from core.project.project import Project
from core.units import DisplayUnits, Kind

MECHANISM: edits.Place = ("load", "mechanism")
STEEPEST_GRADE = math.radians(89.0)  # beyond it a grade in percent says nothing
GRADE: edits.Place = (*MECHANISM, "slope", "grade")
_WHEELS = "number of wheels"
_ANGLE_WORDS = {"-pi/2": "−90°", "pi/2": "90°", "pi": "180°"}

_FIGURES: dict[str, tuple[str, Kind]] = {
    "mass": ("Mass", Kind.MASS),
    "inertia": ("Inertia", Kind.LOAD_INERTIA),
    "axis_tilt": ("Axis from vertical", Kind.ANGLE),
    "off_centre_mass": ("Off-centre mass", Kind.MASS),
    "off_centre_distance": ("Off centre by", Kind.LENGTH),
    "lowest_position": ("Hangs lowest at", Kind.ANGLE),
    "steady_torque": ("Steady torque", Kind.LOAD_TORQUE),
    "resisting_torque": ("Process, resisting", Kind.LOAD_TORQUE),
    "square_torque": ("Process, speed²", Kind.SQUARE_TORQUE),
    "payload_mass": ("Payload", Kind.MASS),
    "lever": ("Payload at", Kind.LENGTH),
    "arm_mass": ("Arm itself", Kind.MASS),
    "arm_centre": ("Its centre at", Kind.LENGTH),
    "zero_angle": ("Above level at 0", Kind.ANGLE),
    "arm_inertia": ("Inertia of the arm", Kind.LOAD_INERTIA),
    "payload_inertia": ("Inertia of payload", Kind.LOAD_INERTIA),
    "counter_mass": ("Counterweight", Kind.MASS),
    "counter_lever": ("Counterweight at", Kind.LENGTH),
    "lead": ("Lead", Kind.LENGTH),
    "inclination": ("Above level", Kind.ANGLE),
    "efficiency": ("Efficiency", Kind.RATIO),
    "friction_angle": ("Friction angle", Kind.ANGLE),
    "pitch_diameter": ("Pitch diameter", Kind.LENGTH),
    "screw_inertia": ("Inertia of screw", Kind.LOAD_INERTIA),
    "preload_torque": ("Preload of the nut", Kind.LOAD_TORQUE),
    "process_force": ("Process force", Kind.FORCE),
    "resisting_force": ("Process, resisting", Kind.FORCE),
    "pulley_radius": ("Pulley radius", Kind.LENGTH),
    "pulley_inertia": ("Inertia of pulleys", Kind.LOAD_INERTIA),
    "drum_radius": ("Drum radius", Kind.LENGTH),
    "counterweight": ("Counterweight", Kind.MASS),
    "drum_inertia": ("Inertia of drum", Kind.LOAD_INERTIA),
    "wheel_radius": ("Wheel radius", Kind.LENGTH),
    "slope": ("Slope", Kind.ANGLE),
    "friction.coefficient": ("Rolling resistance", Kind.RATIO),
    "driven_wheels": ("Driven wheels", Kind.NUMBER),
    "wheels": ("All wheels", Kind.NUMBER),
    "wheel_inertia": ("Inertia of a wheel", Kind.LOAD_INERTIA),
    "drag_area": ("Drag area of the air", Kind.AREA),
    "air_density": ("Density of the air", Kind.DENSITY),
    "torque": ("Torque at a point", Kind.LOAD_TORQUE),
    "speed": ("Speed at that point", Kind.SPEED),
    "displacement": ("Volume per turn", Kind.VOLUME),
    "pressure": ("Pressure", Kind.PRESSURE),
    "dry_start_torque": ("Dry start", Kind.LOAD_TORQUE),
}

# Figures beyond the required ones, in the order in which a person thinks of them.
_FURTHER: dict[type, tuple[str, ...]] = {
    saved.RotaryTable: ("off_centre_mass", "off_centre_distance", "lowest_position", "steady_torque",
                        "resisting_torque"),
    saved.SwingArm: ("counter_mass", "counter_lever", "arm_inertia", "payload_inertia"),
    saved.ScrewDrive: ("pitch_diameter", "process_force", "resisting_force", "preload_torque",
                       "screw_inertia"),
    saved.BeltDrive: ("process_force", "resisting_force", "efficiency", "pulley_inertia"),
    saved.DrumWinch: ("counterweight", "resisting_force", "efficiency", "drum_inertia"),
    saved.WheelDrive: ("efficiency", "wheel_inertia", "drag_area", "air_density"),
    saved.FanLoad: ("inertia",),
    saved.DisplacementPump: ("dry_start_torque", "inertia"),
    saved.DirectRotaryLoad: ("resisting_torque", "square_torque"),
}  # fmt: skip
_OPTIONAL = ("pitch_diameter",)

_ROTARY_FRICTION = (
    ("constant", "Running friction", Kind.LOAD_TORQUE),
    ("viscous", "Rising with speed", Kind.VISCOUS_FRICTION),
    ("breakaway", "Moving off", Kind.LOAD_TORQUE),
)
_LINEAR_FRICTION = (
    ("coefficient", "Coefficient", Kind.RATIO),
    ("constant", "Running friction", Kind.FORCE),
    ("viscous", "Rising with speed", Kind.LINEAR_VISCOUS_FRICTION),
    ("breakaway_ratio", "Moving off, times", Kind.NUMBER),
)


def figure_row(place: Place) -> QuantityRow:
    """Return the row of one figure of a mechanism, its place counted from the mechanism."""
    label, kind = _FIGURES[".".join(place)]
    return QuantityRow((*MECHANISM, *place), label, kind, optional=place[0] in _OPTIONAL)


def mechanism_rows(form: MechanismForm) -> tuple[Row, ...]:
    """Return the figures of a mechanism: those it cannot do without, then the others."""
    required = [figure_row(place) for place in form.required]
    further = [figure_row((name,)) for name in _FURTHER[form.kind] if (name,) not in form.required]
    if ("slope",) in form.required:
        at = form.required.index(("slope",)) + 1
        required.insert(at, QuantityRow(GRADE, "the same as a grade", Kind.RATIO))
    return (*required, Heading("Where there is more to it"), *further) if further else tuple(required)


def friction_rows(form: MechanismForm) -> tuple[Row, ...]:
    """Return the friction of a mechanism and how far it may be off."""
    asked = [place[-1] for place in form.required if place[0] == "friction"]
    rows = [
        QuantityRow((*MECHANISM, "friction", name), label, kind)
        for name, label, kind in (_LINEAR_FRICTION if form.linear else _ROTARY_FRICTION)
        if name not in asked
    ]
    return (
        *rows,
        QuantityRow(("load", "friction_factor"), "Friction taken, times the entered value", Kind.NUMBER),
        Heading("Range of friction, times the entered value"),
        QuantityRow(("load", "friction_range", "low"), "from", Kind.NUMBER),
        QuantityRow(("load", "friction_range", "high"), "to", Kind.NUMBER),
    )


def limit_rows(form: MechanismForm) -> tuple[Row, ...]:
    """Return where the payload starts, what it bears, and how it is coupled."""
    length, speed, acceleration, jerk = (
        (Kind.LENGTH, Kind.LINEAR_SPEED, Kind.ACCELERATION, Kind.JERK)
        if form.linear
        else (Kind.ANGLE, Kind.SPEED, Kind.ANGULAR_ACCELERATION, Kind.ANGULAR_JERK)
    )
    return (
        QuantityRow(("load", "start_position"), "Starts at", length),
        Heading("Limits of the load; one left empty is not checked"),
        QuantityRow(("load", "limits", "speed"), "Largest speed", speed, True),
        QuantityRow(("load", "limits", "acceleration"), "Largest acceleration", acceleration, True),
        QuantityRow(("load", "limits", "jerk"), "Largest jerk", jerk, True),
        Heading("Between motor or gear and load"),
        QuantityRow(("load", "coupling_stiffness"), "Coupling stiffness", Kind.TORSIONAL_STIFFNESS, True),
    )


def bound_to_load(row: QuantityRow) -> Binding:
    """Return the binding of a figure of the load; what no mechanism can be is refused in the field."""
    if row.place == GRADE:
        return _bound_to_grade()
    place = row.place

    def write(project: Project, value: Any) -> Project:
        if place[-1] in saved.COUNTS:
            value = saved.whole_number(place[-1], value)
        after = edits.change_application_part(project, place, value)
        if place[:2] == MECHANISM:
            refuse_impossible(after, row.label)
        return after

    return Binding(lambda project: _read(project, place), write)


def refuse_impossible(project: Project, label: str) -> None:
    """Refuse a mechanism that the equations refuse, angles in degrees."""
    load = project.application.load
    if load is None:
        return
    try:
        physics_mechanism(load.mechanism).axis_load()
    except InputRangeError as error:
        raise in_plain_words(error, label) from error


def in_plain_words(error: InputRangeError, label: str) -> AmpturnError:
    """Return a refusal of an angle in degrees, and of wheels in words; any other as it is.

    Examples
    --------
    >>> str(in_plain_words(InputRangeError("slope", 2.0, "rad", "-pi/2 to pi/2"), "Slope"))
    'Slope must be −90° to 90°'
    """
    rule = error.rule
    if error.name == _WHEELS:
        return AmpturnError("There must be at least as many wheels as driven ones")
    if "pi" not in rule:
        return error
    if rule.startswith("0 to"):
        rule = f"0°{rule[1:]}"
    for spelled, words in _ANGLE_WORDS.items():
        rule = rule.replace(spelled, words)
    return AmpturnError(f"{label} must be {rule}")


def _bound_to_grade() -> Binding:
    """Return the slope as rise over level run, for those who know it in percent."""
    place = GRADE[:-1]

    def read(project: Project) -> float | None:
        slope = _read(project, place)
        return None if slope is None or abs(slope) > STEEPEST_GRADE else math.tan(slope)

    return Binding(
        read, lambda project, grade: edits.change_application_part(project, place, math.atan(grade))
    )


def _read(project: Project, place: edits.Place) -> Any:
    """Return a value of the load, None where the load has no such figure."""
    part: Any = project.application
    for name in place:
        part = getattr(part, name, None)
    return part


def of_load(say: Callable[[Load, DisplayUnits], str]) -> Callable[[Application, DisplayUnits], str]:
    """Return how a group is summed up from the load, an empty text while there is none."""
    return lambda application, units: "" if application.load is None else say(application.load, units)


def mechanism_summary(load: Load, units: DisplayUnits) -> str:
    """Return the first figures of a mechanism in one line."""
    words = []
    for name in ("mass", "payload_mass", "inertia", "torque", "displacement"):
        value = getattr(load.mechanism, name, None)
        if value:
            words.append(units.format_quantity(value, _FIGURES[name][1]))
    for name in ("axis_tilt", "inclination", "slope", "zero_angle"):
        value = getattr(load.mechanism, name, None)
        if value is not None:
            words.append(f"{_FIGURES[name][0].lower()} {units.format_quantity(value, Kind.ANGLE)}")
    return ", ".join(words)


def friction_summary(load: Load, units: DisplayUnits) -> str:
    """Return the friction of a load in one line."""
    friction = load.mechanism.friction
    names = _LINEAR_FRICTION if isinstance(friction, saved.LinearFriction) else _ROTARY_FRICTION
    words = [
        f"{label.lower()} {units.format_quantity(getattr(friction, name), kind)}"
        for name, label, kind in names
        if getattr(friction, name) not in (0.0, 1.0)
    ]
    spread = load.friction_range
    times = "" if spread.low == spread.high == 1.0 else f"from {spread.low:g} to {spread.high:g} times that"
    taken = "" if load.friction_factor == 1.0 else f"taken {load.friction_factor:g} times"
    return ", ".join(part for part in (*(words or ["no friction entered"]), taken, times) if part)


def limits_summary(load: Load, units: DisplayUnits) -> str:
    """Return limits and coupling in one line."""
    linear = isinstance(load.mechanism, saved.LINEAR)
    speed, acceleration = (
        (Kind.LINEAR_SPEED, Kind.ACCELERATION) if linear else (Kind.SPEED, Kind.ANGULAR_ACCELERATION)
    )
    limits = (
        ("speed", load.limits.speed, speed),
        ("acceleration", load.limits.acceleration, acceleration),
        ("stiffness", load.coupling_stiffness, Kind.TORSIONAL_STIFFNESS),
    )
    words = [f"{name} {units.format_quantity(value, kind)}" for name, value, kind in limits if value]
    return ", ".join(words) or "no limits entered"
