r"""Air inside a motor: it stands between end windings, cup and wall, or passes them on its way through.

The air is no node: it has next to no heat capacity, so it is removed from the network exactly.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.input_ranges import require_not_negative


def passing_air(surfaces: FloatArray, flow: FloatArray) -> tuple[FloatArray, FloatArray]:
    r"""Return what air that passes several surfaces together conducts between them and to where it came from.

    Parameters
    ----------
    surfaces : ndarray, shape (s, m)
        Coefficient times area of each of the s surfaces, at m speeds. [W/K]
    flow : ndarray, shape (m,)
        Mass flow times specific heat of the air that passes, 0 for air that is shut in. [W/K]

    Returns
    -------
    between : ndarray, shape (s, s, m)
        Conductance between each two surfaces; the diagonal means nothing. [W/K]
    outwards : ndarray, shape (s, m)
        Conductance of each surface to the air outside. [W/K]

    Raises
    ------
    InputRangeError
        If a value is negative, or no surface gives heat to the air.

    Notes
    -----
    The surfaces lie evenly along the way. With :math:`H = \sum H_i`, :math:`N = H/(\dot m c_p)` and
    :math:`\varphi = (1 - e^{-N})/N` the balance of the air along its way gives exactly

    .. math:: G_{ij} = (1-\varphi) H_i H_j/H, \qquad G_{i,out} = \varphi H_i.

    All surfaces at one temperature give :math:`\dot m c_p (1 - e^{-N})`; without flow it is the star
    of the H_i turned into a mesh.

    References
    ----------
    Exchanger with one fluid at rest, W. M. Kays, A. L. London, Compact Heat Exchangers (from memory); the
    split over surfaces is derived here.

    Examples
    --------
    >>> between, outwards = passing_air(np.array([[0.1], [0.3]]), np.array([0.0]))
    >>> round(float(between[0, 1, 0]), 4), float(outwards[0, 0])  # 0.1 and 0.3 in a row
    (0.075, 0.0)
    >>> outwards = passing_air(np.array([[0.18]]), np.array([0.36252]))[1]
    >>> round(float(outwards[0, 0]), 6)  # 0.36252 (1 - exp(-0.18/0.36252))
    0.141875
    """
    require_not_negative("conductance of a surface to the air inside", surfaces, "W/K")
    require_not_negative("heat carried by the passing air", flow, "W/K")
    H = surfaces.sum(axis=0)
    if not (H > 0.0).all():
        raise InputRangeError("conductance of all surfaces to the air inside", 0.0, "W/K", "> 0")
    passing = flow > 0.0
    units = H / np.where(passing, flow, 1.0)
    share = np.where(passing, -np.expm1(-units) / units, 0.0)
    between: FloatArray = (1.0 - share) * surfaces[:, None] * surfaces[None, :] / H
    return between, share * surfaces
