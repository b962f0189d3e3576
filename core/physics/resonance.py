r"""A motor and a load joined by a spring: inertia ratio, resonance and anti-resonance.

The ratio is not a law in itself. It says how far the two frequencies lie apart; the stiffness says
where they are, and with that what bandwidth a speed loop can have.
"""

from __future__ import annotations

import math

from core.physics.input_ranges import require_positive
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class TwoMassFrequencies:
    r"""Frequencies of a motor and a load joined by a spring.

    Attributes
    ----------
    anti_resonance : float
        Frequency at which the load swings while the motor hardly moves; the lower one. [Hz]
    resonance : float
        Frequency at which both swing against each other; the higher one. [Hz]
    inertia_ratio : float
        Load inertia at the motor over motor inertia. [-]
    """

    anti_resonance: float
    resonance: float
    inertia_ratio: float

    def bandwidth_below(self, share: float = 0.5) -> float:
        """Return that share of the anti-resonance: what a loop without filters may reach. [Hz]"""
        require_positive("share of the anti-resonance", share, "")
        return share * self.anti_resonance


def two_mass_frequencies(
    motor_inertia: float, load_inertia: float, stiffness: float, gear_ratio: float = 1.0
) -> TwoMassFrequencies:
    r"""Return resonance, anti-resonance and inertia ratio of a springy coupling.

    Parameters
    ----------
    motor_inertia : float
        Inertia of rotor and what is rigid with it. [kg m2]
    load_inertia : float
        Inertia of the load at its own axis. [kg m2]
    stiffness : float
        Torsional stiffness between them, at the motor's side of the gear. [N m/rad]
    gear_ratio : float, default 1
        Motor speed over load speed. [-]

    Returns
    -------
    frequencies : TwoMassFrequencies
        The resonance always lies above the anti-resonance. [Hz]

    Notes
    -----
    With the load inertia at the motor, :math:`J_L' = J_L/i^2`:

    .. math:: f_r = \frac{1}{2\pi}\sqrt{k\,\frac{J_M + J_L'}{J_M J_L'}}, \qquad
              f_a = \frac{1}{2\pi}\sqrt{\frac{k}{J_L'}}, \qquad
              f_r/f_a = \sqrt{1 + J_L'/J_M}

    References
    ----------
    Two-mass oscillator, first principles.

    Examples
    --------
    >>> found = two_mass_frequencies(1e-4, 3e-4, 100.0)
    >>> round(found.resonance / found.anti_resonance, 9), round(found.anti_resonance, 2)
    (2.0, 91.89)
    """
    for name, value, unit in (
        ("motor inertia", motor_inertia, "kg m2"),
        ("load inertia", load_inertia, "kg m2"),
        ("stiffness", stiffness, "N m/rad"),
        ("gear ratio", gear_ratio, ""),
    ):
        require_positive(name, value, unit)
    reflected = load_inertia / gear_ratio**2
    anti_resonance = math.sqrt(stiffness / reflected) / (2.0 * math.pi)
    ratio = reflected / motor_inertia
    return TwoMassFrequencies(anti_resonance, anti_resonance * math.sqrt(1.0 + ratio), ratio)
