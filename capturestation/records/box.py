"""A part of a picture, said in shares of it so that it holds at every size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle inside a picture.

    Args:
        left: Share of the picture's width, 0..1.
        top: Share of its height.
        right: Share of its width.
        bottom: Share of its height.
    """

    left: float
    top: float
    right: float
    bottom: float

    def __post_init__(self) -> None:
        if not (0.0 <= self.left < self.right <= 1.0 and 0.0 <= self.top < self.bottom <= 1.0):
            msg = f"a box lies inside the picture and is not empty, got {self}"
            raise ValueError(msg)

    @property
    def width(self) -> float:
        """Share of the picture's width."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Share of the picture's height."""
        return self.bottom - self.top


def around(boxes: Iterable[Box]) -> Box | None:
    """The smallest box that holds all of these; None if there are none."""
    held = list(boxes)
    if not held:
        return None
    return Box(
        left=min(box.left for box in held),
        top=min(box.top for box in held),
        right=max(box.right for box in held),
        bottom=max(box.bottom for box in held),
    )
