"""What stands behind the golfer in training pictures when it isn't the invented bay.

Owns made-up ground and walls: grass, carpet, panels, hedges, poles, ropes and sticks that look like
shafts but stand still. Nothing in it is a copy of a real place.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from capturestation.records import FloatArray
from sample_sessions.scene import EmptyBay

_MOST_LINES = 14


def made_up(bay: EmptyBay, random: np.random.Generator) -> EmptyBay:
    """The same geometry (where the floor is, where shadows fall) with another look."""
    height, width = bay.ground.shape
    floor, wall = _cover(random, height, width), _cover(random, height, width)
    if random.uniform() < 0.5:
        # Grass: green and rough.
        floor = floor * 0.5 + np.array([40.0, 70.0, 30.0]) * random.uniform(0.4, 1.6)
    soft = cv2.GaussianBlur(bay.ground, (0, 0), float(random.uniform(0.6, 3.0)))[..., None]
    picture = soft * floor + (1.0 - soft) * wall
    for _ in range(int(random.integers(_MOST_LINES))):
        _line(picture, random)
    picture = np.clip(picture, 0.0, 255.0).astype(np.float32)
    return replace(bay, picture=picture)


def glared(picture: FloatArray, random: np.random.Generator) -> FloatArray:
    """Light that falls into the lens: bright soft patches, the rest paler; (h, w, 3)."""
    height, width = picture.shape[:2]
    y, x = np.mgrid[0:height, 0:width]
    glow = np.full((height, width), float(random.uniform(0.0, 40.0)))
    for _ in range(int(random.integers(1, 4))):
        at = random.uniform(0.0, 1.0, 2) * (width, height)
        size = random.uniform(8.0, 90.0, 2)
        far = ((x - at[0]) / size[0]) ** 2 + ((y - at[1]) / size[1]) ** 2
        glow = glow + float(random.uniform(40.0, 260.0)) * np.exp(-far)
    return np.asarray(glow[..., None], dtype=np.float32)


def _cover(random: np.random.Generator, height: int, width: int) -> FloatArray:
    """A surface: one tone, tilted light, and grain of several sizes; (height, width, 3)."""
    tone = random.uniform(20.0, 230.0) + random.normal(0.0, 22.0, 3)
    slope = random.normal(0.0, 25.0, 2)
    y, x = np.mgrid[-1.0 : 1.0 : height * 1j, -1.0 : 1.0 : width * 1j]
    plain = slope[0] * x + slope[1] * y
    for size in (2, 6, 20, 60):
        strength = abs(float(random.normal(0.0, 11.0)))
        rows, columns = max(height // size, 2), max(width // size, 2)
        coarse = random.normal(0.0, strength, (rows, columns)).astype(np.float32)
        plain = plain + cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
    return np.asarray(tone + plain[..., None], dtype=np.float64)


def _line(picture: FloatArray, random: np.random.Generator) -> None:
    """A still straight thing: a stick, a pole, a rope, the edge of a panel or a mat."""
    height, width = picture.shape[:2]
    middle = random.uniform(-0.1, 1.1, 2) * (width, height)
    angle = float(random.uniform(0.0, np.pi))
    if random.uniform() < 0.4:
        angle = round(angle / (0.5 * np.pi)) * 0.5 * np.pi
    half = float(np.exp(random.uniform(np.log(20.0), np.log(400.0)))) / 2.0
    way = half * np.array([np.cos(angle), np.sin(angle)])
    ends = [tuple(int(16.0 * v) for v in middle + sign * way) for sign in (-1.0, 1.0)]
    mask = np.zeros((height, width), np.float32)
    thick = int(random.choice((1, 1, 2, 3, 8)))
    cv2.line(mask, ends[0], ends[1], 1.0, thick, cv2.LINE_AA, 4)
    tone = random.uniform(5.0, 250.0) + random.normal(0.0, 15.0, 3)
    share = (float(random.uniform(0.3, 1.0)) * np.minimum(mask, 1.0))[..., None]
    picture[...] = (1.0 - share) * picture + share * tone
