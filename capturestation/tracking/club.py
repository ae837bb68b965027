"""The club in the pictures of one view, one after another.

Owns where in the view is looked, which pictures go together, and what is known in the end. Refuses
files: pictures come in as they are decoded, and only small grey ones are kept for a moment.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import cv2
import numpy as np

from capturestation.records import Box, FloatArray, FrameArray
from capturestation.swing.tracks import ClubTrack
from capturestation.tracking.club_network import CELL_PX, SIDE_PX, ClubNetwork
from capturestation.tracking.club_path import best_path
from capturestation.tracking.club_rays import STEP_DEG, Sight, look

_SIDE_OF_GOLFER, _SIDE_OF_REACH = 1.97, 1.04
# The square's side over the golfer from nose to ankles, or over what he and the club reach.
_ABOVE_HANDS = 0.19
# At set the square's middle is so much of the same above the hands.
_APART_NS, _TOGETHER_NS = 7_000_000, 70_000_000
# Neighbours are at least and at most so far off; nearer ones hardly differ.
_SURE_GRIP, _SURE_END = 0.25, 0.30
_KNOWN = 0.60
# Evidence under this is right only every second time, and no direction is given.
_EVIDENCE, _RIGHT = (0.60, 0.75, 0.85, 0.92, 1.0), (0.50, 0.60, 0.82, 0.96, 0.995)
# How often a direction is within 10 degrees by its evidence: 6,000 rendered frames, clear, noisy,
# dim and blurred ones and those in which the body hides the shaft.
_LEEWAY = 0.30
# Hands further than this from the square's middle, as a share of its side, draw it after them.


@dataclass(frozen=True, slots=True, kw_only=True)
class _Waiting:
    """A picture that waits for its neighbours."""

    small: FrameArray
    time_ns: int
    hands_px: FloatArray | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a picture was looked at: the square's corner in the small picture, and its scale."""

    corner: FloatArray
    scale: float

    def whole(self, cells: FloatArray) -> FloatArray:
        """Places in the whole picture of places in the maps' cells, (2,)."""
        small = cells * CELL_PX + 0.5 * (CELL_PX - 1) + self.corner
        return np.asarray((small + 0.5) / self.scale - 0.5, dtype=np.float64)


class ClubTracker:
    """Takes the pictures of one view in turn.

    Args:
        box: How far golfer and club reach in the view (`reach`); used where hands are not given.
        network: Runs the pictures; this thread's own, made anew if not given.
    """

    def __init__(self, *, box: Box | None = None, network: ClubNetwork | None = None) -> None:
        self._network = network or ClubNetwork()
        self._box = box
        self._side_px, self._middle, self._is_guess = 0.0, np.zeros(2), False
        self._waiting: deque[_Waiting] = deque()
        self._next = 0
        self._times_ns: list[int] = []
        self._sights: list[Sight] = []
        self._places: list[_Place] = []

    def see(
        self, frame_rgb: FrameArray, time_ns: int, hands_px: FloatArray | None = None,
        size_px: float | None = None,
    ) -> None:  # fmt: skip
        """Take one more picture in.

        Args:
            frame_rgb: (H, W, 3) or grey (H, W) uint8, all of one size.
            time_ns: Its time, later than the last one's.
            hands_px: (2,) middle of both wrists in it, from the body track; None or NaN if unknown.
            size_px: The golfer from nose to ankles (`body.hands_px`); asked for until it is known.
        """
        grey = _grey(frame_rgb)
        hands = None if hands_px is None or not np.isfinite(hands_px).all() else hands_px
        if self._side_px == 0.0 or (self._is_guess and hands is not None and size_px):
            self._work(last=True)
            self._waiting.clear()
            self._next = 0
            self._begin(grey, hands, size_px)
        small = _shrunk(grey, self._scale)
        self._waiting.append(_Waiting(small=small, time_ns=time_ns, hands_px=hands))
        self._work(last=False)

    def track(self) -> ClubTrack:
        """What is known after the last picture."""
        self._work(last=True)
        return track_of(self._times_ns, self._sights, self._places)

    def alone_deg(self) -> FloatArray:
        """What each picture says by itself, without the others: the likeliest direction, (n,)."""
        return np.array([_fine(one, int(one.evidence.argmax())) for one in self._sights])

    @property
    def _scale(self) -> float:
        return SIDE_PX / self._side_px if self._side_px else 1.0

    def _begin(self, grey: FrameArray, hands: FloatArray | None, size_px: float | None) -> None:
        """Lay the square: above the hands, else over the reach, else over the whole height."""
        height, width = grey.shape
        box, self._is_guess = self._box, False
        if hands is not None and size_px:
            self._middle = hands - np.array([0.0, _ABOVE_HANDS * size_px])
            self._side_px = _SIDE_OF_GOLFER * size_px
        elif box is not None:
            size = np.array([width, height], dtype=np.float64)
            self._middle = 0.5 * size * (box.left + box.right, box.top + box.bottom)
            wide, tall = size * (box.right - box.left, box.bottom - box.top)
            self._side_px = _SIDE_OF_REACH * float(max(wide, tall))
        else:
            self._middle, self._side_px = 0.5 * np.array([width, height]), float(height)
            self._is_guess = True

    def _work(self, *, last: bool) -> None:
        """Look at every picture whose later neighbour is there."""
        while self._next < len(self._waiting):
            now = self._waiting[self._next]
            before = [w for w in self._waiting if w.time_ns <= now.time_ns - _APART_NS]
            after = [w for w in self._waiting if w.time_ns >= now.time_ns + _APART_NS]
            if not after and not last:
                return
            pair = [*before[-1:], *after[:1]]
            near = all(abs(w.time_ns - now.time_ns) <= _TOGETHER_NS for w in pair)
            earlier, later = (before[-1], after[0]) if before and after and near else (now, now)
            self._look(earlier, now, later)
            while before[1:]:
                self._waiting.popleft()
                self._next -= 1
                before = before[1:]
            self._next += 1

    def _look(self, earlier: _Waiting, now: _Waiting, later: _Waiting) -> None:
        if now.hands_px is not None:
            off = np.abs(now.hands_px - self._middle).max() / self._side_px
            if off > _LEEWAY:
                way = (now.hands_px - self._middle) * (1.0 - _LEEWAY / off)
                self._middle = self._middle + way
        corner = np.round((self._middle + 0.5) * self._scale - 0.5 - 0.5 * (SIDE_PX - 1))
        three = np.stack([_cut(w.small, corner) for w in (earlier, now, later)])
        hands = None
        if now.hands_px is not None:
            small_px = (now.hands_px + 0.5) * self._scale - 0.5
            hands = (small_px - corner - 0.5 * (CELL_PX - 1)) / CELL_PX
        self._times_ns.append(now.time_ns)
        self._sights.append(look(self._network(three), hands))
        self._places.append(_Place(corner=corner, scale=self._scale))


def track_of(times_ns: list[int], sights: list[Sight], places: list[_Place]) -> ClubTrack:
    """Best path through what single pictures say, and what is known along it.

    Args:
        times_ns: Of the pictures.
        sights: What each says.
        places: Where each was looked for.
    """
    count = len(times_ns)
    stamps = np.array(times_ns, dtype=np.int64)
    evidence = np.stack([sight.evidence for sight in sights]) if count else np.zeros((0, 1))
    path = best_path(evidence, stamps)
    grips, heads = np.full((count, 2), np.nan), np.full((count, 2), np.nan)
    shaft_deg, confidence = np.full(count, np.nan), np.zeros(count)
    for place, (sight, square, way) in enumerate(zip(sights, places, path, strict=True)):
        if sight.grip_sure >= _SURE_GRIP:
            grips[place] = square.whole(sight.grip)
        sure = float(sight.evidence[way])
        if sure < _KNOWN:
            continue
        shaft_deg[place] = _fine(sight, int(way))
        confidence[place] = np.interp(sure, _EVIDENCE, _RIGHT)
        if sight.end_sure[way] >= _SURE_END:
            angle = np.radians(shaft_deg[place])
            out = sight.reach[way] * np.array([np.cos(angle), np.sin(angle)])
            heads[place] = square.whole(sight.grip + out)
    return ClubTrack(
        times_ns=stamps, grip_px=grips, head_px=heads, shaft_deg=shaft_deg, confidence=confidence
    )


def _fine(sight: Sight, way: int) -> float:
    """The exact direction near the one that the path chose."""
    coarse = way * STEP_DEG
    off = (sight.fine_deg[way] - coarse + 180.0) % 360.0 - 180.0
    return float(coarse + np.clip(off, -8.0, 8.0))


def _shrunk(grey: FrameArray, scale: float) -> FrameArray:
    """The whole picture at the network's scale; halved first where it can be, which is quicker."""
    height, width = grey.shape
    shape = max(round(width * scale), 1), max(round(height * scale), 1)
    if scale <= 0.5 and height % 2 == 0 and width % 2 == 0:
        grey = np.asarray(cv2.resize(grey, (width // 2, height // 2), interpolation=cv2.INTER_AREA))
    return np.asarray(cv2.resize(grey, shape, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _cut(small: FrameArray, corner: FloatArray) -> FrameArray:
    """The square from a small picture; beyond its edge the edge goes on."""
    left, top = int(corner[0]), int(corner[1])
    height, width = small.shape
    if 0 <= top <= height - SIDE_PX and 0 <= left <= width - SIDE_PX:
        return small[top : top + SIDE_PX, left : left + SIDE_PX]
    # A square that lies wholly beyond sees the nearest row or column of the picture.
    above, before = _beyond(top, height), _beyond(left, width)
    seen = small[_within(top, height), _within(left, width)]
    bordered = cv2.copyMakeBorder(seen, *above, *before, cv2.BORDER_REPLICATE)
    return np.asarray(bordered, dtype=np.uint8)


def _within(begin: int, size: int) -> slice:
    """The part of a picture's side that the square's side holds, at least one of it."""
    first = min(max(begin, 0), size - 1)
    return slice(first, max(min(begin + SIDE_PX, size), first + 1))


def _beyond(begin: int, size: int) -> tuple[int, int]:
    """How much of the square's side lies before that part, and behind it."""
    held = _within(begin, size)
    before = min(max(-begin, 0), SIDE_PX - 1)
    return before, SIDE_PX - before - (held.stop - held.start)


def _grey(frame: FrameArray) -> FrameArray:
    if frame.ndim == 2:
        return frame
    return np.asarray(cv2.cvtColor(frame, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
