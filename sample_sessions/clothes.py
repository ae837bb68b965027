"""What the golfer wears, and reading one instant out of a pose."""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import FloatArray
from sample_sessions.body import Body
from sample_sessions.golfer import Pose
from sample_sessions.rings import Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Loose:
    """How wide a jacket and trousers are; sizes are for a golfer of 1.78 m.

    Args:
        jacket_m: How far the jacket stands off the body, about.
        trousers_m: Likewise the trousers.
        sway_m: How far cloth lies to one side of what is under it, at most.
        jacket: Its colour.
        phases: Where folds begin on torso, arms and legs, rad.
    """

    jacket_m: float
    trousers_m: float
    sway_m: float
    jacket: Colour
    phases: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clothes:
    """Plain colours, RGB, as close to the body as a shirt is; or wide over it."""

    shirt: Colour = (52, 110, 140)
    trousers: Colour = (98, 100, 108)
    belt: Colour = (236, 232, 222)
    shoes: Colour = (232, 232, 230)
    cap: Colour = (238, 236, 230)
    glove: Colour = (240, 240, 238)
    skin: Colour = (222, 174, 142)
    hair: Colour = (70, 52, 40)
    loose: Loose | None = None


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
