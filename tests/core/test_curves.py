"""The limits over speed: the range they are drawn in, and the torque that a sagging supply allows."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluation.curves import plane_curves
from core.evaluation.heat_model import heat_model
from core.evaluation.motor_model import motor_model
from core.evaluation.operating_points import voltage_at
from core.physics.drag import drag_torque
from core.results import PlaneCurves
from tests.core.projects import candidate, project, segment

PROJECT = project(segment(1.0, 0.05, 100.0))
APPLICATION = PROJECT.application
MOTOR = motor_model(APPLICATION.site, APPLICATION.requirements, PROJECT.candidates[0])


def curves(top: float, source_resistance: float = 0.0) -> PlaneCurves:
    supply = replace(APPLICATION.supply, source_resistance=source_resistance)
    assert MOTOR is not None
    return plane_curves(supply, APPLICATION.requirements, MOTOR, heat_model(APPLICATION.site, MOTOR), top)


@pytest.mark.parametrize("top", [0.0, 100.0, 900.0, 1000.0, 1234.5, 20_000.0])
def test_the_range_holds_the_top_speed_and_little_more(top: float) -> None:
    own = float(curves(0.0).speed[-1])
    end = float(curves(top).speed[-1])
    assert end >= max(own, 1.05 * top * (1.0 - 1e-12))
    assert end <= max(own, 1.05 * 1.1 * top * (1.0 + 1e-12))


def test_a_small_change_of_the_top_speed_draws_nothing_anew() -> None:
    own = float(curves(0.0).speed[-1])
    supply, requirements = APPLICATION.supply, APPLICATION.requirements
    assert MOTOR is not None
    heat = heat_model(APPLICATION.site, MOTOR)
    first, second = (plane_curves(supply, requirements, MOTOR, heat, share * own) for share in (1.02, 1.03))
    assert first is second


@pytest.mark.parametrize("resistance", [0.01, 0.1, 0.5])
def test_under_sag_the_voltage_is_just_used_up(resistance: float) -> None:
    drawn = curves(0.0, resistance)
    supply = replace(APPLICATION.supply, source_resistance=resistance)
    assert drawn.voltage_limit is not None
    assert MOTOR is not None
    within = np.isfinite(drawn.voltage_limit) & (drawn.speed > 0.0)
    speed = drawn.speed[within]
    em_torque = drawn.voltage_limit[within] + np.asarray(drag_torque(MOTOR.drag, speed))
    demand = voltage_at(em_torque, speed, MOTOR, supply)
    assert demand is not None
    # either the voltage or the largest power of the source is what ends it
    most_power = 21.0**2 / (4.0 * resistance)
    used = np.maximum(demand.required / demand.available, demand.power / most_power)
    assert used == pytest.approx(1.0, abs=1e-5)
    assert (drawn.voltage_limit[within] <= curves(0.0).voltage_limit[within] * (1.0 + 1e-9)).all()  # type: ignore[index]


def test_leads_leave_the_heat_network_alone() -> None:
    # both made here: what was made at import may be forgotten by now
    models = [
        motor_model(APPLICATION.site, APPLICATION.requirements, candidate(lead_resistance=leads))
        for leads in (0.02, 0.5)
    ]
    first, second = (heat_model(APPLICATION.site, motor) for motor in models if motor is not None)
    assert first.network is second.network  # type: ignore[union-attr]
