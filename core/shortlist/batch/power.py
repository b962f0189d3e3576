"""Power that many candidates take from their supply at shares of each part, at any temperatures.

The numbers of `power_balance`, side by side.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from core.numeric import FloatArray
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.electric import ripple_square
from core.shortlist.batch.machines import MachineColumns


class PowerAtShares:
    """What the power of some candidates is made of; what no temperature changes is worked out once."""

    def __init__(self, duty: DutyRows, machine: MachineColumns) -> None:
        self._duty, self._machine = duty, machine
        torque, speed, drag = duty.torque_at_shares, duty.speed_at_shares, duty.drag_at_shares
        self._em = torque + drag * np.sign(speed)
        self._mechanical = torque * speed
        self._mechanical += drag * np.abs(speed)

    @cached_property
    def _ripple(self) -> FloatArray | None:
        """Mean square of the ripple, None where no pulses heat. [A2]"""
        machine = self._machine
        return ripple_square(machine, self._duty.speed_at_shares) if machine.ripple_loss.any() else None

    @cached_property
    def _weakening(self) -> FloatArray | None:
        """Current along the magnet axis, None where there is none. [A]"""
        current = self._machine.weakening_current(self._em, self._duty.speed_at_shares)
        return current if current.any() else None

    def at(self, winding_temp: FloatArray, magnet_temp: FloatArray) -> FloatArray:
        """Return the power at temperatures of shape (rows, 1), shape (rows, parts, 5). [W]

        In the order of `power_balance`, so that what cancels there cancels here.
        """
        machine = self._machine
        constant = machine.torque_constant * machine.flux(magnet_temp)
        still = self._duty.direction == 0.0  # there the current stands at its worst angle
        constant = constant / np.sqrt(np.where(still, machine.edge_factor, 1.0))
        amount = machine.current_of(self._em, _each(constant))
        square = amount * amount
        rise = machine.resistance_rise(winding_temp)
        power, more = self._mechanical.copy(), np.empty_like(amount)

        def add(factor: FloatArray, value: FloatArray) -> None:
            if factor.any():  # nothing is added in less time where no candidate has any
                np.multiply(_each(factor), value, out=more)
                np.add(power, more, out=power)

        add(machine.copper_factor * machine.resistance * rise, square)
        add(machine.copper_factor * 2.0 * machine.lead_resistance, square)
        electronics = _each(machine.copper_factor * 2.0 * machine.switch_resistance) * square
        if machine.device_drop.any():
            electronics += _each(machine.drop_share * machine.device_drop) * amount
        electronics += _each(machine.idle_power)
        power += electronics
        if self._ripple is not None:
            add(machine.ripple_loss * rise, self._ripple)
        add(machine.switching_loss, amount)
        if self._weakening is not None:
            power += machine.path_loss(self._weakening, winding_temp)
        return power


def _each(column: FloatArray) -> FloatArray:
    return column[..., None]
