"""One field's pictures in the order of a clip: cut, another one laid over, drawn upon.

Owns decoding for a field, in a thread of its own, and laying the earlier swing's picture over
today's. Both are mixed in the form that is encoded, so that neither goes through RGB.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.drawing.bench_place import Matrix
from capturestation.drawing.bench_planes import PlaneLayer, mixed
from capturestation.drawing.placing import Placement
from capturestation.drawing.rect import even
from capturestation.media.canvas import Cut, planes
from capturestation.media.overlay import Overlay
from capturestation.records import FloatArray, FrameArray, Planes
from capturestation.station.clip_plan import Track
from capturestation.station.clip_request import Overlaid
from capturestation.station.crew import Belt

_BT709 = 1
# ITU-T H.273's number for what a clip is coded in.
_NOT_LAID = -1
_WHOLE: Matrix = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidTrack:
    """The earlier swing's pictures, laid over a field.

    Args:
        track: Which frame belongs to which of the clip.
        whole: Its picture, at the size at which it is laid.
        size_px: The recording's own width and height.
        matrix: Its coordinates, counted from the edge at that size, to the field's picture.
        opacity: How strongly it shows.
    """

    track: Track
    whole: Cut
    size_px: tuple[int, int]
    matrix: Matrix
    opacity: float

    def ordinal(self, frame: int) -> int:
        """Its frame for that one of the clip; less than zero where the recording has none."""
        return _NOT_LAID if self.track.beyond[frame] else int(self.track.ordinals[frame])

    def over(self, picture: FrameArray, ordinal: int) -> FrameArray:
        """A field's picture with one of its frames over it, planar.

        Raises:
            NotReadableError: If that frame can't be decoded.
        """
        earlier = self.track.reader.frame_planar(ordinal, self.whole)
        base = _as_planes(picture)
        field_px = (base.luma.shape[1], base.luma.shape[0])
        made = mixed(
            field_px,
            PlaneLayer(planes=base, size_px=field_px, matrix=_WHOLE),
            PlaneLayer(planes=_as_planes(earlier), size_px=self.size_px, matrix=self.matrix),
            opacity=self.opacity,
        )
        whole = np.empty_like(picture)
        for room, part in zip(planes(whole), (made.luma, made.blue, made.red), strict=True):
            room[:] = part
        whole.setflags(write=False)
        return whole


def laid_track(track: Track, laid: Overlaid, placement: Placement) -> LaidTrack:
    """How an earlier picture lies over a field.

    Args:
        track: Its frames.
        laid: How it lies over today's picture.
        placement: How today's is cut and placed.

    Raises:
        NotReadableError: If its first frame can't be decoded.
    """
    source, target = placement.source, placement.target
    across, down = target.width / source.width, target.height / source.height
    to_field = np.array(
        [[across, 0, -across * source.left], [0, down, -down * source.top], [0, 0, 1]]
    )
    matrix = to_field @ laid.now_from_then
    width, height = track.reader.size_px
    scale = min(_scale(matrix, (width / 2, height / 2)), 1.0)
    return LaidTrack(
        track=track,
        whole=Cut(
            left=0,
            top=0,
            width=width,
            height=height,
            to_width=max(even(scale * width), 2),
            to_height=max(even(scale * height), 2),
        ),
        size_px=(width, height),
        matrix=tuple((matrix / matrix[2, 2]).ravel().tolist()),
        opacity=laid.opacity,
    )


def _scale(matrix: FloatArray, at_px: tuple[float, float]) -> float:
    """How many times as large a small piece becomes, there."""
    below = float(matrix[2] @ (*at_px, 1.0))
    return float(np.sqrt(abs(np.linalg.det(matrix)) / abs(below) ** 3))


def _as_planes(picture: FrameArray) -> Planes:
    luma, blue, red = planes(picture)
    return Planes(luma=luma, blue=blue, red=red, matrix=_BT709, is_full=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What is read for one field.

    Args:
        track: Which frames.
        cut: What of them, and how large.
        laid: What is laid over them.
        drawn: What is drawn on them.
    """

    track: Track
    cut: Cut
    laid: LaidTrack | None
    drawn: Overlay | None

    def run(self, belt: Belt[FrameArray]) -> None:
        """Put a picture on a belt for each frame of the clip; one that stays is the same object."""
        last, picture = None, None
        for frame, ordinal in enumerate(self.track.ordinals.tolist()):
            wanted = ordinal, _NOT_LAID if self.laid is None else self.laid.ordinal(frame)
            if picture is None or wanted != last:
                picture, last = self._picture(*wanted), wanted
            belt.put(picture)

    def _picture(self, ordinal: int, earlier: int) -> FrameArray:
        picture = self.track.reader.frame_planar(ordinal, self.cut)
        if self.laid is not None and earlier != _NOT_LAID:
            picture = self.laid.over(picture, earlier)
        return picture if self.drawn is None else self.drawn.over(picture)
