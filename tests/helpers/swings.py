"""Swings as motion in time, invented with their truth: angle of the club, then how much moves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray, IntArray, Moment

CLUB_M = 1.6
"""From the hub of the swing to the club head."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The timing of an invented swing.

    Args:
        back_s: From rest to the top.
        down_s: From the top to impact.
        through_s: From impact to rest.
        top_rad: How far back.
        waggle: The club moves to and fro before it rests again 0.5 s before the start.
    """

    back_s: float = 0.85
    down_s: float = 0.27
    through_s: float = 0.75
    top_rad: float = 4.2
    waggle: bool = False

    @property
    def start_s(self) -> float:
        """When the club leaves its rest."""
        return -self.down_s - self.back_s


def club_angle_rad(at_s: FloatArray, motion: Motion) -> FloatArray:
    """Angle of the club from its rest, back positive, (n,)."""
    u = np.clip((at_s - motion.start_s) / motion.back_s, 0, 1)
    back = motion.top_rad * (10 * u**3 - 15 * u**4 + 6 * u**5)
    d = np.clip((at_s + motion.down_s) / motion.down_s, 0, 1)
    angle = back - motion.top_rad * d**2.4
    speed = 2.4 * motion.top_rad / motion.down_s
    f = np.clip(at_s / motion.through_s, 0, 1)
    angle -= speed * motion.through_s * (1 - (1 - f) ** 4) / 4
    if motion.waggle:
        w = (at_s > motion.start_s - 1.5) & (at_s < motion.start_s - 0.5)
        angle += w * 0.25 * np.sin(np.pi * (at_s - motion.start_s + 1.5)) ** 2
    return angle


def truth_s(motion: Motion) -> dict[Moment, float]:
    """The moments by their definitions, found on a grid of 0.1 ms."""
    at = np.arange(motion.start_s - 0.2, motion.through_s + 0.2, 1e-4)
    angle = club_angle_rad(at, motion)
    starts = at[np.argmax((np.abs(angle) * CLUB_M > 0.010) & (at > motion.start_s))]
    top = at[np.argmax(np.where(at < 0, angle, -np.inf))]
    speed = np.abs(np.gradient(angle, at))
    slow = (speed < 0.05 * speed.max()) & (at > 0)
    return {
        Moment.CLUB_STARTS: float(starts),
        Moment.TOP: float(top),
        Moment.IMPACT: 0.0,
        Moment.FINISH: float(at[np.argmax(slow)]),
    }


def motion_energy_of(
    seed: int, times_ns: IntArray, motion: Motion, *, noise: float = 0.01, body: float = 0.25
) -> FloatArray:
    """What a camera might see move between its frames, (n,): club, body, sensor noise."""
    rng = np.random.default_rng(seed)
    at = (times_ns * 1e-9).astype(np.float64)
    half = float(np.median(np.diff(at))) / 2

    def speed(lead_s: float) -> FloatArray:
        after, before = at + (lead_s + half), at + (lead_s - half)
        swept = club_angle_rad(after, motion) - club_angle_rad(before, motion)
        turned: FloatArray = np.abs(swept) / (2 * half)
        return turned

    # The body turns round 30 ms before the club does.
    seen = np.minimum(speed(0.0), 30.0) ** 0.8 + body * np.minimum(speed(0.03), 10.0)
    seen *= 2.0
    return np.clip(seen / 30 + rng.normal(0, noise, len(at)) + 2 * noise, 0, None)
