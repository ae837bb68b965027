"""How a stored picture is turned, mirrored and stretched to stand as it was filmed.

Owns the display matrix and the shape of pixels. A mirrored matrix is respected as players respect
it; a turn between two quarters goes to the nearest, which `probe` says.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import av
import numpy as np
from av.buffer import Buffer

from capturestation.records import FrameArray

SQUARE = Fraction(1)

_ONE = 65536
"""A whole unit in the matrix's upper two rows (16.16)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What sets a stored picture upright: mirror it left to right if asked, then turn it.

    Args:
        clockwise_deg: 0, 90, 180 or 270.
        mirrored: Whether it is mirrored first.
        off_deg: How far the file's own turn is from that quarter, clockwise.
    """

    clockwise_deg: int = 0
    mirrored: bool = False
    off_deg: float = 0.0

    @property
    def sideways(self) -> bool:
        """Whether width and height change places."""
        return self.clockwise_deg in {90, 270}


NO_TURN = Turn()


def turn_of(frame: av.VideoFrame) -> Turn:
    """What a frame's display matrix asks for."""
    beside: Mapping[str, object] = frame.side_data
    try:
        matrix = beside["DISPLAYMATRIX"]
    except KeyError:
        return NO_TURN
    except ValueError:
        # The binding has no name for some other thing that came with the frame, and lists none.
        return Turn(clockwise_deg=round(-frame.rotation / 90) % 4 * 90)
    assert isinstance(matrix, Buffer)
    return turn_of_matrix(struct.unpack("=9i", bytes(matrix)))


class Turns:
    """What the frames of one file ask for; one for each thread.

    A frame that is asked for what comes with it holds itself: it is freed only when Python next
    looks for such rings, and by then hundreds of pictures wait. So only the first one is asked, and
    the first with each other rotation, which is known without.

    Args:
        upright: Whether the file is known to be stored as it is shown, so that none is asked.
    """

    def __init__(self, *, upright: bool = False) -> None:
        self._known: dict[int, Turn] = {0: NO_TURN} if upright else {}

    def of(self, frame: av.VideoFrame) -> Turn:
        """What a frame's display matrix asks for."""
        rotation = frame.rotation
        if rotation not in self._known:
            self._known[rotation] = turn_of(frame)
        return self._known[rotation]


def turn_of_matrix(matrix: tuple[int, ...]) -> Turn:
    """What a display matrix asks for.

    Args:
        matrix: a b u, c d v, x y w: a stored pixel (x, y) is shown at (ax + cy, bx + dy), y down.

    Source:
        ISO/IEC 14496-12, 6.2.2.

    Example:
        >>> turn_of_matrix((0, 65536, 0, -65536, 0, 0, 0, 0, 1 << 30))
        Turn(clockwise_deg=90, mirrored=False, off_deg=0.0)
    """
    a, b, _, c, d = (part / _ONE for part in matrix[:5])
    mirrored = a * d - b * c < 0
    angle_deg = math.degrees(math.atan2(-b, -a) if mirrored else math.atan2(b, a))
    quarters = round(angle_deg / 90)
    return Turn(
        clockwise_deg=quarters % 4 * 90, mirrored=mirrored, off_deg=angle_deg - quarters * 90
    )


def shown_size(frame: av.VideoFrame, turn: Turn, pixel_aspect: Fraction) -> tuple[int, int]:
    """Width and height of a frame as shown: square pixels, upright."""
    width, height = stored_size(frame, pixel_aspect)
    return (height, width) if turn.sideways else (width, height)


def stored_size(frame: av.VideoFrame, pixel_aspect: Fraction) -> tuple[int, int]:
    """Width and height that make a frame's pixels square before it is turned; none is lost."""
    if pixel_aspect >= 1:
        return round(frame.width * pixel_aspect), frame.height
    return frame.width, round(frame.height / pixel_aspect)


def set_upright(picture: FrameArray, turn: Turn) -> FrameArray:
    """A stored picture as shown, contiguous, read-only; a copy only where it has to be moved."""
    # Whole pixels are moved, not their three bytes: twice as fast.
    whole = picture if picture.ndim == 2 else picture.view(np.dtype("V3"))[..., 0]
    mirrored = whole[:, ::-1] if turn.mirrored else whole
    moved = np.ascontiguousarray(np.rot90(mirrored, -turn.clockwise_deg // 90))
    upright = moved if picture.ndim == 2 else moved[..., np.newaxis].view(np.uint8)
    upright.setflags(write=False)
    return upright
