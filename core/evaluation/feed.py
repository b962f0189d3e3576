"""What the pulses of the electronics do to a motor: ripple of the current, its heat, the loss of switching.

The duty is the actual one, from the EMF at each speed at the reference temperature of the magnets. The
voltage in the resistance is left out of it, so that the heat does not depend on the torque: at rest, where
nothing else makes the duty of a unipolar path, the ripple then counts as zero instead of `(R T / L)^2/12`
of the loss of the current, with T the period of the pulses. The voltage is the highest one of the supply,
at which the ripple is largest.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from core.evaluation.remembered import remembered
from core.numeric import FloatArray, Numeric
from core.physics.conventions import Commutation
from core.physics.machine_constants import MachineConstants, phase_emf_fundamental, torque_constant
from core.physics.pwm_ripple import (
    carrier_ripple_rms,
    path_inductance,
    ripple_copper_loss,
    ripple_peak_to_peak,
    triangle_rms,
    worst_voltage_ratio,
)
from core.physics.voltage import available_voltage
from core.project.application import Supply
from core.project.drive import Drive
from core.records import dataclass

# The square of the ripple is a polynomial of degree 4 in the speed: five points tell it, three nodes of
# Gauss and Legendre give its mean over a ramp.
_SHARES = np.linspace(0.0, 1.0, 5)
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(3)
_TRIANGLE = float(triangle_rms(1.0))


@dataclass(frozen=True, slots=True)
class RippleLaw:
    """The ripple of one motor on one electronics at the highest supply voltage.

    `full_speed` [rad/s] is where the EMF takes all of the voltage. `square` are the coefficients of the
    mean square of the ripple [A2] over the share of that speed, rising powers; `loss_per_square` [ohm]
    makes it the loss at the reference temperature of the winding.
    """

    commutation: Commutation
    drive: Drive
    voltage: float
    frequency: float
    inductance: float
    full_speed: float
    square: tuple[float, ...]
    loss_per_square: float

    def mean_square(self, speed: FloatArray) -> FloatArray:
        """Return the mean square of the ripple at speeds, same shape. [A2]"""
        share = np.minimum(np.abs(speed) / self.full_speed, 1.0)
        value = np.full(share.shape, self.square[-1])
        for coefficient in self.square[-2::-1]:
            value = value * share + coefficient
        positive: FloatArray = np.maximum(value, 0.0)
        return positive

    def loss(self, speed: FloatArray) -> FloatArray:
        """Return the copper loss of the ripple at speeds, at the winding's reference temperature. [W]"""
        return self.loss_per_square * self.mean_square(speed)

    def mean_loss(self, start: FloatArray, end: FloatArray) -> FloatArray:
        """Return the mean of `loss` over ramps that do not cross zero, shape of the ends. [W]"""
        middle, half = 0.5 * (start + end), 0.5 * (end - start)
        nodes = middle[:, None] + half[:, None] * _NODE
        mean: FloatArray = 0.5 * (self.loss(nodes) @ _WEIGHT)
        return mean

    @property
    def full_voltage(self) -> float:
        """The largest voltage of the path or phase. [V]"""
        return _full_voltage(self.commutation, self.voltage, self.drive)

    def ratio(self, voltage: Numeric) -> FloatArray:
        """Return the share of the largest voltage of the path or phase that a voltage is, at most 1. [-]"""
        return np.minimum(np.abs(voltage) / self.full_voltage, 1.0)

    def rms_at(self, ratio: float) -> float:
        """Return the ripple at a share of the largest voltage, root mean square. [A]"""
        # at the full voltage of a unipolar path nothing is left but rounding, of either sign
        square = float(np.polynomial.polynomial.polyval(ratio, self.square))
        return math.sqrt(max(square, 0.0))

    def worst_ratio(self, lowest: float, highest: float) -> float:
        """Return the share of the largest voltage, within a range, at which the ripple is largest. [-]"""
        if self.commutation == "sinusoidal":
            return highest  # it rises up to the end of the linear range
        return worst_voltage_ratio(self.drive.switching, lowest, highest)


def peak_to_peak(rms: float) -> float:
    """Return the peak-to-peak ripple of the triangle with an rms value. [A]"""
    return rms / _TRIANGLE


@dataclass(frozen=True, slots=True)
class Feed:
    """What the electronics add at their supply: ripple, and loss of switching over the current. [W/A]"""

    ripple: RippleLaw | None = None
    switching_loss_per_ampere: float = 0.0

    def ripple_loss(self, speed: FloatArray) -> FloatArray:
        """Return the copper loss of the ripple at the winding's reference temperature, same shape. [W]"""
        return np.zeros(np.shape(speed)) if self.ripple is None else self.ripple.loss(speed)


NO_FEED = Feed()


def highest_voltage(supply: Supply) -> float | None:
    """Return the highest supply voltage that is known. [V]"""
    return supply.highest_voltage or supply.nominal_voltage or supply.lowest_voltage


@remembered()
def feed_of(constants: MachineConstants, commutation: Commutation, drive: Drive, supply: Supply) -> Feed:
    """Return what the pulses do to a motor; nothing where frequency or voltage are not known."""
    voltage, frequency = highest_voltage(supply), drive.pwm_frequency
    if voltage is None or frequency is None:
        return NO_FEED
    law = ripple_law(constants, commutation, drive, voltage, frequency)
    return Feed(law, _switching_loss(commutation, drive, voltage, frequency))


def ripple_law(
    constants: MachineConstants, commutation: Commutation, drive: Drive, voltage: float, frequency: float
) -> RippleLaw:
    """Return the ripple at a pulse frequency and voltage; chokes are part of the inductance."""
    full = _full_voltage(commutation, voltage, drive)
    inductance = constants.inductance
    if commutation == "six-step":
        emf = torque_constant(constants, commutation)
        pulses = ripple_peak_to_peak(drive.switching, voltage, _SHARES, inductance, frequency)
        rms = np.asarray(triangle_rms(pulses))
    else:
        emf = phase_emf_fundamental(constants)
        rms = carrier_ripple_rms(voltage, _SHARES * full, inductance, frequency, drive.modulation)
    powers = np.vander(_SHARES, increasing=True)
    return RippleLaw(
        commutation=commutation,
        drive=drive,
        voltage=voltage,
        frequency=frequency,
        inductance=inductance,
        full_speed=full / emf,
        square=tuple(np.linalg.solve(powers, rms**2).tolist()),
        loss_per_square=float(ripple_copper_loss(commutation, 1.0, constants.resistance)),
    )


def _full_voltage(commutation: Commutation, voltage: float, drive: Drive) -> float:
    return float(available_voltage(commutation, voltage, 1.0, drive.modulation))


def _switching_loss(commutation: Commutation, drive: Drive, voltage: float, frequency: float) -> float:
    """Return the loss of switching per ampere. [W/A]

    `U I f t` of two legs that switch the whole current: each switch ramps voltage and current in turn, half
    of U I on average over the time t of on and off together (clamped inductive switching; N. Mohan,
    T. M. Undeland, W. P. Robbins, Power Electronics, from memory). Unipolar pulses switch one leg, sinusoidal
    commutation three legs at 2/pi of the peak on average.
    """
    legs = 6.0 / np.pi if commutation == "sinusoidal" else {"unipolar": 1.0, "bipolar": 2.0}[drive.switching]
    return float(0.5 * legs * voltage * frequency * drive.switching_time)


def with_choke(constants: MachineConstants, choke: float) -> MachineConstants:
    """Return the constants with a choke in each lead: two of them lie in every path of the current."""
    return constants if choke == 0.0 else _with_choke(constants, choke)


@remembered()
def _with_choke(constants: MachineConstants, choke: float) -> MachineConstants:
    return replace(constants, inductance=path_inductance(constants.inductance, choke))
