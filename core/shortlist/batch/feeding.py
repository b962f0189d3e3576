"""What many candidates ask of their supply and return to it: power over the cycle, bus, range, clamp.

The numbers of `supply_state`, `bus_state` and `criteria_supply`, side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.evaluation.criteria_supply import supply_criteria
from core.evaluation.criterion import Criterion
from core.evaluation.feed import highest_voltage
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.wires import source_resistance
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.bus import supply_current
from core.physics.power_course import lowest_power, pieces_of_one_sign
from core.physics.voltage import sagged_voltage
from core.project.application import Application, Supply
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.chunk_result import MET, MISSED, NOT_CHECKED

_SIMPSON = np.array([1.0, 4.0, 2.0, 4.0, 1.0]) / 12.0
_ROUNDING = (
    1e-12  # of the energy that goes to and fro, below which a cycle does not return more than it takes
)


def mean_current(supply: Supply, duty: DutyRows, power: FloatArray) -> FloatArray:
    """Return the mean supply current for the power at shares, NaN where it is not known. [A]"""
    lowest = lowest_voltage(supply)
    if lowest is None:
        return np.full(len(duty.rows), np.nan)
    current = supply_current(lowest, source_resistance(supply), power)
    mean: FloatArray = ((current @ _SIMPSON) * duty.duration).sum(axis=1) / duty.cycle_time
    return mean


@dataclass(frozen=True, slots=True)
class ReturnedRows:
    """What flows back per cycle, shape (rows,): energy [J], largest power [W], largest surplus [J]."""

    any: BoolArray
    energy: FloatArray
    peak_power: FloatArray
    surplus: FloatArray


def returned_rows(duty: DutyRows, power: FloatArray) -> ReturnedRows:
    """Return what flows back with the power at shares of each part; most candidates return something."""
    count = len(duty.rows)
    back, energy, peak, surplus = (np.zeros(count) for _ in range(4))
    # where the five powers of every half are positive and do not bow below zero, nothing flows back
    lowest = _lowest_of_halves(power)
    may = (lowest < 0.0).any(axis=(1, 2))
    if may.any():
        found = _returned(duty.duration[may], power[may], lowest[may])
        for whole, part in zip((back, energy, peak, surplus), found, strict=True):
            whole[may] = part
    return ReturnedRows(back > 0.0, energy, peak, surplus)


def _lowest_of_halves(power: FloatArray) -> FloatArray:
    return lowest_power(power[..., 0:3:2], power[..., 1:4:2], power[..., 2:5:2])


def _returned(duration: FloatArray, power: FloatArray, lowest: FloatArray) -> tuple[FloatArray, ...]:
    """Return whether anything flows back, its energy and largest power, and the largest surplus.

    `lowest` is the lowest power of each half of the parts. Only halves that change their sign are cut.
    """
    count = len(power)
    start, middle, end = (power[..., k : k + 3 : 2].reshape(count, -1) for k in range(3))
    half, low = np.repeat(0.5 * duration, 2, axis=1), lowest.reshape(count, -1)
    pieces, lows = np.zeros((*half.shape, 3)), np.zeros((*half.shape, 3))
    pieces[..., 2], lows[..., 2] = half * (start + 4.0 * middle + end) / 6.0, low
    above = (np.maximum(np.maximum(start, middle), end) > 0.0) | (start + end < 2.0 * middle)
    cut = (low < 0.0) & above
    bounds, at = pieces_of_one_sign(start[cut], middle[cut], end[cut])
    pieces[cut] = np.diff(bounds, axis=-1) * half[cut][:, None] * (at[0] + 4.0 * at[1] + at[2]) / 6.0
    lows[cut] = lowest_power(*at)
    energy = pieces.reshape(count, -1)
    back = energy < 0.0
    deepest = np.where(back, lows.reshape(count, -1), 0.0).min(axis=1)
    gain = -energy
    twice = np.zeros((count, 2 * gain.shape[1] + 1))
    np.cumsum(np.concatenate((gain, gain), axis=1), axis=1, out=twice[:, 1:])
    level = (twice - np.minimum.accumulate(twice, axis=1))[:, gain.shape[1] :]
    grows = gain.sum(axis=1) > _ROUNDING * np.abs(gain).sum(axis=1)
    surplus = np.where(grows, np.inf, level.max(axis=1))
    returns = back.any(axis=1)
    returned = np.where(back, gain, 0.0).sum(axis=1)
    return returns.astype(float), returned, -deepest, np.where(returns, surplus, 0.0)


def put_supply_margins(
    application: Application,
    duty: DutyRows,
    machine: MachineColumns,
    hot: FloatArray,
    returned: ReturnedRows,
    board: MarginBoard,
) -> None:
    """Put the bus voltage on braking, the range under sag and, where one is given, the clamp's power.

    `hot` is the power at shares of each part with hot winding and magnets.
    """
    supply = application.supply
    on_braking, under_sag, clamp = supply_criteria(application.requirements.targets)
    _put_bus(on_braking, supply, duty.rows, machine, returned, board)
    _put_range(under_sag, supply, duty.rows, machine.lowest_supply[:, 0], hot.max(axis=(1, 2)), board)
    if supply.clamp_voltage is not None:
        _put_clamp(clamp, supply, duty.rows, returned, duty.cycle_time, board)


def _put_bus(
    criterion: Criterion,
    supply: Supply,
    rows: IntArray,
    machine: MachineColumns,
    returned: ReturnedRows,
    board: MarginBoard,
) -> None:
    start, rating = highest_voltage(supply), machine.bus_rating[:, 0]
    if start is None:
        board.put(criterion, rows, NOT_CHECKED)
        return
    unknown, above = np.isnan(rating), start >= rating
    quiet = ~unknown & ~above & (returned.surplus == 0.0)
    open_ = ~unknown & ~above & ~quiet
    board.put(criterion, rows[unknown], NOT_CHECKED)
    board.put_checked(criterion, rows[above], np.full(int(above.sum()), start), rating[above])
    board.put(criterion, rows[quiet], MET)
    if supply.takes_energy_back == "unknown":
        board.put(criterion, rows[open_], NOT_CHECKED)
    elif supply.takes_energy_back == "yes":
        sunk = np.asarray(sagged_voltage(start, source_resistance(supply), -returned.peak_power)[0])
        raised = open_ & (sunk > rating)
        board.put_checked(criterion, rows[raised], sunk[raised], rating[raised])
        board.put(criterion, rows[open_ & ~raised], MET)
    else:
        _put_blocked(criterion, supply, start, rows, open_, machine, returned, board)


def _put_blocked(
    criterion: Criterion,
    supply: Supply,
    start: float,
    rows: IntArray,
    chosen: BoolArray,
    machine: MachineColumns,
    returned: ReturnedRows,
    board: MarginBoard,
) -> None:
    """Put the margin of those whose energy stays on the bus."""
    if supply.clamp_voltage is not None and supply.clamp_resistance is None:
        board.put(criterion, rows[chosen], NOT_CHECKED)
        return
    reached = _reached(supply, start, machine.bus_capacitance[:, 0] + supply.capacitance, returned)
    unknown, endless = chosen & np.isnan(reached), chosen & np.isinf(reached)
    finite = chosen & np.isfinite(reached)
    board.put(criterion, rows[unknown], NOT_CHECKED)
    board.put(criterion, rows[endless], MISSED)
    board.put_checked(criterion, rows[finite], reached[finite], machine.bus_rating[finite, 0])


def _reached(supply: Supply, start: float, capacitance: FloatArray, returned: ReturnedRows) -> FloatArray:
    """Return the voltage that the bus reaches, NaN where that cannot be told."""
    surplus, known = returned.surplus, capacitance > 0.0
    risen = np.sqrt(start * start + 2.0 * surplus / np.where(known, capacitance, 1.0))
    free = np.where(surplus == 0.0, start, np.where(known, risen, np.nan))
    if supply.clamp_voltage is None or supply.clamp_resistance is None:
        return free
    peak = np.where(returned.any, returned.peak_power, 0.0)
    switched = np.where(peak > 0.0, supply.clamp_voltage, start)
    top = np.maximum(np.maximum(start, switched), np.sqrt(supply.clamp_resistance * peak))
    held: FloatArray = np.fmin(top, free)
    return held


def _put_clamp(
    criterion: Criterion,
    supply: Supply,
    rows: IntArray,
    returned: ReturnedRows,
    cycle_time: FloatArray,
    board: MarginBoard,
) -> None:
    start, clamp, limit = highest_voltage(supply), supply.clamp_voltage, supply.clamp_power
    if start is not None and clamp is not None and clamp <= start:
        board.put(criterion, rows, MISSED)
        return
    board.put(criterion, rows[~returned.any], MET)
    back = returned.any
    if supply.takes_energy_back == "yes":
        board.put(criterion, rows[back], MET)
    elif limit is None:
        board.put(criterion, rows[back], NOT_CHECKED)
    else:
        mean = returned.energy / cycle_time
        board.put_checked(criterion, rows[back], mean[back], np.full(int(back.sum()), limit))


def _put_range(
    criterion: Criterion,
    supply: Supply,
    rows: IntArray,
    needed: FloatArray,
    power: FloatArray,
    board: MarginBoard,
) -> None:
    lowest, known = lowest_voltage(supply), ~np.isnan(needed)
    if lowest is None:
        board.put(criterion, rows, NOT_CHECKED)
        return
    voltage, reachable = sagged_voltage(lowest, source_resistance(supply), power)
    board.put(criterion, rows[~known], NOT_CHECKED)
    board.put(criterion, rows[known & ~reachable], MISSED)
    sound = known & reachable
    board.put_checked(criterion, rows[sound], needed[sound], voltage[sound])
