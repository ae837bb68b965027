"""Which square of a picture the body network looks at, and the way there and back.

Owns where the square starts (a box) and how it follows the golfer. Refuses to run the network.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from capturestation.records import Box, FloatArray, FrameArray
from capturestation.tracking.body_network import SIDE_PX, Landmarks

ROOM = 1.55
# Side of the square over the height from nose to ankles. On rendered golfers landmarks fell nearest
# to the joints between 1.4 and 1.7: arms overhead and a wide stance need the room.
_FOLLOW = 0.2
# How much of the way it follows at each picture: a square that jumps makes landmarks jump.
_SURE = 0.5
_NOSE, _ANKLES, _HIPS, _SHOULDERS = 0, (27, 28), (23, 24), (11, 12)
_GOLFER_OF_REACH = 0.72
# A golfer's height over that of what club and golfer reach together, by rendered swings.


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A square of a picture.

    Args:
        x_px: Its middle.
        y_px: Its middle.
        side_px: Its side.
    """

    x_px: float
    y_px: float
    side_px: float

    @property
    def scale(self) -> float:
        """Pixels of the network's picture for one of the whole picture."""
        return SIDE_PX / self.side_px

    @property
    def tall_px(self) -> float:
        """The height from nose to ankles that it was laid round."""
        return self.side_px / ROOM

    def crop(self, frame_rgb: FrameArray) -> FrameArray:
        """The square as the network takes it; black where it reaches over the edge."""
        scale, half = self.scale, 0.5 * (SIDE_PX - 1)
        move = np.array(
            [[scale, 0.0, half - scale * self.x_px], [0.0, scale, half - scale * self.y_px]]
        )
        cut = cv2.warpAffine(frame_rgb, move, (SIDE_PX, SIDE_PX), flags=cv2.INTER_LINEAR)
        return np.asarray(cut, dtype=np.uint8)

    def whole(self, crop_px: FloatArray) -> FloatArray:
        """Places in the whole picture of places in the crop, (n, 2)."""
        off = crop_px - 0.5 * (SIDE_PX - 1)
        return np.asarray(off / self.scale + np.array([self.x_px, self.y_px]), np.float64)

    def following(self, found: Landmarks, share: float = _FOLLOW) -> Region:
        """The square for the next picture: a part of the way to where the golfer is now."""
        if found.present < _SURE:
            return self
        at = self.whole(found.at_px)
        feet = at[list(_ANKLES)].mean(axis=0)
        hips = at[list(_HIPS)].mean(axis=0)
        trunk = float(np.linalg.norm(at[list(_SHOULDERS)].mean(axis=0) - hips))
        tall = max(float(feet[1] - at[_NOSE, 1]), 2.0 * trunk)
        return Region(
            x_px=self.x_px + share * float(hips[0] - self.x_px),
            y_px=self.y_px + share * (float(feet[1]) - 0.5 * tall - self.y_px),
            side_px=self.side_px + share * (ROOM * tall - self.side_px),
        )


def region_of(box: Box, width_px: int, height_px: int, *, with_club: bool) -> Region:
    """The square to start from.

    Args:
        box: Where the golfer is.
        width_px: Of the whole picture.
        height_px: Of the whole picture.
        with_club: Whether the box holds the club's reach too, as one found from motion does.
    """
    tall = box.height * height_px * (_GOLFER_OF_REACH if with_club else 1.0)
    return Region(
        x_px=0.5 * (box.left + box.right) * width_px,
        y_px=box.bottom * height_px - 0.5 * tall,
        side_px=ROOM * tall,
    )
