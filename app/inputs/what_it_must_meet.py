"""What it must meet: the margins that are wanted, the room there is, and what is judged how."""

from __future__ import annotations

from app.inputs.rows import ChoiceRow, Heading, QuantityRow, Questions, Row
from core.project.application import Application, Requirements
from core.project.feedback import MotionQuality
from core.units import DisplayUnits, Kind

TITLE = "What it must meet"

_TARGETS = (
    ("torque_reserve", "Torque reserve"),
    ("temperature", "Temperatures"),
    ("touch", "Touched outside"),
    ("peak", "Peak torque, current"),
    ("voltage", "Voltage reserve"),
    ("speed", "Speed"),
    ("frequency", "Electrical frequency"),
    ("envelope", "Room and mass"),
    ("supply", "Supply and bus"),
    ("ripple", "Current ripple"),
    ("feedback", "Feedback"),
    ("brake", "Brake"),
    ("bearing", "Life of bearings"),
)
_CONTACT_TIMES = ((1, "1 s"), (10, "10 s"), (60, "1 min"), (600, "10 min"), (28800, "8 h"))
_REQUIREMENTS = "requirements"

ROWS: tuple[Row, ...] = (
    Heading("Wanted margins"),
    *(QuantityRow((_REQUIREMENTS, "targets", name), label, Kind.RATIO) for name, label in _TARGETS),
    Heading("Room there is; without a limit it is not asked for"),
    QuantityRow((_REQUIREMENTS, "envelope", "largest_diameter"), "Largest diameter", Kind.LENGTH, True),
    QuantityRow((_REQUIREMENTS, "envelope", "largest_length"), "Largest length", Kind.LENGTH, True),
    QuantityRow((_REQUIREMENTS, "envelope", "largest_mass"), "Largest mass", Kind.MASS, True),
    Heading("How it is judged"),
    ChoiceRow((_REQUIREMENTS, "touch_contact"), "Touched for", _CONTACT_TIMES),
    QuantityRow((_REQUIREMENTS, "short_time"), "Short time", Kind.TIME),
    QuantityRow((_REQUIREMENTS, "hot_spot_allowance"), "Hot-spot allowance", Kind.TEMPERATURE_DIFFERENCE),
    QuantityRow((_REQUIREMENTS, "largest_ripple"), "Ripple, of current", Kind.RATIO),
)

MOTION_TITLE = "Motion and holding"
_MOTION = (_REQUIREMENTS, "motion")


def _usual_edges(application: Application) -> str:
    usual = application.requirements.motion.edges_per_bandwidth == MotionQuality().edges_per_bandwidth
    return "assumed: common practice" if usual else ""


def _usual_factor(application: Application) -> str:
    usual = application.requirements.holding_factor == Requirements().holding_factor
    return "assumed: common practice" if usual else ""


MOTION_ROWS: tuple[Row, ...] = (
    Heading("At the load; without a figure it is not asked for"),
    QuantityRow((*_MOTION, "lowest_speed"), "Lowest speed", Kind.SPEED, True),
    QuantityRow((*_MOTION, "speed_ripple"), "Speed ripple", Kind.RATIO, True),
    QuantityRow((*_MOTION, "position_accuracy"), "Position within", Kind.ANGLE, True),
    QuantityRow((*_MOTION, "loop_bandwidth"), "Loop bandwidth", Kind.FREQUENCY, True),
    QuantityRow((*_MOTION, "edges_per_bandwidth"), "Edges/bandwidth", Kind.NUMBER, remark=_usual_edges),
    QuantityRow((*_MOTION, "start_torque_share"), "Torque at start", Kind.RATIO, True),
    Heading("Held by a brake"),
    QuantityRow((_REQUIREMENTS, "holding_factor"), "Holding factor", Kind.NUMBER, remark=_usual_factor),
    QuantityRow((_REQUIREMENTS, "largest_drop"), "Largest drop", Kind.ANGLE, True),
)


def motion_summary(application: Application, units: DisplayUnits) -> str:
    """Return what is asked of the motion in one line."""
    motion = application.requirements.motion
    asked = (
        ("lowest speed", motion.lowest_speed, Kind.SPEED),
        ("ripple", motion.speed_ripple, Kind.RATIO),
        ("position within", motion.position_accuracy, Kind.ANGLE),
        ("bandwidth", motion.loop_bandwidth, Kind.FREQUENCY),
    )
    words = [
        f"{word} {units.format_quantity(value, kind)}" for word, value, kind in asked if value is not None
    ]
    return ", ".join(words) or "nothing asked of the motion"


def summary(application: Application, units: DisplayUnits) -> str:
    """Return the group in one line."""
    wanted = application.requirements
    targets = wanted.targets
    words = [
        f"reserve {units.format_entry(targets.torque_reserve, Kind.RATIO)}{_percent(units)}",
        f"voltage {units.format_entry(targets.voltage, Kind.RATIO)}{_percent(units)}",
        f"touch {dict(_CONTACT_TIMES)[wanted.touch_contact]}",
    ]
    room = wanted.envelope
    lengths = (("diameter", room.largest_diameter), ("length", room.largest_length))
    words += [
        f"{word} {units.format_quantity(value, Kind.LENGTH)}" for word, value in lengths if value is not None
    ]
    if room.largest_mass is not None:
        words.append(units.format_quantity(room.largest_mass, Kind.MASS))
    return ", ".join(words)


def _percent(units: DisplayUnits) -> str:
    symbol = units.symbol(Kind.RATIO)
    return "" if symbol == "1" else f"\N{NO-BREAK SPACE}{symbol}"


MOTION = Questions(
    MOTION_TITLE, "motion_quality", "requirements", MOTION_ROWS, motion_summary, open_at_first=False
)
REQUIREMENTS = Questions(TITLE, "what_it_must_meet", "requirements", ROWS, summary, open_at_first=False)
