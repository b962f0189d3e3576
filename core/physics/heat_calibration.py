r"""Factors on the laws of a heat network that make it agree with the stated figures of its motor.

Dimensions and correlations say something before any figure is read: each factor is 1, give or take the
width of its law. Stated figures say more, give or take widths of their own. The most probable factors weigh
both, so a figure moves what it tells about and leaves the rest where the dimensions have it; how well each
factor is known afterwards comes with it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np

from core.findings import Finding
from core.numeric import BoolArray, FloatArray, read_only
from core.physics.calibration_figures import (
    TO_AMBIENT,
    CalibrationRow,
    Figure,
    FigureWidths,
    ModelledFigures,
    StatedHeat,
    capacity_slopes,
    figures_of,
    modelled_figures,
)
from core.physics.calibration_findings import (
    CONTRADICTION,
    bound_finding,
    contradiction_finding,
    disagreement_finding,
    unsettled_finding,
    untold_finding,
    widths_finding,
)
from core.physics.heat_from_geometry import standstill_resistances
from core.physics.heat_network import HeatNetwork
from core.physics.input_ranges import require_positive
from core.physics.motor_dimensions import LawFactors
from core.records import dataclass

FACTOR_NAMES: Final = LawFactors.__slots__
"""The factors in the order of every vector and matrix of a calibration."""

LARGEST_FACTOR: Final = 4.0
"""No factor leaves 1/4 to 4: further away a law is not off, it is the wrong law. Assumed. [-]"""

TOLD: Final = 0.8
"""A factor is told by the figures where they leave less than this of its width. Assumed. [-]"""

_SLOPE_STEP: Final = 2e-3  # of the logarithm of a factor
# A step so small, in widths of what is known afterwards, leaves about its square to the next. [-]
_CLOSE: Final = 0.1
_MOST_STEPS: Final = 40
_MOST_HALVINGS: Final = 8
_HALVINGS_BEFORE_FRESH_SLOPES: Final = 2
_MOST_SHRINKING: Final = 0.8  # of a factor in one step
_EDGE: Final = math.log(LARGEST_FACTOR)


@dataclass(frozen=True, slots=True)
class FactorWidths:
    """How far each factor may lie from 1: one standard deviation of its logarithm.

    Parameters
    ----------
    winding_core : float, default ln 1.5
        Slot lining and impregnation. [-]
    end_winding : float, default ln 2
        Authors differ by a factor 2. [-]
    surface : float, default 0.15
        Natural convection and radiation. [-]
    turning : float, default 0.2
        What the rotor drives: 0.15 for disc and rim, and as much again for openings and hub. [-]
    winding_capacity, body_capacity : float, default 0.15
        Heat capacities: masses are known, what of them takes part is not. [-]

    References
    ----------
    Assumed, no source; correlations of heat transfer are commonly quoted to 10 to 20 %.
    """

    winding_core: float = math.log(1.5)
    end_winding: float = math.log(2.0)
    surface: float = 0.15
    turning: float = 0.2
    winding_capacity: float = 0.15
    body_capacity: float = 0.15

    def __post_init__(self) -> None:
        for name in self.__slots__:
            require_positive(f"width of the factor on {name.replace('_', ' ')}", getattr(self, name), "")


@dataclass(frozen=True, slots=True)
class Calibration:
    """Factors on the laws and how well each is known.

    Parameters
    ----------
    factors : LawFactors
        The most probable ones. [-]
    rows : tuple of CalibrationRow
        Each stated figure. [-]
    prior_width, posterior_width : FactorWidths
        Standard deviations of the logarithms before and after the figures. [-]
    covariance : ndarray, shape (6, 6)
        Of the logarithms of the factors, in the order of `FACTOR_NAMES`. [-]
    told_by_data : dict of str to bool
        Whether the figures tell a factor. [-]
    findings : tuple of Finding
        What was not calibrated, contradictions, bounds. [-]
    builds : int
        How often a network was made. [-]

    References
    ----------
    Own formulation.
    """

    factors: LawFactors
    rows: tuple[CalibrationRow, ...]
    prior_width: FactorWidths
    posterior_width: FactorWidths
    covariance: FloatArray
    told_by_data: dict[str, bool]
    findings: tuple[Finding, ...]
    builds: int


@dataclass(frozen=True, slots=True)
class _Point:
    """Logarithms of the factors, the network they make, and how its figures deviate."""

    logs: FloatArray
    network: HeatNetwork
    modelled: ModelledFigures
    deviation: FloatArray


@dataclass(slots=True)
class _Comparison:
    """Networks against figures; counts how many were made."""

    build: Callable[[LawFactors], HeatNetwork]
    stated: StatedHeat
    figures: tuple[Figure, ...]
    builds: int = 0

    def at(self, logs: FloatArray, near: _Point | None = None) -> _Point:
        network = self.build(_factors(logs))
        self.builds += 1
        modelled = modelled_figures(network, self.stated, None if near is None else near.modelled)
        pairs = zip(self.figures, modelled.values, strict=True)
        deviation = np.array([figure.deviation(float(value)) for figure, value in pairs])
        return _Point(logs, network, modelled, deviation)

    def slopes(self, here: _Point) -> FloatArray:
        """Return how the deviations follow the logarithms of the factors, shape (q, 6)."""
        slopes = np.zeros((len(self.figures), len(FACTOR_NAMES)))
        # figures at standstill do not ask what the rotor drives; capacities need no network of their own
        for column in range(4 if self.stated.torques else 3) if self.figures else ():
            logs = here.logs.copy()
            logs[column] += _SLOPE_STEP
            slopes[:, column] = (self.at(logs, here).deviation - here.deviation) / _SLOPE_STEP
        slopes[:, 4:] = capacity_slopes(here.network, self.stated)
        return slopes


def calibrated(
    build: Callable[[LawFactors], HeatNetwork],
    stated: StatedHeat,
    *,
    factor_widths: FactorWidths | None = None,
    figure_widths: FigureWidths | None = None,
    bare: Callable[[LawFactors], HeatNetwork] | None = None,
) -> Calibration:
    r"""Return the most probable factors on the laws of a network, given the stated figures of its motor.

    Parameters
    ----------
    build : callable
        Gives the network of the motor, where its data sheet measured it, for factors on the laws. [-]
    stated : StatedHeat
        The figures, as many as there are. [-]
    factor_widths : FactorWidths, optional
        How far the factors may lie from 1. [-]
    figure_widths : FigureWidths, optional
        How far the figures may lie from the motor. [-]
    bare : callable, optional
        As `build`, with nothing that carries the motor; for the words about a contradiction. [-]

    Returns
    -------
    calibration : Calibration
        Factors, rows, widths, findings. [-]

    Notes
    -----
    With x the logarithms of the factors, w their widths, r the deviations of the figures and s theirs, the
    factors minimise

    .. math:: \sum_i (x_i/w_i)^2 + \sum_j (r_j(x)/s_j)^2, \qquad |x_i| \le \ln 4

    by Gauss-Newton steps, halved where they do not gain; slopes follow the steps by rank-one corrections and
    are taken afresh at the end. The inverse of the last normal matrix is the covariance. A figure more than
    three widths from what dimensions lead to expect, both widths counted, is left out: it belongs to other
    conditions, and no factor should stand for those. If it is the resistance to ambient, everything stated
    on that mounting is left out with it.

    References
    ----------
    Maximum a posteriori, linearised: A. Tarantola, Inverse Problem Theory and Methods for Model Parameter
    Estimation, SIAM 2005, section 3.2 (from memory). Rank-one correction: C. G. Broyden, Mathematics of
    Computation 19 (1965) 577 (from memory).

    Examples
    --------
    One figure and one factor that it follows one to one: 4 K/W stated, 5 K/W from dimensions. The widths are
    5 % and 15 %, so the factor goes 1/(1 + (5/15)^2) = 90 % of the way to 1.25.

    >>> def build(factors):
    ...     return HeatNetwork(("winding", "core"), np.ones(2), ("air",), np.array([25.0]), np.array([0, 1]),
    ...         np.array([1, 2]), np.array([1.0, 0.2 * factors.surface]), np.zeros(2), np.zeros(2),
    ...         np.ones(2), 0, 1, 1, 1)
    >>> found = calibrated(build, StatedHeat(housing_to_ambient=4.0))
    >>> round(math.log(found.factors.surface) / math.log(1.25), 3)
    0.9
    """
    factor_widths = factor_widths or FactorWidths()
    figures = figures_of(stated, figure_widths or FigureWidths())
    comparison = _Comparison(build, stated, figures)
    w, s = _vector(factor_widths), np.array([figure.width for figure in figures])
    start = comparison.at(np.zeros(w.size))
    slopes = comparison.slopes(start)
    expected = np.sqrt(slopes**2 @ w**2 + s**2)
    used = _believed(figures, np.abs(start.deviation) <= CONTRADICTION * expected)
    here, slopes, size = _most_probable(comparison, start, slopes, w, np.where(used, 1.0 / s, 0.0))
    covariance = np.linalg.inv(_information(slopes, w, np.where(used, 1.0 / s, 0.0)))
    covariance = 0.5 * (covariance + covariance.T)
    read_only(covariance)
    posterior = np.sqrt(np.diag(covariance))
    rows = tuple(
        CalibrationRow(*row)
        for row in zip(
            figures,
            start.modelled.values.tolist(),
            here.modelled.values.tolist(),
            expected.tolist(),
            used.tolist(),
            strict=True,
        )
    )
    told = dict(zip(FACTOR_NAMES, (posterior < TOLD * w).tolist(), strict=True))
    return Calibration(
        factors=_factors(here.logs),
        rows=rows,
        prior_width=factor_widths,
        posterior_width=FactorWidths(*posterior.tolist()),
        covariance=covariance,
        told_by_data=told,
        findings=_findings(here.logs, rows, told, posterior, size, stated, bare),
        builds=comparison.builds,
    )


def _believed(figures: tuple[Figure, ...], fits: BoolArray) -> BoolArray:
    """Return which figures are used: none of a mounting whose resistance to ambient cannot be."""
    other_mounting = any(
        figure.name == TO_AMBIENT and not fit for figure, fit in zip(figures, fits, strict=True)
    )
    mounted = np.array([figure.mounted for figure in figures], dtype=bool)
    return fits & ~mounted if other_mounting else fits


def _most_probable(
    comparison: _Comparison, start: _Point, slopes: FloatArray, w: FloatArray, weight: FloatArray
) -> tuple[_Point, FloatArray, float]:
    """Return the most probable point, the slopes at it, and the size of the last step in widths."""
    here, fresh, size = start, True, math.inf
    for _ in range(_MOST_STEPS):
        target = _best_if_straight(here, slopes, w, weight)
        step = target - here.logs
        size = math.sqrt(step @ _information(slopes, w, weight) @ step)
        if fresh and size <= _CLOSE:
            return (comparison.at(target, here) if size > 0.0 else here), slopes, size
        most = _MOST_HALVINGS if fresh else _HALVINGS_BEFORE_FRESH_SLOPES
        there = None if size <= _CLOSE else _improved(comparison, here, step, w, weight, most)
        if there is not None:
            moved = there.logs - here.logs
            missed = there.deviation - here.deviation - slopes @ moved
            slopes = slopes + np.outer(missed, moved) / (moved @ moved)
            here, fresh = there, False
        elif fresh:
            break
        else:
            slopes, fresh = comparison.slopes(here), True
    return here, slopes, size


def _best_if_straight(here: _Point, slopes: FloatArray, w: FloatArray, weight: FloatArray) -> FloatArray:
    """Return the most probable logarithms if deviations were straight, none beyond its bound."""
    information = _information(slopes, w, weight)
    pull = slopes.T @ (weight**2 * (slopes @ here.logs - here.deviation))
    best = np.asarray(np.linalg.solve(information, pull), dtype=np.float64)
    held = np.zeros(best.size, dtype=bool)
    while (beyond := ~held & (np.abs(best) > _EDGE)).any():
        held |= beyond
        best[held] = np.clip(best[held], -_EDGE, _EDGE)
        free = ~held
        rest = pull[free] - information[np.ix_(free, held)] @ best[held]
        best[free] = np.linalg.solve(information[np.ix_(free, free)], rest)
    return best


def _improved(
    comparison: _Comparison, here: _Point, step: FloatArray, w: FloatArray, weight: FloatArray, most: int
) -> _Point | None:
    """Return a point along the step that is more probable, or None.

    One law commands, several make up for each other: the first is straight in the logarithms, the second in
    the factors themselves, since conductances add.
    """
    before = _improbability(here, w, weight)
    for part in (0.5**halvings * step for halvings in range(most)):
        for moved in (part, np.log1p(np.maximum(part, -_MOST_SHRINKING))):
            there = comparison.at(np.clip(here.logs + moved, -_EDGE, _EDGE), here)
            if _improbability(there, w, weight) < before:
                return there
    return None


def _improbability(point: _Point, w: FloatArray, weight: FloatArray) -> float:
    return float(((point.logs / w) ** 2).sum() + ((point.deviation * weight) ** 2).sum())


def _information(slopes: FloatArray, w: FloatArray, weight: FloatArray) -> FloatArray:
    weighed = slopes * weight[:, None]
    information: FloatArray = np.diag(1.0 / w**2) + weighed.T @ weighed
    return information


def _vector(values: FactorWidths) -> FloatArray:
    return np.array([getattr(values, name) for name in FACTOR_NAMES], dtype=float)


def _factors(logs: FloatArray) -> LawFactors:
    return LawFactors(*(float(factor) for factor in np.exp(logs)))


def _findings(
    logs: FloatArray,
    rows: tuple[CalibrationRow, ...],
    told: dict[str, bool],
    posterior: FloatArray,
    size: float,
    stated: StatedHeat,
    bare: Callable[[LawFactors], HeatNetwork] | None,
) -> tuple[Finding, ...]:
    """Return what was not calibrated, what contradicts, what disagrees, and what stopped at a bound."""
    untold = {name: float(posterior[k]) for k, name in enumerate(FACTOR_NAMES) if not told[name]}
    findings = [untold_finding(untold)] if untold else []
    if rows:
        findings.append(widths_finding(rows))
    for row in rows:
        if abs(row.figure.deviation(row.dimensions)) > CONTRADICTION * row.expected_width:
            alone = None if bare is None else standstill_resistances(bare(LawFactors()), stated.winding_rise)
            findings.append(contradiction_finding(row, alone and 1.0 / alone.housing_to_ambient))
        elif row.used and abs(row.figure.deviation(row.modelled)) > CONTRADICTION * row.figure.width:
            findings.append(disagreement_finding(row))
    at_bound = np.abs(logs) >= _EDGE * (1.0 - 1e-9)
    findings += [bound_finding(FACTOR_NAMES[k], math.exp(logs[k])) for k in np.flatnonzero(at_bound)]
    if size > _CLOSE:
        findings.append(unsettled_finding(size))
    return tuple(findings)
