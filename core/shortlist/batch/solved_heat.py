"""What came of the heat of a group of candidates, row by row."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.records import dataclass
from core.shortlist.batch.heat_rows import HeatGroup
from core.shortlist.batch.reserve import reserve_factors
from core.shortlist.batch.states import MOST_PIECES, settled_states


@dataclass(frozen=True, slots=True)
class SolvedHeat:
    """Peaks, means and reserves of the rows of a group.

    `peak` [degC, (rows, n + 1)] has the hottest phase last; it and the means `mean` [degC, (rows, n)] and
    `copper` [W, the copper loss] are NaN in run-away. `reserve` is the factor of `reserve_factors`, `beyond`
    [A2] the mean square of current beyond a linear machine, that of weakening included, NaN where there is
    none but of weakening.
    """

    peak: FloatArray
    mean: FloatArray
    copper: FloatArray
    reserve: FloatArray
    beyond: FloatArray

    @classmethod
    def nothing(cls, group: HeatGroup) -> SolvedHeat:
        """Return arrays for the rows of a group, to be filled."""
        count, n = group.limit.shape

        def unknown(*shape: int) -> FloatArray:
            return np.full(shape, np.nan)

        return cls(unknown(count, n + 1), unknown(count, n), unknown(count), unknown(count), unknown(count))


def solved_together(group: HeatGroup) -> SolvedHeat:
    """Return the heat of a group whose conductances do not follow the temperatures, side by side."""
    found = SolvedHeat.nothing(group)
    most = max(MOST_PIECES // group.piece_count(2), 1)
    for start in range(0, len(group), most):
        for states in settled_states(group, np.arange(start, min(start + most, len(group)))):
            rows = states.rows
            found.peak[rows], found.reserve[rows] = states.peak, reserve_factors(group, states)
            found.mean[rows] = np.where(states.settled[:, None], states.mean, np.nan)
            found.copper[rows] = (states.pieces.share * states.loss).sum(axis=1)
    return found
