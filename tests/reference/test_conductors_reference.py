"""Published figures of conductors: cable tables, wire gauges, voltage drop."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError
from core.physics.commutation import phase_rms_current
from core.physics.conductors import (
    COPPER_RESISTIVITY,
    FLEXIBLE_CONDUCTORS,
    WIRING_CAUTION,
    Conductor,
    awg_conductor,
    awg_diameter,
    conductor_load,
    conductor_resistance,
    lead_mean_current,
    pair_resistance,
    smallest_for_drop,
    voltage_drop,
)

TABLE_PAGES = (
    "table pages https://www.etechnik-synergie.com/technical_information/condutor-resistance/ (also "
    "https://www.uecables.com/471-power-copper-conductors-according-to-iec-60228.html); read"
)
FINE_WIRE_PAGE = (
    "https://www.etechnik-synergie.com/technical_information/condutor-resistance/, DIN VDE 0295 extension, "
    "two columns read as plain/tinned, 3 % apart; read"
)
IEC_60228_MEMORY = "IEC 60228, table of class 5 plain copper; memory"
DROP_PAGE = "http://electrician2.com/weltrain05/lpage135.html (AWG 16, NEC chapter 9 table 8); read"

FOOT = 0.3048


@pytest.mark.parametrize(
    ("size", "ohm_per_km", "rel_tol", "source"),
    [
        (0.5, 39.0, 1e-6, TABLE_PAGES),
        (0.75, 26.0, 1e-6, TABLE_PAGES),
        (1.0, 19.5, 1e-6, TABLE_PAGES),
        (1.5, 13.3, 1e-6, TABLE_PAGES),
        (2.5, 7.98, 1e-6, TABLE_PAGES),
        (4.0, 4.95, 1e-6, IEC_60228_MEMORY),
        (6.0, 3.30, 1e-6, IEC_60228_MEMORY),
        (10.0, 1.91, 1e-6, IEC_60228_MEMORY),
        (16.0, 1.21, 1e-6, IEC_60228_MEMORY),
        (0.05, 380.0, 0.05, FINE_WIRE_PAGE),
        (0.14, 134.0, 0.05, FINE_WIRE_PAGE),
        (0.25, 76.0, 0.05, FINE_WIRE_PAGE),
        (0.34, 53.0, 0.05, FINE_WIRE_PAGE),
    ],
)
def test_flexible_conductor(size: float, ohm_per_km: float, rel_tol: float, source: str) -> None:
    wire = next(c for c in FLEXIBLE_CONDUCTORS if math.isclose(c.area, size * 1e-6))
    assert float(conductor_resistance(wire, 1000.0)) == pytest.approx(ohm_per_km, rel=rel_tol), source


def test_tables_lie_above_solid_copper() -> None:
    """Stranding and tolerance cost 4 to 16 % against the nominal cross-section of solid annealed copper."""
    for wire in FLEXIBLE_CONDUCTORS:
        assert 1.04 < wire.resistance_per_length * wire.area / COPPER_RESISTIVITY < 1.16, wire.name


def test_resistivity_of_standard_copper() -> None:
    """IEC 60028: 0.017241 ohm mm2/m.

    https://tnlab.org/iec-60028-the-international-standard-of-resistance-for-copper-1925/; read.
    """
    micro_ohm_metre = COPPER_RESISTIVITY * 1e6
    assert micro_ohm_metre == pytest.approx(0.017241, rel=3e-5)


@pytest.mark.parametrize(
    ("size", "millimetres", "ohm_per_km"),
    [(-3, 11.684, 0.1608), (10, 2.588, 3.277), (18, 1.024, 20.95), (24, 0.5106, 84.22), (30, 0.2546, 338.6)],
)
def test_gauge_of_solid_wire(size: int, millimetres: float, ohm_per_km: float) -> None:
    """Common wire tables, annealed copper at 20 degC; from memory, no source at hand."""
    assert awg_diameter(size) * 1e3 == pytest.approx(millimetres, rel=4e-4)
    assert awg_conductor(size, 1.0).resistance_per_length * 1e3 == pytest.approx(ohm_per_km, rel=1e-3)


def test_gauge_ends_of_the_series() -> None:
    """ASTM B258 fixes 0.005 inch for 36 and 0.46 inch for 4/0; from memory."""
    assert awg_diameter(36) == pytest.approx(0.005 * 0.0254)
    assert awg_diameter(-3) == pytest.approx(0.46 * 0.0254)
    assert [awg_conductor(n).name for n in (-3, 0, 1, 24)] == ["AWG 4/0", "AWG 1/0", "AWG 1", "AWG 24"]


def test_stranded_gauge_16_at_75_degrees() -> None:
    """4.99 ohm per 1000 ft, stranded, as stated for 75 degC; 1 % for strands in whole gauges."""
    resistance = float(conductor_resistance(awg_conductor(16), 1000.0 * FOOT, 75.0))
    assert resistance == pytest.approx(4.99, rel=0.01), DROP_PAGE


def test_two_wire_voltage_drop() -> None:
    """100 ft, 4.99 ohm/1000 ft, 4 A: 4.0 V, 16.7 % of 24 V."""
    wire = Conductor("as stated", 1.31e-6, 4.99 / (1000.0 * FOOT))
    drop = float(voltage_drop(wire, 100.0 * FOOT, 4.0))
    assert drop == pytest.approx(4.0, rel=0.003), DROP_PAGE
    assert drop == pytest.approx(3.992, rel=1e-6)
    assert drop / 24.0 == pytest.approx(0.167, rel=0.005), DROP_PAGE
    assert drop / 24.0 == pytest.approx(0.166333333333, rel=1e-6)


def test_temperature_correction() -> None:
    """Copper gains 0.393 % per kelvin from 20 degC (IEC 60028; read)."""
    wire = FLEXIBLE_CONDUCTORS[6]
    warm = pair_resistance(wire, 3.0, np.array([20.0, 70.0]))
    assert np.asarray(warm)[1] / np.asarray(warm)[0] == pytest.approx(1.0 + 50.0 * 0.00393, rel=1e-4)
    assert np.asarray(warm)[0] == pytest.approx(2.0 * 3.0 * 19.5e-3)


def test_six_step_lead_current() -> None:
    """16 A blocks during 2/3 of the time: 10.7 A mean, 13.1 A rms (stated as about 11 and 13); a worked
    question of the trade, no source."""
    assert lead_mean_current("six-step", 16.0) == pytest.approx(10.7, abs=0.05)
    assert phase_rms_current("six-step", 16.0) == pytest.approx(13.1, abs=0.05)


def test_mean_of_a_rectified_sine() -> None:
    """Against the mean of samples."""
    samples = np.abs(np.sin(np.linspace(0.0, 2.0 * math.pi, 100_000, endpoint=False)))
    assert lead_mean_current("sinusoidal", 5.0) == pytest.approx(5.0 * samples.mean(), rel=1e-6)


def test_smallest_size_for_a_drop() -> None:
    """By hand, 5 m there and back at 8 A: 80 A m times R' below 1 V needs 12.5 ohm/km, so 2.5 mm2."""
    found = smallest_for_drop(FLEXIBLE_CONDUCTORS, 5.0, 8.0, 1.0)
    assert found is not None
    assert found.area == pytest.approx(2.5e-6)
    assert smallest_for_drop(FLEXIBLE_CONDUCTORS, 500.0, 80.0, 1.0) is None
    assert smallest_for_drop(FLEXIBLE_CONDUCTORS, 5.0, -8.0, 1.0) == found


def test_currents_never_come_without_their_caution() -> None:
    load = conductor_load(FLEXIBLE_CONDUCTORS[6], 2.0, 3.0, 8.0)
    assert load.caution == WIRING_CAUTION
    assert "electrical code" in load.caution
    assert (load.rms_density, load.peak_density) == pytest.approx((3.0e6, 8.0e6))


def test_bad_input_is_refused() -> None:
    wire = FLEXIBLE_CONDUCTORS[0]
    with pytest.raises(InputRangeError, match="gauge"):
        awg_diameter(41)
    with pytest.raises(InputRangeError, match="stranding_factor"):
        awg_conductor(20, 0.98)
    with pytest.raises(InputRangeError, match="length"):
        conductor_resistance(wire, -1.0)
    with pytest.raises(InputRangeError, match="largest_drop"):
        smallest_for_drop([wire], 1.0, 1.0, 0.0)
    with pytest.raises(InputRangeError, match="rms_current"):
        conductor_load(wire, 2.0, 1.0, 3.0)
    with pytest.raises(InputRangeError, match="peak_current"):
        conductor_load(wire, 2.0, 4.0, 3.0)
