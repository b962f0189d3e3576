"""Mean losses and mean supply current of many candidates at the temperatures of their cycles."""

from __future__ import annotations

import numpy as np

from core.evaluation.clamped_energy import burned, keeps_energy
from core.numeric import FloatArray
from core.project.application import Supply
from core.records import dataclass
from core.shortlist.batch.courses import FOUR_NODES, FOUR_WEIGHTS, DutyRows
from core.shortlist.batch.electric import mean_square_weakening
from core.shortlist.batch.feeding import mean_current
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.power import PowerAtShares


@dataclass(frozen=True, slots=True)
class Cycles:
    """Duty and machines of some candidates, row by row."""

    duty: DutyRows
    machine: MachineColumns

    def mean_losses(self, copper: FloatArray, magnets: FloatArray, beyond: FloatArray) -> FloatArray:
        """Return all mean losses as `mean_losses` adds them up, shape (rows,). [W]

        `copper` [W] is the mean copper loss, `magnets` [degC] their mean temperature, `beyond` as in
        `SolvedHeat`.
        """
        duty, machine = self.duty, self.machine
        flux = machine.flux(magnets[:, None])
        means = [one.means for one in duty.drags]
        drag = np.array([one.core_power + one.air_power for one in means])[duty.drag_index]
        square = self._over_cycle(self._edge * duty.mean_square) / (machine.torque_constant * flux)[:, 0] ** 2
        weakening = self._over_cycle(mean_square_weakening(duty, machine))
        square = square + np.where(np.isnan(beyond), weakening, beyond)
        series = (machine.copper_factor * machine.loop_resistance)[:, 0] * square
        series = series + self._over_cycle(self._drop_loss(flux))
        return copper + self._over_cycle(drag) + series + machine.idle_power[:, 0]

    def mean_current(self, supply: Supply, winding: FloatArray, magnets: FloatArray) -> FloatArray:
        """Return the mean supply current at mean temperatures, hot ones where they are NaN. [A]

        What flows back counts as used again unless a clamp burns it, as in `supply_state`.
        """
        machine = self.machine
        hot = np.isnan(winding)[:, None]
        winding_temp = np.where(hot, machine.hot_winding_temp, winding[:, None])
        magnet_temp = np.where(hot, machine.hot_magnet_temp, magnets[:, None])
        power = PowerAtShares(self.duty, machine).at(winding_temp, magnet_temp)
        current = mean_current(supply, self.duty, power)
        return np.maximum(current + self._burned(supply, power), 0.0) if keeps_energy(supply) else current

    def _burned(self, supply: Supply, power: FloatArray) -> FloatArray | float:
        """Return the mean current that a clamp burns. [A]"""
        count, half = len(power), 0.5 * np.repeat(self.duty.duration, 2, axis=1)
        at = np.stack([power[..., k : k + 3 : 2].reshape(count, -1) for k in range(3)])
        lost = burned(supply, self.machine.bus_capacitance[:, 0], half, at)
        return 0.0 if lost is None else lost.charge / self.duty.cycle_time

    def _drop_loss(self, flux: FloatArray) -> FloatArray:
        """Return the mean loss of each part in drop and switching of the devices. [W]"""
        duty, machine = self.duty, self.machine
        place = 0.5 * (1.0 + FOUR_NODES)
        start, change = duty.torque[..., :1], duty.torque[..., 1:] - duty.torque[..., :1]
        drag = np.array([one.at_nodes for one in duty.drags])[duty.drag_index]
        em = start + change * place + duty.direction[..., None] * drag
        per_ampere = machine.drop_share * machine.device_drop + machine.switching_loss
        current = np.abs(em) / (machine.torque_constant * flux)[..., None]
        mean: FloatArray = per_ampere * np.sqrt(self._edge) * (0.5 * (current @ FOUR_WEIGHTS))
        return mean

    @property
    def _edge(self) -> FloatArray:
        """Copper loss at the worst angle of rest over that in motion, 1 in motion, shape (rows, parts)."""
        return np.where(self.duty.direction == 0.0, self.machine.edge_factor, 1.0)

    def _over_cycle(self, value: FloatArray) -> FloatArray:
        total: FloatArray = (value * self.duty.duration).sum(axis=1) / self.duty.cycle_time
        return total
