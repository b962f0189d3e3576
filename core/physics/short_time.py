r"""Short-time duty: how long a torque may last from a given start, and which torque lasts a given time.

Both follow the modes of the network (`core.physics.modal_response`). Within one stretch the magnets
keep the flux of their mean temperature over that stretch.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray
from core.physics.continuous_torque import continuous_torque, steady_response
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.modal_response import ModalResponse, limited_at, modal_response, winding_fade
from core.physics.operating_heat import (
    OperatingHeat,
    limited_temperatures,
    limits_of_limited,
    phase_excess_gain,
)

# Shares of the stretch at which the limits are looked at. From a cold start the end is the hottest
# instant; the others catch a node that a hot start warms up and lets cool again.
SAMPLE_SHARES = np.array([1 / 16, 1 / 8, 1 / 4, 1 / 2, 3 / 4, 1.0])
# Half of the tolerance on loss, so that the torque is good to 1e-4 with room to spare.
_LOSS_TOLERANCE = 1e-4
_LOSS_STEPS = 40
# The time axis is bracketed on a logarithmic grid before the root is refined.
_TIME_GRID = np.append(0.0, np.logspace(-6.0, 0.0, 48))
_SETTLED = 40.0  # time constants after which exp(-t/tau) is below the last digit
_ROOT_STEPS = 80


def time_to_limit(heat: OperatingHeat, em_torque: FloatArray, start_temp: FloatArray) -> FloatArray:
    r"""Return how long constant torques may last before the first node reaches its limit.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]
    em_torque : ndarray, shape (m,) or (k, m)
        Electromagnetic torques; the sign does not matter. [N m]
    start_temp : ndarray, shape (n,) or (m, n)
        Node temperatures at the start. [degC]

    Returns
    -------
    time : ndarray, shape of `em_torque`
        Time to the first limit; zero where a node starts above it, infinite where none is reached. [s]

    Raises
    ------
    InputRangeError
        If the last axis of `em_torque` is not one torque per row.

    Notes
    -----
    Exact for constant magnets: the first crossing of the closed solution, bracketed on a logarithmic
    grid of 48 times and refined until it moves by less than 1e-9 of itself. With magnets that weaken,
    their mean temperature up to that time is solved for to 1 mK.

    References
    ----------
    Duty type S2: IEC 60034-1 (from memory). Root: C. J. F. Ridders, IEEE Transactions on Circuits
    and Systems 26 (1979) 979 (from memory).

    Examples
    --------
    See `tests/reference/test_duty_types_reference.py` for published one-time-constant cases.
    """
    torque = np.asarray(em_torque, dtype=float)
    m = heat.speed.size
    if torque.ndim == 0 or torque.shape[-1] != m:
        raise InputRangeError("length of em_torque", float(torque.size), "", f"{m}, one per row")
    repeats = torque.size // m
    rows = heat.rows(np.tile(np.arange(m), repeats)) if repeats > 1 else heat
    start = np.tile(np.broadcast_to(np.asarray(start_temp, dtype=float), heat.inflow.shape), (repeats, 1))
    loss = rows.copper_per_torque_squared * torque.ravel() ** 2 + rows.extra_copper
    if heat.copper_law.magnet_temp_coefficient == 0.0:
        return _first_crossing(rows, loss, start)[0].reshape(torque.shape)
    mean = _mean_magnet_temp(rows, loss, start)
    return _crossing_at(rows, loss, start, mean)[0].reshape(torque.shape)


def torque_for_time(heat: OperatingHeat, duration: float | FloatArray, start_temp: FloatArray) -> FloatArray:
    r"""Return the electromagnetic torque that takes the first node to its limit in a given time.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]
    duration : float or ndarray, shape (m,)
        How long the torque lasts; infinite gives the continuous torque. [s]
    start_temp : ndarray, shape (n,) or (m, n)
        Node temperatures at the start. [degC]

    Returns
    -------
    em_torque : ndarray, shape (m,)
        Electromagnetic torque to 1e-4 of itself; zero where the start or the other losses alone pass
        a limit. Take the drag torque off for the shaft. [N m]

    Raises
    ------
    InputRangeError
        If a duration is not positive.

    Notes
    -----
    The unknown is the copper loss at reference L. The largest share s(L) of the room to the limits
    that it uses is close to a hyperbola, L/s nearly a straight line: a secant on L/s meets 1 in three
    or four solutions of the network. Limits are looked at at six instants (`SAMPLE_SHARES`).

    References
    ----------
    Duty type S2: IEC 60034-1 (from memory).

    Examples
    --------
    See `tests/reference/test_duty_types_reference.py`: S2 ratings of several textbooks.
    """
    require_positive("duration", duration, "s")
    time = np.broadcast_to(np.asarray(duration, dtype=float), heat.speed.shape)
    if np.isinf(time).all():
        return continuous_torque(heat).em_torque
    if np.isinf(time).any():
        return np.where(np.isinf(time), continuous_torque(heat).em_torque, _timed(heat, time, start_temp))
    return _timed(heat, time, start_temp)


def overload_times(heat: OperatingHeat, multiples: FloatArray, start_temp: FloatArray) -> FloatArray:
    """Return how long multiples of the continuous torque may last: the overload-time curve.

    Parameters
    ----------
    heat : OperatingHeat
        One row per speed. [-]
    multiples : ndarray, shape (k,)
        Shaft torque over continuous torque of the row, driving. [-]
    start_temp : ndarray, shape (n,) or (m, n)
        Node temperatures at the start: `resting_temperatures` for cold, the steady temperatures of a
        part load for warm. [degC]

    Returns
    -------
    time : ndarray, shape (k, m)
        Time to the first limit; infinite at and below the continuous torque. [s]

    Raises
    ------
    InputRangeError
        If a multiple is negative.

    References
    ----------
    Overload-time curves, common practice, no source.

    Examples
    --------
    One node and constant loss per torque: tau ln(m^2/(m^2 - 1)), see the tests.
    """
    multiples = np.asarray(multiples, dtype=float)
    require_not_negative("multiple of the continuous torque", multiples, "")
    torque = multiples[:, None] * continuous_torque(heat).motoring + heat.drag_torque
    return time_to_limit(heat, torque, start_temp)


def loss_that_fills_the_room(
    share_of: Callable[[FloatArray], FloatArray], first_guess: FloatArray
) -> FloatArray:
    """Return the loss L at which a rising share s(L) of the room to the limits becomes 1.

    Parameters
    ----------
    share_of : callable, shape (m,) to shape (m,)
        Share s; zero at no loss; infinite where the temperatures run away. [-]
    first_guess : ndarray, shape (m,)
        Loss to begin with, zero where none is admissible. [W]

    Returns
    -------
    loss : ndarray, shape (m,)
        Loss with s = 1 to 1e-4. [W]

    Notes
    -----
    Fixed point of w(L) = L/s(L) by secants on w.

    References
    ----------
    Secant method, textbook method (from memory).

    Examples
    --------
    s = L/(100 - L) is 1 at 50 W:

    >>> loss = loss_that_fills_the_room(lambda loss: loss / (100.0 - loss), np.array([80.0]))
    >>> round(float(loss[0]), 6)
    50.0
    """
    old = first_guess
    share = share_of(old)
    moving = share > 0.0
    target = _proposed(old, share, moving)
    new = np.where(moving, np.maximum(target, 0.1 * old), old)
    for _ in range(_LOSS_STEPS):
        share = share_of(new)
        proposed = _proposed(new, share, moving)
        change = new - old
        flat = change == 0.0
        slope = np.where(flat, 0.0, (proposed - target) / np.where(flat, 1.0, change))
        # w falls with L, so that the true slope is never positive; steeper than -20 is past a pole
        slope = np.clip(slope, -20.0, 0.0)
        best = (proposed - slope * new) / (1.0 - slope)
        done = np.abs(proposed - new) <= _LOSS_TOLERANCE * new
        old, target = new, proposed
        new = np.where(moving, np.maximum(best, 0.1 * old), old)
        if np.all(done | ~moving):
            break
    return new


def room_and_guess(heat: OperatingHeat, free: FloatArray, gain: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the room to the limits at each sample, and the loss that would fill it at the hot resistance.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]
    free : ndarray, shape (m, j, n + 1)
        Limited temperatures at the samples without copper loss in the stretch. [degC]
    gain : ndarray, shape (m, j, n + 1)
        Rise of the same per watt of constant copper loss. [K/W]

    Returns
    -------
    room : ndarray, shape (m, j, n + 1)
        Limit less free temperature. [K]
    guess : ndarray, shape (m,)
        Estimate of the admissible copper loss at reference, zero where a limit is passed anyway. [W]

    References
    ----------
    Own formulation.
    """
    room = limits_of_limited(heat) - free
    heated = gain > 0.0
    loss = np.where(heated, room / np.where(heated, gain, 1.0), np.inf).min(axis=(1, 2))
    law, w = heat.copper_law, heat.winding
    # the winding runs between its free temperature and its limit: the resistance half way is the guess
    halfway = 0.5 * (free[:, -1, w] + heat.limit[w])
    rho = (law.copper_constant + halfway) / (law.copper_constant + law.winding_ref_temp)
    return room, np.where((room > 0.0).all(axis=(1, 2)), loss / rho, 0.0)


def torque_of_loss(heat: OperatingHeat, loss_at_reference: FloatArray, magnet_temp: FloatArray) -> FloatArray:
    r"""Return the electromagnetic torque behind a copper loss at reference.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]
    loss_at_reference : ndarray, shape (m,)
        :math:`L = (K_0 T^2 + P_x)/\mu^2`. [W]
    magnet_temp : ndarray, shape (m,)
        Mean temperature of the magnets over the stretch. [degC]

    Returns
    -------
    em_torque : ndarray, shape (m,)
        Torque, zero where the ripple alone takes the loss. [N m]

    References
    ----------
    Own formulation.
    """
    square = (
        loss_at_reference * _flux(heat, magnet_temp) ** 2 - heat.extra_copper
    ) / heat.copper_per_torque_squared
    torque: FloatArray = np.sqrt(np.maximum(square, 0.0))
    return torque


def _timed(heat: OperatingHeat, duration: FloatArray, start_temp: FloatArray) -> FloatArray:
    time = np.where(np.isinf(duration), 1.0, duration)
    samples, none = time[:, None] * SAMPLE_SHARES, np.zeros_like(time)
    start = np.asarray(start_temp, dtype=float)
    free = modal_response(heat, none, start)
    free_temp = limited_at(heat, free, none, samples)
    room, guess = room_and_guess(heat, free_temp, _rise_per_watt(heat, free, samples))
    hot = (start > heat.limit).any(axis=-1)
    guess = np.where(hot, 0.0, guess)
    usable = np.where(room > 0.0, room, np.inf)

    def share_of(loss: FloatArray) -> FloatArray:
        warm = limited_at(heat, modal_response(heat, loss, start), loss, samples)
        share: FloatArray = ((warm - free_temp) / usable).max(axis=(1, 2))
        return share

    loss = loss_that_fills_the_room(share_of, guess)
    if heat.copper_law.magnet_temp_coefficient == 0.0:
        return torque_of_loss(heat, loss, np.full_like(loss, heat.copper_law.magnet_ref_temp))
    mean = modal_response(heat, loss, start).mean_temperatures(time[:, None])
    return torque_of_loss(heat, loss, mean[:, 0, heat.magnets])


def _proposed(loss: FloatArray, share: FloatArray, moving: BoolArray) -> FloatArray:
    return np.where(moving, loss / np.where(moving, share, 1.0), loss)


def _flux(heat: OperatingHeat, magnet_temp: FloatArray) -> FloatArray:
    law = heat.copper_law
    # a magnet that has lost nine tenths of its flux is far beyond the linear law: keep it positive
    return np.maximum(1.0 + law.magnet_temp_coefficient * (magnet_temp - law.magnet_ref_temp), 0.1)


def _rise_per_watt(heat: OperatingHeat, free: ModalResponse, time: FloatArray) -> FloatArray:
    """Return the rise of the limited temperatures per watt of constant copper loss."""
    watt = np.zeros_like(heat.inflow)
    watt[:, heat.winding] = 1.0
    # the same modes as without loss, driven by one watt from zero
    drive = np.matmul(free.inverse / heat.capacity, watt[..., None])[..., 0]
    unit = ModalResponse(free.rate, free.shape, np.zeros_like(drive), drive, free.inverse)
    excess = phase_excess_gain(heat)[:, None] * (1.0 - winding_fade(heat, time))
    return limited_temperatures(heat, unit.temperatures(time), excess)


def _first_crossing(
    heat: OperatingHeat, loss: FloatArray, start: FloatArray
) -> tuple[FloatArray, ModalResponse]:
    """Return the first time past a limit, 0 if at once and inf if never, and the response."""
    response = modal_response(heat, loss, start)

    def excess_at(time: FloatArray) -> FloatArray:
        over: FloatArray = (limited_at(heat, response, loss, time) - limits_of_limited(heat)).max(axis=-1)
        return over

    # near run-away the slowest mode stands still: a billion winding time constants are long enough
    w = heat.winding
    own_rate = heat.matrix[:, w, w] / heat.capacity[w]
    settled = _SETTLED / np.maximum(np.abs(response.rate[:, 0]), 1e-9 * own_rate)
    grid = settled[:, None] * _TIME_GRID
    excess = excess_at(grid)
    over = excess > 0.0
    first = over.argmax(axis=1)
    found, at_once = over.any(axis=1), over[:, 0]
    last = np.maximum(first, 1)[:, None]
    low, high = (np.take_along_axis(grid, last - back, axis=1)[:, 0] for back in (1, 0))
    f_low, f_high = (np.take_along_axis(excess, last - back, axis=1)[:, 0] for back in (1, 0))
    active = found & ~at_once
    time = bracketed_root(
        lambda t: excess_at(t[:, None])[:, 0], (low, high), (f_low, f_high), active, relative=1e-10
    )
    return np.where(at_once, 0.0, np.where(found, time, np.inf)), response


def _crossing_at(
    heat: OperatingHeat, loss: FloatArray, start: FloatArray, magnet_temp: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the time to the limit with magnets of one temperature, and their mean temperature then."""
    time, response = _first_crossing(heat, loss / _flux(heat, magnet_temp) ** 2, start)
    return time, response.mean_temperatures(time[:, None])[:, 0, heat.magnets]


def _mean_magnet_temp(heat: OperatingHeat, loss: FloatArray, start: FloatArray) -> FloatArray:
    base, _ = steady_response(heat)
    low = np.minimum(start.min(axis=1), base.min(axis=1)) - 1.0
    finite = heat.limit[np.isfinite(heat.limit)]
    high = np.maximum(np.maximum(start.max(axis=1), base.max(axis=1)), finite.max()) + 1.0

    def gap(magnet_temp: FloatArray) -> FloatArray:
        return _crossing_at(heat, loss, start, magnet_temp)[1] - magnet_temp

    f_low, f_high = gap(low), gap(high)
    # outside the bracket no limit stops the magnets: the hottest value is the honest bound
    active = (f_low > 0.0) & (f_high < 0.0)
    root = bracketed_root(gap, (low, high), (f_low, f_high), active, absolute=1e-3)
    return np.where(active, root, high)


def bracketed_root(
    function: Callable[[FloatArray], FloatArray],
    bracket: tuple[FloatArray, FloatArray],
    values: tuple[FloatArray, FloatArray],
    active: BoolArray,
    absolute: float = 0.0,
    relative: float = 0.0,
) -> FloatArray:
    """Return the roots of m functions between bracketing points, all at once.

    Parameters
    ----------
    function : callable, shape (m,) to shape (m,)
        The m functions, each of its own argument. [-]
    bracket, values : tuple of two ndarray, shape (m,)
        Ends of the brackets and the function there, of opposite sign where active. [-]
    active : ndarray of bool, shape (m,)
        Which of them have a root; the others come back as their upper end. [-]
    absolute, relative : float, default 0
        Width of the bracket, or last step, at which a root is good enough; relative to the root. [-]

    Returns
    -------
    root : ndarray, shape (m,)
        The roots. [-]

    Notes
    -----
    Each step halves the bracket and then places a point on an exponential through its ends and middle:
    quadratic in the end, never slower than bisection.

    References
    ----------
    C. J. F. Ridders, IEEE Transactions on Circuits and Systems 26 (1979) 979 (from memory).

    Examples
    --------
    >>> one = np.ones(1)
    >>> root = bracketed_root(lambda x: x**2 - 2.0, (one, 2 * one), (-one, 2 * one), one > 0, relative=1e-12)
    >>> round(float(root[0]), 10)
    1.4142135624
    """
    (low, high), (f_low, f_high) = bracket, values
    root = high
    for _ in range(_ROOT_STEPS):
        middle = 0.5 * (low + high)
        f_middle = function(middle)
        spread = np.sqrt(np.maximum(f_middle**2 - f_low * f_high, 0.0))
        shift = np.sign(f_low - f_high) * f_middle / np.where(spread > 0.0, spread, 1.0)
        point = np.clip(middle + (middle - low) * shift, low, high)
        value = function(point)
        # the root lies between two neighbours of opposite sign among the four points
        near, far = np.minimum(middle, point), np.maximum(middle, point)
        f_near, f_far = np.where(middle <= point, (f_middle, value), (value, f_middle))
        first, second = np.sign(f_near) != np.sign(f_low), np.sign(f_far) != np.sign(f_low)
        high, f_high = (
            np.where(first, a, np.where(second, b, c))
            for a, b, c in ((near, far, high), (f_near, f_far, f_high))
        )
        low, f_low = (
            np.where(first, a, np.where(second, b, c))
            for a, b, c in ((low, near, far), (f_low, f_near, f_far))
        )
        tolerance = absolute + relative * np.abs(point)
        moved = np.abs(point - root)
        root = np.where(active, point, root)
        if np.all(~active | (high - low <= tolerance) | (moved <= tolerance) | (value == 0.0)):
            break
    return root
