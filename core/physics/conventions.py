"""The conventions in which data sheets state machine constants, as plain words.

The words stand in files and in the window; `core.physics.data_sheet_conventions` converts them.
"""

from __future__ import annotations

from typing import Literal

TorqueConstantConvention = Literal[
    "per link ampere, six-step",
    "per peak phase ampere, sinusoidal",
    "per rms phase ampere, sinusoidal",
]
BackEmfConvention = Literal[
    "line-to-line peak",
    "line-to-line rms",
    "phase peak",
    "phase rms",
    "mean of six-step",
]
SpeedConstantConvention = Literal[
    "of mean six-step voltage",
    "of peak line-to-line voltage",
    "of rms line-to-line voltage",
]
ResistanceConvention = Literal["line-to-line", "phase of star", "branch of delta"]
InductanceConvention = Literal["line-to-line", "phase of star", "branch of delta"]
EmfShape = Literal["sinusoidal", "trapezoidal"]
Commutation = Literal["six-step", "sinusoidal"]
