"""Power lost to the air of whole rotors: powers of the speed, causes put together by hand, both variants.

Laws and their sources are checked one by one in `test_turning_surfaces_reference` and
`test_gap_reference`; here it is their sum, their units and their growth.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.ventilation import BellOpenings
from core.physics.windage import (
    EnclosedRotor,
    FreeRotor,
    MagneticGap,
    enclosed_rotor_windage,
    free_rotor_windage,
    windage_outside_range,
)

RHO, MU = 1.184, 1.837e-5  # air at 25 degC, as row disc-torque-lam has it
GAP = MagneticGap(stator_radius=0.0240, gap=0.0005, length=0.010)
OPENINGS = BellOpenings(area=1.5e-4, radius=0.018, flow_coefficient=0.2)
OPEN = FreeRotor(radius=0.0275, length=0.012, magnetic_gap=GAP, faces=1, openings=OPENINGS)
CLOSED = EnclosedRotor(
    radius=0.0275, length=0.012, magnetic_gap=GAP, rim_gap=0.0015, face_clearances=(0.0015,)
)


def exponents(speed: FloatArray, power: FloatArray) -> FloatArray:
    """Return the local power of the speed."""
    slopes: FloatArray = np.diff(np.log(power)) / np.diff(np.log(speed))
    return slopes


def test_disc_torque_lam_as_part_of_a_rotor() -> None:
    """Row disc-torque-lam, both faces at 1000 rad/s: 0.616 pi rho R^4 sqrt(nu w^3), 1.6322692e-4 N m.

    Source: transport-phenomena textbook problem "friction factor for a rotating disk" (statement read).
    """
    both = FreeRotor(radius=0.0275, length=0.012, magnetic_gap=GAP, faces=2)
    windage = free_rotor_windage(both, 1000.0, RHO, MU)
    assert windage.faces == pytest.approx(0.16322692, rel=2e-3)
    assert free_rotor_windage(OPEN, 1000.0, RHO, MU).faces == pytest.approx(0.5 * 0.16322692, rel=2e-3)


def test_faces_grow_with_2_5_while_laminar_and_2_8_when_turbulent() -> None:
    """H. Schlichting, Boundary-Layer Theory, rotating disc: torque w^1.5, turbulent w^1.8 (memory)."""
    slow = np.array([1.0, 100.0, 4000.0])  # Re to 195000
    fast = np.array([2e5, 1e6, 1e7])  # from Re 1e7: the laminar core no longer counts
    laminar = free_rotor_windage(OPEN, slow, RHO, MU).faces
    turbulent = free_rotor_windage(OPEN, fast, RHO, MU).faces
    assert exponents(slow, laminar) == pytest.approx([2.5, 2.5], abs=1e-9)
    assert exponents(fast, turbulent) == pytest.approx([2.8, 2.8], abs=1e-3)


def test_enclosed_faces_grow_with_2_then_2_5_then_2_8() -> None:
    """Daily & Nece 1960: layers merged, apart, apart and turbulent (constants as in row encl-disc-...)."""
    reynolds = np.array([50.0, 200.0, 5e3, 5e4, 5e5, 5e6])
    speed = reynolds * MU / RHO / CLOSED.radius**2
    faces = enclosed_rotor_windage(CLOSED, speed, RHO, MU).faces
    assert exponents(speed, faces)[::2] == pytest.approx([2.0, 2.5, 2.8], abs=1e-9)


def test_enclosed_row_as_part_of_a_rotor() -> None:
    """Row encl-disc-47000-0.0545: Cm 0.0063791446 of one side, P = Cm/2 rho w^3 r^5 (Daily & Nece 1960)."""
    clearance = 0.0545 * 0.0275
    rotor = EnclosedRotor(0.0275, 0.012, GAP, 0.0545 * 0.0275, (clearance, clearance))
    speed = 47000.0 * MU / RHO / 0.0275**2
    windage = enclosed_rotor_windage(rotor, speed, RHO, MU)
    one_side = 0.5 * 0.0063791446 * RHO * speed**3 * 0.0275**5
    assert windage.faces == pytest.approx(2.0 * one_side, rel=1e-6)
    assert windage.pumping == 0.0


def test_rim_of_the_open_rotor() -> None:
    """Row cyl-cf-100000: cf 0.0044628601 (Theodorsen & Regier 1944), M = cf/2 rho (w r)^2 2 pi r^2 L.

    Laminar, exact: moment per length 4 pi mu w r^2 (row cyl-cf-lam).
    """
    speed = np.array([20.0, 1e5]) * MU / RHO / OPEN.radius**2
    rim = free_rotor_windage(OPEN, speed, RHO, MU).rim
    area = 2.0 * math.pi * OPEN.radius * OPEN.length
    turbulent = 0.0044628601 * 0.5 * RHO * (speed[1] * OPEN.radius) ** 3 * area
    laminar = 4.0 * math.pi * MU * speed[0] ** 2 * OPEN.radius**2 * OPEN.length
    assert rim == pytest.approx([laminar, turbulent], rel=4e-4)


def test_rim_in_the_housing() -> None:
    """Row gap-friction-2000: Cm 0.0096214644 at g/r 0.0545 (Bilgen & Boulos), M on pi/2 rho w^2 r^4 L."""
    gap = 0.0545 * 0.0275
    rotor = EnclosedRotor(0.0275, 0.012, GAP, gap, (0.0015,))
    speed = 2000.0 * MU / RHO / (0.0275 * gap)
    rim = enclosed_rotor_windage(rotor, speed, RHO, MU).rim
    moment = 0.0096214644 * 0.5 * math.pi * RHO * speed**2 * 0.0275**4 * 0.012
    assert rim == pytest.approx(moment * speed, rel=1e-6)


def test_magnetic_gap_is_the_same_in_both() -> None:
    """Exact, mu v^2 A/g with v and A in the middle of the gap: 2nd order in g/r, so 1e-3 here."""
    speed = 900.0
    middle = GAP.stator_radius + 0.5 * GAP.gap
    thin = MU * (speed * middle) ** 2 * 2.0 * math.pi * middle * GAP.length / GAP.gap
    open_gap = free_rotor_windage(OPEN, speed, RHO, MU).magnetic_gap
    assert open_gap == pytest.approx(thin, rel=1e-3)
    assert enclosed_rotor_windage(CLOSED, speed, RHO, MU).magnetic_gap == open_gap


def test_pumping_goes_with_the_cube() -> None:
    """Euler's equation of turbomachines: m r^2 w^2 with m = 0.2 rho w r A."""
    pumping = free_rotor_windage(OPEN, 1000.0, RHO, MU).pumping
    flow = 0.2 * RHO * 1000.0 * 0.018 * 1.5e-4
    assert pumping == pytest.approx(flow * (0.018 * 1000.0) ** 2, rel=1e-12)
    speed = np.array([100.0, 1000.0])
    assert exponents(speed, free_rotor_windage(OPEN, speed, RHO, MU).pumping) == pytest.approx([3.0])
    closed_bell = FreeRotor(radius=0.0275, length=0.012, magnetic_gap=GAP)
    assert free_rotor_windage(closed_bell, 1000.0, RHO, MU).pumping == 0.0


@pytest.mark.parametrize("enclosed", [False, True])
def test_array_equals_scalar_and_rest_takes_nothing(enclosed: bool) -> None:
    speed = np.array([-600.0, 0.0, 1e-6, 30.0, 600.0, 9000.0])

    def totals(w: float | FloatArray) -> FloatArray:
        if enclosed:
            return enclosed_rotor_windage(CLOSED, w, RHO, MU).total
        return free_rotor_windage(OPEN, w, RHO, MU).total

    together = totals(speed)
    assert together.tolist() == [float(totals(float(w))) for w in speed]
    assert together[1] == 0.0
    assert together[0] == together[4]
    assert (np.diff(together[1:]) > 0.0).all()


def test_parts_make_the_total() -> None:
    speed = np.linspace(0.0, 1200.0, 7)
    windage = free_rotor_windage(OPEN, speed, RHO, MU)
    by_cause = windage.faces + windage.rim + windage.magnetic_gap + windage.pumping
    assert windage.total == pytest.approx(by_cause, rel=1e-12)


def test_thin_air_loses_less() -> None:
    """Laminar disc: power as sqrt(rho mu); pumping as rho; the magnetic gap knows no density."""
    sea, high = (free_rotor_windage(OPEN, 900.0, rho, MU) for rho in (RHO, 0.64 * RHO))
    assert high.faces == pytest.approx(0.8 * sea.faces, rel=1e-12)
    assert high.pumping == pytest.approx(0.64 * sea.pumping, rel=1e-12)
    assert high.magnetic_gap == sea.magnetic_gap


def test_size_of_it() -> None:
    """The disc friction of a rotor of 60 mm at 4000 rpm is near 1e-4 N m (common practice, no source)."""
    rotor = FreeRotor(radius=0.030, length=0.012, magnetic_gap=GAP, faces=2)
    speed = 4000.0 * math.pi / 30.0
    assert 0.5e-4 < float(free_rotor_windage(rotor, speed, RHO, MU).faces) / speed < 2e-4


def test_ranges_are_told_by_cause() -> None:
    """Transition of the free disc 1.8e5..3e5; Daily & Nece clearances to 0.217 of the radius."""
    nu = MU / RHO
    speed = np.array([100.0, 2.4e5 * nu / 0.0275**2])
    asked = windage_outside_range(OPEN, speed, nu)
    assert asked["faces"].tolist() == [False, True]
    assert asked["magnetic_gap"].tolist() == [False, True]
    wide = EnclosedRotor(0.0275, 0.012, GAP, 0.0015, (0.0015, 0.25 * 0.0275))
    asked = windage_outside_range(wide, np.array([0.0, 500.0]), nu)
    assert asked["faces"].tolist() == [False, True]
    assert asked["rim"].tolist() == [False, False]


def test_impossible_rotors_are_refused() -> None:
    with pytest.raises(InputRangeError, match="number of free faces of the rotor must be 1 or 2, got 3"):
        FreeRotor(0.03, 0.01, GAP, faces=3)
    with pytest.raises(InputRangeError, match="magnetic gap: gap must be > 0, got 0 m"):
        MagneticGap(0.02, 0.0, 0.01)
    with pytest.raises(InputRangeError, match="number of faces in the housing"):
        EnclosedRotor(0.03, 0.01, GAP, 0.001, ())
    with pytest.raises(InputRangeError, match="clearance of a face must be > 0"):
        EnclosedRotor(0.03, 0.01, GAP, 0.001, (0.001, -0.001))
    with pytest.raises(InputRangeError, match="speed must be finite"):
        free_rotor_windage(OPEN, math.inf, RHO, MU)
    with pytest.raises(InputRangeError, match="density of the air must be > 0"):
        enclosed_rotor_windage(CLOSED, 100.0, 0.0, MU)
