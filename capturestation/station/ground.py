"""What lies on the mat, drawn into the pictures of a swing by where its cameras stand.

Owns target line, mat grid, toes line and the club's plane in metres, and their words with their
errors. What a hand pointed out or a detector found says where ball, toes and grip are. Refuses what
can't be known, with what would help.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from calibration.camera import ground_points, project_points
from calibration.projection import unbend
from capturestation.compare.overlay import spots_of
from capturestation.drawing.ground_lines import Ground, GroundLine
from capturestation.records import FloatArray, Point, Spot, View
from capturestation.station.standpoints import Standpoint, Standpoints, lens_numbers

BALL_RADIUS_M = 0.0214
"""A golf ball is 42.67 mm thick at least: Rules of Golf, Equipment Rules, part 4."""
CELL_M = 0.5
_GRID_M = 1.5
_BEHIND_M, _AHEAD_M = -1.5, 3.0
_TOES_BEYOND_M = 0.45
_PLANE_HALF_M, _PLANE_UP_M = 0.7, 1.9
_STEP_M = 0.05
_POINTED_PX = 3.0
# How exactly a hand points out a shoe's tip or a grip in a picture of 720 lines.
_SQUARE_DEG = 1.0
_DEG = "\N{DEGREE SIGN}"
_BEYOND = 1.25
# Lenses are known as far as their picture reaches; little further their lines may turn back.


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What lies on the mat in the picture of one view.

    Args:
        lines: By what they are.
        why: Why something can't be drawn, and what would help.
    """

    lines: Mapping[Ground, tuple[GroundLine, ...]] = field(default_factory=dict)
    why: Mapping[Ground, str] = field(default_factory=dict)


def ball_m(known: Standpoints) -> FloatArray | None:
    """Where the ball lies, bay axes, (3,), from each view that shows it; None where none does."""
    return _mean(_on_ground(known, Spot.BALL, BALL_RADIUS_M).values())


def grounds(known: Standpoints) -> dict[View, Seen]:
    """What lies on the mat, in the pictures of each calibrated view."""
    ball = ball_m(known)
    middle = np.zeros(3) if ball is None else ball * (1.0, 1.0, 0.0)
    lines = {Ground.TARGET_LINE: (_target_line(middle),), Ground.GRID: _grid()}
    words = {Ground.TARGET_LINE: "target line"}
    why: dict[Ground, str] = {}
    for ground, made in ((Ground.TOES, _toes(known)), (Ground.PLANE, _plane(known, ball))):
        if isinstance(made, str):
            why[ground] = made
        else:
            lines[ground], words[ground] = made
    return {
        view: Seen(
            lines={
                ground: _drawn(standpoint, ground, there, words.get(ground, ""))
                for ground, there in lines.items()
            },
            why=why,
        )
        for view, standpoint in known.by_view.items()
    }


def _drawn(
    standpoint: Standpoint, ground: Ground, lines: tuple[FloatArray, ...], word: str
) -> tuple[GroundLine, ...]:
    drawn = []
    for number, line in enumerate(lines):
        pieces = _in_picture(standpoint, line)
        is_area = ground is Ground.PLANE and number == 0 and len(pieces) == 1
        last = len(pieces) - 1 if number == 0 else -1
        drawn += [
            GroundLine(
                ground=ground, points=piece, word=word if place == last else "", is_area=is_area
            )
            for place, piece in enumerate(pieces)
        ]
    return tuple(drawn)


def _target_line(ball: FloatArray) -> FloatArray:
    ahead = np.array([1.0, 0.0, 0.0])
    return _along(ball + _BEHIND_M * ahead, ball + _AHEAD_M * ahead)


def _grid() -> tuple[FloatArray, ...]:
    at = np.arange(-_GRID_M, _GRID_M + CELL_M / 2, CELL_M)
    across = [_along(np.array([x, -_GRID_M, 0.0]), np.array([x, _GRID_M, 0.0])) for x in at]
    along = [_along(np.array([-_GRID_M, y, 0.0]), np.array([_GRID_M, y, 0.0])) for y in at]
    return (*across, *along)


def _toes(known: Standpoints) -> tuple[tuple[FloatArray, ...], str] | str:
    """The line through the tips of both shoes, and how it points."""
    lead, trail = (_on_ground(known, spot) for spot in (Spot.LEAD_FOOT, Spot.TRAIL_FOOT))
    both = {view: lead[view] - trail[view] for view in lead if view in trail}
    if not both:
        return "Point out the toes of both feet in one picture."
    steps = _mean(both.values())
    front = _mean(lead[view] for view in both)
    assert steps is not None
    assert front is not None
    apart_m = float(np.linalg.norm(steps))
    if apart_m < CELL_M / 5:
        return "The toes were pointed out at one place: point out each foot."
    turn_deg = known.side * math.degrees(math.atan2(steps[1], steps[0]))
    u_deg = _toes_u_deg(known, tuple(both), apart_m)
    way = steps / apart_m * _TOES_BEYOND_M
    line = _along(front - steps - way, front + way)
    return (line,), f"toes {_turn_words(turn_deg)}, \N{PLUS-MINUS SIGN} {u_deg:.0f}{_DEG}"


def _toes_u_deg(known: Standpoints, views: tuple[View, ...], apart_m: float) -> float:
    """From what a hand's pixels are worth on the mat, at each end."""
    worth = []
    for view in views:
        standpoint = known.by_view[view]
        spots = spots_of(known.swing.book.spots, view)
        for spot in (Spot.LEAD_FOOT, Spot.TRAIL_FOOT):
            at = standpoint.pixels(spots[spot])
            moved = at + np.array([[0.0, 0.0], [_POINTED_PX, 0.0], [0.0, _POINTED_PX]])
            places = ground_points(standpoint.camera, moved)
            worth.append(float(np.hypot(*(places[1:, 1] - places[0, 1]))))
    rms = math.sqrt(float(np.mean(np.square(worth))))
    return math.degrees(math.sqrt(2.0 / len(views)) * rms / apart_m)


def _turn_words(turn_deg: float) -> str:
    """To the target line, as seen by the golfer.

    Example:
        >>> _turn_words(3.6), _turn_words(-4.2), _turn_words(0.3)
        ('4° open', '4° closed', 'square')
    """
    if abs(turn_deg) < _SQUARE_DEG:
        return "square"
    return f"{abs(turn_deg):.0f}{_DEG} {'open' if turn_deg > 0 else 'closed'}"


def _plane(known: Standpoints, ball: FloatArray | None) -> tuple[tuple[FloatArray, ...], str] | str:
    """Through ball, target line and shaft at set: an area, the shaft, and its angle."""
    if ball is None:
        return "Point out the ball."
    grip = _grip_m(known, ball)
    if grip is None:
        return "Point out the grip down the line, at set."
    shaft = grip - ball
    up = shaft * (0.0, 1.0, 1.0)
    length = float(np.linalg.norm(up))
    if length < CELL_M / 2 or up[2] <= 0.0:
        return "Ball and grip were pointed out at one place: point out each."
    up_way = up / length * _PLANE_UP_M
    along = np.array([_PLANE_HALF_M, 0.0, 0.0])
    corners = (ball - along, ball + along, ball + along + up_way, ball - along + up_way)
    edge = np.vstack(
        [_along(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    )
    lie_deg = math.degrees(math.atan2(up[2], abs(up[1])))
    u_deg = math.degrees(_grip_u_m(known, ball) / length)
    word = f"club's plane {lie_deg:.0f}{_DEG}, \N{PLUS-MINUS SIGN} {max(u_deg, 0.5):.0f}{_DEG}"
    return (edge, _along(ball, grip)), word


def _grip_m(known: Standpoints, ball: FloatArray) -> FloatArray | None:
    """Where both views' rays are nearest to each other; down the line alone, above the ball."""
    rays = _rays(known, Spot.GRIP)
    if len(rays) >= 2:
        # The point with the least squared distances from all rays.
        ways = {v: way / np.linalg.norm(way) for v, (_, way) in rays.items()}
        across = {v: np.eye(3) - np.outer(way, way) for v, way in ways.items()}
        whole = sum((m for m in across.values()), np.zeros((3, 3)))
        right = sum((across[v] @ lens for v, (lens, _) in rays.items()), np.zeros(3))
        solved: FloatArray = np.linalg.solve(whole, right)
        return solved
    if View.DOWN_THE_LINE not in rays:
        return None
    lens, way = rays[View.DOWN_THE_LINE]
    if abs(way[0]) < 1e-6 or (ball[0] - lens[0]) / way[0] <= 0.0:
        return None
    met: FloatArray = lens + way * ((ball[0] - lens[0]) / way[0])
    return met


def _grip_u_m(known: Standpoints, ball: FloatArray) -> float:
    """What a hand's pixels are worth at the grip."""
    worth = []
    for view in _rays(known, Spot.GRIP):
        camera = known.by_view[view].camera
        far_m = float(np.linalg.norm(camera.lens_m - ball))
        worth.append(_POINTED_PX * far_m / camera.focal_px[0])
    return min(worth) * math.sqrt(2.0)


def _rays(known: Standpoints, spot: Spot) -> dict[View, tuple[FloatArray, FloatArray]]:
    found = {}
    for view, standpoint in known.by_view.items():
        at = spots_of(known.swing.book.spots, view).get(spot)
        if at is not None:
            way = standpoint.ray(at)
            if np.isfinite(way).all():
                found[view] = (standpoint.camera.lens_m, way)
    return found


def _on_ground(known: Standpoints, spot: Spot, height_m: float = 0.0) -> dict[View, FloatArray]:
    found = {}
    for view, standpoint in known.by_view.items():
        at = spots_of(known.swing.book.spots, view).get(spot)
        if at is not None:
            [place] = ground_points(standpoint.camera, standpoint.pixels(at), height_m=height_m)
            if np.isfinite(place).all():
                found[view] = place
    return found


def _mean(places: Iterable[FloatArray]) -> FloatArray | None:
    there = list(places)
    return np.asarray(np.mean(there, axis=0), dtype=np.float64) if there else None


def _along(begin: FloatArray, end: FloatArray) -> FloatArray:
    """Points of a straight line, close enough together for any lens to bend it."""
    count = max(math.ceil(float(np.linalg.norm(end - begin)) / _STEP_M), 1) + 1
    return np.asarray(np.linspace(begin, end, count), dtype=np.float64)


def _in_picture(standpoint: Standpoint, line_m: FloatArray) -> list[tuple[Point, ...]]:
    """The runs of a line that its lens is known to draw, two places or more each."""
    camera = standpoint.camera
    pose = np.asarray(camera.world_from_camera, dtype=np.float64)
    local = (line_m - pose[:3, 3]) @ pose[:3, :3]
    ahead = local[:, 2] > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        aside = np.hypot(local[:, 0], local[:, 1]) / local[:, 2]
    pixels = project_points(camera, line_m)
    good = ahead & (aside < _reach(standpoint)) & np.isfinite(pixels).all(axis=1)
    runs, begun = [], None
    for number, is_good in enumerate([*good, False]):
        if is_good and begun is None:
            begun = number
        elif not is_good and begun is not None:
            if number - begun > 1:
                runs.append(tuple(standpoint.share(at) for at in pixels[begun:number]))
            begun = None
    return runs


def _reach(standpoint: Standpoint) -> float:
    """How far from straight ahead its lens is known, as the tangent of the angle."""
    width, height = standpoint.camera.size_px
    corners = np.array([[0, 0], [width, 0], [0, height], [width, height]], dtype=np.float64)
    camera = standpoint.camera
    flat = unbend(lens_numbers(camera), corners)
    # Where a lens has no way back, as if it did not bend.
    flat = np.where(np.isfinite(flat), flat, (corners - camera.centre_px) / camera.focal_px)
    return _BEYOND * float(np.hypot(flat[:, 0], flat[:, 1]).max())
