"""Errors say what, why and how much; result arrays cannot be changed."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from core.errors import AmpturnError, InputRangeError, NewerVersionError, ProjectFileError, UnitError
from core.numeric import read_only


def test_range_error_reads_as_a_sentence_and_keeps_its_parts() -> None:
    error = InputRangeError("duration", -1.0, "s", "> 0")
    assert str(error) == "duration must be > 0, got -1 s"
    assert (error.name, error.value, error.unit, error.rule) == ("duration", -1.0, "s", "> 0")


def test_range_error_without_unit_leaves_no_blank() -> None:
    assert str(InputRangeError("pole_pairs", 0, "", ">= 1")) == "pole_pairs must be >= 1, got 0"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_range_error_shows_numbers_that_are_none(value: float) -> None:
    assert f"got {value:g} ohm" in str(InputRangeError("resistance", value, "ohm", "finite"))


def test_file_error_begins_with_the_place() -> None:
    error = ProjectFileError("$.duty_cycle[5].duration_s", "must be > 0", -2.5, has_value=True)
    assert str(error) == "$.duty_cycle[5].duration_s: must be > 0, got -2.5"
    assert (error.place, error.rule, error.value) == ("$.duty_cycle[5].duration_s", "must be > 0", -2.5)


def test_file_error_tells_a_missing_value_from_null() -> None:
    assert str(ProjectFileError("$.name", "is missing")) == "$.name: is missing"
    assert (
        str(ProjectFileError("$.name", "must be text", None, has_value=True))
        == "$.name: must be text, got None"
    )


def test_file_error_shortens_a_huge_value() -> None:
    text = str(ProjectFileError("$.name", "too long", "x" * 10_000_000, has_value=True))
    assert len(text) < 100
    assert text.endswith("...")


@pytest.mark.parametrize("kind", [InputRangeError, UnitError, ProjectFileError, NewerVersionError])
def test_every_error_is_both_ours_and_a_value_error(kind: type[Exception]) -> None:
    assert issubclass(kind, AmpturnError)
    assert issubclass(kind, ValueError)


def test_a_later_version_can_be_told_from_a_bad_file() -> None:
    with pytest.raises(ProjectFileError) as caught:
        raise NewerVersionError("$.version", "must be at most 1", 7, has_value=True)
    assert isinstance(caught.value, NewerVersionError)


@pytest.mark.parametrize(
    "error",
    [
        InputRangeError("duration", -1.0, "s", "> 0"),
        UnitError("1,234 is ambiguous"),
        ProjectFileError("$.a", "must be a number", "x", has_value=True),
        ProjectFileError("$.a", "is missing"),
        NewerVersionError("$.version", "must be at most 1", 7, has_value=True),
    ],
    ids=str,
)
def test_errors_cross_a_process_border(error: AmpturnError) -> None:
    # an executor of processes sends the error back pickled, and breaks down if that fails
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert str(back) == str(error)
    assert vars(back) == vars(error)


def test_read_only_arrays_refuse_changes() -> None:
    first, second = np.zeros(3), np.ones((2, 2))
    read_only(first, second)
    for array in (first, second):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 5.0
    assert first.tolist() == [0.0, 0.0, 0.0]


def test_read_only_needs_no_array() -> None:
    read_only()
