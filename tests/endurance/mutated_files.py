"""Read 10,000 damaged project and parts files: each loads or is refused with place and rule, none takes long.

Run: python -m tests.endurance mutated_files [--files 10000] [--seed 0]
"""

from __future__ import annotations

import argparse
import contextlib
import random
import time
from collections import Counter

from core.catalogue.parts_file import decode_parts
from core.project.project_file import decode_project
from tests.core.mutated_files import judge_parts, judge_project, mutated, sources

LONGEST_S = 1.0  # of processor time, until a file is loaded or refused


def main(arguments: list[str]) -> int:
    """Read them, print what became of them, and return 1 where one did harm."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance mutated_files", description=__doc__)
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args(arguments)
    projects, parts = sources()
    verdicts: Counter[str] = Counter()
    harm, longest, longest_whole = 0, 0.0, 0.0
    for seed in range(chosen.seed, chosen.seed + chosen.files):
        chance = random.Random(seed)
        is_parts = seed % 4 == 0
        content = mutated(chance.choice(parts if is_parts else projects), chance)
        start = time.process_time()
        with contextlib.suppress(Exception):  # what it is comes out below
            (decode_parts if is_parts else decode_project)(content)
        spent = time.process_time() - start
        longest = max(longest, spent)
        try:
            verdict = judge_parts(content) if is_parts else judge_project(content)
        except Exception as error:  # noqa: BLE001  each must be told, with its seed
            verdict = "did harm"
            harm += 1
            print(f"seed {seed}: {type(error).__name__}: {error}", flush=True)
        # evaluating takes its time where a wound has made a cycle of thousands of segments
        longest_whole = max(longest_whole, time.process_time() - start)
        if spent > LONGEST_S:
            harm += 1
            print(f"seed {seed}: took {spent:.2f} s, {verdict}", flush=True)
        verdicts[("parts " if is_parts else "project ") + verdict] += 1
    print(
        f"{chosen.files} files, read in {longest:.3f} s at most, evaluated in {longest_whole:.1f} s at most"
    )
    for words, count in sorted(verdicts.items()):
        print(f"{count:6d} {words}")
    return int(harm > 0)
