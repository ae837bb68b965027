"""Draws frames: golfer, club, ball and who else is there, blurred by the shutter, row by row.

Owns the picture of one moment in one camera. The same golfer, camera, time and seed give the same
picture. Refuses files; `film` writes them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from capturestation.records import FloatArray, FrameArray, Hand
from sample_sessions.cameras import Camera
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.company import company, others
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.light import brightness, flicker, noisy
from sample_sessions.raster import Box, Canvas, Lit, box_around, outward, seen_by
from sample_sessions.rings import Faces
from sample_sessions.scene import EmptyBay, empty_bay, shadowed
from sample_sessions.surfaces import quick_faces, slow_faces

BLUR_STEP_PX = 2.0
MOST_SHUTTER_STEPS = 6
BAND_STEP_PX = 3.0
MOST_BANDS = 24
_SHADES = (
    ("lead_heel", "lead_toe", 0.10), ("trail_heel", "trail_toe", 0.10),
    ("lead_ankle", "lead_knee", 0.12), ("trail_ankle", "trail_knee", 0.12),
    ("lead_knee", "lead_hip", 0.16), ("trail_knee", "trail_hip", 0.16),
    ("pelvis", "chest", 0.30), ("lead_shoulder", "trail_shoulder", 0.22),
    ("lead_shoulder", "lead_elbow", 0.09), ("lead_elbow", "lead_hand", 0.08),
    ("trail_shoulder", "trail_elbow", 0.09), ("trail_elbow", "trail_hand", 0.08),
)  # fmt: skip
# What casts a shadow: from, to, how thick in metres.
_QUICK = ("club_face", "ball", "lead_hand")


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
            sticks = self.golfer.swing.around.second_stick
            self._bay = empty_bay(self.camera, mirror=self._mirror, second_stick=sticks)
        return self._bay

    @property
    def _mirror(self) -> bool:
        return self.golfer.swing.hand is Hand.LEFT

    def frame(self, time_s: float, *, number: int = 0) -> FrameArray:
        """The picture of which the first row's exposure is centred on `time_s`.

        Args:
            time_s: Seconds of the swing's clock.
            number: The frame's number, for its noise.

        Returns:
            (height, width, 3) RGB uint8.
        """
        lens, late_s = self.camera.lens, self.camera.read_out_s
        ground = self._ground(time_s + 0.5 * late_s)
        bands = self._bands(time_s)
        edges = np.round(np.linspace(0, lens.height_px, bands + 1)).astype(int)
        for top, bottom in pairwise(edges):
            middle_s = time_s + late_s * 0.5 * (top + bottom - 1) / lens.height_px
            self._band(ground, middle_s, (int(top), int(bottom)))
        around = self.golfer.swing.around
        if around.flicker > 0.0:
            row_s = time_s + late_s * np.arange(lens.height_px) / lens.height_px
            gain = flicker(row_s, self.camera.exposure_s, around).astype(np.float32)
            ground *= gain[:, None, None]
        return noisy(ground, around.noise_levels, self.golfer.swing.seed, number)

    def _bands(self, time_s: float) -> int:
        """How many groups of rows share an instant; one for a global shutter."""
        if self.camera.read_out_s <= 0.0:
            return 1
        moved = self._moved_px(np.array([time_s, time_s + self.camera.read_out_s]))
        return int(np.clip(np.ceil(moved / BAND_STEP_PX), 1, MOST_BANDS))

    def _moved_px(self, ends_s: FloatArray) -> float:
        pose = self.golfer.pose(ends_s)
        return max(
            float(np.abs(np.diff(self.camera.project(getattr(pose, name)), axis=0)).max())
            for name in _QUICK
        )

    def _band(self, ground: FloatArray, time_s: float, rows: tuple[int, int]) -> None:
        """Draw everybody into some rows of the picture, open around `time_s`."""
        exposure_s = self.camera.exposure_s
        moved = self._moved_px(time_s + exposure_s * np.array([-0.5, 0.5]))
        steps = int(np.clip(np.ceil(moved / BLUR_STEP_PX), 1, MOST_SHUTTER_STEPS))
        share = (np.arange(steps) + 0.5) / steps - 0.5
        # The middle first: for what is drawn once.
        poses = self.golfer.pose(time_s + exposure_s * np.array([0.0, *share]))
        slow = [self._lit(part) for part in self._slow(poses, time_s)]
        quick = [self._lit(self._quick(poses, 1 + step)) for step in range(steps)]
        whole = box_around(self.camera, np.concatenate([lit.spots for lit in slow + quick]))
        box = whole.rows(*rows)
        if 0 in box.size:
            return
        canvas = Canvas(ground[box.cut], box)
        for lit in slow:
            canvas.draw(lit)
        ground[box.cut] = canvas.picture()
        moving = box_around(self.camera, np.concatenate([lit.spots for lit in quick]))
        self._blurred(ground, canvas, quick, moving.rows(*rows))

    def _blurred(self, ground: FloatArray, canvas: Canvas, quick: list[Lit], box: Box) -> None:
        """Average the instants of what moves."""
        if 0 in box.size:
            return
        total = np.zeros(ground[box.cut].shape, np.float32)
        for lit in quick:
            part = canvas.part(box)
            part.draw(lit)
            total += part.picture()
        ground[box.cut] = total / np.float32(len(quick))

    def _slow(self, poses: Pose, time_s: float) -> list[Faces]:
        at = Reader(poses, 0, self.golfer.body)
        return [slow_faces(at, self.clothes), *company(self.golfer, time_s)]

    def _quick(self, poses: Pose, index: int) -> Faces:
        return quick_faces(Reader(poses, index, self.golfer.body), self.golfer.swing, self.clothes)

    def _lit(self, faces: Faces) -> Lit:
        return seen_by(self.camera, faces, brightness(outward(faces), mirror=self._mirror))

    def _ground(self, time_s: float) -> FloatArray:
        """The empty bay with everybody's shadow."""
        golfer = self.golfer.pose(np.array([time_s]))
        poses = [golfer, *others(self.golfer, time_s)]
        limbs = np.array(
            [[getattr(p, a)[0], getattr(p, b)[0]] for p in poses for a, b, _ in _SHADES]
        )
        widths = np.array([width for _ in poses for *_, width in _SHADES])
        at_ball = np.repeat(golfer.ball[:, None], 2, axis=1)
        limbs = np.concatenate([limbs, at_ball])
        if self._mirror:
            limbs = limbs * np.array([1.0, -1.0, 1.0])
        return shadowed(self.bay, limbs, np.append(widths, 0.05))
