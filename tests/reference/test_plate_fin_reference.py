"""Plates, brackets and joints against closed forms and against the heat equation solved in other ways.

The annular fin is held to a boundary-value solution, the disc of equal area to the square plate solved by
finite elements.
"""

from __future__ import annotations

import math
from typing import Literal, cast

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from scipy.optimize import brentq
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from core.errors import InputRangeError, UnitError
from core.numeric import FloatArray
from core.physics.plate_fin import (
    CONDUCTIVITY,
    JOINT_RESISTANCE,
    annular_fin_conductance,
    bracket_conductance,
    equal_area_radius,
    in_series,
    joint_conductance,
    spreading_resistance,
)


def test_annular_fin() -> None:
    """Row fin-annular-alu. Source: Bessel closed form, scipy 1.17.1; solve_bvp agrees to 1e-11."""
    found = annular_fin_conductance(160.0, 0.005, 0.020625, 0.0825, 14.0)
    assert found == pytest.approx(0.26877315, rel=1e-6)


def solved_annular_fin(k: float, t: float, r0: float, r1: float, h: float) -> float:
    """Return the heat into a fin one kelvin above the air: (r T')' = m^2 r T, T(r0) = 1, T'(r1) = 0."""
    m2 = h / (k * t)

    def slopes(r: FloatArray, y: FloatArray) -> FloatArray:
        return np.vstack((y[1] / r, m2 * r * y[0]))

    def ends(at_root: FloatArray, at_rim: FloatArray) -> FloatArray:
        return np.array([at_root[0] - 1.0, at_rim[1]])

    grid = np.linspace(r0, r1, 60)
    start = np.vstack((np.ones_like(grid), np.zeros_like(grid)))
    solution = solve_bvp(slopes, ends, grid, start, tol=1e-9, max_nodes=50000)
    assert solution.success
    return float(-2.0 * math.pi * k * t * solution.y[1, 0])


@pytest.mark.parametrize(
    "fin",
    [
        (160.0, 0.005, 0.020625, 0.0825, 14.0),
        (160.0, 0.002, 0.03, 0.2, 25.0),
        (45.0, 0.003, 0.015, 0.06, 20.0),
        (15.0, 0.003, 0.03, 0.15, 14.0),
        (0.3, 0.0016, 0.02, 0.05, 20.0),
        (160.0, 0.005, 0.03, 0.031, 14.0),
        (160.0, 0.010, 0.001, 0.1, 1e-3),
    ],
)
def test_annular_fin_against_a_boundary_value_problem(fin: tuple[float, float, float, float, float]) -> None:
    assert annular_fin_conductance(*fin) == pytest.approx(solved_annular_fin(*fin), rel=1e-6)


def test_annular_fin_in_its_limits() -> None:
    """A perfect conductor has the air of its faces, a fin without air nothing; a long one is half a line.

    Far from the axis, m r0 large, the annulus is a straight fin of the root's length: 2 pi r0 sqrt(h k t).
    """
    area = math.pi * (0.08**2 - 0.03**2)
    assert annular_fin_conductance(1e9, 0.005, 0.03, 0.08, 14.0) == pytest.approx(14.0 * area, rel=1e-6)
    h = np.array([0.0, 1e-300, 14.0, 1e12])
    found = annular_fin_conductance(160.0, 0.005, 0.03, 0.08, h)
    assert found.shape == h.shape
    assert found[0] == 0.0
    assert found[1] == pytest.approx(1e-300 * area, rel=1e-6)
    assert found[3] == pytest.approx(2.0 * math.pi * 0.03 * math.sqrt(1e12 * 0.8), rel=1e-3)


Plate = tuple[float, float, float, float, float]  # conductivity, thickness, root radius, side, coefficient


def solved_square_plate(plate: Plate, n: int = 64) -> float:
    """Return the heat into a square plate around a round root, by linear finite elements on an eighth of it.

    The nodes lie on rays from the axis, dense at the root; edges and lines of symmetry are insulated.
    """
    k, t, r0, side, h = plate
    angle = np.linspace(0.0, math.pi / 4.0, n + 1)[:, None]
    out = np.linspace(0.0, 1.0, n + 1)[None, :] ** 2
    radius = r0 + (0.5 * side / np.cos(angle) - r0) * out
    x, y = (radius * np.cos(angle)).ravel(), (radius * np.sin(angle)).ravel()
    node = np.arange((n + 1) ** 2).reshape(n + 1, n + 1)
    a, b, c, d = (part.ravel() for part in (node[:-1, :-1], node[:-1, 1:], node[1:, 1:], node[1:, :-1]))
    triangle = np.concatenate((np.column_stack((a, b, c)), np.column_stack((a, c, d))))
    X, Y = x[triangle], y[triangle]
    gx = np.roll(Y, -1, 1) - np.roll(Y, -2, 1)  # slopes of the shape functions times twice the area
    gy = np.roll(X, -2, 1) - np.roll(X, -1, 1)
    twice = (X * gx).sum(axis=1)[:, None, None]
    conducts = k * t * (gx[:, :, None] * gx[:, None, :] + gy[:, :, None] * gy[:, None, :]) / (2.0 * twice)
    cools = h * twice / 24.0 * (1.0 + np.eye(3))
    rows, columns = np.repeat(triangle, 3, 1).ravel(), np.tile(triangle, (1, 3)).ravel()
    matrix = coo_matrix(((conducts + cools).ravel(), (rows, columns))).tocsr()
    hot = np.zeros(node.size, dtype=bool)
    hot[node[:, 0]] = True
    temp = np.ones(node.size)
    temp[~hot] = spsolve(matrix[~hot][:, ~hot], -matrix[~hot][:, hot] @ np.ones(n + 1))
    return float(8.0 * (matrix @ temp)[hot].sum())


def test_finite_elements_are_fine_enough() -> None:
    """They converge with the square of the mesh, and meet the plate that conducts perfectly exactly."""
    plate = (160.0, 0.005, 0.03, 0.15, 14.0)
    coarse, middle, fine = (solved_square_plate(plate, n) for n in (16, 32, 64))
    assert (coarse - middle) / (middle - fine) == pytest.approx(4.0, rel=0.1)
    assert middle == pytest.approx(fine, rel=1e-4)
    area = 0.15**2 - math.pi * 0.03**2
    assert solved_square_plate((1e9, *plate[1:])) == pytest.approx(14.0 * area, rel=1e-4)


@pytest.mark.parametrize(
    ("side_over_diameter", "most"),
    [(1.05, 0.22), (1.2, 0.07), (1.5, 0.025), (2.0, 0.012), (4.0, 0.005)],
)
def test_equal_area_disc_beside_the_square_plate(side_over_diameter: float, most: float) -> None:
    """The bounds that the docstring states: the disc conducts more, by at most this, at any efficiency."""
    k, t, r0 = 160.0, 0.005, 0.03
    side = 2.0 * r0 * side_over_diameter
    outer = equal_area_radius(side)
    area = side**2 - math.pi * r0**2
    errors = []
    for efficiency in (0.98, 0.9, 0.75, 0.65, 0.58, 0.5, 0.35, 0.2):

        def excess(exponent: float, wanted: float = efficiency) -> float:
            h = math.exp(exponent)
            return float(annular_fin_conductance(k, t, r0, outer, h)) / (h * area) - wanted

        h = math.exp(brentq(excess, -10.0, 20.0))
        solved = solved_square_plate((k, t, r0, side, h))
        errors.append(float(annular_fin_conductance(k, t, r0, outer, h)) / solved - 1.0)
    assert min(errors) > -1e-4
    assert 0.85 * most < max(errors) < most


@pytest.mark.parametrize("name", ["aluminium", "steel", "stainless steel"])
def test_equal_area_disc_of_usual_metal_plates(name: str) -> None:
    """A plate of 150 mm and 5 mm thickness around a root of 60 mm: 0.7 % at most."""
    plate = (CONDUCTIVITY[name], 0.005, 0.03, 0.15, 14.0)
    disc = float(annular_fin_conductance(*plate[:3], equal_area_radius(0.15), 14.0))
    assert 0.0 < disc / solved_square_plate(plate) - 1.0 < 0.007


def test_spreading_into_a_large_body() -> None:
    """Row spread-halfspace. Source: R = 1/(4 k a), exact (memory)."""
    assert spreading_resistance(160.0, 0.02) == pytest.approx(0.078125, rel=1e-9)


def test_bracket_in_its_limits() -> None:
    """Without air a bar k A/L or nothing; perfectly conducting the air of its surface; long sqrt(h P k A)."""
    bar, surface = 160.0 * 1e-4 / 0.1, 10.0 * 0.05 * 0.1
    assert bracket_conductance(160.0, 1e-4, 0.05, 0.1, 0.0) == pytest.approx(bar, rel=1e-12)
    assert bracket_conductance(160.0, 1e-4, 0.05, 0.1, 0.0, "insulated") == 0.0
    assert bracket_conductance(160.0, 1e-4, 0.05, 0.1, 1e-9) == pytest.approx(bar, rel=1e-6)
    assert bracket_conductance(1e9, 1e-4, 0.05, 0.1, 10.0, "insulated") == pytest.approx(surface, rel=1e-6)
    long = math.sqrt(10.0 * 0.05 * 160.0 * 1e-4)
    ends: tuple[Literal["insulated", "at ambient"], ...] = ("insulated", "at ambient")
    for end in ends:
        assert bracket_conductance(160.0, 1e-4, 0.05, 50.0, 10.0, end) == pytest.approx(long, rel=1e-9)


def test_bracket_where_its_ends_matter() -> None:
    """Exact at m L = 1: tanh 1 = 0.761594 and coth 1 = 1.313035 of sqrt(h P k A).

    k A = 0.016 W m/K, P = 0.05 m, h = 3.2 W/(m2 K): m = sqrt(0.16/0.016) = 3.162278 per m, L = 0.3162278 m.
    """
    bracket = (160.0, 1e-4, 0.05, 0.1**0.5)
    root = 0.016 / bracket[3]
    insulated = bracket_conductance(*bracket, np.array([3.2, 0.0]), "insulated")
    at_ambient = bracket_conductance(*bracket, np.array([3.2, 0.0]), "at ambient")
    assert insulated == pytest.approx([0.761594 * root, 0.0], rel=1e-6)
    assert at_ambient == pytest.approx([1.313035 * root, root], rel=1e-6)


def test_joints_and_rows() -> None:
    """Definitions: area over resistance; resistances add."""
    assert joint_conductance(1e-3, JOINT_RESISTANCE["bare, screwed"]) == pytest.approx(5.0, rel=1e-12)
    assert joint_conductance(1e-3, 0.0) == math.inf
    found = in_series(np.array([2.0, 2.0, 0.0, 0.0]), np.array([6.0, np.inf, 3.0, 0.0]))
    assert found == pytest.approx([1.5, 2.0, 0.0, 0.0], rel=1e-12)


def test_equal_area() -> None:
    """Definition: pi r^2 = side^2."""
    assert math.pi * equal_area_radius(0.15) ** 2 == pytest.approx(0.15**2, rel=1e-12)


def test_bad_values_are_refused() -> None:
    with pytest.raises(InputRangeError, match="radius of the fin's rim"):
        annular_fin_conductance(160.0, 0.005, 0.03, 0.03, 14.0)
    with pytest.raises(InputRangeError, match="coefficient of the fin"):
        annular_fin_conductance(160.0, 0.005, 0.03, 0.08, np.array([14.0, -1.0]))
    with pytest.raises(InputRangeError, match="section of the bracket"):
        bracket_conductance(160.0, 0.0, 0.05, 0.1, 10.0)
    with pytest.raises(UnitError, match="end of the bracket must be one of"):
        bracket_conductance(160.0, 1e-4, 0.05, 0.1, 10.0, cast("Literal['insulated']", "cold"))
    with pytest.raises(InputRangeError, match="resistance of the joint"):
        joint_conductance(1e-3, -1e-4)
    with pytest.raises(InputRangeError, match="conductance in series"):
        in_series(-1.0, 2.0)
