"""Presets of display units: each names units that there are, and the SI one shows what is calculated."""

from __future__ import annotations

import pytest

from core.unit_presets import PRESETS, preset_of
from core.units import DisplayUnits, Kind, accepted_units


def test_presets_differ_and_are_recognised() -> None:
    assert len(PRESETS) >= 3
    for words, units in PRESETS.items():
        assert preset_of(units) == words
    assert preset_of(DisplayUnits().with_units({Kind.SPEED: "krpm"})) == ""


def test_si_shows_the_number_of_the_calculation() -> None:
    units = PRESETS["SI as calculated"]
    for kind in Kind:
        if len(accepted_units(kind)) > 1:
            assert units.to_display(7.0, kind) == 7.0


@pytest.mark.parametrize(
    ("kind", "value", "shown"),
    # by hand from 1 in = 25.4 mm, 1 lb = 0.45359237 kg, g_n = 9.80665 m/s2, °F = 1.8 °C + 32
    [
        (Kind.LENGTH, 0.0254, "1.000 in"),
        (Kind.TORQUE, 0.0070615518, "1.000 ozf·in"),
        (Kind.MASS, 0.45359237, "1.000 lb"),
        (Kind.TEMPERATURE, 25.0, "77.00 °F"),
        (Kind.FORCE, 4.4482216, "1.000 lbf"),
    ],
)
def test_inch_units_by_hand(kind: Kind, value: float, shown: str) -> None:
    text = PRESETS["Inch and ounce"].format_quantity(value, kind, 4)
    assert text.replace("\N{NO-BREAK SPACE}", " ") == shown
