"""The necessary conditions are only that: nobody whom they rule out would have met everything.

Ten thousand candidates: most of a generated catalogue under several duties, a tenth random parts in random
places (whose heat costs more).
Each chunk is evaluated as it is, and once more with all heat computed as if nobody had been ruled out.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from msgspec.structs import replace

from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch import chunk, evaluate_chunk
from core.shortlist.chunk_result import ABSENT, EXCLUDED, MET, MISSED, ChunkResult
from core.shortlist.listing import verdicts
from tests.benchmarks.shortlist_catalogue import PER_FRAME, application, candidates
from tests.core.shortlist_pool import random_application, random_candidates

FRAMES = 9
CHUNK, TOGETHER = 500, 100  # of the catalogue; of random candidates, which share the parts of one application
RANDOM = 10


def catalogue() -> Iterator[tuple[Application, list[Candidate]]]:
    """Yield chunks of the catalogue, each under a duty of its own size."""
    whole = list(candidates(FRAMES * PER_FRAME))
    for number, start in enumerate(range(0, len(whole), CHUNK)):
        rng = np.random.default_rng(number)
        asked = application(int(rng.integers(2, 13)))
        torque, speed = 10.0 ** rng.uniform(-0.7, 0.5), rng.uniform(0.3, 2.0)
        duty = tuple(
            replace(
                one,
                shaft_torque=one.shaft_torque * torque,
                speed_start=one.speed_start * speed,
                speed_end=one.speed_end * speed,
            )
            for one in asked.duty_cycle
        )
        yield replace(asked, duty_cycle=duty), whole[start : start + CHUNK]


def at_random() -> Iterator[tuple[Application, list[Candidate]]]:
    """Yield random candidates in random applications."""
    for seed in range(1000, 1000 + RANDOM):
        rng = np.random.default_rng(seed)
        asked = random_application(rng)
        yield asked, random_candidates(rng, TOGETHER, False, asked.duty_from)


def evaluated_in_full(asked: Application, some: list[Candidate]) -> ChunkResult:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chunk, "ruled_out_by", lambda board: np.full(board.count, ABSENT))
        return evaluate_chunk(asked, some)


def test_nobody_who_meets_everything_is_ruled_out() -> None:
    count = out = met = 0
    for asked, some in (*catalogue(), *at_random()):
        result, full = evaluate_chunk(asked, some), evaluated_in_full(asked, some)
        ruled_out, verdict = result.ruled_out_by != ABSENT, verdicts(full)
        assert np.isin(verdict[ruled_out], (MISSED, EXCLUDED)).all()
        # and the rest has the same numbers, whoever is ruled out beside it
        codes = [one.code for one in full.columns]
        places = [codes.index(one.code) for one in result.columns]
        for name in ("status", "margin", "demand", "limit"):
            kept = getattr(result, name)[~ruled_out]
            np.testing.assert_array_equal(kept, getattr(full, name)[:, places][~ruled_out])
        count, out, met = count + len(some), out + int(ruled_out.sum()), met + int((verdict == MET).sum())
    assert count == 10_000
    assert out > 3_000
    assert met > 200
