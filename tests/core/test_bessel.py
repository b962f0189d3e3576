"""The Bessel functions of the fins against a library of special functions and against their own laws."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import i0e, i1e, k0e, k1e

from core.errors import InputRangeError
from core.physics.bessel import scaled_bessel

WIDE = np.geomspace(1e-6, 1e4, 501)


def test_library_over_ten_decades() -> None:
    """Source: scipy.special (Cephes, S. L. Moshier). Tolerance: a few hundred units of rounding."""
    for found, library in zip(scaled_bessel(WIDE), (i0e, i1e, k0e, k1e), strict=True):
        np.testing.assert_allclose(found, library(WIDE), rtol=1e-13)


@pytest.mark.parametrize("x", [1e-6, 0.01, 0.3, 1.0, 5.0, 9.0, 20.0, 700.0, 1e4])
def test_one_argument_takes_its_own_steps(x: float) -> None:
    """A lone argument is not helped by the fine steps of another. Source: scipy.special."""
    for found, library in zip(scaled_bessel(x), (i0e, i1e, k0e, k1e), strict=True):
        assert found.shape == ()
        assert float(found) == pytest.approx(float(library(x)), rel=1e-13)


@pytest.mark.parametrize("x", [0.9e5, 1e5, 3e5, 1e9, 1e15])
def test_far_out_the_leading_term_remains(x: float) -> None:
    """No drive has such a fin, but a file may ask for it. Source: scipy.special."""
    for found, library in zip(scaled_bessel(np.array([1.0, x])), (i0e, i1e, k0e, k1e), strict=True):
        assert found == pytest.approx(library(np.array([1.0, x])), rel=5e-6)


def test_wronskian() -> None:
    """I0 K1 + I1 K0 = 1/x. Source: Abramowitz and Stegun 9.6.15 (from memory)."""
    i0, i1, k0, k1 = scaled_bessel(WIDE)
    np.testing.assert_allclose((i0 * k1 + i1 * k0) * WIDE, 1.0, rtol=1e-13)


def test_shapes() -> None:
    table = np.array([[0.1, 2.0, 3.0], [4.0, 5.0, 60.0]])
    for found, flat in zip(scaled_bessel(table), scaled_bessel(table.ravel()), strict=True):
        np.testing.assert_allclose(found, flat.reshape(2, 3), rtol=1e-15)
    assert all(found.shape == (0,) for found in scaled_bessel(np.zeros(0)))


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_refused(bad: float) -> None:
    with pytest.raises(InputRangeError, match="argument of a Bessel function"):
        scaled_bessel(np.array([1.0, bad]))
