"""How a picture is cut and placed in its field: pure geometry.

Owns the cut about what has to be seen. Refuses distortion, cutting into what has to be seen, and
enlarging further than the picture has detail.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.drawing.rect import Rect, even, even_below
from capturestation.records import Box

KEEP_WIDTH = 0.64
"""Least share of a picture's width that is shown where nobody knows how far the swing reaches.

With the shaft level the club head is about 1.4 m from the middle; of a 16:9 picture 2.6 m high,
which the club's highest point needs, this shows 1.48 m either way.
"""
MOST_ENLARGED = 1.5
"""A picture is cut only as far as this; beyond it a larger golfer is only a softer one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What a field has to show.

    Args:
        width_px: The picture's width.
        height_px: The picture's height.
        box: What of it has to be seen whole.
    """

    width_px: int
    height_px: int
    box: Box

    @property
    def box_px(self) -> tuple[float, float]:
        """The box's width and height."""
        return self.box.width * self.width_px, self.box.height * self.height_px


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """How a picture stands in a field.

    Args:
        source: What is shown of the picture.
        target: Where it stands on the canvas.
        width_share: How much of the picture's width is shown, 0..1.
        height_share: How much of its height.
    """

    source: Rect
    target: Rect
    width_share: float
    height_share: float

    @property
    def is_cut(self) -> bool:
        """Whether part of the picture is not shown."""
        return min(self.width_share, self.height_share) < 1.0


def middle(keep_width: float = KEEP_WIDTH) -> Box:
    """The middle of a picture, as high as it is.

    Args:
        keep_width: Share of the width, above 0 up to 1.
    """
    return Box(left=0.5 - keep_width / 2, top=0.0, right=0.5 + keep_width / 2, bottom=1.0)


def place(picture: Picture, rect: Rect) -> Placement:
    """Place a picture in a field: its box as large as fits, and what else has room.

    Args:
        picture: Its size and what has to be seen.
        rect: The field; the picture stands in its middle, under its upper edge.
    """
    box_width, box_height = picture.box_px
    whole = min(rect.width / picture.width_px, rect.height / picture.height_px)
    scale = min(rect.width / box_width, rect.height / box_height)
    scale = min(scale, max(MOST_ENLARGED, whole))
    box = picture.box
    left, width = _shown(picture.width_px, (box.left, box.right), rect.width / scale)
    top, height = _shown(picture.height_px, (box.top, box.bottom), rect.height / scale)
    across = min(max(even(width * scale), 2), rect.width)
    down = min(max(even(height * scale), 2), rect.height)
    target = Rect(
        left=rect.left + even_below((rect.width - across) / 2),
        top=rect.top,
        width=across,
        height=down,
    )
    return Placement(
        source=Rect(left=left, top=top, width=width, height=height),
        target=target,
        width_share=width / picture.width_px,
        height_share=height / picture.height_px,
    )


def _shown(size_px: int, ends: tuple[float, float], room_px: float) -> tuple[int, int]:
    """First pixel and how many are shown: the room about the middle of what has to be seen."""
    low, high = (share * size_px for share in ends)
    shown = min(max(round(room_px), 1), size_px)
    first = round((low + high - shown) / 2)
    return min(max(first, 0), size_px - shown), shown
