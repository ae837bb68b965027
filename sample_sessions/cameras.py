"""The two cameras of the invented bay: lens, place, rate, exposure, and where a point falls.

Owns projection with its own few lines of code, so that pictures and truth don't lean on the code
that later measures them; tests check it against an independent library. Units: metres, pixels
(centre of the top-left pixel is 0, 0), seconds, `Fraction` rates.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, Hand, IntArray, View

_UNDISTORT_ROUNDS = 8
# The lenses here bend by a few pixels; eight rounds leave under a millionth of one.


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """How one camera maps directions to pixels.

    Args:
        width_px: Picture width.
        height_px: Picture height.
        focal_px: Focal length in pixels, the same for both axes.
        centre_px: Principal point.
        bend: Radial and sideways distortion k1, k2, p1, p2, k3.
    """

    width_px: int
    height_px: int
    focal_px: float
    centre_px: tuple[float, float]
    bend: tuple[float, float, float, float, float]

    def scaled(self, share: float) -> Lens:
        """The same view in a picture of another size, rounded to even pixels."""
        width, height = (2 * round(0.5 * share * side) for side in (self.width_px, self.height_px))
        by = width / self.width_px
        cx, cy = ((c + 0.5) * by - 0.5 for c in self.centre_px)
        return replace(
            self, width_px=width, height_px=height, focal_px=by * self.focal_px, centre_px=(cx, cy)
        )

    def upright(self) -> Lens:
        """The same lens before a picture that is taller than wide."""
        (cx, cy), (k1, k2, p1, p2, k3) = self.centre_px, self.bend
        return replace(
            self,
            width_px=self.height_px,
            height_px=self.width_px,
            centre_px=(self.height_px - 1.0 - cy, cx),
            bend=(k1, k2, p2, -p1, k3),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """How a camera is set up otherwise than usual.

    Args:
        shift_m: Its place is off by this.
        aim_shift_m: What it looks at is off by this.
        roll_deg: Tilted to its right.
        upright: Mounted on its side, and its source set so that pictures come upright.
        size_share: Picture size against 1280 x 720; 1.5 gives 1920 x 1080.
    """

    shift_m: tuple[float, ...] = (0.0, 0.0, 0.0)
    aim_shift_m: tuple[float, ...] = (0.0, 0.0, 0.0)
    roll_deg: float = 0.0
    upright: bool = False
    size_share: float = 1.0


AS_USUAL = Placement()


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """One camera of the bay, with its own clock's start and its own sound.

    Args:
        name: What the device calls itself.
        view: Where it stands.
        lens: Its lens.
        at_m: Place of the lens in the bay.
        look_at_m: The point in the middle of its picture.
        rate_hz: Frames a second.
        exposure_s: How long each picture is open.
        read_out_s: From the first to the last row; 0 is a global shutter.
        sound_late_s: How much later the file has the sound than the picture, constant.
        roll_deg: How far it is tilted to its right.
        phase: Share of a frame interval by which its frames are off the swing's zero.
    """

    name: str
    view: View
    lens: Lens
    at_m: tuple[float, float, float]
    look_at_m: tuple[float, float, float]
    rate_hz: Fraction = Fraction(120)
    exposure_s: float = 0.001
    read_out_s: float = 0.0
    sound_late_s: float = 0.0
    phase: float = 0.0
    roll_deg: float = 0.0

    @property
    def rotation(self) -> FloatArray:
        """World axes to camera axes (x right, y down, z ahead), shape (3, 3)."""
        return _axes(self.at_m, self.look_at_m, self.roll_deg)

    @property
    def camera_from_world(self) -> FloatArray:
        """Homogeneous transform, shape (4, 4)."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.rotation
        matrix[:3, 3] = -self.rotation @ np.asarray(self.at_m)
        return matrix

    def seen(self, points_m: FloatArray) -> FloatArray:
        """Points in camera axes, shape (n, 3); the third is how far ahead, in metres."""
        return np.asarray((points_m - np.asarray(self.at_m)) @ self.rotation.T, dtype=np.float64)

    def project(self, points_m: FloatArray) -> FloatArray:
        """Where points in the bay fall in the picture.

        Args:
            points_m: World points, shape (n, 3), ahead of the lens.

        Returns:
            Pixels x, y, shape (n, 2); not cut to the picture.
        """
        return self.pixels(self.seen(points_m))

    def pixels(self, seen_m: FloatArray) -> FloatArray:
        """Pixels of points already in camera axes, (n, 3) to (n, 2)."""
        flat = seen_m[:, :2] / seen_m[:, 2:3]
        centre = np.asarray(self.lens.centre_px, dtype=np.float64)
        return np.asarray(self.lens.focal_px * _bent(flat, self.lens.bend) + centre)

    def rays(self, pixels: FloatArray) -> FloatArray:
        """World directions (not of length 1) that fall on pixels, (n, 2) to (n, 3)."""
        bent = (pixels - np.asarray(self.lens.centre_px)) / self.lens.focal_px
        flat = bent.copy()
        for _ in range(_UNDISTORT_ROUNDS):
            flat += bent - _bent(flat, self.lens.bend)
        return np.column_stack([flat, np.ones(len(flat))]) @ self.rotation

    def frame_times_ns(self, first_ns: int, frames: int) -> IntArray:
        """Middle of each exposure on the swing's clock, shape (n,), from `first_ns`."""
        step = NS_PER_S / self.rate_hz
        return np.array([first_ns + round(n * step) for n in range(frames)], dtype=np.int64)

    def mirrored(self) -> Camera:
        """The same camera for the other hand: on the other side of the target line."""
        (x, y, z), (u, v, w) = self.at_m, self.look_at_m
        return replace(self, at_m=(x, -y, z), look_at_m=(u, -v, w), roll_deg=0.0 - self.roll_deg)

    def placed(self, how: Placement) -> Camera:
        """The same camera, set up otherwise.

        Rows are read from the top of the picture as it is delivered, upright or not.
        """
        lens = self.lens.scaled(how.size_share)
        (x, y, z), (u, v, w) = self.at_m, self.look_at_m
        (dx, dy, dz), (du, dv, dw) = how.shift_m, how.aim_shift_m
        return replace(
            self,
            lens=lens.upright() if how.upright else lens,
            at_m=(x + dx, y + dy, z + dz),
            look_at_m=(u + du, v + dv, w + dw),
            roll_deg=self.roll_deg + how.roll_deg,
        )


@lru_cache(maxsize=8)
def _axes(
    at_m: tuple[float, float, float], look_at_m: tuple[float, float, float], roll_deg: float
) -> FloatArray:
    """A camera's axes in the bay, worked out once: each point that is drawn asks for them."""
    ahead = np.asarray(look_at_m) - np.asarray(at_m)
    ahead = ahead / np.linalg.norm(ahead)
    right = np.cross(ahead, np.array([0.0, 0.0, 1.0]))
    right = right / np.linalg.norm(right)
    down, roll = np.cross(ahead, right), np.radians(roll_deg)
    tilted = np.cos(roll) * right + np.sin(roll) * down
    axes = np.stack([tilted, np.cross(ahead, tilted), ahead])
    axes.flags.writeable = False
    return axes


def _bent(flat: FloatArray, bend: tuple[float, float, float, float, float]) -> FloatArray:
    """Apply the lens's distortion to directions x/z, y/z; (n, 2) to (n, 2)."""
    k1, k2, p1, p2, k3 = bend
    x, y = flat[:, 0], flat[:, 1]
    r2 = x * x + y * y
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    return np.stack(
        [
            x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
            y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y,
        ],
        axis=-1,
    )


FACE_ON = Camera(
    name="bay camera",
    view=View.FACE_ON,
    lens=Lens(
        width_px=1280,
        height_px=720,
        focal_px=1110.0,
        centre_px=(641.5, 357.0),
        bend=(-0.062, 0.018, 0.0004, -0.0003, 0.0),
    ),
    at_m=(-0.06, -3.60, 1.10),
    look_at_m=(-0.06, 0.6, 1.02),
    phase=0.31,
)
DOWN_THE_LINE = Camera(
    name="second phone",
    view=View.DOWN_THE_LINE,
    lens=Lens(
        width_px=1280,
        height_px=720,
        focal_px=1050.0,
        centre_px=(637.0, 361.5),
        bend=(0.041, -0.052, -0.0003, 0.0005, 0.0),
    ),
    at_m=(-3.80, 0.50, 1.05),
    look_at_m=(0.3, 0.50, 1.10),
    exposure_s=0.0008,
    sound_late_s=0.024,
    phase=-0.17,
)


def cameras_for(hand: Hand) -> tuple[Camera, Camera]:
    """Face-on and down-the-line camera for a golfer of that hand."""
    both = (FACE_ON, DOWN_THE_LINE)
    return both if hand is Hand.RIGHT else (both[0].mirrored(), both[1].mirrored())
