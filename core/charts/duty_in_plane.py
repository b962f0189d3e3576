"""A duty of many parts in the speed-torque plane: the way of each segment, and its worst point.

Both in plane orientation: the speed as a magnitude, the torque in the direction of the motion.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.results import CandidateResult, DutyTrace, Result

Way = tuple[FloatArray, FloatArray]  # speed [rad/s], torque [N m]


def rotor_inertia(result: Result, candidate: CandidateResult) -> float:
    """Return the inertia of a candidate's rotor with what sits on its shaft, zero without. [kg m2]"""
    return result.project.candidates[candidate.index].rotor_inertia


def segment_ways(duty: DutyTrace, inertia: float) -> list[Way]:
    """Return for each segment speed and torque at the ends of its parts, the rotor's share included."""
    time, speed = duty.time.reshape(-1, 2), duty.speed.reshape(-1, 2)
    length = time[:, 1] - time[:, 0]
    rise = np.divide(speed[:, 1] - speed[:, 0], length, out=np.zeros_like(length), where=length > 0.0)
    torque = duty.shaft_torque.reshape(-1, 2) + inertia * rise[:, None]
    turning = np.where(speed.sum(axis=1) < 0.0, -1.0, 1.0)
    x, y = np.abs(speed).ravel(), (torque * turning[:, None]).ravel()
    borders = np.flatnonzero(np.diff(duty.segment)) + 1
    return list(zip(np.split(x, borders), np.split(y, borders), strict=True)) if x.size else []


def worst_points(duty: DutyTrace, inertia: float) -> list[tuple[float, float]]:
    """Return for each segment speed and torque where the torque is largest, the faster of equal ones."""
    points = []
    for speed, torque in segment_ways(duty, inertia):
        worst = int(np.lexsort((speed, np.round(np.abs(torque), 12)))[-1])
        points.append((float(speed[worst]), float(torque[worst])))
    return points
