"""A room with depth as a camera films it: wall, side net, mat and a golfer.

Camera, lamp and golfer may differ from picture to picture.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.poses import looking_at, turned_by
from calibration.projection import FloatArray
from tests.helpers.filmed_boards import Grey

SIZE_PX = (1280, 720)
FOCAL_PX = 960.0
AT_M = np.array([0.0, -3.0, 1.1])
TARGET_M = np.array([0.0, 0.5, 0.85])
PX_PER_M = 260
# About the sharpness of a wall 4 m away.

Float32 = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """What differs from one picture to another.

    Args:
        turn_deg: Camera turned about its own axes, right, down and ahead.
        shift_m: Camera moved.
        light: Share of light at the left and right edges of the picture.
        golfer: Which golfer stands where, by chance; None for nobody.
        seed: Of the noise.
    """

    turn_deg: tuple[float, float, float] = (0.0, 0.0, 0.0)
    shift_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
    light: tuple[float, float] = (1.0, 1.0)
    golfer: int | None = 1
    seed: int = 0


@dataclass(slots=True)
class Room:
    """One room by chance."""

    seed: int
    _planes: list[tuple[Float32, FloatArray, FloatArray, FloatArray]] = field(default_factory=list)

    def __post_init__(self) -> None:
        rng = np.random.default_rng(self.seed)
        x, y, z = np.eye(3)
        self._planes = [
            (_surface(rng, 9.0, 4.5), np.array([-4.5, 1.8, 3.6]), x, -z),
            (_surface(rng, 9.0, 6.0, plain=0.5), np.array([-4.5, 1.8, 0.0]), x, -y),
            (_surface(rng, 1.6, 2.6), np.array([1.2, 0.9, 2.6]), 0.8 * x - 0.6 * y, -z),
        ]

    def film(self, shot: Shot) -> Grey:
        """One picture."""
        turn = turned_by(np.radians(shot.turn_deg)).T @ looking_at(AT_M, TARGET_M)
        lens_m = AT_M + np.asarray(shot.shift_m)
        width, height = SIZE_PX
        picture = np.full((height, width), 90.0, dtype=np.float32)
        for texture, corner, along, down in self._planes:
            _lay(picture, texture, _drawn(turn, lens_m, (corner, along, down)))
        if shot.golfer is not None:
            _stand(picture, turn, lens_m, np.random.default_rng(1000 + shot.golfer))
        picture *= np.linspace(*shot.light, width, dtype=np.float32)
        rng = np.random.default_rng(shot.seed)
        picture += rng.normal(0, 3.0, picture.shape).astype(np.float32)
        grey: Grey = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
        return grey


def _surface(rng: np.random.Generator, wide_m: float, high_m: float, plain: float = 1.0) -> Float32:
    """Boards, posters, seams and stains."""
    width, height = int(wide_m * PX_PER_M), int(high_m * PX_PER_M)
    texture = np.full((height, width), rng.uniform(80, 150), dtype=np.float32)
    for _ in range(int(40 * plain * wide_m * high_m / 10)):
        x, y = int(rng.integers(0, width)), int(rng.integers(0, height))
        wide, high = (int(side) for side in rng.integers(8, 160, 2))
        grey = float(rng.uniform(40, 200))
        if rng.random() < 0.5:
            cv2.rectangle(texture, (x, y), (x + wide, y + high), grey, -1)
        else:
            end = (x + wide, y + int(rng.integers(-100, 100)))
            cv2.line(texture, (x, y), end, grey, int(rng.integers(2, 7)))
    return np.asarray(cv2.GaussianBlur(texture, (0, 0), 1.2), dtype=np.float32)


def _drawn(
    turn: FloatArray, lens_m: FloatArray, plane: tuple[FloatArray, FloatArray, FloatArray]
) -> FloatArray:
    """The 3 x 3 map from a surface's texture to the picture."""
    corner, along, down = plane
    matrix = np.array(
        [[FOCAL_PX, 0, 0.5 * SIZE_PX[0] - 0.5], [0, FOCAL_PX, 0.5 * SIZE_PX[1] - 0.5], [0, 0, 1.0]]
    )
    columns = np.column_stack([along / PX_PER_M, down / PX_PER_M, corner - lens_m])
    drawn: FloatArray = matrix @ turn @ columns
    return drawn


def _lay(picture: Float32, texture: Float32, matrix: FloatArray) -> None:
    laid = cv2.warpPerspective(texture, matrix, SIZE_PX, borderValue=-1.0)
    there = laid >= 0
    picture[there] = laid[there]


def _stand(
    picture: Float32, turn: FloatArray, lens_m: FloatArray, rng: np.random.Generator
) -> None:
    """A golfer of patches, each somewhere about the stance."""
    for _ in range(14):
        spot = np.array([rng.normal(0, 0.18), 0.6 + rng.normal(0, 0.1), rng.uniform(0.1, 1.75)])
        local = turn @ (spot - lens_m)
        middle = FOCAL_PX * local[:2] / local[2] + 0.5 * np.array(SIZE_PX)
        reach = FOCAL_PX / local[2] * rng.uniform(0.06, 0.2, 2)
        cv2.ellipse(
            picture, (int(middle[0]), int(middle[1])), (int(reach[0]), int(reach[1])),
            float(rng.uniform(0, 180)), 0, 360, float(rng.uniform(20, 230)), -1,
        )  # fmt: skip
