"""Holding torque: the hottest phase, the derating, the adiabatic rate."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from core.errors import InputRangeError, UnitError
from core.physics.heat_figures import HeatFigures, Mounting
from core.physics.heat_from_data_sheet import enclosed_network
from core.physics.heat_pieces import CopperLaw
from core.physics.hold import (
    STANDING_PHASE_FACTOR,
    copper_heating_rate,
    holding_torque,
    own_resistance_share,
    phase_loss_factor,
    sector_edge_loss_factor,
    slow_speed,
    winding_heating_rate,
)
from core.physics.operating_heat import OperatingHeat, operating_heat
from tests.core.example_networks import CONSTANT_COPPER


def standing(
    winding_resistance: float, housing_resistance: float, law: CopperLaw | None = None
) -> OperatingHeat:
    figures = HeatFigures(
        winding_resistance, housing_resistance, 20.0, 20.0 * housing_resistance / winding_resistance * 9
    )
    network = enclosed_network(figures, Mounting(ambient_temp=25.0)).network
    return operating_heat(
        network,
        np.zeros(1),
        limit=np.array([125.0, np.inf]),
        copper_per_torque_squared=50.0,
        copper_law=law,
    )


def test_standing_factors_follow_from_the_phase_currents() -> None:
    angle = np.linspace(0.0, np.pi, 1801)
    phases = np.cos(angle[:, None] - np.array([0.0, 2.0, 4.0]) * np.pi / 3.0) ** 2
    assert STANDING_PHASE_FACTOR["sinusoidal"] == pytest.approx(
        (phases.max(axis=1) / phases.mean(axis=1)).max()
    )
    on = np.array([1.0, 1.0, 0.0])
    assert STANDING_PHASE_FACTOR["six-step"] == pytest.approx(on.max() / on.mean())


def test_sector_edge_costs_the_square_of_the_lost_torque() -> None:
    angle = np.linspace(-np.pi / 6.0, np.pi / 6.0, 100_001)
    emf = np.cos(angle)  # line-to-line EMF over one sector of 60 electrical degrees
    mean = np.trapezoid(emf, angle) / (np.pi / 3.0)
    assert sector_edge_loss_factor("six-step") == pytest.approx((mean / emf.min()) ** 2, rel=1e-9)
    assert sector_edge_loss_factor("six-step", trapezoidal_emf=True) == 1.0
    assert sector_edge_loss_factor("sinusoidal") == 1.0


@pytest.mark.parametrize("commutation", ["sinusoidal", "six-step"])
@pytest.mark.parametrize("periods", [0.05, 0.5, 3.0])
def test_phase_factor_is_the_peak_of_a_lag_under_the_pulsing_loss(commutation: str, periods: float) -> None:
    """March the lag through many half periods of the loss; `periods` is time constant over period."""
    frequency, tau = periods, 1.0
    steps = 20_000
    half = 0.5 / frequency
    phase = (np.arange(steps) + 0.5) / steps
    loss = 2.0 * np.sin(np.pi * phase) ** 2 if commutation == "sinusoidal" else 1.5 * (phase < 2.0 / 3.0)
    decay = np.exp(-half / steps / tau)
    rise, peak = 1.0, 0.0
    for _ in range(int(12 * periods * 2) + 3):
        peak = 0.0
        for p in loss:
            rise = p + (rise - p) * decay
            peak = max(peak, rise)
    assert float(phase_loss_factor(frequency, tau, commutation)) == pytest.approx(peak, rel=1e-4)


@given(st.floats(0.0, 1e4), st.floats(0.01, 1e3), st.sampled_from(["sinusoidal", "six-step"]))
def test_phase_factor_stays_between_one_and_its_standing_value(
    f: float, tau: float, commutation: str
) -> None:
    factor = float(phase_loss_factor(f, tau, commutation))
    assert 1.0 <= factor <= STANDING_PHASE_FACTOR[commutation]


def test_below_the_slow_speed_the_phases_part() -> None:
    speed = slow_speed(7, 10.0)
    frequency = 7 * speed / (2.0 * np.pi)
    assert 1.0 / frequency == pytest.approx(0.1 * 10.0)
    for commutation in ("sinusoidal", "six-step"):
        assert float(phase_loss_factor(frequency, 10.0, commutation)) == pytest.approx(1.0, abs=0.01)


# 0.91 and 0.83: winding to housing a fifth and 45 % of the whole way; 0.71 where it is all of it
@pytest.mark.parametrize(("share", "derating"), [(0.2, 0.913), (0.45, 0.830), (0.9999, 0.707)])
def test_derating_of_sinusoidal_current_has_the_known_range(share: float, derating: float) -> None:
    winding, housing = 5.0 * share, 5.0 * (1.0 - share)
    hold = holding_torque(standing(winding, housing, CONSTANT_COPPER), "sinusoidal")
    assert hold.derating[0] == pytest.approx(derating, abs=1e-3)
    # copper of any temperature: within what the resistances of the phases differ by
    assert holding_torque(standing(winding, housing), "sinusoidal").derating[0] == pytest.approx(
        derating, rel=0.02
    )


def three_phases(
    heat: OperatingHeat, shares: tuple[float, float, float], torque: float
) -> tuple[float, float]:
    """Return hottest phase and housing of three windings with a third of everything, each with its own R."""
    matrix, inflow, law = heat.matrix[0], heat.inflow[0], heat.copper_law
    slope = np.array(shares) * heat.copper_per_torque_squared[0] * torque**2
    slope /= law.copper_constant + law.winding_ref_temp
    whole, flow = np.zeros((4, 4)), np.zeros(4)
    for phase in range(3):
        whole[phase, phase] = matrix[0, 0] / 3.0 - slope[phase]
        whole[phase, 3], whole[3, phase] = matrix[0, 1] / 3.0, matrix[1, 0] / 3.0
        flow[phase] = inflow[0] / 3.0 + slope[phase] * law.copper_constant
    whole[3, 3], flow[3] = matrix[1, 1], inflow[1]
    temps = np.linalg.solve(whole, flow)
    return float(temps[:3].max()), float(temps[3])


@pytest.mark.parametrize("share", [0.2, 0.45, 0.7, 0.9])
def test_hottest_phase_is_at_the_limit_with_its_own_resistance(share: float) -> None:
    """Three windings side by side, each with its own resistance, for a winding with this share of the way."""
    heat = standing(5.0 * share, 5.0 * (1.0 - share))
    for commutation, shares in (("sinusoidal", (2 / 3, 1 / 6, 1 / 6)), ("six-step", (0.5, 0.5, 0.0))):
        edge = sector_edge_loss_factor(commutation)
        ours = float(holding_torque(heat, commutation).torque[0])

        def room(torque: float, shares: tuple[float, float, float] = shares, edge: float = edge) -> float:
            return three_phases(heat, shares, torque * edge**0.5)[0] - 125.0

        assert ours == pytest.approx(float(brentq(room, 0.5 * ours, 1.02 * ours)), rel=1e-9)


def test_a_winding_at_its_limit_without_current_has_no_share_to_add() -> None:
    assert float(own_resistance_share(130.0, 2.5, 1.0, 125.0, 235.0, "sinusoidal")) == 0.0
    assert float(own_resistance_share(25.0, 2.5, 1.0, np.inf, 235.0, "sinusoidal")) == 0.0


def test_six_step_at_the_sector_edge_pays_twice() -> None:
    # 1 and 4 K/W: even 100/5 = 20 W at 125 degC; hottest phase 1.5 on 1 K/W, 1.2159 times per torque
    hold = holding_torque(standing(1.0, 4.0), "six-step")
    # L of the mean (k + t) and so of the torque: e = 0.5*100/5.5 above the mean, (100 - e)/(5 * 360) W/K
    per_kelvin, even = (100.0 - 50.0 / 5.5) / (5.0 * 360.0), 20.0 / 360.0
    assert hold.derating[0] == pytest.approx(np.sqrt(per_kelvin / 1.21585 / even), rel=1e-4)
    assert hold.torque[0] == hold.limits.em_torque[0]


def test_heating_rates_are_energy_balances() -> None:
    assert winding_heating_rate(np.array([10.0, 20.0]), 5.0).tolist() == [2.0, 4.0]
    # twice the density, four times the rate
    assert copper_heating_rate(2e7) == pytest.approx(4.0 * float(copper_heating_rate(1e7)))


def test_bad_input_names_the_quantity() -> None:
    with pytest.raises(UnitError, match="commutation"):
        phase_loss_factor(1.0, 10.0, "block")
    with pytest.raises(UnitError, match="commutation"):
        holding_torque(standing(1.0, 4.0), "")
    with pytest.raises(InputRangeError, match="time constant"):
        phase_loss_factor(1.0, 0.0, "sinusoidal")
    with pytest.raises(InputRangeError, match="pole pairs"):
        slow_speed(0, 10.0)
    with pytest.raises(InputRangeError, match="heat capacity"):
        winding_heating_rate(1.0, 0.0)
    with pytest.raises(InputRangeError, match="resistivity"):
        copper_heating_rate(1.0, resistivity=-1.0)
