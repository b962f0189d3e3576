"""The columns of an imported table of parts: what a row can be, and what its cells are called.

A table has a heading and one part in each row. The column `kind` says what the row is:

motor
    One winding of a frame, in one variant. The rows of a frame are gathered by its name in the column
    `frame`; figures that they share (pole pairs, rotor inertia of the variant) stand in each row or in one of
    them, and must not differ. A row may name a winding, a variant, or both. Without a column `kind` every
    row is a motor.
electronics, Hall sensors, encoder, sensorless, brake, gear
    One such part, by the column `name`.

A number has its unit in the heading, as `torque constant [mN m/A]`, or in the cell; one without either is
refused. A column that ends in `meaning` says which ampere, which volt or which terminals are meant. Several
entries in one cell are separated by `|`. Rows that are empty or begin with `#` are left out. `columns_text`
lists every column, from the same table that reads them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, get_args

from core.catalogue.sheet_figures import FRAME, VARIANT, WINDING, YES_NO, SheetFigure
from core.physics.conventions import Commutation
from core.project.drive import Drive, FeedbackKind, Modulation, Switching
from core.project.feedback import Encoder, EncoderStart, HallSensors, Sensorless
from core.project.fittings import HoldingBrake
from core.project.saved import Saved
from core.project.transmission import Transmission
from core.units import Kind, accepted_units

MOTOR: Final = "motor"
KIND_COLUMN: Final = "kind"
BETWEEN_ENTRIES: Final = "|"


def _rows(level: str, *rows: tuple[str, str, Kind | None, str]) -> tuple[SheetFigure, ...]:
    """Return figures of a part; each row is (column, field, kind of quantity, hint)."""
    name = SheetFigure("name", level, "of the part", field="name", needed=True)
    origin = SheetFigure("origin", level, "where the figures come from", field="origin")
    return (name, origin, *(SheetFigure(key, level, hint, kind, field) for key, field, kind, hint in rows))


def _word(level: str, key: str, field: str, choices: tuple[str, ...], hint: str) -> SheetFigure:
    return SheetFigure(key, level, hint, field=field, choices=choices)


def _count(level: str, key: str, field: str, hint: str, needed: bool = False) -> SheetFigure:
    return SheetFigure(key, level, hint, field=field, whole=True, needed=needed)


_ELECTRONICS = (
    *_rows(
        "electronics",
        ("continuous current", "continuous_current", Kind.CURRENT, "amplitude"),
        ("peak current", "peak_current", Kind.CURRENT, "amplitude"),
        ("peak time", "peak_time", Kind.TIME, "how long it may last"),
        ("standstill share", "standstill_share", Kind.RATIO, "of the continuous current"),
        ("lowest supply", "lowest_supply", Kind.VOLTAGE, ""),
        ("highest supply", "highest_supply", Kind.VOLTAGE, ""),
        ("trip voltage", "trip_voltage", Kind.VOLTAGE, "at which it switches off"),
        ("bus capacitance", "bus_capacitance", Kind.CAPACITANCE, "inside"),
        ("largest duty", "largest_duty", Kind.RATIO, "usable share of the supply"),
        ("PWM frequency", "pwm_frequency", Kind.FREQUENCY, ""),
        ("control frequency", "control_frequency", Kind.FREQUENCY, "of the current control"),
        ("on-resistance", "on_resistance", Kind.RESISTANCE, "of one switch"),
        ("device drop", "device_drop", Kind.VOLTAGE, "of the conducting devices"),
        ("switching time", "switching_time", Kind.SWITCHING_TIME, "on and off together"),
        (
            "largest electrical frequency",
            "largest_electrical_frequency",
            Kind.ELECTRICAL_FREQUENCY,
            "that it can commutate",
        ),
        ("idle power", "idle_power", Kind.POWER, ""),
        ("highest ambient", "highest_ambient", Kind.TEMPERATURE, "around it"),
        ("mass", "mass", Kind.MASS, ""),
    ),
    _word("electronics", "modulation", "modulation", get_args(Modulation), "of sinusoidal voltage"),
    _word("electronics", "switching", "switching", get_args(Switching), "in six-step"),
    SheetFigure(
        "commutations",
        "electronics",
        "it can do",
        field="commutations",
        choices=get_args(Commutation),
        many=True,
    ),
    SheetFigure(
        "feedback kinds",
        "electronics",
        "it can take",
        field="feedback_kinds",
        choices=get_args(FeedbackKind),
        many=True,
    ),
    _word("electronics", "field weakening", "field_weakening", YES_NO, ""),
    _word("electronics", "built in", "built_in", YES_NO, "into the motor"),
)
_HALL = (
    *_rows(
        "Hall sensors",
        ("edge error", "edge_error", Kind.ANGLE, "electrical"),
        ("largest signal frequency", "largest_signal_frequency", Kind.FREQUENCY, ""),
        ("highest temperature", "highest_temp", Kind.TEMPERATURE, "of the board"),
    ),
    _count("Hall sensors", "sensors", "sensors", "how many"),
)
_ADDED = (
    ("highest temperature", "highest_temp", Kind.TEMPERATURE, ""),
    ("length", "length", Kind.LENGTH, "that it adds"),
    ("mass", "mass", Kind.MASS, "that it adds"),
    ("inertia", "inertia", Kind.INERTIA, "that it adds"),
)
_ENCODER = (
    *_rows(
        "encoder",
        ("largest signal frequency", "largest_signal_frequency", Kind.FREQUENCY, ""),
        ("largest speed", "largest_speed", Kind.SPEED, ""),
        *_ADDED,
    ),
    _count("encoder", "counts", "counts", "per turn, all edges counted", needed=True),
    _count("encoder", "edges per line", "edges_per_line", "4 for two channels"),
    _word("encoder", "start", "start", get_args(EncoderStart), "how the angle is known at switch-on"),
    _word("encoder", "index", "index", YES_NO, ""),
    _word("encoder", "at load", "at_load", YES_NO, "behind the gear"),
)
_SENSORLESS = _rows(
    "sensorless",
    ("least EMF share", "least_emf_share", Kind.RATIO, "of the supply, at the lowest speed"),
    ("start torque share", "start_torque_share", Kind.RATIO, "of the continuous torque"),
)
_BRAKE = (
    *_rows(
        "brake",
        ("engage delay", "engage_delay", Kind.TIME, ""),
        ("release delay", "release_delay", Kind.TIME, ""),
        ("largest stop energy", "largest_stop_energy", Kind.ENERGY, "of one stop"),
        ("heat power", "heat_power", Kind.POWER, "that it can give off"),
        ("pull-in power", "pull_in_power", Kind.POWER, "of the coil"),
        ("hold voltage share", "hold_voltage_share", Kind.RATIO, ""),
        ("pull-in time", "pull_in_time", Kind.TIME, ""),
        *_ADDED,
    ),
    SheetFigure(
        "holding torque", "brake", "least, at the shaft", Kind.TORQUE, field="holding_torque", needed=True
    ),
    _word("brake", "on motor", "on_motor", YES_NO, ""),
)
_GEAR = (
    *_rows(
        "gear",
        ("efficiency", "efficiency", Kind.RATIO, "while the motor drives"),
        ("back-driving efficiency", "back_driving_efficiency", Kind.RATIO, "while the load drives"),
        ("drag torque", "drag_torque", Kind.TORQUE, "at the motor side"),
        ("input inertia", "input_inertia", Kind.INERTIA, "at the motor side"),
        ("backlash", "backlash", Kind.ANGLE, "at the load side"),
        ("continuous torque", "continuous_torque", Kind.TORQUE, "at the load side"),
        ("intermittent torque", "intermittent_torque", Kind.TORQUE, "at the load side"),
        ("largest input speed", "largest_input_speed", Kind.SPEED, "at the motor side"),
    ),
    SheetFigure("ratio", "gear", "motor speed over load speed", Kind.NUMBER, field="ratio", needed=True),
    SheetFigure("available ratios", "gear", "as 4 | 6.25", Kind.NUMBER, field="available_ratios", many=True),
    _word("gear", "on motor", "on_motor", YES_NO, ""),
)

PART_KINDS: Final[dict[str, tuple[type[Saved], tuple[SheetFigure, ...]]]] = {
    "electronics": (Drive, _ELECTRONICS),
    "Hall sensors": (HallSensors, _HALL),
    "encoder": (Encoder, _ENCODER),
    "sensorless": (Sensorless, _SENSORLESS),
    "brake": (HoldingBrake, _BRAKE),
    "gear": (Transmission, _GEAR),
}
MOTOR_COLUMNS: Final = (*FRAME, *WINDING, *VARIANT)
ROW_KINDS: Final = (MOTOR, *PART_KINDS)


def columns_of(row_kind: str) -> tuple[SheetFigure, ...]:
    """Return the columns that a kind of row may fill."""
    return MOTOR_COLUMNS if row_kind == MOTOR else PART_KINDS[row_kind][1]


def columns_text() -> str:
    """Return the list of columns as text, each with what it holds."""
    lines = [
        f"{KIND_COLUMN}: what the row is, one of {', '.join(ROW_KINDS)}; without this column every row is a "
        f"{MOTOR}",
    ]
    for title, figures in _groups():
        lines += ["", f"{title}:"]
        width = max(len(figure.key) for figure in figures)
        lines += [f"  {figure.key:<{width}}  {_holds(figure)}" for figure in figures]
    return "\n".join(lines) + "\n"


def _groups() -> Iterator[tuple[str, tuple[SheetFigure, ...]]]:
    yield f"{MOTOR}: the frame", FRAME
    yield f"{MOTOR}: the winding", WINDING
    yield f"{MOTOR}: the variant", VARIANT
    for kind, (_, figures) in PART_KINDS.items():
        yield kind, figures


def _holds(figure: SheetFigure) -> str:
    parts = [figure.hint]
    if figure.kind is not None:
        units = [symbol for symbol in accepted_units(figure.kind) if symbol]
        parts.append(f"[{', '.join(units)}]" if units else "a number")
    elif figure.whole:
        parts.append("a whole number")
    elif figure.choices:
        parts.append("one of " + ", ".join(f"'{choice}'" for choice in figure.choices))
    if figure.many:
        parts.append(f"several separated by {BETWEEN_ENTRIES}")
    if figure.needed:
        parts.append("needed")
    elif isinstance(figure.default, str):
        parts.append(f"'{figure.default}' where it is not given")
    return "; ".join(part for part in parts if part)
