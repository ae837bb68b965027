"""Where the earlier swing's picture lies over today's, by spots pointed out in both.

Owns the fit of one flat picture onto another: turned, enlarged and shifted, never mirrored or
sheared, because a student is only laid over himself and stands the same way round. A plane map
from a camera's calibration fits the same record. Called before two pictures are laid over.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import PLACE_SPOTS, FloatArray, MarkSource, Point, Spot, SpotMark, View

MOST_TURNED_DEG = 15.0
"""Two cameras on their stands lean less against each other; more is a spot mistaken for another."""
MOST_ENLARGED = 2.0
"""Likewise for how much larger one golfer stands, beyond the pictures' own sizes."""
_LEAST_APART_SHARE = 0.03
# Of the picture's longer side: closer spots are one spot, and their direction is chance.


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureSize:
    """A picture's size as shown, upright, pixels."""

    width_px: int
    height_px: int

    def __post_init__(self) -> None:
        if min(self.width_px, self.height_px) < 1:
            msg = f"a picture has a size, got {self.width_px}x{self.height_px}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placing:
    """How the earlier picture is laid over today's, and by what.

    Args:
        now_from_then: Pixels of the earlier picture to pixels of today's, float64, (2, 3) for a
            turn, scale and shift, (3, 3) for a plane map.
        said: By what it is placed, one sentence for the coach.
        by: The spots that placed it; empty where it isn't placed.
        apart_px: Farthest that two of them stay apart, pixels of today's picture; None where they
            are too few to tell.
    """

    now_from_then: FloatArray
    said: str
    by: tuple[Spot, ...] = ()
    apart_px: float | None = None

    def __post_init__(self) -> None:
        if self.now_from_then.shape not in ((2, 3), (3, 3)):
            msg = f"a map is (2, 3) or (3, 3), got {self.now_from_then.shape}"
            raise ValueError(msg)

    @property
    def from_edges(self) -> FloatArray:
        """The same map, (3, 3), both pictures counted from their edges, not the pixels' middles."""
        whole = np.eye(3)
        whole[: len(self.now_from_then)] = self.now_from_then
        to_middles, to_edges = np.eye(3), np.eye(3)
        to_middles[:2, 2], to_edges[:2, 2] = -0.5, 0.5
        moved: FloatArray = to_edges @ whole @ to_middles
        return moved

    def to_now(self, then_px: FloatArray) -> FloatArray:
        """Where points of the earlier picture come to lie in today's.

        Args:
            then_px: Shape (n, 2), pixels.

        Returns:
            Shape (n, 2), pixels.
        """
        ones = np.ones((len(then_px), 1))
        mapped: FloatArray = np.hstack([then_px, ones]) @ self.now_from_then.T
        if mapped.shape[1] == 3:
            mapped = mapped[:, :2] / mapped[:, 2:]
        return mapped


def spots_of(marks: Iterable[SpotMark], view: View) -> dict[Spot, Point]:
    """Where the spots of one view are; a hand's place wins over a found one."""
    found: dict[Spot, SpotMark] = {}
    for mark in marks:
        known = found.get(mark.spot)
        if mark.view is view and (known is None or mark.source is MarkSource.HAND):
            found[mark.spot] = mark
    return {spot: found[spot].at for spot in Spot if spot in found}


def lay_over(
    now: Mapping[Spot, Point],
    then: Mapping[Spot, Point],
    now_size: PictureSize,
    then_size: PictureSize,
) -> Placing:
    """Lay the earlier picture of a view over today's.

    Two or three shared spots turn, scale and shift it; one shifts it, as large as it was filmed;
    without any, both pictures fill the same height about the same middle. Never by the feet: laid
    so, another stance would not be seen.

    Args:
        now: The spots in today's picture, shares of it.
        then: The spots in the earlier one.
        now_size: Today's picture.
        then_size: The earlier one.
    """
    now, then = _of_place(now), _of_place(then)
    shared = tuple(spot for spot in now if spot in then)
    plain = _same_height(now_size, then_size)
    if not shared:
        return Placing(now_from_then=plain, said=_not_placed(now, then))
    now_px = _pixels([now[spot] for spot in shared], now_size)
    then_px = _pixels([then[spot] for spot in shared], then_size)
    shifted = _shifted(plain, now_px, then_px)
    if len(shared) == 1:
        said = f"Laid over by {_listed(shared)} alone, as large as filmed."
        return Placing(now_from_then=shifted, said=said, by=shared)
    least_px = _LEAST_APART_SHARE * max(then_size.width_px, then_size.height_px)
    if min(_spread(now_px), _spread(then_px)) < least_px:
        said = f"Laid over by {_listed(shared)}, too close together to tell size and lean."
        return Placing(
            now_from_then=shifted, said=said, by=shared, apart_px=_apart(shifted, now_px, then_px)
        )
    fitted = _similarity(now_px, then_px)
    odd = _odd(fitted, plain)
    if odd:
        said = f"Shifted only: by {_listed(shared)} the earlier picture would be {odd}. Check them."
        return Placing(
            now_from_then=shifted, said=said, by=shared, apart_px=_apart(shifted, now_px, then_px)
        )
    if len(shared) == 2:
        return Placing(now_from_then=fitted, said=f"Laid over by {_listed(shared)}.", by=shared)
    apart_px = _apart(fitted, now_px, then_px)
    said = f"Laid over by {_listed(shared)}; {apart_px:.0f} px apart at most."
    return Placing(now_from_then=fitted, said=said, by=shared, apart_px=apart_px)


def _of_place(spots: Mapping[Spot, Point]) -> dict[Spot, Point]:
    return {spot: spots[spot] for spot in PLACE_SPOTS if spot in spots}


def _pixels(points: Sequence[Point], size: PictureSize) -> FloatArray:
    """Shares count from the picture's edge, pixels from the middle of the first one."""
    shares = np.array([(point.x, point.y) for point in points], dtype=np.float64)
    pixels: FloatArray = shares * (size.width_px, size.height_px) - 0.5
    return pixels


def _same_height(now: PictureSize, then: PictureSize) -> FloatArray:
    """Golfers fill a picture's height, so heights are matched, and middles."""
    scale = now.height_px / then.height_px
    shift_x = (now.width_px - scale * then.width_px) / 2 + 0.5 * (scale - 1)
    return np.array([[scale, 0.0, shift_x], [0.0, scale, 0.5 * (scale - 1)]])


def _shifted(plain: FloatArray, now_px: FloatArray, then_px: FloatArray) -> FloatArray:
    """The plain map, moved so that the middles of the spots meet."""
    moved = plain.copy()
    moved[:, 2] = now_px.mean(axis=0) - plain[:, :2] @ then_px.mean(axis=0)
    return moved


def _similarity(now_px: FloatArray, then_px: FloatArray) -> FloatArray:
    """Turn, scale and shift with the least squared distances in today's picture.

    In the plane these are one complex number, for which least squares has a closed form.
    """
    now_middle, then_middle = now_px.mean(axis=0), then_px.mean(axis=0)
    w = (now_px - now_middle) @ (1, 1j)
    z = (then_px - then_middle) @ (1, 1j)
    turn = complex((z.conj() @ w) / (z.conj() @ z).real)
    linear = np.array([[turn.real, -turn.imag], [turn.imag, turn.real]])
    shift = now_middle - linear @ then_middle
    return np.hstack([linear, shift[:, np.newaxis]])


def _spread(points_px: FloatArray) -> float:
    """How far the spots reach from one to another."""
    return float(np.linalg.norm(points_px.max(axis=0) - points_px.min(axis=0)))


def _odd(fitted: FloatArray, plain: FloatArray) -> str:
    """What no two set-ups of cameras do, in words; empty if it is ordinary."""
    turned_deg = math.degrees(math.atan2(fitted[1, 0], fitted[0, 0]))
    scale = math.hypot(fitted[0, 0], fitted[1, 0]) / plain[0, 0]
    if abs(turned_deg) > MOST_TURNED_DEG:
        return f"turned by {abs(turned_deg):.0f}°"
    # With room for rounding: what is laid one way is laid the other way too.
    if max(scale, 1 / max(scale, 1e-9)) > MOST_ENLARGED * (1 + 1e-9):
        return f"made {scale:.1f} times as large as filmed"
    return ""


def _apart(matrix: FloatArray, now_px: FloatArray, then_px: FloatArray) -> float:
    """Farthest that a spot stays from its other self."""
    placing = Placing(now_from_then=matrix, said="")
    return float(np.linalg.norm(placing.to_now(then_px) - now_px, axis=1).max())


def _listed(spots: Sequence[Spot]) -> str:
    """As a coach says it: "ball and both mat corners"."""
    corners = [spot for spot in spots if spot is not Spot.BALL]
    words = ["ball"] if Spot.BALL in spots else []
    words += ["both mat corners"] if len(corners) == 2 else [str(corner) for corner in corners]
    return " and ".join(words)


def _not_placed(now: Mapping[Spot, Point], then: Mapping[Spot, Point]) -> str:
    if now and not then:
        return f"Not placed: point out the {_listed(tuple(now))} in the earlier swing too."
    if then and not now:
        return f"Not placed: point out the {_listed(tuple(then))} in today's swing too."
    if now and then:
        return "Not placed: point out the same spot in both swings, best the ball."
    return "Not placed: point out the ball in both swings."
