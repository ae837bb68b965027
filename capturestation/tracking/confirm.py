"""Whether our ball left at the moment something was heard, from half a second of small pictures.

Owns the verdict on a candidate and what is learnt of a view: where balls lie, and whether one was
ever seen to leave. Nothing here reads files or decodes; `timing.ball` reads the ball's patch. A
ball counts as struck only where it lay still, is gone from one picture to the next or nearly so,
and rolls nowhere near afterwards: a hand or a slow club that takes it away does otherwise.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain

import numpy as np

from capturestation.records import FloatArray, FrameArray, IntArray, View
from capturestation.records.capture import Candidate, Confirmed, Look, Verdict
from capturestation.timing.ball import BallBracket, ball_leaving
from capturestation.tracking.ball import BallSpot, changed_spots, cut_patches
from capturestation.tracking.lying import lying_balls

_BEFORE_NS = (-250_000_000, -50_000_000)
_AFTER_NS = (90_000_000, 250_000_000)
_FEWEST = 8
_LOOKED_AT = 8
_HIGHEST = 0.4
# Balls lie in the lower part of a picture that shows the feet.
_EARLY_NS, _LATE_NS = 30_000_000, 110_000_000
# Sound takes 3 ms a metre; a camera's picture comes 0-60 ms later than it, and a frame more.
_LIKE_A_BALL = 0.65
# Of balls seen leaving 0.89 and more, of shoes, hands and folds of cloth mostly below 0.5.
_AT_ONCE = 0.65
# At most two pictures between the ball and bare ground: what rolls at 2 m/s takes three and more.
_AROUND_R = 7.0
_BEFORE_CLUB_NS, _AFTER_CLUB_NS = 40_000_000, 60_000_000
_STILL_SHARE, _LATER_SHARE = 0.035, 0.05
_STILL_STEP, _SIGMAS = 14.0, 5.0
# Until a club comes, nothing moves about a ball that is to be struck; a hand or a slow club that
# takes it away changes 6 % and more of the ground about it.
_SAME_PX = 2.5
_REMEMBERED = 3
_DARK_LEVEL = 12.0


class Saw(StrEnum):
    """What one view shows."""

    LEFT = "left"
    TAKEN = "taken"
    LIES = "lies"
    NOTHING = "nothing"
    BLIND = "blind"


@dataclass(slots=True)
class _Known:
    """What is learnt of a view."""

    lying: deque[list[BallSpot]]
    has_left: bool = False


class BallConfirmer:
    """Says whether our ball left; learns where balls lie while nothing happens."""

    def __init__(self) -> None:
        self._known: dict[View, _Known] = {}

    def at_rest(self, looks: Sequence[Look]) -> None:
        """Learn where balls lie in each view, from pictures of a moment when nothing happens."""
        for look in looks:
            self._of(look.view).lying.append(lying_balls(look.greys[-1]))

    def confirm(self, candidate: Candidate, looks: Sequence[Look]) -> Confirmed:
        """Look.

        Args:
            candidate: What was heard.
            looks: A quarter of a second or more either side, one for each view; may be none.
        """
        seen = {look.view: self._seen(look, candidate.at_host_ns) for look in looks}
        verdict, said = _verdict(seen, any(known.has_left for known in self._known.values()))
        if verdict is Verdict.LEFT:
            for view, saw in seen.items():
                self._of(view).has_left |= saw is Saw.LEFT
        return Confirmed(verdict=verdict, said=said)

    def _of(self, view: View) -> _Known:
        return self._known.setdefault(view, _Known(deque(maxlen=_REMEMBERED)))

    def _seen(self, look: Look, at_ns: int) -> Saw:
        since_ns = look.host_ns - at_ns
        before, after = _usual(look, since_ns, _BEFORE_NS), _usual(look, since_ns, _AFTER_NS)
        if before is None or after is None or len(look.host_ns) < _FEWEST:
            return Saw.BLIND
        if float(before.max()) - float(before.min()) < _DARK_LEVEL:
            return Saw.BLIND
        spots = changed_spots(before, after, highest=_HIGHEST * before.shape[0])
        told = [
            told for _, spot in spots[:_LOOKED_AT] if (told := _gone(look, spot, at_ns)) is not None
        ]
        if Saw.LEFT in told:
            return Saw.LEFT
        if Saw.TAKEN in told:
            return Saw.TAKEN
        return Saw.LIES if self._lies(look.view, before, after) else Saw.NOTHING

    def _lies(self, view: View, before: FloatArray, after: FloatArray) -> bool:
        """Whether something like a ball lies in the same place before and after."""
        early = [*lying_balls(before.astype(np.uint8)), *chain.from_iterable(self._of(view).lying)]
        late = lying_balls(after.astype(np.uint8))
        return any(_is_near(a, b, _SAME_PX) for a in early for b in late)


def _verdict(seen: dict[View, Saw], has_left: bool) -> tuple[Verdict, str]:
    saw = set(seen.values())
    if Saw.LEFT in saw:
        views = " and ".join(view for view, one in seen.items() if one is Saw.LEFT)
        return Verdict.LEFT, f"The ball leaves in the {views} picture."
    if Saw.TAKEN in saw:
        return Verdict.STAYED, "A ball is moved, but not struck."
    if not saw - {Saw.BLIND}:
        return Verdict.UNCLEAR, "No picture from that moment shows enough."
    if Saw.LIES in saw:
        return Verdict.STAYED, "The ball lies where it lay."
    if has_left:
        return Verdict.STAYED, "No ball leaves."
    return Verdict.UNCLEAR, "No ball was seen here yet: it is not known where to look."


def _usual(look: Look, since_ns: IntArray, span_ns: tuple[int, int]) -> FloatArray | None:
    """The middle of five pictures of a span: what passes through it is not in it."""
    inside = np.flatnonzero((since_ns >= span_ns[0]) & (since_ns <= span_ns[1]))
    if len(inside) < 3:
        return None
    five = inside[np.linspace(0, len(inside) - 1, 5).astype(int)]
    return _middle(look.greys[five]).astype(np.float64)


def _middle(five: FrameArray) -> FrameArray:
    """Median of five pictures, by a sorting network: many times as fast as sorting each pixel."""
    a, b, c, d, e = five
    a, b = np.minimum(a, b), np.maximum(a, b)
    d, e = np.minimum(d, e), np.maximum(d, e)
    low, high = np.maximum(a, d), np.minimum(b, e)
    low, high = np.minimum(low, high), np.maximum(low, high)
    middle: FrameArray = np.maximum(low, np.minimum(high, c))
    return middle


def _gone(look: Look, spot: BallSpot, at_ns: int) -> Saw | None:
    """What became of the thing that was at a place; None if it did not go, or is no ball."""
    if spot.confidence < _LIKE_A_BALL:
        return None
    bracket = ball_leaving(cut_patches(look.greys, spot), look.host_ns)
    if bracket is None:
        return None
    early = bracket.first_without_ns < at_ns - _EARLY_NS
    late = bracket.last_with_ns > at_ns + _LATE_NS
    if early or late or bracket.confidence < _AT_ONCE:
        return Saw.TAKEN
    return Saw.LEFT if _is_quiet(look, spot, bracket) else Saw.TAKEN


def _is_quiet(look: Look, spot: BallSpot, bracket: BallBracket) -> bool:
    """Whether nothing moves about the ball until shortly before it leaves, and soon after."""
    half = max(round(_AROUND_R * spot.radius_px), 6)
    x, y = round(spot.x_px), round(spot.y_px)
    around = look.greys[:, max(y - half, 0) : y + half + 1, max(x - half, 0) : x + half + 1]
    before = around[look.host_ns <= bracket.last_with_ns - _BEFORE_CLUB_NS]
    after = around[look.host_ns >= bracket.first_without_ns + _AFTER_CLUB_NS]
    if min(len(before), len(after)) < 2:
        return False
    moved, later = _moved_shares(before), _moved_shares(after)
    return float(moved.max()) <= _STILL_SHARE and float(np.median(later)) <= _LATER_SHARE


def _moved_shares(patches: FrameArray) -> FloatArray:
    """Of each picture, the share that differs from the middle one, the lamps' change taken out."""
    level = patches.astype(np.float64)
    usual = np.median(level, axis=0)
    gain = np.median((level + 8) / (usual + 8), axis=(1, 2))
    step = np.abs((level + 8) / gain[:, None, None] - 8 - usual)
    limit = max(_STILL_STEP, _SIGMAS * float(np.median(step)) / 0.6745)
    shares: FloatArray = (step > limit).mean(axis=(1, 2))
    return shares


def _is_near(a: BallSpot, b: BallSpot, px: float) -> bool:
    return (a.x_px - b.x_px) ** 2 + (a.y_px - b.y_px) ** 2 <= px**2
