"""Draws some pictures in a row of one swing, and says where the club is in the middle of each.

Owns the way from a `Setting` to grey pictures and truth: grip, end of the shaft, and which parts of
the shaft a camera sees. Refuses files and learning.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from scipy.spatial.transform import Rotation

from capturestation.records import FloatArray, FrameArray
from sample_sessions.clothes import Reader
from sample_sessions.extras import ball, club
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.parameters import SwingParameters
from sample_sessions.raster import FINE, Box, Canvas, Lit
from sample_sessions.render import Renderer
from sample_sessions.rings import Faces, joined
from sample_sessions.scene import EmptyBay
from sample_sessions.surfaces import arms
from sample_sessions.training.grounds import glared, made_up
from sample_sessions.training.variety import FRAMES, PICTURE_PX, ClubLook, Setting, times_s

SHAFT_SPOTS = 17
# Where the shaft is asked for, grip and end included.
_GRIP_SPOT_M = 0.035
# From the lead hand's middle down the shaft: the middle between the hands.
_BEHIND_M = 0.035
# What lies so far behind a surface is hidden by it; the hands round the grip are not.
_MOST_INSTANTS, _INSTANT_PX = 10, 1.5
_GLARE_ODDS, _HIDING_ODDS = 0.15, 0.12


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pictures in a row and what is true of each.

    Args:
        greys: (FRAMES, PICTURE_PX, PICTURE_PX) uint8.
        shaft_px: (FRAMES, SHAFT_SPOTS, 2) from grip to end, also outside the picture.
        seen: (FRAMES, SHAFT_SPOTS) 1 where nothing hides that spot and it is in the picture.
        whole_px: (FRAMES,) how long the shaft would be in the picture, held square to the view.
    """

    greys: FrameArray
    shaft_px: FloatArray
    seen: FloatArray
    whole_px: FloatArray


class TurnedGolfer(Golfer):
    """A golfer whose club is turned in his hands.

    Args:
        swing: What shapes the swing.
        turned_deg: By how much about x, y and z.
    """

    def __init__(self, swing: SwingParameters, turned_deg: tuple[float, float, float]) -> None:
        self._turn = Rotation.from_euler("xyz", turned_deg, degrees=True).as_matrix()
        super().__init__(swing)

    def pose(self, time_s: FloatArray) -> Pose:
        """As it is, with the club turned about the lead hand."""
        pose = super().pose(time_s)
        hand = pose.lead_hand

        def turned(at: FloatArray) -> FloatArray:
            return np.asarray(hand + (at - hand) @ self._turn.T, dtype=np.float64)

        return replace(
            pose, club_butt=turned(pose.club_butt), club_face=turned(pose.club_face),
            club_hosel=turned(pose.club_hosel), club_toe=pose.club_toe @ self._turn.T,
        )  # fmt: skip


class RowRenderer(Renderer):
    """Draws squares of a setting.

    Args:
        chosen: What decides them.
    """

    def __init__(self, chosen: Setting) -> None:
        golfer = TurnedGolfer(chosen.swing, chosen.club.turned_deg)
        super().__init__(golfer, chosen.camera, chosen.clothes)
        self._chosen = chosen
        self._random = np.random.default_rng((chosen.seed, 7))
        self._behind: EmptyBay | None = None

    @property
    def bay(self) -> EmptyBay:
        """What stands behind, worked out once."""
        if self._behind is None:
            plain = super().bay
            self._behind = plain if self._chosen.plain_bay else made_up(plain, self._random)
        return self._behind

    def row(self, middle_s: float) -> Row:
        """Pictures around a time; light, noise and whatever hides something are drawn anew."""
        chosen, random = self._chosen, self._random
        steps: FloatArray = np.arange(FRAMES, dtype=np.float64) - FRAMES // 2
        times: FloatArray = middle_s + chosen.step_s * steps
        drawn = [self._picture(float(time_s)) for time_s in times]
        colours = np.stack([colour for colour, _ in drawn])
        seen = np.stack([inside for _, inside in drawn])
        shaft = self._shafts(times)
        spots = self.camera.project(shaft.reshape(-1, 3)).reshape(FRAMES, SHAFT_SPOTS, 2)
        if random.uniform() < _GLARE_ODDS:
            colours = colours + glared(colours[0], random)
        greys = colours @ np.asarray(chosen.grey_weights, dtype=np.float32)
        if random.uniform() < _HIDING_ODDS:
            seen = seen * _hide(greys, spots, random)
        greys = greys + random.normal(0.0, random.uniform(0.3, 5.0), greys.shape)
        return Row(
            greys=np.clip(greys + 0.5, 0.0, 255.0).astype(np.uint8),
            shaft_px=spots,
            seen=seen,
            whole_px=self._whole_px(shaft),
        )

    def _shafts(self, times: FloatArray) -> FloatArray:
        """Spots along the shaft in the bay, (n, SHAFT_SPOTS, 3)."""
        pose = self.golfer.pose(times)
        along = pose.club_hosel - pose.club_butt
        axis = along / np.linalg.norm(along, axis=1, keepdims=True)
        from_butt = self.golfer.swing.club.butt_m + _GRIP_SPOT_M
        grip = pose.club_butt + from_butt * axis
        share = np.linspace(0.0, 1.0, SHAFT_SPOTS)[None, :, None]
        return np.asarray(grip[:, None] + share * (pose.club_hosel - grip)[:, None])

    def _whole_px(self, shaft: FloatArray) -> FloatArray:
        long_m = np.linalg.norm(shaft[:, -1] - shaft[:, 0], axis=1)
        far_m = self.camera.seen(shaft[:, 0])[:, 2]
        return np.asarray(self.camera.lens.focal_px * long_m / far_m, dtype=np.float64)

    def _picture(self, time_s: float) -> tuple[FloatArray, FloatArray]:
        """One picture in colour, and which spots of the shaft are seen in its middle."""
        box = Box(0, 0, PICTURE_PX, PICTURE_PX)
        canvas = Canvas(self._ground(time_s), box)
        for lit in self._slow(time_s):
            canvas.draw(lit)
        ends = self.camera.project(
            self.golfer.pose(time_s + self.camera.exposure_s * np.array([-0.5, 0.5])).club_face
        )
        moved_px = float(np.abs(ends[1] - ends[0]).max())
        steps = int(np.clip(np.ceil(moved_px / _INSTANT_PX), 1, _MOST_INSTANTS))
        open_s = time_s + self.camera.exposure_s * ((np.arange(steps) + 0.5) / steps - 0.5)
        pose = self.golfer.pose(open_s)
        total: FloatArray = np.zeros((PICTURE_PX, PICTURE_PX, 3), np.float32)
        seen: FloatArray = np.zeros(SHAFT_SPOTS)
        limbs: Lit | None = None
        for step in range(steps):
            at = Reader(pose, step, self.golfer.body)
            if limbs is None or step % 3 == 0:
                limbs = self._lit(joined(arms(at, self.clothes)))
            part = canvas.part(box)
            part.draw(limbs)
            if step == steps // 2:
                seen = self._seen(part, self._shafts(np.array([time_s]))[0])
            part.draw(self._lit(_club_faces(at, self._chosen.swing, self._chosen.club)))
            total += part.picture()
        return np.asarray(total / np.float32(steps)), seen

    def _seen(self, canvas: Canvas, shaft: FloatArray) -> FloatArray:
        """1 where a spot is in the picture and nothing drawn so far lies before it."""
        spots, far_m = self.camera.project(shaft), self.camera.seen(shaft)[:, 2]
        inside = ((spots > -0.5) & (spots < PICTURE_PX - 0.5)).all(axis=1)
        fine = np.clip(np.round((spots + 0.5) * FINE - 0.5), 0, PICTURE_PX * FINE - 1).astype(int)
        before_m = canvas.depth[fine[:, 1], fine[:, 0]]
        return np.asarray(inside & (before_m > far_m - _BEHIND_M), dtype=np.float64)


def rows_of(chosen: Setting, count: int) -> list[Row]:
    """Some rows of one setting."""
    renderer = RowRenderer(chosen)
    return [renderer.row(float(at)) for at in times_s(chosen, count)]


def _club_faces(at: Reader, swing: SwingParameters, look: ClubLook) -> Faces:
    """Club in its colours and thickness, and the ball."""
    shaft, head = club(at, swing)
    colours = [look.grip, look.grip, *look.shaft]
    shaft = [
        replace(ring, side=look.thick * ring.side, ahead=look.thick * ring.ahead, colour=colour)
        for ring, colour in zip(shaft, colours, strict=True)
    ]
    head = [replace(ring, colour=look.head) for ring in head]
    return joined([shaft, head, ball(at["ball"], swing.around.ball_rgb)])


def _hide(greys: FloatArray, spots: FloatArray, random: np.random.Generator) -> FloatArray:
    """Put something before the hands or anywhere, the same in all pictures; what is still seen."""
    at = spots[FRAMES // 2, 0] + random.normal(0.0, 14.0, 2)
    if random.uniform() < 0.4:
        at = random.uniform(0.0, PICTURE_PX, 2)
    half = random.uniform(5.0, 26.0, 2)
    low = np.clip(at - half, 0, PICTURE_PX).astype(int)
    high = np.clip(at + half, 0, PICTURE_PX).astype(int)
    patch = greys[:, low[1] : high[1], low[0] : high[0]]
    if patch.size:
        patch[...] = random.uniform(10.0, 240.0)
        grain = random.normal(0.0, 12.0, patch.shape[1:]).astype(np.float32)
        patch += cv2.GaussianBlur(grain, (0, 0), 1.0)
    hidden = ((spots >= low) & (spots < high)).all(axis=-1)
    return np.asarray(~hidden, dtype=np.float64)
