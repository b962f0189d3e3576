"""What is fitted to many motors and takes part in their heat: limits of sensors and brake, heat of a coil."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.brake_coil import coil_power
from core.evaluation.heat_model import stator_side
from core.evaluation.part_limits import encoder_limit, hall_limit
from core.numeric import FloatArray, IntArray
from core.physics.heat_network import HeatNetwork
from core.records import dataclass
from core.shortlist.batch.side_by_side import Team


@dataclass(frozen=True, slots=True)
class FittedRows:
    """Limits [degC] of Hall board, encoder and brake, NaN where there is none, and the coil's heat [W].

    `side` is the node at which encoder and brake sit; the Hall board takes the temperature of the core.
    """

    hall: FloatArray
    encoder: FloatArray
    brake: FloatArray
    coil: FloatArray
    side: IntArray

    def only(self, chosen: IntArray) -> FittedRows:
        """Return the rows of some candidates."""
        return FittedRows(
            self.hall[chosen],
            self.encoder[chosen],
            self.brake[chosen],
            self.coil[chosen],
            self.side[chosen],
        )

    def limits(self, limit: FloatArray, network: HeatNetwork) -> FloatArray:
        """Return the limits of the nodes, shape (rows, n), with those of what is fitted. [degC]"""
        lower, row = limit.copy(), np.arange(self.side.size)
        lower[:, network.core] = np.fmin(lower[:, network.core], self.hall)
        of_side = np.fmin(self.encoder, self.brake)
        lower[row, self.side] = np.fmin(lower[row, self.side], of_side)
        return lower

    def heat(self, count: int) -> FloatArray:
        """Return the heat of the coils in each of so many nodes, shape (rows, n). [W]"""
        into = np.zeros((self.side.size, count))
        into[np.arange(self.side.size), self.side] = self.coil
        return into


def fitted_rows(team: Team, members: IntArray, network: HeatNetwork) -> FittedRows:
    """Return what is fitted to some candidates of a team whose networks have the same nodes."""
    distinct = team.choices.only(members).by("motor", "variant", "feedback", "brake", "transmission")
    table, sides = [], []
    for row in distinct.first.tolist():
        candidate = team.candidates[members[row]]
        brake = candidate.brake
        of_brake = brake.highest_temp if brake is not None and brake.on_motor else None
        limits = (hall_limit(candidate), encoder_limit(candidate), of_brake)
        coil = coil_power(team.application, candidate)
        table.append((*(math.nan if one is None else one for one in limits), coil))
        sides.append(stator_side(network, team.models[team.machine[members[row]]].variant.kind))
    hall, encoder, brakes, coils = np.array(table)[distinct.index].T
    return FittedRows(hall, encoder, brakes, coils, np.array(sides, dtype=np.int64)[distinct.index])
