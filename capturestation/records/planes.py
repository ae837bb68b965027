"""A picture as it is coded: lightness and two colours apart, the colours often at half the size.

Scaling and mixing it so costs half of what it costs in red, green and blue; only what is shown
at last is turned into those. The names are the form's own: luma, and blue and red against it.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records.arrays import FrameArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planes:
    """One picture, upright.

    Args:
        luma: (H, W) uint8.
        blue: (h, w) uint8, over the whole picture.
        red: Likewise, as large.
        matrix: Which weights of red, green and blue the luma is made of, ITU-T H.273's number.
        is_full: Whether black is 0 and white 255; else they are 16 and 235.
    """

    luma: FrameArray
    blue: FrameArray
    red: FrameArray
    matrix: int
    is_full: bool

    @property
    def coding(self) -> tuple[int, bool]:
        """What two pictures must share to be mixed."""
        return self.matrix, self.is_full
