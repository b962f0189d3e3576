"""Entries that look right and are not, and what is said of each: the same in a field, a cell and a paste."""

from __future__ import annotations

import re

import pytest

from core.errors import UnitError
from core.units import Kind, accepted_units, parse_cell, parse_quantity

# what is typed, for which kind, and what the refusal says
NASTY: tuple[tuple[str, Kind, str], ...] = (
    # a mass where a force or a torque is meant
    ("3 kg", Kind.FORCE, "is a mass: write kgf"),
    ("3 g", Kind.FORCE, "is a mass: write gf"),
    ("3 lbs", Kind.FORCE, "is a mass: write lbf"),
    ("3 oz", Kind.FORCE, "is a mass: write ozf"),
    ("3 kg", Kind.TORQUE, "is a mass, a torque needs a force times a length: write kgf"),
    ("3 oz", Kind.TORQUE, "is a mass, a torque needs a force times a length: write ozf"),
    ("3 lb/A", Kind.TORQUE_CONSTANT, "is a mass, a torque constant needs"),
    ("3 kg·cm", Kind.TORQUE, "is a mass times a length.*write kgf·cm"),
    ("3 kgm", Kind.LOAD_TORQUE, "is a mass times a length.*write kgf·m"),
    ("3 g cm", Kind.TORQUE, "is a mass times a length.*write gf·cm"),
    ("3 N", Kind.MASS, "is a unit of force, not of mass; accepted: kg, g"),
    ("3 kgf", Kind.MASS, "is a unit of force, not of mass"),
    # torque, force and moment of inertia for one another
    ("12 mN", Kind.TORQUE, "is a unit of force, not of torque"),
    ("12 mN·m", Kind.FORCE, "is a unit of torque, not of force"),
    ("5 oz·in", Kind.INERTIA, "no square of a length.*write oz·in² or ozf·in·s²"),
    ("5 lb-in", Kind.INERTIA, "no square of a length.*write lb·in² or lbf·in·s²"),
    ("5 lb ft", Kind.LOAD_INERTIA, "no square of a length.*write lb·ft²"),
    ("5 kg m", Kind.INERTIA, "no square of a length.*write kg·m²"),
    ("5 g·cm", Kind.INERTIA, "no square of a length.*write g·cm²"),
    ("5 oz·in²", Kind.TORQUE, "is a unit of moment of inertia, not of torque"),
    ("5 lb in^2", Kind.TORQUE, "is a unit of moment of inertia, not of torque"),
    ("5 oz·in·s²", Kind.TORQUE, "is a unit of moment of inertia, not of torque"),
    ("5 g·cm²", Kind.MASS, "is a unit of moment of inertia, not of mass"),
    # slopes, angles, shares
    ("100 %", Kind.ANGLE, "is a slope, not an angle .100 % is 45°."),
    ("12°", Kind.RATIO, "is a unit of angle, not of ratio"),
    ("5 rpm", Kind.ANGLE, "is a unit of speed, not of angle"),
    ("0,5 °", Kind.TEMPERATURE, "does not say which degree: write °C, °F or K"),
    ("40 deg", Kind.TEMPERATURE, "does not say which degree"),
    # speeds and frequencies
    ("50 Hz", Kind.SPEED, "may mean rad/s or turns per second"),
    ("50 /s", Kind.SPEED, "is not known for the kind 'speed'"),
    ("9000 rpm", Kind.ELECTRICAL_FREQUENCY, "may mean the shaft of any motor"),
    ("3 m/s", Kind.SPEED, "is a unit of linear speed, not of speed"),
    ("3 rad/s", Kind.LINEAR_SPEED, "is a unit of speed, not of linear speed"),
    ("3 rad/s²", Kind.ACCELERATION, "is a unit of angular acceleration, not of acceleration"),
    ("20 khz", Kind.FREQUENCY, "capital and small letters differ: is kHz meant"),
    # constants and their inverses
    ("110 rpm/V", Kind.BACK_EMF_CONSTANT, "is a unit of speed constant, not of back-EMF constant"),
    ("10 V/krpm", Kind.SPEED_CONSTANT, "is a unit of back-EMF constant, not of speed constant"),
    ("30 mN·m/A", Kind.BACK_EMF_CONSTANT, "is a unit of torque constant, not of back-EMF constant"),
    ("30 mN·m", Kind.TORQUE_CONSTANT, "is a unit of torque, not of torque constant"),
    ("3 W/K", Kind.THERMAL_RESISTANCE, "is a unit of thermal conductance, not of thermal resistance"),
    ("3 K/W", Kind.THERMAL_CONDUCTANCE, "is a unit of thermal resistance, not of thermal conductance"),
    # capital and small letters
    ("5 mw", Kind.POWER, "capital and small letters differ: is mW"),
    ("5 MΩ", Kind.RESISTANCE, "capital and small letters differ: is mΩ meant"),
    ("24 v", Kind.VOLTAGE, "capital and small letters differ: is V meant"),
    ("5 MA", Kind.CURRENT, "capital and small letters differ: is mA meant"),
    ("300 k", Kind.TEMPERATURE, "capital and small letters differ: is K meant"),
    ("5 S", Kind.TIME, "capital and small letters differ: is s meant"),
    ("5 MM", Kind.LENGTH, "capital and small letters differ: is mm meant"),
    # energy, charge and power
    ("5 Ah", Kind.BATTERY_ENERGY, "is a charge, not an energy: multiply it by the voltage"),
    ("5000 mAh", Kind.BATTERY_ENERGY, "is a charge, not an energy"),
    ("5 W", Kind.ENERGY, "is a unit of power, not of energy"),
    ("5 kWh", Kind.POWER, "is a unit of energy, not of power"),
    # numbers that may be read in two ways, or in none
    ("1,234 rpm", Kind.SPEED, "is ambiguous.*write 1234 or 1.234"),
    ("1.234,5 rpm", Kind.SPEED, "thousands separators, which are not read.*as 1234.5"),
    ("1,234,567", Kind.SPEED, "thousands separators.*as 1234567"),
    ("1'000 rpm", Kind.SPEED, "thousands separators.*as 1000"),
    ("12,", Kind.VOLTAGE, "ends with a comma"),
    ("1/2 s", Kind.TIME, "unit '/2 s' is not known"),
    ("5+3 V", Kind.VOLTAGE, "unit '.3 V' is not known"),
    ("=5 V", Kind.VOLTAGE, "does not begin with a number"),
    ("~5 V", Kind.VOLTAGE, "does not begin with a number"),
    ("< 5 V", Kind.VOLTAGE, "does not begin with a number"),
    ("5 … 6 V", Kind.VOLTAGE, "is not known"),
    ("4k7", Kind.RESISTANCE, "unit 'k7' is not known for the kind 'resistance'; accepted: Ω"),
    ("0x10", Kind.NUMBER, "unit 'x10' is not known"),
    ("１２ V", Kind.VOLTAGE, "does not begin with a number"),
    ("1e999 V", Kind.VOLTAGE, "is too large for a number"),
    ("NaN", Kind.TORQUE, "is not a finite number"),
    ("   ", Kind.TORQUE, "nothing is typed"),
    ("12 V DC", Kind.VOLTAGE, "unit 'V DC' is not known.*accepted: V, mV, kV"),
    ("5 A rms", Kind.CURRENT, "unit 'A rms' is not known.*accepted: A, mA"),
    ("14 poles", Kind.NUMBER, "accepted: the number alone"),
)


def test_there_are_enough_of_them() -> None:
    assert len(NASTY) >= 60
    assert len({kind for _, kind, _ in NASTY}) >= 20


@pytest.mark.parametrize(("typed", "kind", "said"), NASTY, ids=[f"{t} as {k}" for t, k, _ in NASTY])
def test_it_is_refused_with_the_reason(typed: str, kind: Kind, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_quantity(typed, kind, accepted_units(kind)[0])
    with pytest.raises(UnitError, match=re.compile(said) if typed.strip() else "the cell is empty"):
        parse_cell(typed, kind, accepted_units(kind)[0])


def test_pounds_in_the_plural_are_read() -> None:
    """By hand: 1 lb = 0.45359237 kg, g_n = 9.80665 m/s2, 1 in = 0.0254 m."""
    expected = 0.45359237 * 9.80665 * 0.0254
    assert parse_quantity("1 in-lbs", Kind.TORQUE, "mN·m") == pytest.approx(expected, rel=1e-12)
    assert parse_quantity("1 ft-lbs", Kind.TORQUE, "mN·m") == pytest.approx(12.0 * expected, rel=1e-12)
