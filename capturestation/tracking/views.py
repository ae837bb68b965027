"""Whether two pictures were taken from the same place."""

from __future__ import annotations

import cv2
import numpy as np

from capturestation.records import FrameArray

SMALL_PX = (96, 54)
SAME = 0.97
# Two cameras about 90 degrees apart in a plain bay share its light and floor and reach about 0.8;
# the same view coded twice, or a moment later, stays above 0.99.


def same_view(grey: FrameArray, other: FrameArray) -> bool:
    """Tell whether two still pictures show the same view.

    Args:
        grey: Shape (H, W), what stays in place in one file.
        other: The same of the other file; the size may differ, the shape of the picture may not.
    """
    if (grey.shape[0] > grey.shape[1]) != (other.shape[0] > other.shape[1]):
        return False
    a, b = (_structure(picture) for picture in (grey, other))
    norm = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return norm > 0.0 and float((a * b).sum()) / norm >= SAME


def _structure(grey: FrameArray) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    small = cv2.resize(grey, SMALL_PX, interpolation=cv2.INTER_AREA).astype(np.float64)
    centred: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = small - small.mean()
    return centred
