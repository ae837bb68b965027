"""What the golfer wears, and reading one instant out of a pose."""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import FloatArray
from sample_sessions.body import Body
from sample_sessions.golfer import Pose
from sample_sessions.rings import Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Clothes:
    """Plain colours, RGB."""

    shirt: Colour = (52, 110, 140)
    trousers: Colour = (98, 100, 108)
    belt: Colour = (236, 232, 222)
    shoes: Colour = (232, 232, 230)
    cap: Colour = (238, 236, 230)
    glove: Colour = (240, 240, 238)
    skin: Colour = (222, 174, 142)
    hair: Colour = (70, 52, 40)


class Reader:
    """Hands out the vectors of one time; girths are for a golfer of 1.78 m.

    Args:
        pose: Positions over times.
        index: Which of the times.
        body: Whose they are.
    """

    def __init__(self, pose: Pose, index: int, body: Body) -> None:
        self.pose = pose
        self.index = index
        self.scale = body.height_m / 1.78
        self.head_scale = self.scale * body.head_share
        self.girth = body.girth

    def __getitem__(self, name: str) -> FloatArray:
        row: FloatArray = getattr(self.pose, name)[self.index]
        return row
