"""Words of candidates found part by part are those found in what each candidate is called."""

import re
from pathlib import Path

import numpy as np
import pytest

from core.catalogue.parts_file import load_demo_parts
from core.project.project_file import read_project
from core.shortlist.choices import choices_of
from core.shortlist.worded import has_words

SAMPLES = Path(__file__).parents[2] / "sample_projects"
PARTS = load_demo_parts()
WINCH = choices_of([PARTS], read_project(SAMPLES / "tide_pool_winch.json").application)


@pytest.mark.parametrize(
    "text", ["", "47 MM open", "six-step, brake", "hall 24 v", "enclosed 3:1", "no such"]
)
def test_the_words_are_those_of_the_names(text: str) -> None:
    some = np.random.default_rng(5).integers(0, len(WINCH), 3000)
    words = [word for word in re.split(r"[\s,]+", text.casefold()) if word]
    said = [WINCH.words(int(number)).casefold() for number in some]
    expected = [all(word in one for word in words) for one in said]
    assert has_words(WINCH, text)[some].tolist() == expected
    assert text in ("", "no such") or 0 < sum(expected) < len(some)
