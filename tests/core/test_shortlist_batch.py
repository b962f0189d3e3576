"""A chunk of candidates gives what each gives alone: status and numbers of every margin, to 1e-9."""

from __future__ import annotations

import numpy as np
import pytest

from core.shortlist.batch import evaluate_chunk
from tests.core.shortlist_pool import differences, random_application, random_candidates


@pytest.mark.parametrize("seed", range(12))
def test_random_candidates_equal_the_single_evaluation(seed: int) -> None:
    rng = np.random.default_rng(seed)
    application = random_application(rng)
    candidates = random_candidates(rng, 25, seed % 4 == 0, application.duty_from)
    result = evaluate_chunk(application, candidates)
    for row, candidate in enumerate(candidates):
        assert differences(application, candidate, result, row) == [], candidate.name
