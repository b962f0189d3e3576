"""Cables of a project: resistance of the motor's leads and of the supply, and where it counts."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.motor_model import motor_model
from core.evaluation.wires import conductor_of, lead_resistance, source_resistance
from core.project.application import Supply
from core.project.fittings import Cable
from tests.core.projects import candidate, project, segment


def test_a_motor_cable_is_one_conductor_and_a_supply_cable_is_two() -> None:
    # IEC 60228 class 5, 1.5 mm2: 13.3 ohm/km at 20 degC; at 60 degC (234.5 + 60)/254.5 times as much
    cable = Cable(length=4.0, section=1.5)
    one_way = 4.0 * 13.3e-3 * (234.5 + 60.0) / 254.5
    assert lead_resistance(candidate(lead_resistance=0.0, cable=cable)) == pytest.approx(one_way, rel=1e-9)
    fed = Supply(source_resistance=0.03, cable=cable)
    assert source_resistance(fed) == pytest.approx(0.03 + 2.0 * one_way, rel=1e-9)
    assert source_resistance(replace(fed, cable=None)) == 0.03


def test_a_gauge_is_a_conductor_of_its_copper_and_odd_sections_scale_with_area() -> None:
    # 10 AWG solid 3.277 ohm/km (ASTM B258 diameter, IEC 60028 copper), strands 2 % longer
    assert conductor_of(Cable(length=1.0, gauge=10)).resistance_per_length == pytest.approx(
        1.02 * 3.277e-3, rel=2e-4
    )
    odd = conductor_of(Cable(length=1.0, section=1.4))
    assert odd.resistance_per_length * 1.4 == pytest.approx(13.3e-3 * 1.5, rel=1e-9)


def test_the_leads_of_the_motor_model_are_those_of_the_cable() -> None:
    of = project(segment(1.0, 0.05, 200.0)).application
    cable = Cable(length=4.0, section=0.5)
    motor = motor_model(of.site, of.requirements, candidate(lead_resistance=0.0, cable=cable))
    assert motor is not None
    one_way = 4.0 * 39.0e-3 * (234.5 + 60.0) / 254.5
    assert motor.path.lead_resistance == pytest.approx(one_way, rel=1e-9)


def test_a_supply_cable_counts_as_the_same_resistance_of_the_source_everywhere() -> None:
    base = project(segment(1.0, 0.08, 200.0), segment(1.0, 0.02, 200.0))
    cable = Cable(length=5.0, gauge=18)
    supply = base.application.supply
    by_cable = replace(supply, cable=cable)
    by_number = replace(supply, source_resistance=source_resistance(by_cable))
    one, two = (
        evaluate(replace(base, application=replace(base.application, supply=fed))).candidates[0]
        for fed in (by_cable, by_number)
    )
    bare = evaluate(base).candidates[0]
    for result in (one, two):
        assert result.curves is not None
        assert result.curves.voltage_limit is not None
        assert result.supply is not None
        assert result.supply.peak_current is not None
    assert one.margin("voltage_reserve") == two.margin("voltage_reserve") != bare.margin("voltage_reserve")
    assert one.supply == two.supply != bare.supply
    assert one.curves is not None
    assert two.curves is not None
    np.testing.assert_array_equal(one.curves.voltage_limit, two.curves.voltage_limit)
