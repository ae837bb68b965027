"""The empty bay as a camera saw it when it was measured, kept with its calibration.

Owns how that picture is kept: grey, upright, as a JPEG among the words of a document.
"""

from __future__ import annotations

import base64

import cv2
import numpy as np

from capturestation.media.still import jpeg_bytes
from capturestation.records import FrameArray


def reference_of(upright_grey: FrameArray) -> str:
    """A picture as it is kept: JPEG in base64."""
    picture = np.ascontiguousarray(np.dstack([upright_grey] * 3))
    return base64.b64encode(jpeg_bytes(picture)).decode("ascii")


def grey_of_reference(reference: str) -> FrameArray:
    """The picture that was kept, (H, W) uint8."""
    packed = np.frombuffer(base64.b64decode(reference), np.uint8)
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), np.uint8)
