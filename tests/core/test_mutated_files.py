"""Damaged and hostile files load or are refused with place and rule, without a warning.

In long form: `python -m tests.endurance mutated_files`, which also holds the time of each to a limit.
"""

from __future__ import annotations

import random
from collections import Counter

import pytest

from tests.core.mutated_files import judge_parts, judge_project, mutated, sources


@pytest.mark.parametrize("block", range(5))
def test_a_mutated_project_loads_or_is_refused(block: int) -> None:
    projects, _ = sources()
    verdicts: Counter[str] = Counter()
    for seed in range(50 * block, 50 * block + 50):
        chance = random.Random(seed)
        verdicts[judge_project(mutated(chance.choice(projects), chance))] += 1
    assert verdicts["loaded"] >= 1  # the wounds are neither all deadly nor all without effect
    assert verdicts["refused"] >= 10


@pytest.mark.parametrize("seed", [1079, 6541, 9635, 10203])
def test_what_once_did_harm(seed: int) -> None:
    """Temperatures beyond the tables, a fin that asked for 36 GB, a torque reserve of nothing."""
    projects, _ = sources()
    chance = random.Random(seed)
    assert judge_project(mutated(chance.choice(projects), chance)) in ("loaded", "refused")


def test_mutated_parts_load_or_are_refused() -> None:
    _, parts = sources()
    verdicts: Counter[str] = Counter()
    for seed in range(80):
        chance = random.Random(seed)
        verdicts[judge_parts(mutated(chance.choice(parts), chance))] += 1
    assert verdicts["loaded"] >= 3
    assert verdicts["refused"] >= 10
