"""What it must meet: the margins that are wanted, the room there is, and what is judged how."""

from __future__ import annotations

from app.inputs.rows import ChoiceRow, Heading, QuantityRow, Questions, Row
from core.project.application import Application
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
)


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


REQUIREMENTS = Questions(TITLE, "what_it_must_meet", "requirements", ROWS, summary, open_at_first=False)
