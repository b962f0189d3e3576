"""Temperatures under a trace by a general solver of differential equations, from the samples alone."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from core.numeric import FloatArray
from core.physics.drag import DragLaw, air_drag_torque, core_drag_torque
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.physics.heat_pieces import CopperLaw
from core.physics.sampled_trace import Trace


class TraceEquations:
    """dT/dt of a motor under the straight lines between samples; nothing is averaged."""

    def __init__(
        self,
        trace: Trace,
        network: HeatNetwork,
        drag: DragLaw,
        rotor_inertia: float,
        copper_per_torque_squared: float,
        law: CopperLaw,
    ) -> None:
        self.trace, self.network, self.drag, self.law = trace, network, drag, law
        self.inertia, self.k = rotor_inertia, copper_per_torque_squared

    def rates(self, time: float, sample: int, temps: FloatArray) -> FloatArray:
        """Rates of change of the temperatures, shape (n, columns), in the interval after `sample`."""
        t, n = self.trace, self.network
        step = t.time[sample + 1] - t.time[sample]
        x = (time - t.time[sample]) / step
        speed = t.speed[sample] + (t.speed[sample + 1] - t.speed[sample]) * x
        torque = t.torque[sample] + (t.torque[sample + 1] - t.torque[sample]) * x
        torque += self.inertia * (t.speed[sample + 1] - t.speed[sample]) / step
        core, air = float(core_drag_torque(self.drag, speed)), float(air_drag_torque(self.drag, speed))
        loss = self.k * (torque + np.sign(speed) * (core + air)) ** 2
        matrix, inflow = node_matrices(n, link_conductance(n, np.array([speed])))
        heat = inflow[0]
        heat[n.core] += core * abs(speed)
        if n.air >= 0:
            heat[n.air] += air * abs(speed)
        flow = heat[:, None] - matrix[0] @ temps
        law = self.law
        hot = (law.copper_constant + temps[n.winding]) / (law.copper_constant + law.winding_ref_temp)
        flux = 1.0 + law.magnet_temp_coefficient * (temps[n.magnets] - law.magnet_ref_temp)
        flow[n.winding] += loss * hot / flux**2
        rates: FloatArray = flow / n.capacity[:, None]
        return rates

    def course(self, start: FloatArray, times: FloatArray) -> FloatArray:
        """Temperatures, shape (times, n, columns), from `start`, shape (n, columns)."""
        rows: list[FloatArray] = []
        temps, shape = start, start.shape
        t = self.trace
        for sample in range(t.time.size - 1):
            begin, end = t.time[sample], t.time[sample + 1]
            inside = times[(times >= begin) & (times < end)]
            turn = [begin, end]
            if t.speed[sample] * t.speed[sample + 1] < 0.0:  # drag turns round there
                share = t.speed[sample] / (t.speed[sample] - t.speed[sample + 1])
                turn.insert(1, begin + share * (end - begin))
            for a, b in pairwise(turn):
                asked = np.append(inside[(inside >= a) & (inside < b)], b)

                def flat(time: float, y: FloatArray, k: int = sample) -> FloatArray:
                    return self.rates(time, k, y.reshape(shape)).ravel()

                done = solve_ivp(flat, (a, b), temps.ravel(), "RK45", asked, rtol=1e-8, atol=1e-8)
                rows.extend(done.y.T[:-1].reshape(-1, *shape))
                temps = done.y[:, -1].reshape(shape)
        rows.append(temps)
        return np.array(rows)

    def repeating(self, times: FloatArray) -> FloatArray:
        """Temperatures at `times` of the settled cycle, shape (times + 1, n); the law must be linear."""
        assert self.law.magnet_temp_coefficient == 0.0
        n = self.network.capacity.size
        basis = np.hstack([np.zeros((n, 1)), np.eye(n)])
        end = self.course(basis, np.empty(0))[-1]
        shift, turn = end[:, 0], end[:, 1:] - end[:, :1]
        start = np.linalg.solve(np.eye(n) - turn, shift)
        return self.course(start[:, None], times)[..., 0]
