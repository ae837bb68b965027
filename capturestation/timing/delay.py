"""A camera's own constant delay of picture against sound, learnt from its earlier swings.

Owns the intersection of brackets: each swing says between which two frames contact was, counted
from the sound; as the sound falls at another place between two frames each time, a few swings say
it far finer than one frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from capturestation.errors import TimingRefusedError
from capturestation.records import Sync

_MOST_OF_THEM = 2 / 3
FEWEST_STRIKES = 3
# With fewer, one wrong bracket can't be told from a right one.
EDGE_NS = 500_000
# Half a millisecond: exposure and the strike's own error blur each edge by about that.


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDelay:
    """Picture minus sound of one camera.

    Args:
        delay_ns: Add it to contact by the sound to get contact in the stamps of the ball's row.
        u_ns: Standard uncertainty of it.
        strikes: How many swings it rests on.
    """

    delay_ns: int
    u_ns: int
    strikes: int


def intersect_delays(syncs: Sequence[Sync]) -> KnownDelay:
    """Learn a camera's delay from the swings that show both the strike and the ball leaving.

    Args:
        syncs: Earlier swings of one camera with one setting; those without sound or bracket are
            passed over.

    Returns:
        The middle of what most brackets share; its uncertainty is the half width over root 3.

    Raises:
        TimingRefusedError: If fewer than three swings show both, or a third of them disagree.
    """
    spans = [
        (
            sync.last_with_ns - sync.sound_ns - EDGE_NS,
            sync.first_without_ns - sync.sound_ns + EDGE_NS,
        )
        for sync in syncs
        if sync.sound_ns is not None
        and sync.last_with_ns is not None
        and sync.first_without_ns is not None
    ]
    if len(spans) < FEWEST_STRIKES:
        raise TimingRefusedError(
            f"Only {len(spans)} swings show both the strike and the ball leaving.",
            try_next=f"Record {FEWEST_STRIKES} or more with the ball in the picture.",
        )
    early = np.array([span[0] for span in spans])
    late = np.array([span[1] for span in spans])
    edges = np.unique(np.concatenate([early, late]))
    middles = (edges[:-1] + edges[1:]) // 2
    votes = ((early[:, None] <= middles) & (middles <= late[:, None])).sum(axis=0)
    best = np.flatnonzero(votes == votes.max())
    if votes.max() < _MOST_OF_THEM * len(spans):
        raise TimingRefusedError(
            f"Picture and sound of this camera agree in only {votes.max()} of {len(spans)} swings.",
            try_next="Use swings of one setting; place contact by hand where they disagree.",
        )
    low, high = int(edges[best[0]]), int(edges[best[-1] + 1])
    u_ns = round(max(high - low, 2 * EDGE_NS) / 2 / sqrt(3))
    return KnownDelay(delay_ns=(low + high) // 2, u_ns=u_ns, strikes=int(votes.max()))
