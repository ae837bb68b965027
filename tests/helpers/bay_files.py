"""Small files as a bay's cameras write them: a club goes back and through, a ball leaves, a strike.

Each camera sees another background, so that its view is its own. Frame numbers are coded into the
pictures, as in `coded_media`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np

from capturestation.media.encode import ClipWriter
from capturestation.records import FrameArray, View
from tests.helpers.coded_media import click, write_coded_clip
from tests.helpers.swings import Motion, club_angle_rad

SIZE = (160, 96)
RATE_HZ = Fraction(60)
FRAMES = 132
CONTACT_S = 1.3
MOTION = Motion(back_s=0.80, down_s=0.25, through_s=0.6, top_rad=3.6)
_HUB = (86, 40)
_CLUB_PX = 38
_BALL = (86, 82)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filmed:
    """What one camera is like.

    Args:
        view: Decides the background.
        contact_s: First contact, on the file's clock.
        has_sound: Whether the strike is recorded.
        heard_s: Where it stands in the sound; at contact unless given.
        has_ball: Whether a ball lies there.
        slower: So many times slower the file plays, with as many more frames.
        motion: How the club goes.
        seed: Other noise, so that no two files hold the same bytes.
        frames: How many.
        walks_s: From when to when somebody walks by, nearer than the golfer.
    """

    view: View = View.FACE_ON
    contact_s: float = CONTACT_S
    has_sound: bool = True
    heard_s: float | None = None
    has_ball: bool = True
    slower: int = 1
    motion: Motion = MOTION
    seed: int = 0
    frames: int = FRAMES
    walks_s: tuple[float, float] | None = None


def bay_file(path: Path, filmed: Filmed | None = None) -> Path:
    """Write what that camera recorded."""
    filmed = filmed or Filmed()
    ground = _ground(filmed.view)
    noise = np.random.default_rng(filmed.seed)
    frames = filmed.frames * filmed.slower
    long_s = frames / float(RATE_HZ)
    heard_s = filmed.slower * filmed.contact_s if filmed.heard_s is None else filmed.heard_s
    return write_coded_clip(
        path,
        frames=frames,
        rate_hz=RATE_HZ,
        size=SIZE,
        sound=click(at_s=heard_s, long_s=long_s) if filmed.has_sound else None,
        picture=lambda n: _picture(n, filmed, ground, noise),
    )


def uncoded_file(path: Path, filmed: Filmed) -> Path:
    """Write what that camera recorded, without sound and without the codes, which flash."""
    ground, noise = _ground(filmed.view), np.random.default_rng(filmed.seed)
    with ClipWriter(path, width=SIZE[0], height=SIZE[1], rate_hz=RATE_HZ, key_every=1) as clip:
        for number in range(filmed.frames):
            clip.write_rgb(_picture(number, filmed, ground, noise))
    return path


def _ground(view: View) -> FrameArray:
    rng = np.random.default_rng(list(View).index(view) + 1)
    blocks = rng.integers(40, 110, (6, 10, 3)).astype(np.uint8)
    return cv2.resize(blocks, SIZE, interpolation=cv2.INTER_CUBIC).astype(np.uint8)


def _picture(
    number: int, filmed: Filmed, ground: FrameArray, noise: np.random.Generator
) -> FrameArray:
    at_s = number / float(RATE_HZ) / filmed.slower - filmed.contact_s
    angle = float(club_angle_rad(np.array([at_s]), filmed.motion)[0])
    picture = ground.astype(np.int16) + noise.integers(-1, 2, ground.shape, dtype=np.int16)
    frame: FrameArray = np.clip(picture, 0, 255).astype(np.uint8)
    tip = (
        round(_HUB[0] - _CLUB_PX * float(np.sin(angle))),
        round(_HUB[1] + _CLUB_PX * float(np.cos(angle))),
    )
    cv2.line(frame, _HUB, tip, (225, 225, 225), 2, cv2.LINE_AA)
    if at_s < 0 and filmed.has_ball:
        cv2.circle(frame, _BALL, 3, (250, 250, 250), -1, cv2.LINE_AA)
    if filmed.walks_s is not None:
        first_s, last_s = filmed.walks_s
        share = (at_s + filmed.contact_s - first_s) / (last_s - first_s)
        left = round(-30 + share * (SIZE[0] + 30))
        cv2.rectangle(frame, (left, 4), (left + 30, 70), (20, 20, 20), -1)
    return frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """The two files of one swing."""

    face_on: Path
    down_the_line: Path

    @property
    def by_view(self) -> dict[View, Path]:
        """By where the camera stood."""
        return {View.FACE_ON: self.face_on, View.DOWN_THE_LINE: self.down_the_line}


def bay_pair(folder: Path, name: str, *, motion: Motion = MOTION, seed: int = 0) -> Pair:
    """Write both files of one swing; the second camera was started 0.2 s later."""
    second = Filmed(
        view=View.DOWN_THE_LINE, contact_s=CONTACT_S - 0.2, motion=motion, seed=2 * seed + 1
    )
    return Pair(
        face_on=bay_file(folder / f"{name} a.mp4", Filmed(motion=motion, seed=2 * seed)),
        down_the_line=bay_file(folder / f"{name} b.mp4", second),
    )
