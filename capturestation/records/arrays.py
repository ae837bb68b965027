"""Names for the array types that layers hand each other."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
IntArray: TypeAlias = NDArray[np.int64]
BoolArray: TypeAlias = NDArray[np.bool_]
FrameArray: TypeAlias = NDArray[np.uint8]
"""A picture, (H, W, 3) RGB or (H, W) grey, uint8."""
SoundArray: TypeAlias = NDArray[np.float32]
"""Mono sound, (n,), -1..1."""
