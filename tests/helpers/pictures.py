"""Small grey pictures of an invented golfer, club, shoes and ball, with the truth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np

from capturestation.records import FrameArray, IntArray
from tests.helpers.swings import Motion, club_angle_rad


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """What a picture shows besides the swing.

    Args:
        width_px: Of the picture.
        height_px: Of the picture.
        ball_radius_px: Radius.
        ball_grey: Of the ball.
        mat_grey: Of the ground.
        flicker: Share by which lamps at 100 Hz brighten and dim.
        noise: Standard deviation of the sensor, grey steps.
        spare_ball: Another ball lies there and stays.
        lamp_spot: A bright round lamp in the upper half goes out with the strike.
    """

    width_px: int = 240
    height_px: int = 136
    ball_radius_px: float = 2.5
    ball_grey: float = 235.0
    mat_grey: float = 80.0
    flicker: float = 0.0
    noise: float = 1.5
    spare_ball: bool = False
    lamp_spot: bool = False

    @property
    def ball_px(self) -> tuple[float, float]:
        """Middle of the ball."""
        return 0.5 * self.width_px, 0.88 * self.height_px


def swing_pictures(seed: int, times_ns: IntArray, motion: Motion, bay: Bay) -> Iterator[FrameArray]:
    """One picture for each stamp, contact at zero."""
    rng = np.random.default_rng(seed)
    angles = club_angle_rad((times_ns * 1e-9).astype(np.float64), motion)
    early = club_angle_rad((times_ns * 1e-9).astype(np.float64) + 0.03, motion)
    for time_ns, angle, turned in zip(times_ns, angles, early, strict=True):
        picture = _bay(bay, time_ns < 0)
        _golfer(picture, bay, float(angle), float(turned))
        light = 1 + bay.flicker * np.sin(2 * np.pi * 100 * time_ns * 1e-9)
        grey = picture * light + rng.normal(0, bay.noise, picture.shape)
        yield np.clip(np.rint(grey), 0, 255).astype(np.uint8)


def empty_picture(bay: Bay) -> FrameArray:
    """The bay without golfer and ball, and without noise."""
    return np.clip(np.rint(_bay(bay, ball_there=False)), 0, 255).astype(np.uint8)


def _bay(bay: Bay, ball_there: bool) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    picture = np.full((bay.height_px, bay.width_px), 120.0)
    picture[round(0.75 * bay.height_px) :] = bay.mat_grey
    x, y = bay.ball_px
    if ball_there:
        _disc(picture, x, y, bay.ball_radius_px, bay.ball_grey)
    if bay.spare_ball:
        _disc(picture, x - 40, y + 6, bay.ball_radius_px, bay.ball_grey)
    if bay.lamp_spot and ball_there:
        _disc(picture, 30, 20, bay.ball_radius_px, 250.0)
    return picture


def _disc(
    picture: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    x_px: float,
    y_px: float,
    radius_px: float,
    grey: float,
) -> None:
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]]
    share = np.clip(radius_px + 0.5 - np.hypot(x - x_px, y - y_px), 0, 1)
    picture += share * (grey - picture)


def _golfer(
    picture: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    bay: Bay,
    angle_rad: float,
    turned_rad: float,
) -> None:
    x, y = bay.ball_px
    reach = 0.42 * bay.height_px
    hub = (round(x), round(y - reach - bay.ball_radius_px))
    lean = 0.08 * bay.width_px * float(np.tanh(turned_rad / 3))
    feet_y = round(0.87 * bay.height_px)
    for side in (-1, 1):
        foot = (round(x + side * 0.13 * bay.width_px), feet_y)
        cv2.line(picture, foot, (round(x - lean * 0.3), round(0.6 * bay.height_px)), 50.0, 7)
        cv2.ellipse(picture, (foot, (12, 5), 0), 215.0, -1)
    trunk = (round(x - lean * 0.3), round(0.6 * bay.height_px))
    cv2.line(picture, trunk, (round(x - lean), round(0.3 * bay.height_px)), 160.0, 14)
    # Face-on, a right-hander's club goes back to the picture's left.
    tip_x = hub[0] - reach * np.sin(angle_rad) - 1.3 * bay.ball_radius_px
    tip = (round(tip_x), round(hub[1] + reach * np.cos(angle_rad)))
    cv2.line(picture, hub, tip, 30.0, 1, cv2.LINE_8)
    cv2.circle(picture, tip, 2, 30.0, -1)
