"""The margins of heat of many candidates: torque reserve, winding, magnets, outside, sensors, brake."""

from __future__ import annotations

import numpy as np

from core.evaluation.criteria_brake import brake_criteria
from core.evaluation.criteria_electronics import around_criterion
from core.evaluation.criteria_feedback import sensor_heat_criteria
from core.evaluation.criteria_heat import heat_criteria
from core.evaluation.criterion import Criterion
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_network import HeatNetwork
from core.physics.surface_contact import touch_threshold
from core.records import dataclass
from core.shortlist.batch.fitted import FittedRows
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.side_by_side import Team
from core.shortlist.chunk_result import MET, MISSED, NOT_CHECKED


@dataclass(frozen=True, slots=True)
class HeatFound:
    """What the heat of some candidates came to, row by row.

    `peak` [degC, (rows, n + 1)] with the hottest phase last is NaN in run-away, `reserve` is the factor of
    `reserve_factors`, `limited` tells who has a limit at all; `network` tells the nodes of all.
    """

    peak: FloatArray
    reserve: FloatArray
    limited: BoolArray
    network: HeatNetwork

    def only(self, chosen: IntArray) -> HeatFound:
        """Return the rows that are named, as often as named."""
        return HeatFound(
            self.peak[chosen],
            self.reserve[chosen],
            self.limited[chosen],
            self.network,
        )


def put_heat_margins(
    team: Team, members: IntArray, found: HeatFound, fitted: FittedRows, board: MarginBoard
) -> None:
    """Put all margins of the heat of some candidates, whose numbers in the team are `members`."""
    application, rows = team.application, team.rows[members]
    ambient = application.site.ambient
    assert ambient is not None  # without it there is no heat network
    reserve, winding, magnets, outside = heat_criteria(application)
    _put_reserve(reserve, rows, found, board)
    machine = team.columns.at(team.machine[members])
    network = found.network
    hottest = found.peak[:, -1] + application.requirements.hot_spot_allowance
    _put_peak(winding, rows, hottest, machine.winding_limit[:, 0], ambient, board)
    _put_peak(magnets, rows, found.peak[:, network.magnets], machine.magnet_limit[:, 0], ambient, board)
    reach = application.site.surroundings.reach_of_fingers
    if reach == "yes":
        threshold = touch_threshold(application.requirements.touch_contact)
        limits = np.full(rows.size, threshold)
        _put_peak(outside, rows, found.peak[:, network.outside], limits, ambient, board)
    else:
        board.put(outside, rows, MET if reach == "no" else NOT_CHECKED)
    _put_parts(team, rows, found, fitted, ambient, board)
    around, temp = machine.built_in_limit[:, 0], found.peak[:, network.outside]
    known = ~np.isnan(around) & ~np.isnan(temp)
    if known.any():  # of the electronics only built-in ones have the temperature of the motor around them
        criterion = around_criterion(application.requirements.targets)
        board.put_checked(criterion, rows[known], temp[known], around[known], ambient)


def _put_reserve(criterion: Criterion, rows: IntArray, found: HeatFound, board: MarginBoard) -> None:
    factor, limited = found.reserve, found.limited
    endless, none = limited & np.isinf(factor), limited & (factor == 0.0)
    board.put(criterion, rows[~limited], NOT_CHECKED)
    board.put(criterion, rows[endless], MET)
    board.put(criterion, rows[none], MISSED)
    number = limited & ~endless & ~none
    board.put_reserve(criterion, rows[number], factor[number])


def _put_peak(
    criterion: Criterion,
    rows: IntArray,
    temp: FloatArray,
    limit: FloatArray,
    ambient: float,
    board: MarginBoard,
) -> None:
    """Put peaks against limits, both counted from the ambient; no peak is a run-away."""
    away = np.isnan(temp)
    board.put_checked(criterion, rows[~away], temp[~away], limit[~away], ambient)
    board.put(criterion, rows[away], MISSED, told=True)


def _put_parts(
    team: Team,
    rows: IntArray,
    found: HeatFound,
    fitted: FittedRows,
    ambient: float,
    board: MarginBoard,
) -> None:
    """Put the temperatures of Hall board, encoder and brake; without a limit they stay not checked."""
    requirements, every = team.application.requirements, np.arange(rows.size)
    hall, encoder = sensor_heat_criteria(requirements)
    at_core, at_side = found.peak[:, found.network.core], found.peak[every, fitted.side]
    for criterion, temp, limit in (
        (hall, at_core, fitted.hall),
        (encoder, at_side, fitted.encoder),
        (brake_criteria(requirements)[3], at_side, fitted.brake),
    ):
        known = ~np.isnan(limit)
        if known.any():
            _put_peak(criterion, rows[known], temp[known], limit[known], ambient, board)
