"""Settings shared by all tests."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator

import hypothesis
import pytest

# Before any test module can import Qt: no test needs a screen.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# Shared machines make timing per example meaningless; the build server must give the same verdict twice.
hypothesis.settings.register_profile("default", deadline=None)
hypothesis.settings.register_profile("ci", deadline=None, derandomize=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") else "default")


@pytest.fixture(scope="session", autouse=True)
def _no_thread_left_running() -> Iterator[None]:
    yield
    left = [thread.name for thread in threading.enumerate() if thread is not threading.main_thread()]
    assert not left, f"threads still running after the last test: {left}"
