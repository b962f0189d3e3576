r"""The cycle as the heat network sees it: pieces of constant mean loss and mean conductance.

A segment with a speed ramp is cut into equal pieces; each piece keeps the mean of everything that
heats (torque squared, drag power) and the mean conductance of every link.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np

from core.numeric import FloatArray, IntArray
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class CopperLaw:
    r"""How copper loss at fixed torque follows the temperatures.

    :math:`P = P_\mathrm{ref}\,\rho(\vartheta_W)/\mu(\vartheta_R)^2` with
    :math:`\rho = (k+\vartheta_W)/(k+\vartheta_{W,\mathrm{ref}})` and
    :math:`\mu = 1+\alpha_B(\vartheta_R-\vartheta_{R,\mathrm{ref}})`.

    Parameters
    ----------
    copper_constant : float
        k, 235 for copper in IEC 60034-1. [degC]
    winding_ref_temp : float
        Temperature of the stated resistance. [degC]
    magnet_ref_temp : float
        Temperature of the stated back-EMF constant. [degC]
    magnet_temp_coefficient : float
        Reversible coefficient of remanence; 0 switches the feedback off. [1/K]

    References
    ----------
    IEC 60034-1, winding temperature by resistance (constant 235 for copper, from memory).
    """

    copper_constant: float = 235.0
    winding_ref_temp: float = 25.0
    magnet_ref_temp: float = 25.0
    magnet_temp_coefficient: float = 0.0


@dataclass(frozen=True, slots=True)
class HeatPieces:
    r"""m pieces of a cycle, in the order of time.

    Parameters
    ----------
    duration : ndarray, shape (m,)
        Durations, each positive. [s]
    segment : ndarray of int, shape (m,)
        Segment of the duty cycle to which each piece belongs, from 0. [-]
    conductance : ndarray, shape (m, n, n)
        Node matrix of each piece, `heat_network.node_matrices`. [W/K]
    inflow : ndarray, shape (m, n)
        Heat into each node that does not depend on temperature: from the sinks, iron, bearing,
        windage. [W]
    copper : ndarray, shape (m, 3)
        Copper loss at the reference temperatures as a polynomial of the factor lambda on the
        delivered torque: `copper[:, 0] + 2 lambda copper[:, 1] + lambda**2 copper[:, 2]`. Drag is
        never scaled, so its square and its product with the torque stand apart. [W]
    stall_phase_factor : ndarray, shape (m,)
        Loss of the hottest phase over the mean of the phases: 1 while turning, 2 for sinusoidal
        current frozen at its worst angle, 1.5 for six-step. [-]

    References
    ----------
    Own formulation; the ratios of the hottest phase follow from two or three phases carrying the
    current (`core.physics.hold`).
    """

    duration: FloatArray
    segment: IntArray
    conductance: FloatArray
    inflow: FloatArray
    copper: FloatArray
    stall_phase_factor: FloatArray

    def copper_at_reference(self, torque_factor: float = 1.0) -> FloatArray:
        """Return the copper loss of each piece at reference temperatures, shape (m,). [W]"""
        loss: FloatArray = self.copper @ np.array([1.0, 2.0 * torque_factor, torque_factor**2])
        return loss

    def mean_conductance(self, share: FloatArray) -> FloatArray:
        """Return the mean node matrix, each piece with its share of the cycle, shape (n, n). [W/K]"""
        m, n, _ = self.conductance.shape
        mean: FloatArray = (share @ self.conductance.reshape(m, n * n)).reshape(n, n)
        return mean


class CopperBeyond(Protocol):
    """Copper loss that is no polynomial of the factor on the torque, as that of saturation."""

    def __call__(self, factor: float, magnets: float) -> FloatArray:
        """Return it for each piece at a mean temperature of the magnets, shape (m,). [W]"""

    def mean(self, factor: float, magnets: float) -> float:
        """Return its mean over the cycle. [W]"""
