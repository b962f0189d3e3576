"""The margins of heat of many candidates: torque reserve, winding, magnets, outside, sensors, brake."""

from __future__ import annotations

import numpy as np

from core.evaluation.criteria_brake import brake_criteria
from core.evaluation.criteria_feedback import sensor_heat_criteria
from core.evaluation.criteria_heat import heat_criteria
from core.evaluation.criterion import Criterion
from core.evaluation.heat_model import stator_side
from core.evaluation.part_limits import encoder_limit, hall_limit, has_hall_board
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_network import HeatNetwork
from core.physics.surface_contact import touch_threshold
from core.records import dataclass
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.side_by_side import Team
from core.shortlist.chunk_result import MET, MISSED, NOT_CHECKED


@dataclass(frozen=True, slots=True)
class HeatFound:
    """What the heat of some candidates came to; `members` are their numbers in the team.

    `peak` [degC, (rows, n + 1)] with the hottest phase last and `mean` [degC, (rows, n)] are NaN in run-away,
    `reserve` is the factor of `reserve_factors`, `limited` tells who has a limit at all; `network` tells the
    nodes, which are the same in all.
    """

    members: IntArray
    peak: FloatArray
    mean: FloatArray
    reserve: FloatArray
    limited: BoolArray
    network: HeatNetwork


def put_heat_margins(team: Team, found: HeatFound, board: MarginBoard) -> None:
    """Put all margins of the heat of some candidates."""
    application, members = team.application, found.members
    rows, ambient = team.rows[members], application.site.ambient
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
    _put_parts(team, found, rows, ambient, board)


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


def _put_parts(team: Team, found: HeatFound, rows: IntArray, ambient: float, board: MarginBoard) -> None:
    """Put the temperatures of Hall board, encoder and brake."""
    requirements = team.application.requirements
    hall, encoder = sensor_heat_criteria(requirements)
    brake = brake_criteria(requirements)[3]
    parts: dict[Criterion, list[tuple[int, int, float | None]]] = {hall: [], encoder: [], brake: []}
    for row, member in enumerate(found.members.tolist()):
        candidate, network = team.candidates[member], found.network
        side = stator_side(network, team.models[team.machine[member]].variant.kind)
        if has_hall_board(candidate):
            parts[hall].append((row, network.core, hall_limit(candidate)))
        if candidate.encoder_on_motor is not None:
            parts[encoder].append((row, side, encoder_limit(candidate)))
        if candidate.brake is not None and candidate.brake.on_motor:
            parts[brake].append((row, side, candidate.brake.highest_temp))
    for criterion, of_rows in parts.items():
        _put_part(criterion, of_rows, found, rows, ambient, board)


def _put_part(
    criterion: Criterion,
    parts: list[tuple[int, int, float | None]],
    found: HeatFound,
    rows: IntArray,
    ambient: float,
    board: MarginBoard,
) -> None:
    """Put the temperature of a part at nodes of some rows; without a limit it stays not checked."""
    known = [(row, node, limit) for row, node, limit in parts if limit is not None]
    if known:
        at, node, limit = (np.array(values) for values in zip(*known, strict=True))
        _put_peak(criterion, rows[at], found.peak[at, node], limit, ambient, board)
