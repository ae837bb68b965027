"""The ball leaving the picture: between which two frames contact lies.

Owns the reading of a small patch around the resting ball, frame by frame: there, gone, or hidden.
Refuses to look for the ball in a whole picture (`tracking` does) and to decode anything.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import BoolArray, FloatArray, FrameArray, IntArray

_NEAR_NS = 250_000_000
# The patch is learnt from a quarter of a second on either side: a club resting behind the ball has
# gone back by then, and lamps have not drifted.
_FEWEST = 3
_CONTRAST = 12.0
# Grey steps between ball and ground below which compression alone makes such patches.
_THERE = 0.6
# A club may cover part of the ball; what is left of it still shows.
_GONE = 0.8
_CLEAR = 0.7
# Bare ground must be seen around the ball's place too: a dark club head passing before the ball
# looks like bare ground where the ball was, but not beside it.
_FOR_GOOD = 0.7
_CONTRADICTED = 0.15
_STORIES = 8
# A patch changes that often in a clip: waggles, the club going back, the strike, feet.
_GAIN_SPAN = (0.6, 1.7)
_PASSES_NS = 8_333_333
# A club head hides the ball's place for so long, in however many frames that is.


@dataclass(frozen=True, slots=True, kw_only=True)
class BallBracket:
    """The last frame with the ball and the first without it.

    Args:
        last_with_ns: Stamp of the last frame that shows the ball.
        first_without_ns: Stamp of the first frame that shows bare ground for good.
        confidence: 0..1: how many of the frames around tell the same story.
    """

    last_with_ns: int
    first_without_ns: int
    confidence: float

    def __post_init__(self) -> None:
        if not self.last_with_ns < self.first_without_ns:
            msg = f"ball at {self.last_with_ns} and gone by {self.first_without_ns}"
            raise ValueError(msg)

    @property
    def middle_ns(self) -> int:
        """Half way between the two."""
        return (self.last_with_ns + self.first_without_ns) // 2


def ball_leaving(patches: FrameArray, times_ns: IntArray) -> BallBracket | None:
    """Between which two frames the ball went for good.

    Each frame's patch is compared with the ball's usual look before and the bare ground after, its
    brightness matched first, so flicker and a golfer's shadow don't count. Frames in which a club
    hides the place are neither; they widen the bracket.

    Args:
        patches: (n, h, w) grey, the ball in the middle, some ground around it.
        times_ns: (n,) stamps, rising.

    Returns:
        The bracket; None where no ball lay there, or it stayed.

    Raises:
        ValueError: If the two don't fit together.
    """
    if patches.ndim != 3 or times_ns.shape != (len(patches),):
        msg = f"patches (n, h, w) and times (n,), got {patches.shape} and {times_ns.shape}"
        raise ValueError(msg)
    if len(patches) < 2 * _FEWEST:
        return None
    level = patches.astype(np.float64)
    stories = [_story(level, times_ns, split) for split in _splits(level, times_ns)]
    told = [story for story in stories if story is not None]
    return max(told, key=lambda story: story.confidence, default=None)


def _splits(level: FloatArray, times_ns: IntArray) -> list[int]:
    """Frames at which the patch changes most between the quarter second before and after."""
    n = len(level)
    flat = _evened(level, np.median(level, axis=0)).reshape(n, -1)
    summed = np.concatenate([np.zeros((1, flat.shape[1])), np.cumsum(flat, axis=0)])
    here = np.arange(_FEWEST, n - _FEWEST + 1)
    first = np.minimum(np.searchsorted(times_ns, times_ns[here] - _NEAR_NS), here - _FEWEST)
    last = np.searchsorted(times_ns, times_ns[here - 1] + _NEAR_NS, side="right")
    last = np.maximum(last, here + _FEWEST)
    before = (summed[here] - summed[first]) / (here - first)[:, None]
    after = (summed[last] - summed[here]) / (last - here)[:, None]
    change = np.sum((before - after) ** 2, axis=1)
    splits: list[int] = []
    while len(splits) < _STORIES and change.max() > 0:
        best = int(np.argmax(change))
        splits.append(int(here[best]))
        close = np.abs(times_ns[here] - times_ns[here[best]]) < _NEAR_NS / 4
        change = np.where(close, 0.0, change)
    return splits


def _story(level: FloatArray, times_ns: IntArray, split: int) -> BallBracket | None:
    """The bracket near that split, if the frames on either side tell of a ball leaving."""
    there, gone, contrast = _read(level, times_ns, split)
    step = _step(there, gone, times_ns)
    if step is None or contrast < _CONTRAST:
        return None
    # What was learnt to either side of a split a frame off is blurred: learn once more.
    there, gone, _ = _read(level, times_ns, step[1])
    step = _step(there, gone, times_ns)
    if step is None:
        return None
    last, first = step
    since = gone[first:]
    # Gone for good: a club that rested over the ball goes too, and then the ball goes.
    if since.mean() < _FOR_GOOD or since[-max(len(since) // 3, 1) :].mean() < _FOR_GOOD:
        return None
    return BallBracket(
        last_with_ns=int(times_ns[last]),
        first_without_ns=int(times_ns[first]),
        confidence=_confidence(there, gone, step, times_ns),
    )


def _read(level: FloatArray, times_ns: IntArray, split: int) -> tuple[BoolArray, BoolArray, float]:
    """Which frames show the ball, which show bare ground, and the contrast between the two."""
    near_before = (times_ns < times_ns[split]) & (times_ns >= times_ns[split] - _NEAR_NS)
    near_after = (times_ns >= times_ns[split]) & (times_ns <= times_ns[split] + _NEAR_NS)
    ground = np.median(level[near_after], axis=0)
    even = _evened(level, ground)
    ball = np.median(even[near_before], axis=0)
    differ = np.abs(ball - ground)
    contrast = float(np.quantile(differ, 0.98))
    place = differ > 0.5 * contrast
    noise = float(np.median(np.abs(even[near_after] - ground))) * 1.5
    near = np.maximum(0.35 * differ, 3 * noise + 2)
    like_ball = np.abs(even - ball) <= near
    like_ground = np.abs(even - ground) <= np.maximum(near, 4 * noise + 6)
    there = _share(like_ball, place) >= _THERE
    bare = _share(like_ground, place) >= _GONE
    clear = _share(like_ground, ~place) >= _CLEAR
    return there & ~bare, bare & clear & ~there, contrast


def _share(alike: BoolArray, place: BoolArray) -> FloatArray:
    """Share of the place that is alike in each frame; 0 where the place is empty."""
    share: FloatArray = (alike & place).sum(axis=(1, 2)) / max(int(place.sum()), 1)
    return share


def _evened(level: FloatArray, reference: FloatArray) -> FloatArray:
    """Each frame's brightness brought to the reference's by the patch's own middle ratio."""
    ratio = np.median((level + 8) / (reference + 8), axis=(1, 2))
    gain = np.clip(ratio, *_GAIN_SPAN)
    evened: FloatArray = (level + 8) / gain[:, None, None] - 8
    return evened


def _step(there: BoolArray, gone: BoolArray, times_ns: IntArray) -> tuple[int, int] | None:
    """The place where `there` turns to `gone` that contradicts the fewest frames."""
    gone_before = np.concatenate([[0], np.cumsum(gone)])
    there_after = np.concatenate([np.cumsum(there[::-1])[::-1], [0]])
    cut = int(np.argmin(gone_before + there_after))
    with_ball = np.flatnonzero(there[:cut])
    without = cut + np.flatnonzero(gone[cut:])
    if len(with_ball) < _FEWEST or len(without) < _FEWEST:
        return None
    last, first = int(with_ball[-1]), int(without[0])
    # A club like the ground in colour waggles before the ball for long; near the strike it can't.
    near_before = gone[: last + 1][times_ns[: last + 1] >= times_ns[last] - _NEAR_NS]
    near_after = there[first:][times_ns[first:] <= times_ns[first] + _NEAR_NS]
    if max(near_before.mean(), near_after.mean()) > _CONTRADICTED:
        return None
    return last, first


def _confidence(
    there: BoolArray, gone: BoolArray, step: tuple[int, int], times_ns: IntArray
) -> float:
    """Share of frames that agree, less the longer the place is hidden between the two."""
    last, first = step
    usual_ns = max(float(np.median(np.diff(times_ns))), _PASSES_NS)
    hidden = max(float(times_ns[first] - times_ns[last]) / usual_ns, 1.0)
    agree = (there[: last + 1].sum() + gone[first:].sum()) / (len(there) - (first - last - 1))
    return float(np.clip(agree / hidden**0.5, 0.0, 1.0))
