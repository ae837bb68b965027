"""Draws frames: faces sorted by depth, shaded, twice as fine and brought down, blurred by motion.

Owns the picture of one moment in one camera. The same golfer, camera, time and seed give the same
picture. Refuses files; `session` writes them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray, Hand, IntArray
from sample_sessions.cameras import Camera
from sample_sessions.clothes import Clothes
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.rings import Faces
from sample_sessions.scene import EmptyBay, empty_bay, shadowed
from sample_sessions.surfaces import faces

FINE = 2
# Drawn at twice the size and brought down: smooth edges without seams between faces.
_SHIFT = 4
BLUR_STEP_PX = 2.0
MOST_SHUTTER_STEPS = 6
NOISE_LEVELS = 1.2
_LAMPS = (
    (np.array([-0.15, -0.55, 0.82]), 0.50),
    (np.array([0.25, 0.55, 0.80]), 0.22),
    (np.array([-0.90, 0.10, 0.40]), 0.12),
    (np.array([0.10, -1.00, -0.05]), 0.16),
)
_AMBIENT = 0.46


@dataclass
class Renderer:
    """One golfer before one camera.

    Args:
        golfer: Who swings.
        camera: Who looks.
        clothes: What he wears.
    """

    golfer: Golfer
    camera: Camera
    clothes: Clothes = field(default_factory=Clothes)
    _bay: EmptyBay | None = field(default=None, init=False)

    @property
    def bay(self) -> EmptyBay:
        """The empty bay, worked out at the first use."""
        if self._bay is None:
            mirror = self.golfer.swing.hand is Hand.LEFT
            self._bay = empty_bay(self.camera, mirror=mirror)
        return self._bay

    def frame(self, time_s: float, *, number: int = 0) -> FrameArray:
        """The picture whose exposure is centred on `time_s`.

        Args:
            time_s: Seconds of the swing's clock.
            number: The frame's number, for its noise.

        Returns:
            (height, width, 3) RGB uint8.
        """
        half_s = 0.5 * self.camera.exposure_s
        ends = self.golfer.pose(np.array([time_s - half_s, time_s, time_s + half_s]))
        steps = self._shutter_steps(ends)
        share = (np.arange(steps) + 0.5) / steps
        pose = self.golfer.pose(time_s - half_s + share * self.camera.exposure_s)
        ground = self._ground(ends)
        bodies = [faces(pose, step, self.golfer.swing, self.clothes) for step in range(steps)]
        left, top, right, bottom = self._window(bodies)
        patch = ground[top:bottom, left:right]
        fine = np.repeat(np.repeat(patch, FINE, axis=0), FINE, axis=1)
        total = np.zeros(patch.shape, np.float32)
        for body in bodies:
            drawn = self._drawn(fine.copy(), body, (left, top))
            size = (right - left, bottom - top)
            total += cv2.resize(drawn, size, interpolation=cv2.INTER_AREA)
        ground[top:bottom, left:right] = np.round(total / steps).astype(np.uint8)
        return _noisy(ground, self.golfer.swing.seed, number)

    def _shutter_steps(self, ends: Pose) -> int:
        tracks = [ends.club_face, ends.ball, ends.lead_hand]
        moved = max(
            float(np.abs(np.diff(self.camera.project(track[[0, 2]]), axis=0)).max())
            for track in tracks
        )
        return int(np.clip(np.ceil(moved / BLUR_STEP_PX), 1, MOST_SHUTTER_STEPS))

    def _ground(self, pose: Pose) -> FrameArray:
        names = (
            ("lead_heel", "lead_toe", 0.10), ("trail_heel", "trail_toe", 0.10),
            ("lead_ankle", "lead_knee", 0.12), ("trail_ankle", "trail_knee", 0.12),
            ("lead_knee", "lead_hip", 0.16), ("trail_knee", "trail_hip", 0.16),
            ("pelvis", "chest", 0.30), ("lead_shoulder", "trail_shoulder", 0.22),
            ("lead_shoulder", "lead_elbow", 0.09), ("lead_elbow", "lead_hand", 0.08),
            ("trail_shoulder", "trail_elbow", 0.09), ("trail_elbow", "trail_hand", 0.08),
            ("ball", "ball", 0.05),
        )  # fmt: skip
        limbs = np.array([[getattr(pose, a)[1], getattr(pose, b)[1]] for a, b, _ in names])
        if self.golfer.swing.hand is Hand.LEFT:
            limbs = limbs * np.array([1.0, -1.0, 1.0])
        return shadowed(self.bay, limbs, np.array([width for _, _, width in names]))

    def _window(self, bodies: list[Faces]) -> tuple[int, int, int, int]:
        """Left, top, right, bottom of what golfer, club and ball touch."""
        lens = self.camera.lens
        spots = np.concatenate([self.camera.project(body.corners) for body in bodies])
        low = np.clip(np.floor(spots.min(axis=0)) - 2, 0, (lens.width_px - 4, lens.height_px - 4))
        high = np.clip(np.ceil(spots.max(axis=0)) + 3, low + 4, (lens.width_px, lens.height_px))
        return int(low[0]), int(low[1]), int(high[0]), int(high[1])

    def _drawn(self, fine: FrameArray, body: Faces, corner_px: tuple[int, int]) -> FrameArray:
        seen = self.camera.seen(body.corners)
        spots = self.camera.pixels(seen)
        inner = self.camera.seen(body.inner)
        quads = seen[body.quads]
        middle = quads.mean(axis=1)
        normal = np.cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])
        inwards = np.sum(normal * (middle - inner), axis=1) < 0.0
        normal = np.where(inwards[:, None], -normal, normal)
        shown = np.flatnonzero(np.sum(normal * middle, axis=1) < 0.0)
        shade = self._light(_smoothed(normal, body.quads, len(seen)) @ self.camera.rotation)
        colours = np.clip(body.colours * shade[body.quads].mean(axis=1)[:, None], 0.0, 255.0)
        fixed = np.round(((spots - corner_px + 0.5) * FINE - 0.5) * (1 << _SHIFT)).astype(np.int32)
        corners = fixed[body.quads]
        for face in shown[np.argsort(-middle[shown, 2])]:
            cv2.fillConvexPoly(fine, corners[face], colours[face].tolist(), cv2.LINE_8, _SHIFT)
        return fine

    def _light(self, normal: FloatArray) -> FloatArray:
        """Brightness by outward direction in the bay, shape (n,)."""
        flip = np.array([1.0, -1.0 if self.golfer.swing.hand is Hand.LEFT else 1.0, 1.0])
        total = np.full(len(normal), _AMBIENT) + 0.10 * normal[:, 2]
        for direction, strength in _LAMPS:
            lamp = direction * flip / np.linalg.norm(direction)
            total += strength * np.maximum(normal @ lamp, 0.0)
        return total


def _smoothed(normal: FloatArray, quads: IntArray, corners: int) -> FloatArray:
    """Outward direction at each corner, averaged by size over its faces; shape (corners, 3)."""
    total = np.stack(
        [
            np.bincount(quads.ravel(), np.repeat(normal[:, axis], 4), minlength=corners)
            for axis in range(3)
        ],
        axis=1,
    )
    size = np.linalg.norm(total, axis=1, keepdims=True)
    return np.asarray(total / np.maximum(size, 1e-15), dtype=np.float64)


def _noisy(frame: FrameArray, seed: int, number: int) -> FrameArray:
    """A little sensor noise, repeatable by seed and frame number."""
    random = np.random.default_rng((seed, number))
    tile = _noise_tile()
    rows, columns = random.integers(0, 64, 2)
    height, width = frame.shape[:2]
    noise = tile[rows : rows + height, columns : columns + width]
    return np.asarray(cv2.add(frame, noise, dtype=cv2.CV_8U), dtype=np.uint8)


_TILE: list[FloatArray] = []


def _noise_tile() -> FloatArray:
    if not _TILE:
        random = np.random.default_rng(20261030)
        grey = random.normal(0.0, NOISE_LEVELS, (784, 1344, 1))
        _TILE.append(np.round(np.repeat(grey, 3, axis=2)).astype(np.int16))
    return _TILE[0]
