"""How much speaks for each direction of the shaft in one picture: a search from the hands.

Owns the way from the network's maps to evidence by direction. Keeps a few hundred numbers of each
picture, so that the path in time can be found when all have been seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np

from capturestation.records import FloatArray
from capturestation.tracking.club_network import CELLS, ClubMaps

STEP_DEG = 2.0
WAYS = int(360.0 / STEP_DEG)
"""Directions that are told apart."""
_LONGEST_CELLS, _STEP_CELLS = 33.0, 0.75
_FULL_CELLS = 2.0
# So much of a shaft, in cells, and it is seen for sure.
_FAINT = 0.12
_BLUR_DEG = 5.0
_HANDS_CELLS = 2.5
# How far from the wrists' middle the grip may be.


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What one picture says; places in cells of the maps.

    Args:
        evidence: (180,) 0..1 for each direction.
        grip: x, y of the middle between the hands.
        grip_sure: 0..1 that it is there.
        fine_deg: (180,) the exact direction, if it is about this one.
        reach: (180,) how far from the grip the shaft's end is most likely, that way.
        end_sure: (180,) 0..1 that it is there.
    """

    evidence: FloatArray
    grip: FloatArray
    grip_sure: float
    fine_deg: FloatArray
    reach: FloatArray
    end_sure: FloatArray


def look(maps: ClubMaps, hands: FloatArray | None) -> Sight:
    """Weigh every direction.

    Args:
        maps: What the network makes of the picture.
        hands: x, y in cells where the body track has the wrists' middle; None where not known.
    """
    grip, sure = _grip(maps.grip, hands)
    along, ends = _rays(maps, grip)
    lines = along.sum(axis=1) * _STEP_CELLS
    ways, fine_deg = _ways(maps, grip)
    seen = 1.0 - float(np.exp(-max(float(ways.max()), float(lines.max())) / _FULL_CELLS))
    both = 0.5 * lines / max(float(lines.max()), 1e-6) + 0.5 * ways / max(float(ways.max()), 1e-6)
    reach = np.argmax(ends, axis=1)
    return Sight(
        evidence=seen * both,
        grip=grip,
        grip_sure=sure,
        fine_deg=fine_deg,
        reach=(reach + 1.0) * _STEP_CELLS,
        end_sure=ends[np.arange(WAYS), reach],
    )


def _grip(heat: FloatArray, hands: FloatArray | None) -> tuple[FloatArray, float]:
    """Where the grip is most likely, to parts of a cell; the hands' place weighs in."""
    weighed = heat
    if hands is not None:
        y, x = np.mgrid[0:CELLS, 0:CELLS]
        far = ((x - hands[0]) ** 2 + (y - hands[1]) ** 2) / _HANDS_CELLS**2
        weighed = (heat + 0.02) * np.exp(-0.5 * far)
    row, column = np.unravel_index(int(np.argmax(weighed)), heat.shape)
    top, left = max(int(row) - 1, 0), max(int(column) - 1, 0)
    part = weighed[top : row + 2, left : column + 2] + 1e-9
    rows, columns = np.mgrid[0 : part.shape[0], 0 : part.shape[1]]
    x, y = float((part * columns).sum()), float((part * rows).sum())
    at = np.array([left + x / part.sum(), top + y / part.sum()])
    return at, float(heat[row, column])


@cache
def _offsets() -> tuple[FloatArray, FloatArray]:
    """Unit directions (180, 2) and how far out is looked, (n,)."""
    angle = np.radians(STEP_DEG * np.arange(WAYS))
    return np.stack([np.cos(angle), np.sin(angle)], axis=1), np.arange(
        _STEP_CELLS, _LONGEST_CELLS, _STEP_CELLS
    )


def _rays(maps: ClubMaps, grip: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Support along each direction, and the end's heat there; (180, n) each."""
    ways, far = _offsets()
    at = (grip + ways[:, None] * far[None, :, None]).astype(np.float32)
    stack = np.stack([maps.shaft, *maps.way, maps.end], axis=-1).astype(np.float32)
    read = cv2.remap(
        stack, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT,
        borderValue=(0.0, 0.0, 0.0, 0.0),
    )  # fmt: skip
    agrees = read[..., 1] * ways[:, None, 0] + read[..., 2] * ways[:, None, 1]
    along = (read[..., 0] * np.clip(agrees, 0.0, 1.0)) ** 2
    return np.asarray(along, np.float64), np.asarray(read[..., 3], np.float64)


def _ways(maps: ClubMaps, grip: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How much of the shaft says each direction by itself, (180,), and the exact one near it."""
    rows, columns = np.nonzero(maps.shaft > _FAINT)
    near = np.hypot(columns - grip[0], rows - grip[1]) < _LONGEST_CELLS
    rows, columns = rows[near], columns[near]
    x, y = maps.way[0, rows, columns], maps.way[1, rows, columns]
    weight = maps.shaft[rows, columns] ** 3 * np.minimum(np.hypot(x, y), 1.0)
    angle = np.arctan2(y, x)
    place = np.round(np.degrees(angle) / STEP_DEG).astype(int) % WAYS
    kernel = _kernel()

    def spread(values: FloatArray) -> FloatArray:
        counted = np.bincount(place, values, minlength=WAYS)
        return np.asarray(np.fft.irfft(np.fft.rfft(counted) * kernel, WAYS), np.float64)

    cos, sin = spread(weight * np.cos(angle)), spread(weight * np.sin(angle))
    # A shaft is some two cells wide in the maps, so its cells count half.
    return np.maximum(0.5 * spread(weight), 0.0), np.degrees(np.arctan2(sin, cos))


@cache
def _kernel() -> FloatArray:
    off = (np.arange(WAYS) + WAYS // 2) % WAYS - WAYS // 2
    bell = np.exp(-0.5 * (off * STEP_DEG / _BLUR_DEG) ** 2)
    return np.asarray(np.fft.rfft(bell), dtype=np.complex128)
