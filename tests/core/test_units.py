"""The unit edge: what may be typed, what is refused and why, and that showing and reading agree."""

import math
import re
import subprocess
import sys
from contextlib import suppress
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import UnitError
from core.unit_table import UNITS, Unit, spellings, unit_key
from core.units import (
    DisplayUnits,
    Kind,
    accepted_units,
    convert,
    find_unit,
    format_number,
    parse_cell,
    parse_quantity,
    si_symbol,
)

ROWS = [(kind, unit) for kind, rows in UNITS.items() for unit in rows]
ROW_NAMES = [f"{kind}: {unit.symbol}" for kind, unit in ROWS]
REGISTRY: pint.UnitRegistry[Any] = pint.UnitRegistry()
KINDS = st.sampled_from(list(Kind))


def _si_unit(kind: Kind) -> Unit:
    return find_unit(si_symbol(kind), kind)


@pytest.mark.parametrize(("kind", "unit"), ROWS, ids=ROW_NAMES)
def test_factor_agrees_with_pint(kind: Kind, unit: Unit) -> None:
    # pint's own definitions file is the outside source; 1e-12 leaves room for rounding of a few products.
    expected = REGISTRY.Quantity(7.0, unit.expression).m_as(_si_unit(kind).expression)
    assert parse_quantity(f"7 {unit.symbol}", kind, "") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("kind", list(Kind))
def test_si_unit_is_coherent(kind: Kind) -> None:
    """The unit with factor 1 is the one that pint calls the base unit, except degC."""
    if kind is Kind.TEMPERATURE:
        assert _si_unit(kind).symbol == "°C"
        return
    base = REGISTRY.Quantity(1.0, _si_unit(kind).expression).to_base_units()
    assert base.magnitude == pytest.approx(1.0, rel=1e-15)


# Values by hand from 1 in = 0.0254 m, 1 lb = 0.45359237 kg, g_n = 9.80665 m/s^2, 1 turn = 2 pi rad.
@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("12 mN*m", Kind.TORQUE, 0.012),
        ("12 mNm", Kind.TORQUE, 0.012),
        ("12,5 mN·m", Kind.TORQUE, 0.0125),
        ("12.5mN.m", Kind.TORQUE, 0.0125),
        ("12 N-cm", Kind.TORQUE, 0.12),
        ("1 kgf·cm", Kind.TORQUE, 0.0980665),
        ("1.7 oz*in", Kind.TORQUE, 1.7 * 0.007061551833333),
        ("1.7 oz-in", Kind.TORQUE, 1.7 * 0.007061551833333),
        ("1 ozf in", Kind.TORQUE, 0.007061551833333),
        ("1 lb·in", Kind.TORQUE, 0.112984829027617),
        ("1 ft-lb", Kind.TORQUE, 1.3558179483314),
        ("3000 rpm", Kind.SPEED, 100.0 * math.pi),
        ("3000 1/min", Kind.SPEED, 100.0 * math.pi),
        ("3000 min^-1", Kind.SPEED, 100.0 * math.pi),
        ("3000 min⁻¹", Kind.SPEED, 100.0 * math.pi),
        ("3000 min−1", Kind.SPEED, 100.0 * math.pi),
        ("180 deg/s", Kind.SPEED, math.pi),
        ("180 ° / s", Kind.SPEED, math.pi),
        ("25 degC", Kind.TEMPERATURE, 25.0),
        ("25 °C", Kind.TEMPERATURE, 25.0),
        ("-40 °F", Kind.TEMPERATURE, -40.0),
        ("298.15 K", Kind.TEMPERATURE, 25.0),
        ("100 °C", Kind.TEMPERATURE_DIFFERENCE, 100.0),
        ("180 °F", Kind.TEMPERATURE_DIFFERENCE, 100.0),
        ("120 mOhm", Kind.RESISTANCE, 0.12),
        ("120 mΩ", Kind.RESISTANCE, 0.12),
        ("120 m\u2126", Kind.RESISTANCE, 0.12),
        ("1,5 Ohms", Kind.RESISTANCE, 1.5),
        ("350 uH", Kind.INDUCTANCE, 350e-6),
        ("350 µH", Kind.INDUCTANCE, 350e-6),
        ("350 \u03bcH", Kind.INDUCTANCE, 350e-6),
        ("35 g cm^2", Kind.INERTIA, 3.5e-6),
        ("35 gcm²", Kind.INERTIA, 3.5e-6),
        ("1 lb*ft^2", Kind.INERTIA, 0.0421401100938),
        ("1 oz*in*s^2", Kind.INERTIA, 0.007061551833333),
        ("1 oz*in²", Kind.INERTIA, 1.8289978e-5),
        ("10 V/krpm", Kind.BACK_EMF_CONSTANT, 0.01 * 30.0 / math.pi),
        ("10 V/1000 min⁻¹", Kind.BACK_EMF_CONSTANT, 0.01 * 30.0 / math.pi),
        ("0.1 V/(rad/s)", Kind.BACK_EMF_CONSTANT, 0.1),
        ("110 rpm/V", Kind.SPEED_CONSTANT, 110.0 * math.pi / 30.0),
        ("1 mph", Kind.LINEAR_SPEED, 0.44704),
        ("40 %", Kind.RATIO, 0.4),
        ("0.39 %/K", Kind.TEMPERATURE_COEFFICIENT, 0.0039),
        ("1 hp", Kind.POWER, 745.69987158227),
        ("−12,5 N", Kind.FORCE, -12.5),
        ("+1.2e-3 s", Kind.TIME, 0.0012),
        ("1.2e−3 s", Kind.TIME, 0.0012),
        ("\u20093\u2009000\u00a0m ", Kind.ALTITUDE, 3000.0),
        (".5 s", Kind.TIME, 0.5),
        (",5 s", Kind.TIME, 0.5),
        ("0,125 s", Kind.TIME, 0.125),
        ("1234,567 s", Kind.TIME, 1234.567),
        ("1.234 s", Kind.TIME, 1.234),
        ("14", Kind.NUMBER, 14.0),
        # 7 pole pairs at 9000 rpm: 63000 electrical turns a minute, 1050 a second
        ("63000 eRPM", Kind.ELECTRICAL_FREQUENCY, 1050.0),
        ("63 000 rpm of 2 poles", Kind.ELECTRICAL_FREQUENCY, 1050.0),
        ("63000 rpm two-pole", Kind.ELECTRICAL_FREQUENCY, 1050.0),
        ("1.05 kHz", Kind.ELECTRICAL_FREQUENCY, 1050.0),
        ("20000", Kind.LIFE, 7.2e7),
        ("60 ns", Kind.SWITCHING_TIME, 60e-9),
    ],
)
def test_typed_quantity_is_read(text: str, kind: Kind, expected: float) -> None:
    # 1e-8: the rarest constants above are given with nine or more digits
    assert parse_quantity(text, kind, accepted_units(kind)[0]) == pytest.approx(expected, rel=1e-8)


def test_bare_number_takes_the_unit_on_show() -> None:
    assert parse_quantity("12", Kind.TORQUE, "mN·m") == 0.012
    assert parse_quantity("12", Kind.TORQUE, "N·m") == 12.0
    assert DisplayUnits().parse("300", Kind.SPEED) == pytest.approx(10.0 * math.pi)
    assert DisplayUnits().with_units({Kind.TIME: "min"}).parse("2", Kind.TIME) == 120.0


@pytest.mark.parametrize("milli", ["1.1", "0.3", "7", "12.7", "999.9"])
def test_decimal_prefix_leaves_no_conversion_noise(milli: str) -> None:
    assert parse_quantity(milli, Kind.TORQUE, "mN·m") == float(f"{milli}e-3")


@pytest.mark.parametrize(
    ("text", "kind", "reason"),
    [
        ("1,234", Kind.TORQUE, "'1,234' is ambiguous.*write 1234 or 1.234"),
        ("-12,500 mN*m", Kind.TORQUE, "ambiguous.*write 12500 or 12.500"),
        ("1,234e3", Kind.TORQUE, "ambiguous"),
        ("1.234,5", Kind.TORQUE, "thousands separators, which are not read.*as 1234.5"),
        ("1,234.5 mN*m", Kind.TORQUE, "thousands separators, which are not read.*as 1234.5"),
        ("1,234,567", Kind.TORQUE, "thousands separators.*as 1234567"),
        ("1.234.567", Kind.TORQUE, "thousands separators.*as 1234567"),
        ("1'234.5", Kind.TORQUE, "thousands separators.*as 1234.5"),
        ("1_000", Kind.TORQUE, "thousands separators.*as 1000"),
        ("12,", Kind.TORQUE, "ends with a comma: write it as 12.5, 12,5"),
        ("", Kind.TORQUE, "nothing is typed"),
        (" \u2009 ", Kind.TORQUE, "nothing is typed"),
        ("abc", Kind.TORQUE, "does not begin with a number: write it as 12.5, 12,5, 1.2e-3"),
        ("mN*m", Kind.TORQUE, "does not begin with a number"),
        ("--5", Kind.TORQUE, "does not begin with a number"),
        ("٣ N", Kind.FORCE, "does not begin with a number"),
        ("nan N", Kind.FORCE, "'nan N' is not a finite number"),
        ("-inf", Kind.FORCE, "not a finite number"),
        ("Infinity N", Kind.FORCE, "not a finite number"),
        ("∞", Kind.FORCE, "not a finite number"),
        ("1e400 N", Kind.FORCE, "'1e400' is too large"),
        ("1e308 kN", Kind.FORCE, "too large for a force"),
        ("1e-400 N", Kind.FORCE, "'1e-400' is too small"),
        ("1" * 200, Kind.FORCE, "longer than a number and a unit can be"),
        ("5 kg*cm", Kind.TORQUE, "mass times a length, a torque needs a force: write kgf·cm"),
        ("5 kg·cm/A", Kind.TORQUE_CONSTANT, "write kgf·cm/A"),
        ("5 kg", Kind.FORCE, "is a mass: write kgf for the weight of that mass, or N"),
        ("5 oz", Kind.FORCE, "is a mass: write ozf"),
        ("5 kgf", Kind.MASS, "is a unit of force, not of mass; accepted: kg, g"),
        ("5 A", Kind.TORQUE, "is a unit of current, not of torque; accepted: mN·m, N·m"),
        ("5 MW", Kind.POWER, "capital and small letters differ: is mW meant"),
        ("5 furlong", Kind.LENGTH, "'furlong' is not known for the kind 'length'; accepted: mm, m, cm"),
        ("100 %", Kind.ANGLE, "is a slope, not an angle"),
        ("50 Hz", Kind.SPEED, "may mean rad/s or turns per second"),
        ("50 1/s", Kind.SPEED, "may mean rad/s or turns per second"),
        ("3 00 rpm", Kind.SPEED, "unit '00 rpm' is not known"),
        ("12 - 15 V", Kind.VOLTAGE, "unit '- 15 V' is not known"),
        ("5 ± 1 V", Kind.VOLTAGE, "is not known"),
        ("14 poles", Kind.NUMBER, "accepted: the number alone"),
        ("9000 rpm", Kind.ELECTRICAL_FREQUENCY, "may mean the shaft of any motor: write eRPM"),
    ],
)
def test_refusal_says_why(text: str, kind: Kind, reason: str) -> None:
    with pytest.raises(UnitError, match=reason):
        parse_quantity(text, kind, accepted_units(kind)[0])


@given(st.text(max_size=40), KINDS)
def test_arbitrary_text_raises_unit_error_or_gives_a_finite_number(text: str, kind: Kind) -> None:
    for read in (parse_quantity, parse_cell):
        with suppress(UnitError):
            assert math.isfinite(read(text, kind, accepted_units(kind)[0]))


@given(st.text(alphabet="0123456789.,'+-−eE \u2009%NmkgAVΩ°·*/^²()", max_size=20), KINDS)
def test_text_of_number_signs_raises_unit_error_or_gives_a_finite_number(text: str, kind: Kind) -> None:
    with suppress(UnitError):
        assert math.isfinite(parse_quantity(text, kind, accepted_units(kind)[0]))


@given(st.text(max_size=20))
def test_conversion_of_arbitrary_units_raises_only_unit_error(text: str) -> None:
    with suppress(UnitError):
        assert math.isfinite(convert(1.0, text, "m"))


@given(
    st.sampled_from(ROWS),
    st.floats(min_value=-1e9, max_value=1e9, allow_nan=False).filter(lambda x: x == 0 or abs(x) > 1e-9),
)
def test_entry_text_reads_back(row: tuple[Kind, Unit], number: float) -> None:
    """12 digits are shown: relative to the largest of number and offset, 1e-11 must survive."""
    kind, unit = row
    display = DisplayUnits().with_units({kind: unit.symbol})
    value = display.from_display(number, kind)
    back = display.parse(display.format_entry(value, kind), kind)
    assert back == pytest.approx(value, rel=1e-11, abs=1e-11 * abs(unit.offset))


@given(st.sampled_from(ROWS), st.floats(min_value=1e-3, max_value=1e6), st.booleans())
def test_shown_quantity_reads_back_within_its_digits(
    row: tuple[Kind, Unit], magnitude: float, negative: bool
) -> None:
    kind, unit = row
    number = -magnitude if negative else magnitude
    display = DisplayUnits().with_units({kind: unit.symbol})
    text = display.format_quantity(display.from_display(number, kind), kind, 4)
    assert "-" not in text
    back = display.to_display(display.parse(text, kind), kind)
    # half a unit in the fourth digit, plus what an offset of a temperature scale costs in digits
    assert back == pytest.approx(number, rel=0.5001e-3, abs=1e-12)


@given(st.floats(allow_nan=True, allow_infinity=True), st.integers(min_value=-2, max_value=15))
def test_any_float_can_be_shown(value: float, significant: int) -> None:
    assert format_number(value, significant)


@pytest.mark.parametrize(
    ("value", "significant", "expected"),
    [
        (12.345, 3, "12.3"),
        (12.346, 4, "12.35"),
        (999.6, 3, "1000"),
        (0.99996, 3, "1.00"),
        (2865.0, 4, "2865"),
        (2867.0, 3, "2870"),
        (-0.5, 3, "−0.500"),
        (0.0, 3, "0"),
        (-0.0, 3, "0"),
        (3.5e-6, 2, "3.5e−6"),
        (1.5e-5, 2, "0.000015"),
        (-2.5e9, 2, "−2.5e9"),
        (9999999.0, 3, "1.00e7"),
        (math.nan, 3, "–"),
        (math.inf, 3, "∞"),
        (-math.inf, 3, "−∞"),
    ],
)
def test_number_shows_no_more_digits_than_asked(value: float, significant: int, expected: str) -> None:
    assert format_number(value, significant) == expected


def test_entry_keeps_what_was_typed() -> None:
    display = DisplayUnits()
    for typed in ("2865", "12.7", "0.1", "−3.25", "1234.5678"):
        assert display.format_entry(display.parse(typed, Kind.TORQUE), Kind.TORQUE) == typed
        assert display.format_entry(display.parse(typed, Kind.SPEED), Kind.SPEED) == typed


def test_quantity_carries_its_unit_behind_a_no_break_space() -> None:
    display = DisplayUnits()
    assert display.format_quantity(0.0125, Kind.TORQUE) == "12.5\u00a0mN·m"
    assert display.format_quantity(math.pi / 2.0, Kind.ANGLE) == "90.0°"
    assert display.format_quantity(14.0, Kind.NUMBER, 2) == "14"
    assert display.format_value(0.0125, Kind.TORQUE) == "12.5"


@pytest.mark.parametrize(("kind", "unit"), ROWS, ids=ROW_NAMES)
def test_array_equals_scalar(kind: Kind, unit: Unit) -> None:
    display = DisplayUnits().with_units({kind: unit.symbol})
    values = np.array([-3.0, 0.0, 0.25, 1e4])
    shown = display.to_display(values, kind)
    assert shown.tolist() == [display.to_display(float(v), kind) for v in values]
    np.testing.assert_allclose(display.from_display(shown, kind), values, rtol=1e-14, atol=1e-12)


def test_display_units_are_chosen_without_touching_the_first() -> None:
    usual = DisplayUnits()
    other = usual.with_units({Kind.TORQUE: "oz-in", Kind.TEMPERATURE: "degF"})
    assert (usual.symbol(Kind.TORQUE), other.symbol(Kind.TORQUE)) == ("mN·m", "ozf·in")
    assert other.format_quantity(25.0, Kind.TEMPERATURE) == "77.0\u00a0°F"
    assert usual == DisplayUnits()
    assert other != usual
    with pytest.raises(UnitError, match="'parsec' is not known for the kind 'length'"):
        usual.with_units({Kind.LENGTH: "parsec"})


def test_usual_units_are_those_of_the_trade() -> None:
    display = DisplayUnits()
    usual = {
        Kind.TORQUE: "mN·m",
        Kind.SPEED: "rpm",
        Kind.TEMPERATURE: "°C",
        Kind.TIME: "s",
        Kind.INERTIA: "g·cm²",
        Kind.LENGTH: "mm",
        Kind.RESISTANCE: "Ω",
        Kind.INDUCTANCE: "mH",
        Kind.RATIO: "%",
    }
    assert {kind: display.symbol(kind) for kind in usual} == usual


@pytest.mark.parametrize(
    ("cell", "expected"),
    [("12,5", 0.0125), ('"12,5"', 0.0125), (" 1.7 N*cm\t", 0.017), ('"0.5 N*m"', 0.5), ("-3", -0.003)],
)
def test_cell_of_a_spreadsheet_is_read(cell: str, expected: float) -> None:
    assert parse_cell(cell, Kind.TORQUE, "mN·m") == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("cell", "reason"),
    [("", "cell is empty: a torque"), ('""', "empty"), ("1,234", "ambiguous"), ("#REF!", "does not begin")],
)
def test_cell_of_a_spreadsheet_is_refused(cell: str, reason: str) -> None:
    with pytest.raises(UnitError, match=reason):
        parse_cell(cell, Kind.TORQUE, "mN·m")


def test_every_spelling_is_found_and_belongs_to_one_unit_of_its_kind() -> None:
    for kind, rows in UNITS.items():
        listed = [unit_key(unit.symbol) for unit in rows] + [s for unit in rows for s in unit.spellings]
        owners = {s: [u for u in rows if s == unit_key(u.symbol) or s in u.spellings] for s in listed}
        assert set(spellings(kind)) == set(listed)
        assert all(len(units) == 1 for units in owners.values()), kind
        assert all(unit_key(s) == s for s in listed), kind


def test_conversion_by_pint_knows_units_outside_the_table() -> None:
    assert convert(1.0, "furlong", "m") == pytest.approx(201.168, rel=1e-5)  # 660 ft, survey or not
    assert convert(25.0, "degC", "degF") == pytest.approx(77.0)
    np.testing.assert_allclose(convert(np.array([1.0, 2.0]), "mN·m", "N*m"), [1e-3, 2e-3])


@pytest.mark.parametrize(
    ("from_unit", "to_unit"),
    [("oz*in", "N*m"), ("nonsense", "m"), ("m*", "m"), ("9**9**9**9", "m"), ("(9^9)^9", "m"), ("", "m")],
)
def test_conversion_that_makes_no_sense_is_refused(from_unit: str, to_unit: str) -> None:
    with pytest.raises(UnitError, match=re.escape(f"'{from_unit}'")):
        convert(1.0, from_unit, to_unit)


def test_import_and_typed_entry_do_not_load_pint() -> None:
    code = (
        "import sys; from core.units import *; parse_quantity('12 mN*m', Kind.TORQUE, 'N*m');"
        "DisplayUnits().format_quantity(1.0, Kind.SPEED); assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
