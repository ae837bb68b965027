"""A ball on a mat, the club that comes for it, and lamps that flicker; in grey, with the truth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FrameArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How the ball lies and who passes over it.

    Args:
        mat: Grey of the ground.
        ball: Grey of the ball.
        club: Grey of the club head; None for no club.
        flicker: Share by which lamps at 100 Hz brighten and dim.
        shade: Share of light taken by a shadow from 40 ms before contact on.
        waggle: The club rests behind the ball and passes over it long before the swing.
        noise: Standard deviation of the sensor, grey steps.
        covers: The club hides the whole ball in the frames next to contact.
    """

    mat: float = 90.0
    ball: float = 225.0
    club: float | None = 45.0
    flicker: float = 0.0
    shade: float = 0.0
    waggle: bool = False
    noise: float = 2.0
    covers: bool = False


def frame_times(rate_hz: float, seconds: float, phase_ns: int = 0) -> IntArray:
    """(n,) stamps."""
    return (np.arange(round(rate_hz * seconds)) * 1e9 / rate_hz).astype(np.int64) + phase_ns


def ball_patches(
    seed: int,
    times_ns: IntArray,
    contact_ns: int,
    lie: Lie,
    *,
    size_px: int = 24,
    radius_px: int = 5,
) -> FrameArray:
    """(n, size, size) patches: the ball is there before contact and gone after it."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:size_px, :size_px] - (size_px - 1) / 2
    inside = np.clip(radius_px + 0.5 - np.hypot(x, y), 0, 1)
    texture = rng.normal(0, 4, (size_px, size_px))
    patches = np.empty((len(times_ns), size_px, size_px), dtype=np.uint8)
    for i, time_ns in enumerate(times_ns):
        picture = lie.mat + texture
        since_s = (time_ns - contact_ns) * 1e-9
        if since_s < 0:
            picture = picture + inside * (lie.ball - picture)
        picture = _with_club(picture, x, y, since_s, lie, radius_px)
        light = 1 + lie.flicker * np.sin(2 * np.pi * 100 * time_ns * 1e-9)
        if since_s > -0.04:
            light *= 1 - lie.shade
        grey = picture * light + rng.normal(0, lie.noise, picture.shape)
        patches[i] = np.clip(np.rint(grey), 0, 255)
    return patches


def _with_club(
    picture: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    x: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    y: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    since_s: float,
    lie: Lie,
    radius_px: int,
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    if lie.club is None:
        return picture
    # 45 m/s past a ball of 21 mm radius; at contact the face touches the ball's edge.
    middle = -2.2 * radius_px + since_s * 45 / 0.0213 * radius_px
    if lie.covers and abs(since_s) < 0.02:
        middle = 0.0
    if lie.waggle and since_s < -0.9:
        middle = -2.5 * radius_px if int(since_s * 2) % 2 else 0.5 * radius_px
    head = (np.abs(x - middle) < 1.2 * radius_px) & (np.abs(y) < 1.4 * radius_px)
    return np.where(head, lie.club, picture)
