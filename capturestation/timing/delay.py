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
FLIGHT_U = 2.0


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


def _span(sync: Sync) -> tuple[int, int] | None:
    """Between which two values one swing says that picture minus sound lies."""
    if sync.sound_ns is None or sync.media_per_swing != 1:
        return None
    if sync.last_with_ns is None or sync.first_without_ns is None:
        return None
    early, late = sync.last_with_ns - EDGE_NS, sync.first_without_ns + EDGE_NS
    if sync.contact_seen_ns is not None and sync.contact_seen_u_ns is not None:
        # The ball's flight says it more finely than the two frames.
        reach_ns = max(round(FLIGHT_U * sync.contact_seen_u_ns), EDGE_NS)
        early = max(early, sync.contact_seen_ns - reach_ns)
        late = min(late, sync.contact_seen_ns + reach_ns)
    return (early - sync.sound_ns, late - sync.sound_ns) if early < late else None


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
    spans = [span for sync in syncs if (span := _span(sync)) is not None]
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
