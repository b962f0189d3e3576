"""A part that no equation takes: its candidates are named with the reason, and all others are evaluated."""

from __future__ import annotations

import json

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import PartsFile, load_demo_parts
from core.errors import InputRangeError
from core.evaluate import evaluate_candidate
from core.sentences import DEFAULT_UNITS, as_text
from core.shortlist.best import Shortlist, best
from core.shortlist.choices import Choices, choices_of
from core.shortlist.chunk_result import NOT_CHECKED
from core.shortlist.list_json import encode_shortlist
from core.shortlist.list_text import shortlist_text
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.reasons import why
from core.shortlist.runner import Task, run
from core.shortlist.workers import OpenPool, processes
from tests.core.projects import project, random_duty

PARTS = load_demo_parts()

APPLICATION = project(*random_duty(4)).application
# magnets that may be so hot that nothing is left of their flux: a slip of the pen in a parts file
SLIP = 1_500.0


def parts(broken: bool) -> PartsFile:
    """Return two frames with few fittings, one of them with the slip."""
    good, other = PARTS.motors[:2]
    bad = replace(good, name="with a slip", magnet_limit=SLIP if broken else good.magnet_limit)
    return replace(
        PARTS, motors=(other, bad), brakes=(), drives=PARTS.drives[:1], transmissions=(), designation=None
    )


def listed(choices: Choices, pool: OpenPool | None = None, chunk: int = 40) -> Listing:
    gathered = ListingInProgress()
    for _, result in run(Task(APPLICATION, choices), pool, chunk=chunk):
        gathered.add(result)
    return gathered.listing()


def is_bad(choices: Choices) -> np.ndarray:
    return np.array(["with a slip" in choices.words(number) for number in range(len(choices))])


def test_the_part_is_refused_alone() -> None:
    choices = choices_of([parts(broken=True)], APPLICATION)
    first = choices.candidate(int(np.flatnonzero(is_bad(choices))[0]))
    with pytest.raises(InputRangeError, match="magnet flux factor"):
        evaluate_candidate(APPLICATION, first, 0)


def test_the_rest_goes_on_with_the_same_numbers() -> None:
    whole = listed(choices_of([parts(broken=False)], APPLICATION))
    choices = choices_of([parts(broken=True)], APPLICATION)
    some = listed(choices)
    bad = is_bad(choices)
    assert 0 < bad.sum() < len(bad)
    assert set(some.refused) == set(np.flatnonzero(bad).tolist())
    assert (some.verdict[bad] == NOT_CHECKED).all()
    np.testing.assert_array_equal(some.verdict[~bad], whole.verdict[~bad])
    for name, values in some.objectives.items():
        np.testing.assert_array_equal(values[~bad], whole.objectives[name][~bad])
    codes = [[one.code for one in listing.criteria] for listing in (some, whole)]
    governing = [
        [codes[k][column] for column in listing.governing.column[~bad]]
        for k, listing in enumerate((some, whole))
    ]
    assert governing[0] == governing[1]


def test_a_pool_gives_the_same() -> None:
    choices = choices_of([parts(broken=True)], APPLICATION)
    here, there = listed(choices), listed(choices, processes(1), chunk=64)
    assert here.refused == there.refused
    np.testing.assert_array_equal(here.verdict, there.verdict)


def test_list_and_file_say_it_in_words() -> None:
    choices = choices_of([parts(broken=True)], APPLICATION)
    listing = listed(choices)
    number = next(iter(listing.refused))
    assert as_text(why(listing, number), DEFAULT_UNITS).startswith("cannot be evaluated: magnet flux factor")
    rows = best(listing, choices, APPLICATION, len(choices))
    found = Shortlist("with a slip", len(choices), listing, rows)
    told = f"Not evaluated\n  {is_bad(choices).sum()}  magnet flux factor must be > 0"
    assert told in shortlist_text(found, DEFAULT_UNITS)
    (count,) = json.loads(encode_shortlist(found))["refused"].values()
    assert count == is_bad(choices).sum()


def test_all_refused_is_told_too() -> None:
    broken = parts(broken=True)
    choices = choices_of([replace(broken, motors=broken.motors[1:])], APPLICATION)
    listing = listed(choices)
    assert len(listing.refused) == len(listing) == len(choices) > 0
