"""Who of several people swings: whose hands hold together what they move, and whose feet stay.

Owns the choice between the places where somebody moves. Refuses a guess: where two are as likely
it says so, and the pictures of neither count.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from capturestation.records import Box, FrameArray, Hand
from capturestation.swing.body import tall_px
from capturestation.swing.tracks import BodyTrack, Joint
from capturestation.tracking.body import BodyTracker
from capturestation.tracking.body_network import BodyNetwork

SURE = 1.6
"""By how much less than anybody else's hands and feet those of who swings are apart and move: on
rendered golfers theirs come to 0.1 to 0.2 of the height, a passer-by's to 0.35 and more."""
_STEP_NS = 100_000_000
_FEWEST = 2


def who_swings(
    network: BodyNetwork, frames_rgb: Sequence[FrameArray], boxes: Sequence[Box], hand: Hand
) -> Box | None:
    """The box of the one who swings; None where it can't be told.

    Args:
        network: This thread's own.
        frames_rgb: Pictures of the swing between club starts and impact, in order.
        boxes: Where somebody moves.
        hand: Of the golfer.
    """
    if len(boxes) == 1:
        return boxes[0]
    restless = []
    for box in boxes:
        tracker = BodyTracker(network, hand=hand, box=box)
        for number, frame_rgb in enumerate(frames_rgb):
            tracker.see(frame_rgb, number * _STEP_NS)
        restless.append(restlessness(tracker.track()))
    order = np.argsort(restless)
    best, next_best = restless[order[0]], restless[order[1]]
    if not np.isfinite(best):
        # What moves is nobody: the likeliest place is looked at, and that is said then.
        return boxes[0]
    return boxes[int(order[0])] if next_best >= SURE * best else None


def restlessness(track: BodyTrack) -> float:
    """How far apart the hands are and how far the feet go, in heights; infinite for nobody."""
    gaps = np.linalg.norm(track.at(Joint.LEAD_WRIST) - track.at(Joint.TRAIL_WRIST), axis=1)
    feet = track.middle(Joint.LEAD_ANKLE)
    known = np.isfinite(gaps) & np.isfinite(feet).all(axis=1)
    if known.sum() < _FEWEST:
        return float("inf")
    gone = np.linalg.norm(np.ptp(feet[known], axis=0))
    return float((np.median(gaps[known]) + gone) / tall_px(track))
