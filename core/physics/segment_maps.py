r"""Exact maps of the heat network over pieces of constant loss, all pieces at once.

In one piece the network obeys :math:`C\,\dot T = -G T + u + e_W\,p\,(k + T_W)` with
:math:`p = P / (\mu^2 (k + T_{ref}))`. The copper loss that grows with the winding temperature moves to
the left side, and :math:`S = C^{-1/2} (G - p\,e_W e_W^T)\,C^{-1/2}` is symmetric: its eigenvectors turn
the network into n independent modes :math:`\dot z = -s z + f`, each with a closed form. A negative rate
s is a piece that would run away if it lasted; the closed forms hold for it too.

Arrays may carry any leading dimensions ("..." below), for several torque factors or candidates at once.
"""

from __future__ import annotations

from math import isqrt

import numpy as np

from core.numeric import FloatArray
from core.physics.heat_pieces import CopperLaw
from core.records import dataclass

# Growth by e^300 within one piece is beyond any temperature; it is cut there so that nothing overflows
# before the caller sees that the state is not finite in any useful sense.
_LARGEST_GROWTH_EXPONENT = 300.0


@dataclass(frozen=True, slots=True)
class PieceModes:
    r"""The modes of every piece: :math:`T = U z`, :math:`z = U^{-1} T`, :math:`\dot z = -s z + f`.

    Parameters
    ----------
    rate : ndarray, shape (..., m, n)
        s, rising along the last axis; negative for a mode that grows. [1/s]
    shape : ndarray, shape (..., m, n, n)
        U = C^-1/2 V. [K per mode unit]
    inverse : ndarray, shape (..., m, n, n)
        U^-1 = V^T C^1/2. [mode unit per K]
    forcing : ndarray, shape (..., m, n)
        f. [mode unit/s]
    duration : ndarray, shape (..., m)
        Durations of the pieces. [s]
    exponent : ndarray, shape (..., m, n)
        -s d, cut at 300. [-]
    growth : ndarray, shape (..., m, n)
        exp(-s d) - 1 over the whole piece, without cancellation. [-]
    stretch : ndarray, shape (..., m, n)
        phi_1(-s d), the mean of exp(-s t) over the piece. [-]

    References
    ----------
    Modal solution of a symmetric linear network, textbook method (from memory).
    """

    rate: FloatArray
    shape: FloatArray
    inverse: FloatArray
    forcing: FloatArray
    duration: FloatArray
    exponent: FloatArray
    growth: FloatArray
    stretch: FloatArray


@dataclass(frozen=True, slots=True)
class Chain:
    """The maps of all pieces joined: of the whole cycle, and of every part that starts a block.

    All maps are homogeneous, acting on (T, 1), and kept less the identity, so that a cycle far shorter
    than the time constants loses no digits.

    Parameters
    ----------
    cycle : ndarray, shape (..., n + 1, n + 1)
        Map over the whole cycle less the identity. [-]
    within : ndarray, shape (..., blocks, width, n + 1, n + 1)
        Maps from the start of a block to the end of each of its pieces, less the identity. [-]
    before : ndarray, shape (..., blocks, n + 1, n + 1)
        Maps from the start of the cycle to the start of each block, less the identity. [-]
    count : int
        Number of pieces m; the last block may be filled up with maps that do nothing. [-]

    References
    ----------
    Blocked prefix product of maps, own formulation.
    """

    cycle: FloatArray
    within: FloatArray
    before: FloatArray
    count: int


def piece_modes(
    conductance: FloatArray,
    inflow: FloatArray,
    copper_loss: FloatArray,
    duration: FloatArray,
    capacity: FloatArray,
    winding: int,
    law: CopperLaw,
) -> PieceModes:
    r"""Return the modes of every piece for given copper losses at the winding's reference temperature.

    Parameters
    ----------
    conductance : ndarray, shape (..., m, n, n)
        Symmetric node matrices. [W/K]
    inflow : ndarray, shape (..., m, n)
        Heat that does not depend on temperature. [W]
    copper_loss : ndarray, shape (..., m)
        Copper loss with the winding at its reference temperature and the magnets as they are. [W]
    duration : ndarray, shape (..., m)
        Durations. [s]
    capacity : ndarray, shape (n,) or (..., 1, n)
        Heat capacities. [J/K]
    winding : int
        Node that carries the copper loss. [-]
    law : CopperLaw
        Resistance against temperature. [-]

    Returns
    -------
    modes : PieceModes
        Modes of every piece. [-]

    Notes
    -----
    Growth beyond e^300 within one piece is cut there.

    References
    ----------
    Lumped-parameter heat network with resistance linear in temperature (IEC 60034-1, constant 235 for
    copper, from memory).

    Examples
    --------
    One node of 10 J/K over 0.5 W/K cools with a rate of 0.05 per second:

    >>> modes = piece_modes(np.full((1, 1, 1), 0.5), np.zeros((1, 1)), np.zeros(1), np.ones(1),
    ...                     np.array([10.0]), 0, CopperLaw())
    >>> modes.rate.round(12).tolist()
    [[0.05]]
    """
    slope = copper_loss / (law.copper_constant + law.winding_ref_temp)
    root = np.sqrt(capacity)
    weight = 1.0 / root
    n = root.shape[-1]
    matrix = np.empty((*slope.shape, n, n))
    matrix[...] = conductance
    matrix[..., winding, winding] -= slope
    matrix *= weight[..., :, None] * weight[..., None, :]
    rate, vectors = np.linalg.eigh(matrix)
    heat = np.empty((*slope.shape, n))
    heat[...] = inflow
    heat[..., winding] += slope * law.copper_constant
    turned = vectors.swapaxes(-1, -2)
    forcing = (turned @ (heat * weight)[..., None])[..., 0]
    # 1e-300 turns the 0/0 of a rate of zero into its limit 1 and changes no other value
    exponent = np.minimum(1e-300 - rate * duration[..., None], _LARGEST_GROWTH_EXPONENT)
    growth = np.expm1(exponent)
    return PieceModes(
        rate=rate,
        shape=vectors * weight[..., :, None],
        inverse=turned * root[..., None, :],
        forcing=forcing,
        duration=duration,
        exponent=exponent,
        growth=growth,
        stretch=growth / exponent,
    )


def piece_maps(modes: PieceModes) -> FloatArray:
    r"""Return the map of every piece on (T, 1), less the identity.

    Parameters
    ----------
    modes : PieceModes
        Modes of the pieces. [-]

    Returns
    -------
    maps : ndarray, shape (..., m, n + 1, n + 1)
        Upper rows :math:`[\Phi - 1,\; d]`, last row zero. [-]

    References
    ----------
    Matrix exponential of a symmetric network by its modes, textbook method (from memory).

    Examples
    --------
    A node that gets 2 W into 4 J/K with no way out rises by 0.5 K in a second:

    >>> modes = piece_modes(np.zeros((1, 1, 1)), np.full((1, 1), 2.0), np.zeros(1), np.ones(1),
    ...                     np.array([4.0]), 0, CopperLaw())
    >>> piece_maps(modes)[0].round(12).tolist()
    [[0.0, 0.5], [0.0, 0.0]]
    """
    n = modes.rate.shape[-1]
    turned = np.empty((*modes.rate.shape, n + 1))
    turned[..., :n] = modes.growth[..., None] * modes.inverse
    turned[..., n] = modes.duration[..., None] * modes.stretch * modes.forcing
    maps = np.zeros((*modes.rate.shape[:-1], n + 1, n + 1))
    np.matmul(modes.shape, turned, out=maps[..., :n, :])
    return maps


def chain(maps: FloatArray) -> Chain:
    """Join the maps of all pieces in the order of time.

    Parameters
    ----------
    maps : ndarray, shape (..., m, k, k)
        Maps less the identity. [-]

    Returns
    -------
    chain : Chain
        Map of the cycle and what is needed to start every piece. [-]

    Notes
    -----
    Blocks of about sqrt(m) pieces are joined side by side, then the blocks one after another: 2 sqrt(m)
    array operations instead of m.

    References
    ----------
    Own formulation.

    Examples
    --------
    Doubling, then adding three, is the map 2 x + 3:

    >>> double, add = [[1.0, 0.0], [0.0, 0.0]], [[0.0, 3.0], [0.0, 0.0]]
    >>> chain(np.array([double, add])).cycle.tolist()
    [[1.0, 3.0], [0.0, 0.0]]
    """
    count, size = maps.shape[-3], maps.shape[-1]
    lead = maps.shape[:-3]
    width = isqrt(count - 1) + 1
    blocks = -(-count // width)
    if blocks * width != count:
        padded = np.zeros((*lead, blocks * width, size, size))
        padded[..., :count, :, :] = maps
        maps = padded
    parts = maps.reshape(*lead, blocks, width, size, size)
    within = np.empty_like(parts)
    joined = within[..., 0, :, :] = parts[..., 0, :, :]
    for i in range(1, width):
        joined = within[..., i, :, :] = _joined(parts[..., i, :, :], joined)
    before = np.zeros((*lead, blocks, size, size))
    cycle = joined[..., 0, :, :]
    for b in range(1, blocks):
        before[..., b, :, :] = cycle
        cycle = _joined(joined[..., b, :, :], cycle)
    return Chain(cycle, within, before, count)


def _joined(later: FloatArray, earlier: FloatArray) -> FloatArray:
    # (1 + L)(1 + E) - 1 without forming the ones
    both: FloatArray = later @ earlier
    both += later
    both += earlier
    return both


def piece_ends(joined: Chain, start_temp: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the temperatures at the start and at the end of every piece.

    Parameters
    ----------
    joined : Chain
        The joined maps of the cycle. [-]
    start_temp : ndarray, shape (..., n)
        Temperatures at the start of the cycle. [degC]

    Returns
    -------
    starts, ends : ndarray, shape (..., m, n)
        Node temperatures. [degC]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> double, add = [[1.0, 0.0], [0.0, 0.0]], [[0.0, 3.0], [0.0, 0.0]]
    >>> starts, ends = piece_ends(chain(np.array([double, add])), np.array([5.0]))
    >>> starts.tolist(), ends.tolist()
    ([[5.0], [10.0]], [[10.0], [13.0]])
    """
    n = start_temp.shape[-1]
    lead = start_temp.shape[:-1]
    full = np.ones((*lead, n + 1, 1))
    full[..., :n, 0] = start_temp
    at_block = full[..., None, :, :] + joined.before @ full[..., None, :, :]
    at_end = at_block[..., None, :, :] + joined.within @ at_block[..., None, :, :]
    ends = at_end[..., :n, 0].reshape(*lead, -1, n)[..., : joined.count, :]
    starts = np.empty((*lead, joined.count, n))
    starts[..., 0, :] = start_temp
    starts[..., 1:, :] = ends[..., :-1, :]
    return starts, ends


def mean_temperatures(modes: PieceModes, starts: FloatArray) -> FloatArray:
    r"""Return the time mean of every node over every piece.

    Parameters
    ----------
    modes : PieceModes
        Modes of the pieces. [-]
    starts : ndarray, shape (..., m, n)
        Temperatures at the start of every piece. [degC]

    Returns
    -------
    means : ndarray, shape (..., m, n)
        Mean temperatures. [degC]

    Notes
    -----
    :math:`\bar z = z_0 + d\,\varphi_2(-s d)\,(f - s z_0)` with :math:`\varphi_2(x) = (\varphi_1 - 1)/x`,
    1/2 below :math:`|x| = 10^{-7}`: written as the start and a change, the digits lost near x = 0 are
    those of a change that is itself small.

    References
    ----------
    phi functions of exponential integrators: M. Hochbruck and A. Ostermann, Acta Numerica 19 (2010)
    (from memory).

    Examples
    --------
    A node that rises evenly by 0.5 K has risen by 0.25 K on average:

    >>> modes = piece_modes(np.zeros((1, 1, 1)), np.full((1, 1), 2.0), np.zeros(1), np.ones(1),
    ...                     np.array([4.0]), 0, CopperLaw())
    >>> mean_temperatures(modes, np.array([[20.0]])).tolist()
    [[20.25]]
    """
    x = modes.exponent
    phi_2 = np.where(np.abs(x) < 1e-7, 0.5, (modes.stretch - 1.0) / x)
    z = modes.inverse @ starts[..., None]
    change = (modes.forcing - modes.rate * z[..., 0]) * modes.duration[..., None] * phi_2
    mean: FloatArray = starts + (modes.shape @ change[..., None])[..., 0]
    return mean


def temperatures_within(modes: PieceModes, starts: FloatArray, fractions: FloatArray) -> FloatArray:
    """Return the temperatures at given fractions of every piece, for drawing.

    Parameters
    ----------
    modes : PieceModes
        Modes of the pieces. [-]
    starts : ndarray, shape (..., m, n)
        Temperatures at the start of every piece. [degC]
    fractions : ndarray, shape (k,)
        Shares of the duration, 0 at the start and 1 at the end of a piece. [-]

    Returns
    -------
    temps : ndarray, shape (..., m, k, n)
        Node temperatures. [degC]

    References
    ----------
    Modal solution, textbook method (from memory).

    Examples
    --------
    >>> modes = piece_modes(np.zeros((1, 1, 1)), np.full((1, 1), 2.0), np.zeros(1), np.ones(1),
    ...                     np.array([4.0]), 0, CopperLaw())
    >>> temperatures_within(modes, np.array([[20.0]]), np.array([0.0, 0.5])).tolist()
    [[[20.0], [20.25]]]
    """
    z = (modes.inverse @ starts[..., None])[..., 0]
    time = modes.duration[..., None] * fractions
    x = np.minimum(1e-300 - modes.rate[..., None, :] * time[..., None], _LARGEST_GROWTH_EXPONENT)
    growth = np.expm1(x)
    step = growth * z[..., None, :] + time[..., None] * (growth / x) * modes.forcing[..., None, :]
    temps: FloatArray = starts[..., None, :] + step @ modes.shape.swapaxes(-1, -2)
    return temps
