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
from math import inf

import numpy as np

from capturestation.records import FloatArray, FrameArray, IntArray, View
from capturestation.records.capture import Candidate, Confirmed, Look, Verdict
from capturestation.tracking.ball import BallSpot, changed_spots
from capturestation.tracking.leaving import Gone, gone_in_time
from capturestation.tracking.lying import is_sought, lying_balls
from capturestation.tracking.weighing import evidence, log_odds, signs, weights_of

_BEFORE_NS = (-250_000_000, -50_000_000)
_AFTER_NS = (90_000_000, 250_000_000)
_FEWEST = 8
_LOOKED_AT = 8
_HIGHEST = 0.4
# Balls lie in the lower part of a picture that shows the feet.
_LEAST_LIKE = 0.35
_LEAST_CLUB = 2.0
"""In some view at least so many balls' areas of something quick pass: nothing is struck without."""
_BY_ONE = -3.0
"""With one view alone a ball may well be struck from here on; it is kept where that is wished."""
_SHOWS = 0.7
"""Evidence from which a view is named among those that show it: the strike twice as likely."""
_LIKE_A_BALL = 0.65
# What went like a ball, but not as if it was struck: a hand or a slow club took it.
_SAME_PX = 2.5
_REMEMBERED = 3
_DARK_LEVEL = 12.0


_UNSURE = "The ball seems to leave, but only one view sees it, and not clearly."


class Saw(StrEnum):
    """What one view shows."""

    LEFT = "left"
    TAKEN = "taken"
    LIES = "lies"
    NOTHING = "nothing"
    BLIND = "blind"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What one view shows by itself, and how much that speaks for a strike."""

    saw: Saw
    evidence: float = 0.0
    club: float = 0.0


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
        each = {look.view: self._seen(look, candidate.at_host_ns) for look in looks}
        seen = {view: one.saw for view, one in each.items()}
        odds = -inf
        if any(one.club >= _LEAST_CLUB for one in each.values()):
            odds = log_odds([one.evidence for one in each.values()])
        if odds > 0:
            most = max(one.evidence for one in each.values())
            shows = [view for view, one in each.items() if one.evidence >= min(_SHOWS, most)]
            seen |= dict.fromkeys(shows, Saw.LEFT)
        elif odds > _BY_ONE and sum(one is not Saw.BLIND for one in seen.values()) == 1:
            return Confirmed(verdict=Verdict.UNCLEAR, said=_UNSURE)
        verdict, said = _verdict(seen, any(known.has_left for known in self._known.values()))
        if verdict is Verdict.LEFT:
            for view, saw in seen.items():
                self._of(view).has_left |= saw is Saw.LEFT
        return Confirmed(verdict=verdict, said=said)

    def _of(self, view: View) -> _Known:
        return self._known.setdefault(view, _Known(deque(maxlen=_REMEMBERED)))

    def _seen(self, look: Look, at_ns: int) -> _Seen:
        usual = _before_and_after(look, at_ns)
        if usual is None:
            return _Seen(saw=Saw.BLIND)
        gone = _all_gone(look, at_ns, *usual)
        lay, lies = self._balls(look.view, *usual)
        weights = weights_of(_signs(gone, lay, lies, len(usual[0]), at_ns))
        club = gone[int(weights.argmax())][1].club if gone else 0.0
        saw = Saw.NOTHING
        if any(one.spot.confidence >= _LIKE_A_BALL for _, one in gone):
            saw = Saw.TAKEN
        elif any(_is_near(a, b, _SAME_PX) for a in lay for b in lies):
            saw = Saw.LIES
        return _Seen(saw=saw, evidence=evidence(weights), club=club)

    def signs_in(self, look: Look, at_ns: int) -> list[FloatArray]:
        """What is weighed of each thing that went away in a view, for whoever finds the weights.

        Args:
            look: The pictures.
            at_ns: The sound.

        Returns:
            Of each thing (signs,), as `tracking.weighing` orders them; empty where it is too dark.
        """
        usual = _before_and_after(look, at_ns)
        if usual is None:
            return []
        gone = _all_gone(look, at_ns, *usual)
        return _signs(gone, *self._balls(look.view, *usual), len(usual[0]), at_ns)

    def _balls(
        self, view: View, before: FloatArray, after: FloatArray
    ) -> tuple[list[BallSpot], list[BallSpot]]:
        """Where something like a ball lay, now or earlier, and where it lies."""
        lay = [*lying_balls(before.astype(np.uint8)), *chain(*self._of(view).lying)]
        return lay, lying_balls(after.astype(np.uint8))


def _signs(
    gone: Sequence[tuple[float, Gone]],
    lay: list[BallSpot],
    lies: list[BallSpot],
    height_px: int,
    at_ns: int,
) -> list[FloatArray]:
    """Of each thing; one of a size that isn't sought in single pictures counts as found there."""
    found = []
    for clear, one in gone:
        seen = lay if is_sought(one.spot.radius_px, height_px) else [one.spot]
        found.append(signs(one, clear, seen, lies, at_ns))
    return found


def _before_and_after(look: Look, at_ns: int) -> tuple[FloatArray, FloatArray] | None:
    """The usual picture of either side; None where too little is seen."""
    since_ns = look.host_ns - at_ns
    before, after = _usual(look, since_ns, _BEFORE_NS), _usual(look, since_ns, _AFTER_NS)
    if before is None or after is None or len(look.host_ns) < _FEWEST:
        return None
    is_dark = float(before.max()) - float(before.min()) < _DARK_LEVEL
    return None if is_dark else (before, after)


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


def _all_gone(
    look: Look, at_ns: int, before: FloatArray, after: FloatArray
) -> list[tuple[float, Gone]]:
    """All that is a little like a ball and went away then, and how clearly each stands out."""
    light = float(np.median((after + 8) / (before + 8)))
    noise = float(np.median(np.abs((before + 8) * light - 8 - after))) / 0.6745
    found = []
    spots = changed_spots(before, after, highest=_HIGHEST * before.shape[0])[:_LOOKED_AT]
    for clear, spot in spots:
        gone = gone_in_time(look, spot, at_ns, noise) if spot.confidence >= _LEAST_LIKE else None
        found += [] if gone is None else [(clear, gone)]
    return found


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


def _is_near(a: BallSpot, b: BallSpot, px: float) -> bool:
    return (a.x_px - b.x_px) ** 2 + (a.y_px - b.y_px) ** 2 <= px**2
