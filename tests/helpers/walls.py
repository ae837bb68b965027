"""Pictures of an empty bay whose walls hold details, as a camera sees them turned or not."""

from __future__ import annotations

import cv2
import numpy as np

from capturestation.records import FrameArray


def wall(seed: int, size_px: tuple[int, int] = (1280, 720)) -> FrameArray:
    """A grey wall with something to see on it."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(40, 200, (24, 40)).astype(np.uint8)
    grey = cv2.resize(coarse, size_px, interpolation=cv2.INTER_CUBIC)
    noisy = np.asarray(grey + rng.normal(0, 2, grey.shape), dtype=np.float64)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def turned(grey: FrameArray, by_px: int) -> FrameArray:
    """The same seen by a camera that was turned aside."""
    moved: FrameArray = np.roll(grey, by_px, axis=1)
    return moved
