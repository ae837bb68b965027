"""A clip's picture in the form that is encoded, so that nothing is converted twice.

Owns the planar form: luma of the whole picture, then two colour planes of half its width and
height, BT.709 limited range, as one array of (H * 3 / 2, W). Pictures come in this form from a
frame reader and are only copied in; what is painted in RGB is converted once, when it changes.
Called by whoever composes a clip.
"""

from __future__ import annotations

from dataclasses import dataclass

import av
import numpy as np
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter

from capturestation.records import FrameArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What of a picture is wanted, and how large.

    Args:
        left: First column of the upright picture.
        top: First row.
        width: Columns.
        height: Rows.
        to_width: Columns that they become; even.
        to_height: Rows that they become; even.
    """

    left: int
    top: int
    width: int
    height: int
    to_width: int
    to_height: int

    def __post_init__(self) -> None:
        if self.to_width % 2 or self.to_height % 2:
            msg = f"shared colour needs even sizes, got {self.to_width}x{self.to_height}"
            raise ValueError(msg)
        if min(self.left, self.top) < 0 or min(self.width, self.height) < 1:
            msg = f"a cut lies inside its picture, got {self}"
            raise ValueError(msg)


class Canvas:
    """A picture that is changed in places and handed on whole.

    Args:
        base_rgb: What it shows at first, (H, W, 3) RGB; even sizes.

    Example:
        >>> canvas = Canvas(np.full((4, 4, 3), 255, np.uint8))
        >>> canvas.put(0, 0, planar(np.zeros((2, 2, 3), np.uint8)))
        >>> canvas.picture()[:4].tolist()
        [[16, 16, 235, 235], [16, 16, 235, 235], [235, 235, 235, 235], [235, 235, 235, 235]]
    """

    def __init__(self, base_rgb: FrameArray) -> None:
        self.height, self.width = base_rgb.shape[:2]
        self._whole = planar(base_rgb).copy()
        self._parts = planes(self._whole)
        # One for each size: to set one up for another size costs more than to convert.
        self._reformatters: dict[tuple[int, ...], VideoReformatter] = {}

    def planar(self, picture_rgb: FrameArray) -> FrameArray:
        """As `planar` of this module, and faster for patches of sizes that come again."""
        shape = picture_rgb.shape
        if shape not in self._reformatters:
            self._reformatters[shape] = VideoReformatter()
        return _converted(picture_rgb, None, self._reformatters[shape])

    def put(self, left: int, top: int, picture: FrameArray) -> None:
        """Copy a planar picture in; its place is even.

        Raises:
            ValueError: If its place is odd or it reaches over the edge.
        """
        rows, width = picture.shape
        height = rows * 2 // 3
        if left % 2 or top % 2 or left < 0 or top < 0:
            msg = f"shared colour needs even places, got {left}, {top}"
            raise ValueError(msg)
        if left + width > self.width or top + height > self.height:
            msg = (
                f"{width}x{height} at {left}, {top} is over the edge of {self.width}x{self.height}"
            )
            raise ValueError(msg)
        for step, mine, part in zip((1, 2, 2), self._parts, planes(picture), strict=True):
            first_row, first_column = top // step, left // step
            part_height, part_width = part.shape
            mine[first_row : first_row + part_height, first_column : first_column + part_width] = (
                part
            )

    def picture(self) -> FrameArray:
        """A copy of what it shows, planar, read-only."""
        copy = self._whole.copy()
        copy.setflags(write=False)
        return copy


def planes(picture: FrameArray) -> tuple[FrameArray, FrameArray, FrameArray]:
    """Luma and the two colour planes of a planar picture, as views on it."""
    rows, width = picture.shape
    height = rows * 2 // 3
    flat, luma, part = picture.reshape(-1), height * width, height * width // 4
    half = (height // 2, width // 2)
    return (
        flat[:luma].reshape(height, width),
        flat[luma : luma + part].reshape(half),
        flat[luma + part :].reshape(half),
    )


def planar(picture_rgb: FrameArray, size: tuple[int, int] | None = None) -> FrameArray:
    """An RGB picture in planar form.

    Args:
        picture_rgb: (H, W, 3), full range.
        size: Width and height that it is scaled to, even; its own unless given.

    Raises:
        ValueError: If the sizes are odd.
    """
    return _converted(picture_rgb, size, VideoReformatter())


def _converted(
    picture_rgb: FrameArray, size: tuple[int, int] | None, reformatter: VideoReformatter
) -> FrameArray:
    width, height = size or (picture_rgb.shape[1], picture_rgb.shape[0])
    if width % 2 or height % 2:
        msg = f"shared colour needs even sizes, got {width}x{height}"
        raise ValueError(msg)
    full = av.VideoFrame.from_ndarray(np.ascontiguousarray(picture_rgb), format="rgb24")
    frame = reformatter.reformat(
        full,
        width=width,
        height=height,
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        threads=1,
    )
    return np.asarray(frame.to_ndarray(), np.uint8)
