"""Rows of rings that become coloured four-cornered faces: the clay that figures are made of.

Owns lofting, numbering of corners and closed ends. Refuses to know what a body is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np

from capturestation.records import FloatArray, IntArray
from sample_sessions.curves import cross3

Colour: TypeAlias = tuple[int, int, int]
AROUND = 34
# Corners in a ring; fewer show as edges on the torso.


@dataclass(frozen=True, slots=True)
class Faces:
    """Corners in metres (v, 3), four corner numbers a face (f, 4), colour a face (f, 3).

    `inner` is a point behind each face (f, 3), so that its outside is known.
    """

    corners: FloatArray
    quads: IntArray
    colours: FloatArray
    inner: FloatArray


@dataclass(frozen=True, slots=True)
class Ring:
    """One ring of a loft: middle, two half axes with their lengths, colour up to the next ring."""

    middle: FloatArray
    side: FloatArray
    ahead: FloatArray
    colour: Colour


def unit_of(a: FloatArray) -> FloatArray:
    """Scaled to length 1; shape (3,)."""
    return np.asarray(a / max(float(np.linalg.norm(a)), 1e-9), dtype=np.float64)


def cross_of(a: FloatArray, b: FloatArray) -> FloatArray:
    """`np.cross` of two vectors of three, without its overhead; shape (3,)."""
    (a0, a1, a2), (b0, b1, b2) = a.tolist(), b.tolist()
    return np.array([a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0])


def square_to(a: FloatArray, axis: FloatArray) -> FloatArray:
    """The part of `a` square to a unit axis, of length 1; shape (3,)."""
    return unit_of(a - (a @ axis) * axis)


def tube(
    points: Sequence[FloatArray],
    radii: Sequence[tuple[float, float]],
    colours: Sequence[Colour],
    reference: FloatArray,
    scale: float = 1.0,
) -> list[Ring]:
    """A loft along points; `reference` keeps the rings from twisting."""
    at = np.stack(points)
    axis = np.concatenate([at[1:], at[-1:]]) - np.concatenate([at[:1], at[:-1]])
    axis /= np.maximum(np.sqrt((axis * axis).sum(axis=1)), 1e-9)[:, None]
    ahead = reference - (axis @ reference)[:, None] * axis
    ahead /= np.maximum(np.sqrt((ahead * ahead).sum(axis=1)), 1e-9)[:, None]
    size = scale * np.array(radii)
    sides, aheads = size[:, :1] * cross3(ahead, axis), size[:, 1:] * ahead
    return [Ring(*ring) for ring in zip(at, sides, aheads, colours, strict=True)]


def finer(rings: Sequence[Ring]) -> list[Ring]:
    """One more ring between each two, on a smooth curve through four neighbours."""
    at = np.array([(ring.middle, ring.side, ring.ahead) for ring in rings])
    ends = np.concatenate([at[:1], at, at[-1:]])
    halfway = 0.5625 * (at[:-1] + at[1:]) - 0.0625 * (ends[:-3] + ends[3:])
    more = [rings[0]]
    for place, (middle, side, ahead) in enumerate(halfway):
        more += [Ring(middle, side, ahead, rings[place].colour), rings[place + 1]]
    return more


def between(a: FloatArray, b: FloatArray, share: float) -> FloatArray:
    """The point that share of the way; shape (3,)."""
    return np.asarray(a + share * (b - a), dtype=np.float64)


@cache
def _circle() -> FloatArray:
    angle = np.linspace(0.0, 2.0 * np.pi, AROUND, endpoint=False)
    return np.stack([np.cos(angle), np.sin(angle)])


def joined(parts: Sequence[Sequence[Ring]]) -> Faces:
    """Rings to corners and faces, ends closed."""
    rings = [ring for part in parts for ring in part]
    middles = np.stack([ring.middle for ring in rings])
    sides = np.stack([ring.side for ring in rings])
    aheads = np.stack([ring.ahead for ring in rings])
    cos, sin = _circle()
    corners = middles[:, None] + cos[:, None] * sides[:, None] + sin[:, None] * aheads[:, None]
    quads = _numbering(tuple(len(part) for part in parts))
    colours = [
        np.repeat(np.array([r.colour for r in part[:-1]], dtype=np.float64), AROUND, axis=0)
        for part in parts
    ]
    caps = [np.array(part[end].colour) for part in parts for end in (0, -1)]
    colours.append(np.repeat(np.array(caps, dtype=np.float64), AROUND // 2 - 1, axis=0))
    between = [
        0.5 * (m[:-1] + m[1:]) for m in np.split(middles, np.cumsum([len(p) for p in parts]))
    ]
    inner = [np.repeat(m, AROUND, axis=0) for m in between if len(m)]
    behind = [part[end].middle for part in parts for end in (1, -2)]
    inner.append(np.repeat(np.array(behind), AROUND // 2 - 1, axis=0))
    return Faces(corners.reshape(-1, 3), quads, np.concatenate(colours), np.concatenate(inner))


@cache
def _numbering(sizes: tuple[int, ...]) -> IntArray:
    """Four corner numbers a face: first all sides, then a fan of quads closing each end."""
    around = np.arange(AROUND)
    after = (around + 1) % AROUND
    sides, caps, start = [], [], 0
    for size in sizes:
        for ring in range(size - 1):
            low, high = start + ring * AROUND, start + (ring + 1) * AROUND
            sides.append(np.stack([low + around, low + after, high + after, high + around], axis=1))
        for ring in (0, size - 1):
            base = start + ring * AROUND
            steps = np.arange(AROUND // 2 - 1)
            fan = np.stack(
                [
                    base + steps,
                    base + steps + 1,
                    base + AROUND - 2 - steps,
                    base + AROUND - 1 - steps,
                ],
                axis=1,
            )
            caps.append(fan)
        start += size * AROUND
    return np.concatenate(sides + caps).astype(np.int64)
