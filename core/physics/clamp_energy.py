"""What a clamp burns of the energy that braking returns, where the capacitor of the bus keeps some."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_finite, require_not_negative


def burned_energy(returned: FloatArray, capacity: Numeric) -> FloatArray:
    r"""Return what a clamp burns per cycle once the cycle repeats itself.

    Parameters
    ----------
    returned : ndarray, shape (..., pieces)
        Energy that flows back in each piece of the cycle, in each of which power keeps its sign; negative
        where the drive takes energy. [J]
    capacity : float or ndarray, shape (...)
        Energy that the capacitor takes up from rest until the clamp switches on. [J]

    Returns
    -------
    burned : ndarray, shape (...)
        Energy per cycle. [J]

    Raises
    ------
    InputRangeError
        If an energy is not finite or a capacity negative.

    Notes
    -----
    The energy on the bus rests at zero, where the supply feeds, and at the capacity, where the clamp burns:

    .. math:: E \leftarrow \min(\max(E + e, 0), E_\mathrm{cap}) , \quad
        W = \sum \max(E + e - E_\mathrm{cap}, 0)

    A whole cycle is again such a step, with bounds where it takes an empty and a full capacitor: it repeats
    itself from the upper one if it returns more than it takes, else from the lower one. What the clamp takes
    out of the capacitor below its voltage, by its hysteresis, and leakage are left out.

    References
    ----------
    .. [1] First principles; a reservoir with a floor and a rim.

    Examples
    --------
    >>> pieces = np.array([5.0, -3.0, 4.0, -10.0])  # into 4 J: 1 J over the rim, then 1 + 4 J, 1 J over
    >>> float(burned_energy(pieces, 4.0)), float(burned_energy(pieces, 0.0))
    (2.0, 9.0)
    """
    require_finite("returned", returned, "J")
    require_not_negative("capacity", capacity, "J")
    if returned.ndim == 1:  # of a trace there may be very many
        returned = _joined(returned)
    rim = np.broadcast_to(np.asarray(capacity, dtype=np.float64), returned.shape[:-1])
    empty, _ = _cycle(returned, np.zeros_like(rim), rim)
    full, _ = _cycle(returned, rim, rim)
    _, burned = _cycle(returned, np.where(returned.sum(axis=-1) > 0.0, full, empty), rim)
    return np.asarray(burned)


def _cycle(returned: FloatArray, start: FloatArray, rim: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the energy on the bus at the end of a cycle and what is burned in it."""
    level, burned = start, np.zeros_like(rim)
    for piece in np.moveaxis(returned, -1, 0):
        level = np.maximum(level + piece, 0.0)
        kept = np.minimum(level, rim)
        burned, level = burned + (level - kept), kept
    return np.asarray(level), np.asarray(burned)


def _joined(returned: FloatArray) -> FloatArray:
    """Return the energies of stretches of one sign."""
    moved: FloatArray = returned[returned != 0.0]
    if not moved.size:
        return moved
    first = np.flatnonzero(np.diff(moved > 0.0, prepend=not moved[0] > 0.0))
    return np.asarray(np.add.reduceat(moved, first), dtype=np.float64)
