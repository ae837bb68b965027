"""What was painted, as an array."""

from __future__ import annotations

import numpy as np
from PyQt6.QtGui import QImage

from capturestation.records import FrameArray


def pixels(image: QImage) -> FrameArray:
    """(H, W, 3) RGB."""
    image = image.convertToFormat(QImage.Format.Format_RGB888)
    bits = image.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asstring(image.sizeInBytes()), np.uint8)
    rows = rows.reshape(image.height(), image.bytesPerLine())
    return np.array(rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3))
