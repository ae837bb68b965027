"""Asking the picture whether a sound was our ball: what a confirmer is, and a plain one.

Owns what is looked at: grey pictures a quarter of a second either side, on the host's clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from capturestation.records import IntArray
from capturestation.records.capture import Candidate, Confirmed, Look, Verdict

LOOK_NS = 250_000_000
LONG_PX = 640
# A ball is 4 px wide there, in a picture six metres wide; at half of that it is no longer round.
_CLOSE_NS = (-70_000_000, 130_000_000)
_CLOSE_STEP_NS, _FAR_STEP_NS = 14_000_000, 30_000_000
# Round the strike every picture at 60 a second tells; before and after it each second one.
_FEWEST = 6
_MOVED = 3.0
# Grey levels: sensor noise of small pictures stays below two.
_SHARE = 0.002
# A club, arms and a ball cover more than that; a far door or a passer-by's shadow less at a time.


def worth_looking(times_ns: IntArray, at_ns: int) -> IntArray:
    """Which of the pictures round a sound are looked at: all near it, fewer away from it.

    Args:
        times_ns: (n,) rising, host clock.
        at_ns: The sound.

    Returns:
        Their numbers, rising.
    """
    chosen: list[int] = []
    for number, time_ns in enumerate(times_ns.tolist()):
        close = _CLOSE_NS[0] <= time_ns - at_ns <= _CLOSE_NS[1]
        step_ns = _CLOSE_STEP_NS if close else _FAR_STEP_NS
        if not chosen or time_ns - times_ns[chosen[-1]] >= step_ns:
            chosen.append(number)
    return np.array(chosen, np.int64)


class Confirmer(Protocol):
    """Says whether our ball left at a candidate's time."""

    def confirm(self, candidate: Candidate, looks: Sequence[Look]) -> Confirmed:
        """Look.

        Args:
            candidate: What was heard.
            looks: What the cameras saw, one for each that is there; may be none.
        """

    def at_rest(self, looks: Sequence[Look]) -> None:
        """Learn what the bay looks like while nothing happens; called now and then."""


class MotionConfirmer:
    """Confirms where somebody swings: much of a picture moves, and goes on moving, at the sound."""

    def confirm(self, candidate: Candidate, looks: Sequence[Look]) -> Confirmed:
        """Look."""
        seen = [look for look in looks if len(look.host_ns) >= _FEWEST]
        if not seen:
            return Confirmed(verdict=Verdict.UNCLEAR, said="No picture from that moment.")
        still = [look.view for look in seen if not _moves(look, candidate.at_host_ns)]
        if len(still) == len(seen):
            said = f"Nothing moves in the {' and '.join(still)} picture."
            return Confirmed(verdict=Verdict.STAYED, said=said)
        return Confirmed(verdict=Verdict.UNCLEAR, said="Somebody moves as it sounds.")

    def at_rest(self, looks: Sequence[Look]) -> None:
        """Learn nothing: it has no memory."""


def _moves(look: Look, at_ns: int) -> bool:
    """Whether a share of the picture changes in most steps of the 0.2 s up to the sound."""
    before = (look.host_ns <= at_ns) & (look.host_ns >= at_ns - 200_000_000)
    frames = look.greys[before].astype(np.int16)
    if len(frames) < 3:
        return True
    steps = np.abs(np.diff(frames, axis=0)) > _MOVED
    shares = steps.reshape(len(steps), -1).mean(axis=1)
    return bool(np.median(shares) > _SHARE)
