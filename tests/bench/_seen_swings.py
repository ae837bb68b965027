"""Invented swings that no finder was tuned on, rendered to files as two cameras would keep them.

Each is drawn by its seed: hand, club, full or pitch, rate, the cameras' places, light and shirt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.media.encode import ClipWriter
from capturestation.records import NS_PER_S, View
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.film import span_of
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.people import pitching, somebody
from sample_sessions.render import Renderer
from sample_sessions.sound import SOUND_RATE_HZ, swing_sound

RATES_HZ = (60, 60, 120, 120, 60, 240)
# Half of them have few pictures, where moments are hardest to tell; all are drawn in 25 minutes so.
SHIFT_M, AIM_M, ROLL_DEG = 0.10, 0.05, 1.0
"""How far a camera stands from its usual place, looks aside and is tilted."""
_PITCHES = 4
# Every so manieth is a pitch.


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenSwing:
    """One rendered swing.

    Args:
        seed: Decides everything.
        golfer: The exact motion.
        cameras: By view.
        files: By view.
        swing_minus_media_ns: By view, the truth.
    """

    seed: int
    golfer: Golfer
    cameras: dict[View, Camera]
    files: dict[View, Path]
    swing_minus_media_ns: dict[View, int]

    @property
    def rate_hz(self) -> float:
        """Frames a second."""
        return float(next(iter(self.cameras.values())).rate_hz)


def drawn(seed: int, *, rate_hz: int | None = None) -> tuple[SwingParameters, tuple[Camera, ...]]:
    """The golfer of a seed and his cameras, off their usual places."""
    swing = somebody(seed)
    if seed % _PITCHES == _PITCHES - 1:
        swing = pitching(swing)
    random = np.random.default_rng((771, seed))
    rate = Fraction(rate_hz or RATES_HZ[seed % len(RATES_HZ)])
    cameras = []
    for camera in cameras_for(swing.hand):
        how = Placement(
            shift_m=tuple(random.uniform(-SHIFT_M, SHIFT_M, 3)),
            aim_shift_m=tuple(random.uniform(-AIM_M, AIM_M, 3)),
            roll_deg=float(random.uniform(-ROLL_DEG, ROLL_DEG)),
        )
        exposure_s = min(camera.exposure_s, 0.5 / float(rate))
        phase = float(random.uniform(-0.5, 0.5))
        timed = replace(camera, rate_hz=rate, exposure_s=exposure_s, phase=phase)
        cameras.append(timed.placed(how))
    return swing, tuple(cameras)


def rendered(folder: Path, seed: int, *, rate_hz: int | None = None) -> SeenSwing:
    """Render a seed's swing to two files; files that are there are taken as they are."""
    swing, cameras = drawn(seed, rate_hz=rate_hz)
    golfer = Golfer(swing)
    files, offsets = {}, {}
    for camera in cameras:
        path = folder / f"{seed}.{float(camera.rate_hz):g}.{camera.view}.mp4"
        span = span_of(golfer, camera)
        if not path.exists():
            _film(path, golfer, camera, seed)
        files[camera.view], offsets[camera.view] = path, span.first_ns
    return SeenSwing(
        seed=seed, golfer=golfer, cameras={c.view: c for c in cameras}, files=files,
        swing_minus_media_ns=offsets,
    )  # fmt: skip


def _film(path: Path, golfer: Golfer, camera: Camera, seed: int) -> None:
    span = span_of(golfer, camera)
    random = np.random.default_rng((772, seed))
    red, green, blue = (int(level) for level in random.integers(30, 220, 3))
    renderer = Renderer(golfer, camera, Clothes(shirt=(red, green, blue)))
    times_s = camera.frame_times_ns(span.first_ns, span.frames) / NS_PER_S
    partial = path.with_suffix(".part.mp4")
    with ClipWriter(
        partial, width=camera.lens.width_px, height=camera.lens.height_px,
        rate_hz=camera.rate_hz, crf=23, preset="superfast", sound_rate_hz=SOUND_RATE_HZ,
        overwrite=True, key_every=12,
    ) as writer:  # fmt: skip
        for number, time_s in enumerate(times_s):
            writer.write_rgb(renderer.frame(float(time_s), number=number))
        span_s = span.frames / float(camera.rate_hz)
        first_s = span.first_ns / NS_PER_S
        writer.write_sound(swing_sound(golfer, camera, first_s=first_s, span_s=span_s))
    partial.rename(path)
