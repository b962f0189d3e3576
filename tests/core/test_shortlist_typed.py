"""What is typed about a search: ranges, values, mountings, bounds; and the Pareto set among some."""

from __future__ import annotations

import pytest

from core.errors import AmpturnError
from core.shortlist.filters import bounds_of
from core.shortlist.typed import mounting_of, range_of, values_of
from core.units import DisplayUnits, Kind

UNITS = DisplayUnits()


def test_a_unit_behind_a_range_holds_for_both_ends_unless_the_first_has_its_own() -> None:
    assert range_of("20..50 mN*m/A", Kind.TORQUE_CONSTANT, UNITS) == (0.02, 0.05)
    assert range_of("20 mN*m/A..0.05 N*m/A", Kind.TORQUE_CONSTANT, UNITS) == (0.02, 0.05)
    assert range_of("-10..60", Kind.TEMPERATURE, UNITS) == (-10.0, 60.0)
    assert range_of("1e1..1e2", Kind.NUMBER, UNITS) == (10.0, 100.0)
    assert values_of("41 degF", Kind.TEMPERATURE, UNITS) == pytest.approx((5.0,))


@pytest.mark.parametrize("text", ["20", "20..", "..30", "30..20", "20..x", "20..30 kg"])
def test_what_is_no_range_is_refused(text: str) -> None:
    with pytest.raises(AmpturnError, match="range"):
        range_of(text, Kind.TEMPERATURE, UNITS)


def test_mountings_are_written_in_words() -> None:
    plate = mounting_of("plate 80 mm x 3 mm", UNITS).plate
    assert plate is not None
    assert (plate.side, plate.thickness) == pytest.approx((0.08, 0.003))
    assert mounting_of("insulated", UNITS).insulated
    assert mounting_of("4 K/W", UNITS).housing_ambient_resistance == 4.0
    assert mounting_of("data sheet", UNITS).housing_ambient_resistance is None
    for text in ("on a shelf", "plate 80 mm", "plate 0 mm x 3 mm", "-1 K/W"):
        with pytest.raises(AmpturnError, match="mounting"):
            mounting_of(text, UNITS)


def test_bounds_are_objectives_with_a_sign_and_a_quantity() -> None:
    found = bounds_of(["mass<400 g", "mass < 0.3 kg", "margin >= 10 %", "outside ≤ 60 °C"], UNITS)
    assert found["mass"] == pytest.approx((-float("inf"), 0.3))
    assert found["smallest_margin"] == pytest.approx((0.1, float("inf")))
    assert found["outside_temperature"][1] == 60.0
    for text, words in (
        ("price < 3", "one of margin"),
        ("mass 3", "written as"),
        ("mass < 3 V", "bound 'mass"),
    ):
        with pytest.raises(AmpturnError, match=words):
            bounds_of([text], UNITS)
