r"""How long a cycle that runs away may last, from the network averaged over a cycle.

While a cycle is short against the time constants of the network, temperatures follow the mean heat and
the mean conductances. `core.physics.heating_up` follows every piece instead, at twenty times the cost.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces

# Within a step the flux is that of the step's mean magnet temperature, so the error of the feedback falls
# with the square of this step. [K]
_MAGNET_STEP = 20.0
_MOST_STEPS = 200
_MOST_GROWTH = 3.0  # exponent of what may grow within a step [-]
_LONGEST = 1e7  # [s]
_MOST_SHORTENINGS = 16
_LEAST_FLUX = 0.05
_SHARES = np.linspace(0.0, 1.0, 17)


def averaged_time_to_limit(
    network: HeatNetwork, pieces: HeatPieces, law: CopperLaw, limits: FloatArray, start_temp: FloatArray
) -> float:
    r"""Return when the first node of the averaged network passes its limit.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle, short against the time constant of the winding. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    limits : ndarray, shape (n,)
        Limits of the nodes, infinite where there is none. [degC]
    start_temp : ndarray, shape (n,)
        Temperatures at the start. [degC]

    Returns
    -------
    time : float
        Time to the first limit, infinite where none is passed within the steps tried. [s]

    Raises
    ------
    InputRangeError
        If no node has a limit.

    Notes
    -----
    .. math:: C \dot T = -\bar G T + \bar q + e_W \bar P\,\rho(T_W)/\mu(T_R)^2

    is linear while the flux is held, and then exact by the eigenvectors of
    :math:`C^{-1/2}(\bar G - q_T)C^{-1/2}`. The swing within a cycle is left out: peaks come earlier by
    about the time in which the mean rises by that swing.

    References
    ----------
    Own formulation; the matrix exponential by eigenvectors, textbook method (from memory).

    Examples
    --------
    10 W into 8 J/K that loses nothing to speak of takes 80 s for 100 K:

    >>> one, none = np.ones(1), np.zeros(1)
    >>> network = HeatNetwork(("winding",), 8.0 * one, ("air",), 20.0 * one, np.array([0]), np.array([1]),
    ...                       1e-9 * one, none, none, one, 0, 0, 0, 0)
    >>> pieces = HeatPieces(one, np.array([0]), np.full((1, 1, 1), 1e-9), np.full((1, 1), 10.0),
    ...                     np.zeros((1, 3)), one)
    >>> round(averaged_time_to_limit(network, pieces, CopperLaw(), 120.0 * one, 20.0 * one), 3)
    80.0
    """
    if not np.isfinite(limits).any():
        raise InputRangeError("number of temperature limits", 0, "", ">= 1")
    share = pieces.duration / pieces.duration.sum()
    mean = _Mean(
        np.einsum("m,mij->ij", share, pieces.conductance),
        share @ pieces.inflow,
        float(share @ np.maximum(pieces.copper_at_reference(), 0.0)),
        network,
        law,
    )
    time, temps = 0.0, np.asarray(start_temp, dtype=np.float64)
    if (temps >= limits).any():
        return 0.0
    for _ in range(_MOST_STEPS):
        step, magnets = mean.step_length(temps), float(temps[network.magnets])
        for shortening in range(_MOST_SHORTENINGS):
            for _ in range(2):  # the second time with the mean magnet temperature that the first found
                course = mean.course(temps, magnets, step)
                magnets = float(course[:, network.magnets].mean())
            over = (course - limits).max(axis=1)
            first = int(np.argmax(over >= 0.0)) if (over >= 0.0).any() else _SHARES.size
            if first >= _SHARES.size - 1 or shortening == _MOST_SHORTENINGS - 1:
                break
            step *= float(_SHARES[first])  # the flux must be that of the time up to the limit
        if first < _SHARES.size:
            return time + step * float(
                np.interp(0.0, over[first - 1 : first + 1], _SHARES[first - 1 : first + 1])
            )
        time, temps = time + step, course[-1]
    return float("inf")


class _Mean:
    """The network averaged over a cycle, with its copper loss at reference temperatures."""

    def __init__(
        self, matrix: FloatArray, inflow: FloatArray, copper: float, network: HeatNetwork, law: CopperLaw
    ) -> None:
        self._matrix, self._inflow, self._copper = matrix, inflow, copper
        self._network, self._law = network, law
        self._root = 1.0 / np.sqrt(network.capacity)

    def _linear(self, magnets: float) -> tuple[FloatArray, FloatArray]:
        """Return matrix and inflow with the flux of a magnet temperature held."""
        law, winding = self._law, self._network.winding
        flux = 1.0 + law.magnet_temp_coefficient * (magnets - law.magnet_ref_temp)
        slope = self._copper / max(flux, _LEAST_FLUX) ** 2 / (law.copper_constant + law.winding_ref_temp)
        matrix, inflow = self._matrix.copy(), self._inflow.copy()
        matrix[winding, winding] -= slope
        inflow[winding] += slope * law.copper_constant
        return matrix, inflow

    def step_length(self, temps: FloatArray) -> float:
        """Return a time in which the magnets move by about the step and nothing grows by more than e^3."""
        matrix, _inflow = self._linear(temps[self._network.magnets])
        fastest = float((np.diag(self._matrix) / self._network.capacity).max())
        slowest = float(np.linalg.eigvalsh(self._root[:, None] * matrix * self._root)[0])
        growing = _MOST_GROWTH / -slowest if slowest < 0.0 else np.inf
        # the drift that the magnets will have once the fast nodes have followed, not only the present one
        ahead = self.course(temps, temps[self._network.magnets], min(2.0 / fastest, growing))
        drift = abs(float(ahead[-1, self._network.magnets] - ahead[-2, self._network.magnets]))
        rate = drift / (min(2.0 / fastest, growing) * (_SHARES[-1] - _SHARES[-2]))
        return min(max(_MAGNET_STEP / rate if rate > 0.0 else np.inf, 0.5 / fastest), growing, _LONGEST)

    def course(self, temps: FloatArray, magnets: float, step: float) -> FloatArray:
        """Return the temperatures at `_SHARES` of a step, exact for the held flux, shape (17, n)."""
        matrix, inflow = self._linear(magnets)
        rate, modes = np.linalg.eigh(self._root[:, None] * matrix * self._root)
        time = step * _SHARES[:, None]
        start = modes.T @ (temps / self._root)
        heat = modes.T @ (inflow * self._root)
        x = rate * time
        # (1 - e^-x)/rate without cancellation where a mode neither cools nor runs away
        grown = np.where(np.abs(x) < 1e-9, time, -np.expm1(-x) / np.where(rate == 0.0, 1.0, rate))
        course: FloatArray = (np.exp(-x) * start + grown * heat) @ modes.T * self._root
        return course
