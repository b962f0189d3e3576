"""Collection is off during the start only, and what was loaded then is not looked through again."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest

from app.collector import hold_collection, release_collection


@pytest.fixture(autouse=True)
def _thawed() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.enable()
    gc.set_threshold(*before)


def test_held_and_released() -> None:
    hold_collection()
    assert not gc.isenabled()
    before = gc.get_freeze_count()
    release_collection()
    assert gc.isenabled()
    assert gc.get_freeze_count() > before + 1000


def test_a_frame_is_seldom_collected_after_but_garbage_is_still_found() -> None:
    release_collection()
    collected = gc.get_stats()[0]["collections"]
    few = [[k] for k in range(2_000)]
    assert gc.get_stats()[0]["collections"] == collected
    many = [[k] for k in range(30_000)]
    assert gc.get_stats()[0]["collections"] > collected
    assert len(few) + len(many) == 32_000
