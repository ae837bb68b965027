"""Pictures for the screen the short way: as they are coded until they are shown.

Owns which frames can go that way, and the last step to what a screen takes. Frames that have to be
turned, or whose light must be converted, go through RGB instead. Called by whoever mixes pictures.
"""

from __future__ import annotations

from typing import cast

import av
import numpy as np
from av.video.plane import VideoPlane
from av.video.reformatter import ColorRange, Interpolation, VideoReformatter

from capturestation.media._colour import Coding
from capturestation.media._upright import NO_TURN, Turn
from capturestation.records import FrameArray, Planes

_FORMS = {f"yuv{full}{shape}p" for full in ("", "j") for shape in ("420", "422", "444")}
"""Eight bits, three planes."""
_WHOLE_PX = 16
# The library's fast way to a screen's pixels leaves the rest of a row as it lay in memory.


def planes_of(frame: av.VideoFrame, coding: Coding, turn: Turn) -> Planes | None:
    """A decoded frame's own planes, read-only, without copying; they keep it alive.

    Args:
        frame: As decoded.
        coding: What `coding_of` says of it.
        turn: What sets it upright.

    Returns:
        None where it has to go through RGB.
    """
    if frame.format.name not in _FORMS or coding.matrix is None:
        return None
    if coding.needs_table or turn != NO_TURN:
        return None
    luma, blue, red = (_seen(plane) for plane in frame.planes)
    for part in (luma, blue, red):
        part.setflags(write=False)
    return Planes(
        luma=luma, blue=blue, red=red, matrix=int(coding.matrix), is_full=coding.full_range
    )


class Screen:
    """Turns planes into what a screen takes; one for each thread."""

    def __init__(self) -> None:
        self._reformatter = VideoReformatter()
        self._frame = av.VideoFrame(2, 2, "yuv420p")

    def picture(self, planes: Planes) -> FrameArray:
        """A picture's pixels.

        Args:
            planes: Luma of even width and height, colours of half of both.

        Returns:
            (H, W, 4) uint8, blue, green, red and 255: what Qt calls RGB32.

        Raises:
            ValueError: If the sizes are others.
        """
        height, width = planes.luma.shape
        half = (height // 2, width // 2)
        if height % 2 or width % 2 or {planes.blue.shape, planes.red.shape} != {half}:
            msg = f"{width}x{height} with colours {planes.blue.shape} and {planes.red.shape}"
            raise ValueError(msg)
        wider = -(-width // _WHOLE_PX) * _WHOLE_PX
        if (self._frame.width, self._frame.height) != (wider, height):
            self._frame = av.VideoFrame(wider, height, "yuv420p")
        parts = (planes.luma, planes.blue, planes.red)
        for plane, part in zip(self._frame.planes, parts, strict=True):
            _seen(plane)[:, : part.shape[1]] = part
        shown = self._reformatter.reformat(
            self._frame,
            format="bgra",
            src_colorspace=planes.matrix,
            src_color_range=ColorRange.JPEG if planes.is_full else ColorRange.MPEG,
            dst_color_range=ColorRange.JPEG,
            interpolation=Interpolation.BILINEAR,
            threads=1,
        )
        # Where they lie: a copy would take as long as the way there.
        whole = np.frombuffer(cast("memoryview", shown.planes[0]), np.uint8)
        rows = whole.reshape(-1, shown.planes[0].line_size)[:height, : 4 * wider]
        return rows.reshape(height, wider, 4)[:, :width]


def _seen(plane: VideoPlane) -> FrameArray:
    """A plane's pixels where they lie."""
    # It is a buffer to Python; the stubs don't know.
    whole = np.frombuffer(cast("memoryview", plane), np.uint8)
    return whole.reshape(-1, plane.line_size)[: plane.height, : plane.width]
