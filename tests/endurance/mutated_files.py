"""Read 10,000 damaged project and parts files: each loads or is refused with place and rule, none takes long.

Run: python -m tests.endurance mutated_files [--files 10000] [--seed 0]
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter

from tests.core.mutated_files import judge_parts, judge_project, mutated, sources

LONGEST_S = 1.0  # of processor time, evaluation included


def main(arguments: list[str]) -> int:
    """Read them, print what became of them, and return 1 where one did harm."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance mutated_files", description=__doc__)
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args(arguments)
    projects, parts = sources()
    verdicts: Counter[str] = Counter()
    harm, longest = 0, 0.0
    for seed in range(chosen.seed, chosen.seed + chosen.files):
        chance = random.Random(seed)
        is_parts = seed % 4 == 0
        content = mutated(chance.choice(parts if is_parts else projects), chance)
        start = time.process_time()
        try:
            verdict = judge_parts(content) if is_parts else judge_project(content)
        except Exception as error:  # noqa: BLE001  each must be told, with its seed
            verdict = "did harm"
            harm += 1
            print(f"seed {seed}: {type(error).__name__}: {error}", flush=True)
        spent = time.process_time() - start
        longest = max(longest, spent)
        if spent > LONGEST_S:
            harm += 1
            print(f"seed {seed}: took {spent:.2f} s, {verdict}", flush=True)
        verdicts[("parts " if is_parts else "project ") + verdict] += 1
    print(f"{chosen.files} files, the longest {longest:.3f} s")
    for words, count in sorted(verdicts.items()):
        print(f"{count:6d} {words}")
    return int(harm > 0)
