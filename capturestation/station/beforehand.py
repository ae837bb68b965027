"""What error a board and its places will give, said before anything is filmed.

Owns where cameras are taken to stand and look while nobody has measured them, and the words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from calibration.bay import LEAST_PLACES
from calibration.boards import BAY_BOARD, Board
from calibration.camera import Camera
from calibration.errors import CalibrationError
from calibration.forecast import BoardAt, forecast, stood_so_far, usual_places
from calibration.lens import Lens
from calibration.places import Place
from calibration.poses import looking_at, pose_rows
from calibration.standing import METRES_GOOD_MM, PoseError
from capturestation.records import FloatArray
from capturestation.station.from_pictures import explained

VERSION = 1
MOST_PLACES = len(usual_places(BAY_BOARD))
_BEHIND_BALL_M = 0.3
_NEAR_M, _FAR_M = (1.8, 0.35), (3.2, 0.75)
# Away from the mat mark, and how high a camera looks there: a near one looks down to see the ball.


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What so many places will give one camera.

    Args:
        camera: Which.
        u_place_mm: Standard error of its place.
        u_turn_deg: Likewise of its direction.
    """

    camera: str
    u_place_mm: float
    u_turn_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WithPlaces:
    """What so many places will give.

    Args:
        places: How many.
        cameras: Each one's errors.
        metres_good: Whether places in the bay can be told by it.
    """

    places: int
    cameras: tuple[Expected, ...]
    metres_good: bool

    @property
    def worst(self) -> tuple[float, float]:
        """Millimetres and degrees of the camera that is placed worst."""
        return (
            max(one.u_place_mm for one in self.cameras),
            max(one.u_turn_deg for one in self.cameras),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Beforehand:
    """What a board will give at few and at more places.

    Args:
        format: Of the report.
        version: Of that format.
        square_mm: The side of the board's squares.
        counts: By how many places, rising.
    """

    format: str = "bay forecast"
    version: int = VERSION
    square_mm: float
    counts: tuple[WithPlaces, ...]

    @property
    def said(self) -> str:
        """In words, a line for each number of places."""
        lines = []
        for one in self.counts:
            told = ", ".join(
                f"{c.camera} \N{PLUS-MINUS SIGN} {c.u_place_mm:.0f} mm and "
                f"{c.u_turn_deg:.2f}\N{DEGREE SIGN}"
                for c in one.cameras
            )
            good = "good for metres" if one.metres_good else "for laying pictures over only"
            lines.append(f"{one.places} places: {told}; {good}.")
        return "\n".join(lines)


def expected(
    stands_m: Mapping[str, tuple[float, float, float]],
    lenses: Mapping[str, Lens],
    *,
    board: Board = BAY_BOARD,
    side: int = 1,
    counts: Sequence[int] = (LEAST_PLACES, 5, MOST_PLACES),
) -> Beforehand:
    """Say which errors the usual places of a board will give.

    Args:
        stands_m: Each camera's lens: ahead of the mat mark, left of the line, above the mat.
        lenses: Their lenses.
        board: The board.
        side: 1 where golfers stand left of the line, right-handed; else -1.
        counts: How many places, each asked for by itself.

    Raises:
        BadInputError: If a camera would see none of them; it says which.
    """
    cameras = [_camera(name, at, lenses[name], side) for name, at in stands_m.items()]
    places = usual_places(board, side=side)
    made = []
    for count in counts:
        told = explained(partial(forecast, cameras, lenses, board, places[:count]))
        made.append(with_places(count, told, lenses))
    return Beforehand(square_mm=board.square_mm, counts=tuple(made))


def with_places(
    count: int, told: Mapping[str, PoseError], lenses: Mapping[str, Lens]
) -> WithPlaces:
    """Errors as they are reported."""
    known = all(lenses[name].model is not None for name in told)
    return WithPlaces(
        places=count,
        cameras=tuple(
            Expected(camera=name, u_place_mm=error.mm, u_turn_deg=error.deg)
            for name, error in told.items()
        ),
        metres_good=known and max(error.mm for error in told.values()) <= METRES_GOOD_MM,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What places that were taken give, and what the others will.

    Args:
        now: By what was taken; None while that tells nothing yet.
        then: With the places that are still asked for.
    """

    now: WithPlaces | None
    then: WithPlaces | None


def outlook(
    places: Sequence[Place], lenses: Mapping[str, Lens], board: Board, *, side: int, asked: int
) -> Outlook:
    """Say how well cameras are placed by what was taken, and with all places that are asked for.

    Args:
        places: Those that were taken.
        lenses: Of all cameras, by name.
        board: The board.
        side: 1 where golfers stand left of the line, right-handed; else -1.
        asked: How many places are asked for.
    """
    usual = usual_places(board, side=side)
    try:
        cameras, stood = stood_so_far(places, lenses)
    except CalibrationError:
        cameras, stood = (), ()
    if {camera.name for camera in cameras} != set(lenses):
        guessed = [_camera(name, _usual_m(at, side), lenses[name], side)
                   for at, name in enumerate(lenses)]  # fmt: skip
        return Outlook(now=None, then=_told(guessed, lenses, board, usual[:asked]))
    more = tuple(replace(at, name=f"asked {at.name}") for at in usual[len(stood) : asked])
    then = _told(cameras, lenses, board, (*stood, *more)) if more else None
    return Outlook(now=_told(cameras, lenses, board, stood), then=then)


def _told(
    cameras: Sequence[Camera], lenses: Mapping[str, Lens], board: Board, places: Sequence[BoardAt]
) -> WithPlaces | None:
    try:
        return with_places(len(places), forecast(cameras, lenses, board, places), lenses)
    except CalibrationError:
        return None


def _usual_m(number: int, side: int) -> tuple[float, float, float]:
    """Where the face-on camera, then the one down the line, usually stand."""
    return ((0.0, -2.8 * side, 1.1), (-3.2, 0.4 * side, 1.0))[min(number, 1)]


def _camera(name: str, at: tuple[float, float, float], lens: Lens, side: int) -> Camera:
    """A camera that stands there and looks at the golfer over the ball."""
    at_m: FloatArray = np.asarray(at, dtype=np.float64)
    away = float(np.hypot(at_m[0], at_m[1]))
    high = float(np.interp(away, (_NEAR_M[0], _FAR_M[0]), (_NEAR_M[1], _FAR_M[1])))
    turn = looking_at(at_m, np.array([0.0, side * _BEHIND_BALL_M, high]))
    numbers = [float(number) for number in lens.numbers]
    return Camera(
        name=name,
        size_px=lens.setting.size_px,
        focal_px=(numbers[0], numbers[1]),
        centre_px=(numbers[2], numbers[3]),
        distortion=tuple(numbers[4:]),
        world_from_camera=pose_rows(turn, at_m),
    )
