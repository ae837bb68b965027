"""Draws frames: golfer, club, ball and who else is there, blurred by the shutter, row by row.

Owns the picture of one moment in one camera. The same golfer, camera, time and seed give the same
picture. Refuses files; `film` writes them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field, fields
from itertools import pairwise

import numpy as np

from capturestation.records import FloatArray, FrameArray, Hand
from sample_sessions.cameras import Camera
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.company import company, others
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.light import brightness, flicker, noisy
from sample_sessions.raster import Box, Canvas, Lit, box_around, facing, outsides, outward, seen_by
from sample_sessions.rings import Faces, joined
from sample_sessions.scene import EmptyBay, empty_bay, shadowed
from sample_sessions.surfaces import arms, quick_faces, slow_faces

BLUR_STEP_PX = 2.0
MOST_SHUTTER_STEPS = 6
BAND_STEP_PX, CALM_STEP_PX = 3.0, 0.5
# Rows that share an instant: whatever is quick goes no further in it, whatever is calm.
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
_QUICK = ("club_face", "club_butt", "ball", "lead_hand")
_ARMS = tuple(f"{arm}_{joint}" for arm in ("lead", "trail")
              for joint in ("shoulder", "elbow", "hand"))  # fmt: skip
_CALM = ("head", "lead_shoulder", "trail_shoulder", "trail_knee", "trail_heel")
_STRIDING = ("lead_ankle", "trail_ankle", "lead_hand", "trail_hand")
# What tells how far club, arms, golfer and company go meanwhile.
_ROOM_SHARE = 0.08
# So much of the picture's height may lie between a joint and what hangs on it.
_MIDDLES = [(step + 0.5) / n - 0.5 for n in range(1, MOST_SHUTTER_STEPS + 1) for step in range(n)]
_OPEN = np.array([-0.5, 0.5, *_MIDDLES])
_MIDDLE = 2
# An exposure's ends, then its instants if it is cut into one, two, three ...


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
    _last: tuple[float, Pose] | None = field(default=None, init=False)
    _still: tuple[bytes, FloatArray] | None = field(default=None, init=False)

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
        around, lens = self.golfer.swing.around, self.camera.lens
        picture = self._unlit(time_s)
        if around.flicker > 0.0:
            row_s = time_s + self.camera.read_out_s * np.arange(lens.height_px) / lens.height_px
            gain = flicker(row_s, self.camera.exposure_s, around).astype(np.float32)
            picture = picture * gain[:, None, None]
        return noisy(picture, around.noise_levels, self.golfer.swing.seed, number)

    def _unlit(self, time_s: float) -> FloatArray:
        """The picture without flicker and noise; the one before, where nobody has moved since."""
        stance = self._stance(time_s)
        if stance and self._still is not None and self._still[0] == stance:
            return self._still[1]
        picture = self._drawn(time_s)
        self._still = (stance, picture) if stance else None
        return picture

    def _stance(self, time_s: float) -> bytes:
        """The golfer's place, if he stands wholly still while a picture is open and is alone."""
        around = self.golfer.swing.around
        if around.re_tee_s is not None or around.passes_s is not None:
            return b""
        pose = self._open(time_s)
        ends = np.stack([getattr(pose, part.name)[:2] for part in fields(pose)], axis=1)
        if self.camera.read_out_s > 0.0:
            late = self._open(time_s + self.camera.read_out_s)
            ends[1] = [getattr(late, part.name)[1] for part in fields(late)]
        first, last = ends[0].tobytes(), ends[1].tobytes()
        return first if first == last else b""

    def _open(self, time_s: float) -> Pose:
        """The golfer at the instants of an exposure round this time, at one call for all."""
        if self._last is None or self._last[0] != time_s:
            self._last = time_s, self.golfer.pose(time_s + self.camera.exposure_s * _OPEN)
        return self._last[1]

    def _drawn(self, time_s: float) -> FloatArray:
        late_s = self.camera.read_out_s
        ground = self._ground(time_s + 0.5 * late_s)
        calm, slow = self._edges(time_s, _CALM, CALM_STEP_PX), dict[int, list[Lit]]()
        for top, bottom in pairwise(self._edges(time_s, _QUICK, BAND_STEP_PX)):
            group = bisect_right(calm, (top + bottom) // 2) - 1
            if group not in slow:
                slow[group] = self._slow(self._open_s(time_s, calm[group], calm[group + 1]))
            self._band(ground, self._open_s(time_s, top, bottom), (top, bottom), slow[group])
        return ground

    def _open_s(self, time_s: float, top: int, bottom: int) -> float:
        """When the middle of some rows is exposed."""
        share = 0.5 * (top + bottom - 1) / self.camera.lens.height_px
        return time_s + self.camera.read_out_s * share

    def _edges(self, time_s: float, names: tuple[str, ...], step_px: float) -> list[int]:
        """Where rows begin that share an instant of these joints; one group if none moves far."""
        groups, late_s = 1, self.camera.read_out_s
        if late_s > 0.0:
            moved = self._moved_px(np.array([time_s, time_s + late_s]), names)
            groups = int(np.clip(np.ceil(moved / step_px), 1, MOST_BANDS))
        edges = np.round(np.linspace(0, self.camera.lens.height_px, groups + 1))
        return [int(edge) for edge in edges]

    def _moved_px(self, ends_s: FloatArray, names: tuple[str, ...]) -> float:
        """How far the quickest of these joints goes; others who walk by count as calm ones do."""
        pose = self.golfer.pose(ends_s)
        steps = [np.diff(self.camera.project(getattr(pose, name)), axis=0) for name in names]
        if names is _CALM:
            then, now = (others(self.golfer, float(end_s)) for end_s in ends_s)
            steps += [
                self.camera.project(getattr(b, name)) - self.camera.project(getattr(a, name))
                for a, b in zip(then, now, strict=False)
                for name in _STRIDING
            ]
        return max(float(np.abs(step).max()) for step in steps)

    def _band(
        self, ground: FloatArray, time_s: float, rows: tuple[int, int], slow: list[Lit]
    ) -> None:
        """Draw everybody into some rows of the picture, open around `time_s`."""
        pose = self._open(time_s)
        moving = [
            self._instants(pose, rows, _ARMS, lambda at: joined(arms(at, self.clothes))),
            self._instants(pose, rows, _QUICK, lambda at: quick_faces(at, self.golfer.swing)),
        ]
        quick = [lit for instants in moving for lit in instants]
        whole = box_around(self.camera, np.concatenate([lit.spots for lit in slow + quick]))
        box = whole.rows(*rows)
        if 0 in box.size:
            return
        canvas = Canvas(ground[box.cut], box)
        for lit in slow:
            canvas.draw(lit)
        ground[box.cut] = canvas.picture()
        if quick:
            around = box_around(self.camera, np.concatenate([lit.spots for lit in quick]))
            self._blurred(ground, canvas, moving, around.rows(*rows))

    def _instants(
        self,
        pose: Pose,
        rows: tuple[int, int],
        names: tuple[str, ...],
        faces: Callable[[Reader], Faces],
    ) -> list[Lit]:
        """What hangs on some joints, as often as its blur needs; nothing far from these rows."""
        spots = np.stack([self.camera.project(getattr(pose, name)[:2]) for name in names])
        room_px = _ROOM_SHARE * self.camera.lens.height_px
        if spots[..., 1].max() < rows[0] - room_px or spots[..., 1].min() > rows[1] + room_px:
            return []
        moved = float(np.abs(spots[:, 1] - spots[:, 0]).max())
        steps = int(np.clip(np.ceil(moved / BLUR_STEP_PX), 1, MOST_SHUTTER_STEPS))
        first = _MIDDLE + steps * (steps - 1) // 2
        body = self.golfer.body
        return [self._lit(faces(Reader(pose, first + step, body))) for step in range(steps)]

    def _blurred(
        self, ground: FloatArray, canvas: Canvas, moving: list[list[Lit]], box: Box
    ) -> None:
        """Average the instants of what moves; what moves less is drawn again as it was."""
        if 0 in box.size:
            return
        total = np.zeros(ground[box.cut].shape, np.float32)
        steps = max(len(instants) for instants in moving)
        for step in range(steps):
            part = canvas.part(box)
            for instants in moving:
                if instants:
                    part.draw(instants[step * len(instants) // steps])
            total += part.picture()
        ground[box.cut] = total / np.float32(steps)

    def _slow(self, time_s: float) -> list[Lit]:
        """Trunk, legs and head, and everybody else: what hardly moves while rows are open."""
        at = Reader(self._open(time_s), _MIDDLE, self.golfer.body)
        return [
            self._lit(part)
            for part in (slow_faces(at, self.clothes), *company(self.golfer, time_s))
        ]

    def _lit(self, faces: Faces) -> Lit:
        outside = outsides(faces)
        light = brightness(outward(faces, outside), mirror=self._mirror)
        return seen_by(self.camera, facing(self.camera, faces, outside), light)

    def _ground(self, time_s: float) -> FloatArray:
        """The empty bay with everybody's shadow."""
        golfer = self._open(time_s)
        poses = [(golfer, _MIDDLE), *((one, 0) for one in others(self.golfer, time_s))]
        limbs = np.array(
            [[getattr(p, a)[at], getattr(p, b)[at]] for p, at in poses for a, b, _ in _SHADES]
        )
        widths = np.array([width for _ in poses for *_, width in _SHADES])
        at_ball = np.repeat(golfer.ball[None, _MIDDLE : _MIDDLE + 1], 2, axis=1)
        limbs = np.concatenate([limbs, at_ball])
        if self._mirror:
            limbs = limbs * np.array([1.0, -1.0, 1.0])
        return shadowed(self.bay, limbs, np.append(widths, 0.05))
