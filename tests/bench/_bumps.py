"""Rooms whose camera was turned by 0.3 degrees, or not at all, while everything else changed."""

from __future__ import annotations

import numpy as np

from calibration.bump import BumpVerdict, compare
from tests.helpers.filmed_rooms import FOCAL_PX, Room, Shot

FOUND_DEG, STILL_DEG, SHIFT_M = 0.3, 0.03, 0.01


def bumps(seed: int) -> tuple[list[bool], list[bool]]:
    """One room: whether each turned camera was found, and whether a still one was called moved."""
    rng = np.random.default_rng((5_501, seed))
    room = Room(seed)
    reference = room.film(Shot(golfer=int(rng.integers(1_000)), seed=seed))
    found = []
    for kind in ("any", "roll"):
        axis = rng.normal(size=3) if kind == "any" else np.array([0.0, 0.0, 1.0])
        shift = rng.normal(size=3) * (1, 1, 1)
        turned = _shot(rng, FOUND_DEG * axis / np.linalg.norm(axis),
                       SHIFT_M * shift / np.linalg.norm(shift))  # fmt: skip
        verdict = compare(reference, room.film(turned), focal_px=FOCAL_PX).verdict
        found.append(verdict is BumpVerdict.MOVED)
    wrong = []
    for _ in range(2):
        axis = rng.normal(size=3)
        still = _shot(rng, rng.uniform(0, STILL_DEG) * axis / np.linalg.norm(axis), np.zeros(3))
        verdict = compare(reference, room.film(still), focal_px=FOCAL_PX).verdict
        wrong.append(verdict is not BumpVerdict.STILL)
    return found, wrong


def _shot(
    rng: np.random.Generator, turn_deg: np.ndarray[tuple[int], np.dtype[np.float64]],
    shift_m: np.ndarray[tuple[int], np.dtype[np.float64]],
) -> Shot:  # fmt: skip
    """Another golfer or none, another lamp."""
    light = rng.uniform(0.6, 1.15, 2)
    return Shot(
        turn_deg=(float(turn_deg[0]), float(turn_deg[1]), float(turn_deg[2])),
        shift_m=(float(shift_m[0]), float(shift_m[1]), float(shift_m[2])),
        light=(float(light[0]), float(light[1])),
        golfer=None if rng.random() < 0.2 else int(rng.integers(1_000, 2_000)),
        seed=int(rng.integers(1 << 30)),
    )
