r"""How the node temperatures move at constant torque and speed: the exact solution in its own modes.

With the copper loss linear in the winding temperature the network is linear, and
:math:`S = C^{-1/2}(G - q_T)C^{-1/2}` is symmetric: its modes give every instant in closed form.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.operating_heat import OperatingHeat, limited_temperatures, phase_excess_gain
from core.records import dataclass

# exp(300) kelvin is far beyond any limit, and its square still is a number
_LARGEST_EXPONENT = 300.0
# below this rate times time the closed forms lose digits and their series are exact to 1e-13
_SERIES_BELOW = 1e-3


@dataclass(frozen=True, slots=True)
class ModalResponse:
    r"""Node temperatures from a start, m rows of n nodes in n modes.

    Parameters
    ----------
    rate : ndarray, shape (m, n)
        Rate of decay of each mode; negative where the mode runs away. [1/s]
    shape : ndarray, shape (m, n, n)
        Temperatures of the nodes (second axis) per modal amplitude (third axis). [K]
    start : ndarray, shape (m, n)
        Modal amplitudes at the start. [-]
    drive : ndarray, shape (m, n)
        Rate at which the heat drives each mode. [1/s]
    inverse : ndarray, shape (m, n, n)
        Modal amplitudes (second axis) per node temperature (third axis). [1/K]

    References
    ----------
    Symmetric eigenvalue solution of a lumped network, textbook method (from memory).
    """

    rate: FloatArray
    shape: FloatArray
    start: FloatArray
    drive: FloatArray
    inverse: FloatArray

    def temperatures(self, time: FloatArray) -> FloatArray:
        """Return the node temperatures at times of shape (m, j): shape (m, j, n). [degC]"""
        decay, integral = _decay(self.rate[:, None, :], time[..., None])
        amplitude = self.start[:, None, :] * decay + self.drive[:, None, :] * integral
        node_temp: FloatArray = np.matmul(amplitude, np.swapaxes(self.shape, 1, 2))
        return node_temp

    def mean_temperatures(self, duration: FloatArray) -> FloatArray:
        """Return the time means from 0 to durations of shape (m, j), shape (m, j, n). [degC]

        Infinite durations give the steady temperatures, where every mode must decay; zero the start.
        """
        lasting = np.isinf(duration)[..., None]
        time = np.where(lasting | (duration[..., None] <= 0.0), 1.0, duration[..., None])
        rate, start, drive = self.rate[:, None, :], self.start[:, None, :], self.drive[:, None, :]
        _, integral = _decay(rate, time)
        mean = (start * integral + drive * _second_integral(rate, time)) / time
        mean = np.where(duration[..., None] <= 0.0, start, mean)
        if lasting.any():
            mean = np.where(lasting, drive / np.where(lasting, rate, 1.0), mean)
        node_mean: FloatArray = np.matmul(mean, np.swapaxes(self.shape, 1, 2))
        return node_mean

    def map(self, duration: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return Phi, shape (m, n, n), and d, shape (m, n), of `T_end = Phi T_start + d`. [-], [degC]"""
        decay, integral = _decay(self.rate, duration[:, None])
        phi = np.matmul(self.shape * decay[:, None, :], self.inverse)
        offset = np.matmul(self.shape, (self.drive * integral)[..., None])[..., 0]
        return phi, offset

    def starting_from(self, node_temp: FloatArray) -> ModalResponse:
        """Return the same response from other start temperatures of shape (m, n). [-]"""
        start = np.matmul(self.inverse, node_temp[..., None])[..., 0]
        return ModalResponse(self.rate, self.shape, start, self.drive, self.inverse)


def modal_response(
    heat: OperatingHeat, loss_at_reference: FloatArray, start_temp: FloatArray
) -> ModalResponse:
    r"""Return the response of each row to a constant torque, given as copper loss at reference.

    Parameters
    ----------
    heat : OperatingHeat
        One row per case. [-]
    loss_at_reference : ndarray, shape (m,)
        Copper loss at the reference winding temperature and the actual magnets,
        :math:`L = (K_0 T^2 + P_x)/\mu^2`. [W]
    start_temp : ndarray, shape (n,) or (m, n)
        Node temperatures at the start. [degC]

    Returns
    -------
    response : ModalResponse
        The solution for all times. [-]

    Notes
    -----
    .. math:: C\dot\vartheta = -(G - q_T)\vartheta + q, \quad
        q_T = \frac{L}{k + \vartheta_\mathrm{ref}}\ \text{on the diagonal of the winding}

    The magnets' flux is constant over the stretch; the caller chooses it.

    References
    ----------
    Symmetric eigenvalue solution of a lumped network, textbook method (from memory).

    Examples
    --------
    60 J/K, 0.5 W/K, 25 W (whatever the copper does at 25 degC): 50 K (1 - exp(-1)) after 120 s

    >>> from core.physics.heat_network import HeatNetwork
    >>> from core.physics.heat_pieces import CopperLaw
    >>> from core.physics.operating_heat import operating_heat
    >>> one = HeatNetwork(("winding",), np.array([60.0]), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.array([0.5]), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> heat = operating_heat(one, np.array([0.0]), limit=np.array([125.0]),
    ...     copper_per_torque_squared=50.0, fixed_heat=25.0)
    >>> response = modal_response(heat, np.array([0.0]), np.array([25.0]))
    >>> round(float(response.temperatures(np.array([[120.0]]))[0, 0, 0]), 2)
    56.61
    """
    law, w = heat.copper_law, heat.winding
    slope = loss_at_reference / (law.copper_constant + law.winding_ref_temp)
    root = np.sqrt(heat.capacity)
    symmetric = heat.matrix / (root[:, None] * root)
    symmetric[:, w, w] -= slope / heat.capacity[w]
    rate, vectors = np.linalg.eigh(symmetric)
    inflow = heat.inflow.copy()
    inflow[:, w] += slope * law.copper_constant
    across = np.swapaxes(vectors, 1, 2)
    drive = np.matmul(across, (inflow / root)[..., None])[..., 0]
    start = np.matmul(
        across, (root * start_temp)[..., None] if np.ndim(start_temp) > 1 else root * start_temp
    )
    return ModalResponse(
        rate=rate,
        shape=vectors / root[:, None],
        start=start.reshape(drive.shape),
        drive=drive,
        inverse=across * root,
    )


def limited_at(
    heat: OperatingHeat,
    response: ModalResponse,
    loss_at_reference: FloatArray,
    time: FloatArray,
    start_excess: FloatArray | None = None,
) -> FloatArray:
    r"""Return the temperatures that carry limits, at times within the stretch.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]
    response : ModalResponse
        Their response. [-]
    loss_at_reference : ndarray, shape (m,)
        Copper loss at reference of the stretch. [W]
    time : ndarray, shape (m, j)
        Times from the start of the stretch. [s]
    start_excess : ndarray, shape (m,), optional
        Excess of the hottest phase at the start, by default none. [K]

    Returns
    -------
    temperatures : ndarray, shape (m, j, n + 1)
        Nodes, then the hottest phase. [degC]

    Notes
    -----
    The excess of the hottest phase approaches `phase_excess_gain` times the copper loss with the time
    constant of the winding; the loss is taken at its mean from the start to that time.

    References
    ----------
    First-order lag, first principles.

    Examples
    --------
    See `core.physics.short_time.time_to_limit`.
    """
    nodes = response.temperatures(time)
    gain = phase_excess_gain(heat)
    if start_excess is None and not gain.any():
        return limited_temperatures(heat, nodes, np.zeros_like(time))
    fade = winding_fade(heat, time)
    mean_winding = response.mean_temperatures(time)[..., heat.winding]
    law = heat.copper_law
    rho = (law.copper_constant + mean_winding) / (law.copper_constant + law.winding_ref_temp)
    excess = (gain * loss_at_reference)[:, None] * rho * (1.0 - fade)
    if start_excess is not None:
        excess = excess + start_excess[:, None] * fade
    return limited_temperatures(heat, nodes, excess)


def winding_fade(heat: OperatingHeat, time: FloatArray) -> FloatArray:
    """Return what is left of an excess of one phase after times of shape (m, j).

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]
    time : ndarray, shape (m, j)
        Times. [s]

    Returns
    -------
    fade : ndarray, shape (m, j)
        exp(-t/tau) with the winding's capacity over its conductance to all neighbours. [-]

    References
    ----------
    First-order lag, first principles.
    """
    rate = heat.matrix[:, heat.winding, heat.winding] / heat.capacity[heat.winding]
    fade: FloatArray = np.exp(-rate[:, None] * time)
    return fade


def _decay(rate: FloatArray, time: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return exp(-rate time) and its integral from 0."""
    x = np.maximum(rate * time, -_LARGEST_EXPONENT)
    fall = np.expm1(-x)
    flat = np.abs(x) < 1e-12
    return fall + 1.0, np.where(flat, time, -fall / np.where(flat, 1.0, rate))


def _second_integral(rate: FloatArray, time: FloatArray) -> FloatArray:
    """Return the integral from 0 of the integral of exp(-rate time)."""
    x = np.maximum(rate * time, -_LARGEST_EXPONENT)
    flat = np.abs(x) < _SERIES_BELOW
    safe = np.where(flat, 1.0, x)
    closed = (safe + np.expm1(-safe)) / safe**2
    series = 0.5 - x / 6.0 + x**2 / 24.0 - x**3 / 120.0
    result: FloatArray = time**2 * np.where(flat, series, closed)
    return result
