"""How far golfer and club reach in a swing's pictures, so that they can be seen as large as may be.

Owns which frames are looked at for it: from set to finish, close together where the club is fast.
Takes its time: it is called beside the window. What was found is kept while the program runs.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import numpy as np

from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from capturestation.media.working_copy import open_frames
from capturestation.records import (
    NS_PER_S,
    Box,
    IntArray,
    Moment,
    Swing,
    SwingId,
    View,
    Watch,
    around,
)
from capturestation.swing.marks import effective_marks
from capturestation.timing.frames import nearest_frame
from capturestation.tracking.motion import WIDTH_PX
from capturestation.tracking.reach import Reach

_BEFORE_NS, _AFTER_NS = 2 * NS_PER_S, 3 * NS_PER_S // 2
# Of impact, where set or finish are not known: a backswing takes a second, a finish is held.
_SLOW_NS, _FAST_NS = NS_PER_S // 20, NS_PER_S // 120
# Between two looks. At 45 m/s a head turns by a quarter of a radian between two of the fast ones:
# about where its way turns back that hides 1 cm, and the reach has a margin.
_NEAR_NS = NS_PER_S // 4
_CACHE_MB = 4


class Reaches:
    """Finds what of each view has to be seen; safe on any thread.

    Args:
        media: Where a swing's recording of a view lies.
        copies: Where a swing's working copies lie.
    """

    def __init__(
        self, media: Callable[[Swing, View], Path], copies: Callable[[SwingId], Path]
    ) -> None:
        self._media = media
        self._copies = copies
        self._found: dict[tuple[SwingId, View], Box | None] = {}
        self._lock = threading.Lock()

    def boxes(self, swings: Iterable[Swing], watch: Watch) -> Mapping[View, Box]:
        """What has to be seen of each view for all of these swings, cut alike.

        A view in which nothing moved that could be a golfer, or that can't be read, is left out.

        Args:
            swings: Today's, and the earlier one.
            watch: Is told how far it is, and may stop it.

        Raises:
            CancelledError: If it was stopped.
        """
        found: dict[View, list[Box | None]] = {}
        for swing in swings:
            for recording in swing.facts.recordings:
                box = self._box(swing, recording.view, watch)
                found.setdefault(recording.view, []).append(box)
        whole = {}
        for view, boxes in found.items():
            both = around(box for box in boxes if box is not None)
            # Of one that isn't known nothing may be cut off.
            if both is not None and None not in boxes:
                whole[view] = both
        return whole

    def _box(self, swing: Swing, view: View, watch: Watch) -> Box | None:
        key = (swing.id, view)
        with self._lock:
            if key in self._found:
                return self._found[key]
        box = self._look(swing, view, watch)
        with self._lock:
            self._found[key] = box
        return box

    def _look(self, swing: Swing, view: View, watch: Watch) -> Box | None:
        sync = swing.sync(view)
        if sync is None:
            return None
        path, folder = self._media(swing, view), self._copies(swing.id)
        try:
            with open_frames(path, folder, cache_mb=_CACHE_MB) as reader:
                ordinals = _ordinals(swing, sync.to_swing(reader.index.times_ns))
                return _reach(reader, ordinals, watch, evenly=view is View.FACE_ON)
        except NotReadableError:
            return None


def _ordinals(swing: Swing, times_ns: IntArray) -> IntArray:
    """The frames to look at, rising: all through the swing, closer together about impact."""
    marks = effective_marks(swing.book.marks)
    start, stop = (
        mark.at_ns if mark is not None and mark.at_ns is not None else usual
        for mark, usual in (
            (marks.get(Moment.SET), -_BEFORE_NS),
            (marks.get(Moment.FINISH), _AFTER_NS),
        )
    )
    slow = np.arange(start, stop + 1, _SLOW_NS, dtype=np.int64)
    fast = np.arange(-_NEAR_NS, _NEAR_NS + 1, _FAST_NS, dtype=np.int64)
    asked = np.unique(np.concatenate([slow, fast]))
    return np.unique(nearest_frame(times_ns, asked))


def _reach(reader: FrameReader, ordinals: IntArray, watch: Watch, *, evenly: bool) -> Box | None:
    reach = Reach()
    first, last = int(ordinals[0]), int(ordinals[-1])
    wanted = set(ordinals.tolist())
    # In order: a recording that is no working copy comes so several times faster.
    greys = reader.iter_grey(first, last + 1, width_px=WIDTH_PX)
    for ordinal, grey in enumerate(greys, start=first):
        if ordinal in wanted:
            watch.report((ordinal - first + 1) / (last - first + 1), "looking how far it reaches")
            reach.see(grey)
    return reach.box(evenly=evenly)
