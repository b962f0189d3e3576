"""Why there is no duty at the motor shaft."""

from __future__ import annotations

from core.records import dataclass


@dataclass(frozen=True, slots=True)
class NoDuty:
    """What is missing before there is a duty, in the words of the inputs."""

    why: str
