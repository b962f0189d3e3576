"""The types the equations take and return."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Numeric = float | FloatArray


def read_only(*arrays: FloatArray) -> None:
    """Make result arrays unchangeable, so that they may be shared between views and threads."""
    for array in arrays:
        array.setflags(write=False)
