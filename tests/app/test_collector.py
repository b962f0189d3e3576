"""Collection is off during the start only, and what was loaded then is not looked through again."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest

from app.collector import hold_collection, release_collection


@pytest.fixture(autouse=True)
def _thawed() -> Iterator[None]:
    yield
    gc.unfreeze()
    gc.enable()


def test_held_and_released() -> None:
    hold_collection()
    assert not gc.isenabled()
    before = gc.get_freeze_count()
    release_collection()
    assert gc.isenabled()
    assert gc.get_freeze_count() > before + 1000
