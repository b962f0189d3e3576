"""The Pareto set: candidates that no other one beats in one objective without losing in another."""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray


def pareto_set(*objectives: FloatArray) -> BoolArray:
    """Return who is in the Pareto set of some objectives, of which less is better.

    Of equal candidates all are in or all are out. Who lacks a number of an objective is out. Two objectives
    cost a sort; more cost a comparison of each candidate with the set that was found before it.

    Examples
    --------
    >>> import numpy as np
    >>> mass, losses = np.array([1.0, 2.0, 2.0, 3.0]), np.array([9.0, 4.0, 4.0, 5.0])
    >>> pareto_set(mass, losses).tolist()  # the last is heavier than the others and loses more than two
    [True, True, True, False]
    """
    values = np.column_stack(objectives)
    known = np.flatnonzero(~np.isnan(values).any(axis=1))
    # sorted by the first objective, then the others: only who comes before can be better
    distinct, index = np.unique(values[known], axis=0, return_inverse=True)
    best = _of_two(distinct) if values.shape[1] == 2 else _of_many(distinct)
    found: BoolArray = np.zeros(len(values), dtype=bool)
    found[known] = best[index.reshape(-1)]
    return found


def _of_two(ordered: FloatArray) -> BoolArray:
    """Return who is better in the second objective than all before."""
    second = ordered[:, 1]
    before = np.concatenate([[np.inf], np.minimum.accumulate(second)[:-1]]) if second.size else second
    better: BoolArray = second < before
    if better.size:
        better[0] = True  # also where it is infinite
    return better


def _of_many(ordered: FloatArray) -> BoolArray:
    found: BoolArray = np.zeros(len(ordered), dtype=bool)
    front = np.empty_like(ordered)
    count = 0
    for row, values in enumerate(ordered):
        if not (front[:count] <= values).all(axis=1).any():
            front[count], found[row] = values, True
            count += 1
    return found
