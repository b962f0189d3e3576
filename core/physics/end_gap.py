r"""Air between the flat end of a turning cup and the face of its housing: heat across it."""

from __future__ import annotations

import numpy as np

from core.numeric import Numeric
from core.physics.air_friction import (
    FREE_DISC_LAMINAR,
    FREE_DISC_TURBULENT,
    disc_reynolds,
)
from core.physics.input_ranges import require_positive
from core.physics.rotating_surfaces import laminar_disc_nusselt, turbulent_disc_nusselt

# Friction of an enclosed face, layers apart, over that of a free one, at a clearance ratio of 1.
LAMINAR_SHARE = 2.0 * 1.85 / FREE_DISC_LAMINAR
TURBULENT_SHARE = 2.0 * 0.0510 / FREE_DISC_TURBULENT


def end_gap_coefficient(
    speed: Numeric,
    radius: float,
    clearance: float,
    kinematic_viscosity: Numeric,
    conductivity: Numeric,
    prandtl: Numeric,
) -> Numeric:
    r"""Return the coefficient of the whole end gap, from the turning face to the resting one.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float
        Outer radius of the turning face. [m]
    clearance : float
        Axial clearance to the housing. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]
    conductivity : float or ndarray, shape that broadcasts
        Thermal conductivity of the air. [W/(m K)]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        Face to face, mean over the turning face. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If a dimension or property of the air is not positive or the Prandtl number not that of air.

    Notes
    -----
    The largest of conduction k/s (layers merged) and two laws for layers apart: heat of the free disc
    times the share of its friction that an enclosed face keeps,
    :math:`0.956 G^{0.1}` laminar and :math:`0.699 G^{0.1}` turbulent. Uncertain by 30 %: two infinite
    discs, solved exactly, pass up to half more, since nothing hot flows back along the resting one; two
    equal films in a row would pass a third less. The ranges are those of the friction,
    `air_friction.enclosed_disc_outside_range`.

    References
    ----------
    .. [1] Own estimate on the friction of J. W. Daily, R. E. Nece, J. Basic Eng. 82 (1960), as in
       `air_friction.enclosed_disc_moment_coefficient`, and the heat of `rotating_surfaces`.

    Examples
    --------
    >>> round(float(end_gap_coefficient(0.0, 0.03, 0.0015, 1.8e-5, 0.03, 0.71)), 1)  # k/s
    20.0
    >>> round(float(end_gap_coefficient(800.0, 0.03, 0.0015, 1.8e-5, 0.03, 0.71)), 1)  # 65.2 * 0.709
    46.2
    """
    require_positive("axial clearance", clearance, "m")
    require_positive("thermal conductivity of the air", conductivity, "W/(m K)")
    reynolds = disc_reynolds(speed, radius, kinematic_viscosity)
    laminar = LAMINAR_SHARE * laminar_disc_nusselt(reynolds, prandtl)
    turbulent = TURBULENT_SHARE * turbulent_disc_nusselt(reynolds)
    apart = np.maximum(laminar, turbulent) * (clearance / radius) ** 0.1
    coefficient: Numeric = conductivity * np.maximum(1.0 / clearance, apart / radius)
    return coefficient
