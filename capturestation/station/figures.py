"""The golfer in space by what was seen of a swing: the tracks of both views brought together.

Owns which views count and from which moment on he stands. Asks the library nothing.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from capturestation.records import FloatArray, Hand, Moment, Spot, Swing, View
from capturestation.station.seeing import Looked
from capturestation.swing.body import cleaned
from capturestation.swing.figure import Figure, Pictured, upright
from capturestation.swing.finding import Watched
from capturestation.swing.marks import effective_marks
from capturestation.swing.oddities import Oddity, SeenBody, oddities
from capturestation.swing.tracks import no_track

_STEP_NS = 8_333_333


def watched(placed: Mapping[View, Looked], hand: Hand) -> tuple[Watched, ...]:
    """What was seen, cleaned up, as the finder of moments takes it."""
    return tuple(
        Watched(
            view=view,
            motion=looked.motion,
            body=None if looked.body is None else cleaned(looked.body, view=view, hand=hand),
            club=looked.club,
        )
        for view, looked in placed.items()
    )


def figure_of(placed: Mapping[View, Looked], swing: Swing, hand: Hand) -> Figure | None:
    """The golfer in space by all that was seen; None where nobody saw the body."""
    views: dict[View, Pictured] = {
        view: Pictured(
            body=cleaned(looked.body, view=view, hand=hand),
            club=looked.club,
            ball_px=_ball_px(swing, view),
        )
        for view, looked in placed.items()
        if looked.body is not None and view is not View.EXTRA
    }
    known = effective_marks(swing.book.marks)
    at_set = known.get(Moment.SET)
    if not views or at_set is None or at_set.at_ns is None:
        return None
    begin = min(int(one.body.times_ns[0]) for one in views.values())
    end = max(int(one.body.times_ns[-1]) for one in views.values())
    times_ns = np.arange(begin, end, _STEP_NS, dtype=np.int64)
    return upright(views, hand=hand, set_ns=at_set.at_ns, times_ns=times_ns)


def _ball_px(swing: Swing, view: View) -> FloatArray | None:
    """Where the ball lies, as somebody pointed it out."""
    recording = swing.recording(view)
    spots = [s for s in swing.book.spots if s.view is view and s.spot is Spot.BALL]
    if recording is None or not spots:
        return None
    at = spots[0].at
    return np.array([at.x * recording.width_px - 0.5, at.y * recording.height_px - 0.5])


def odd_about(seen: Mapping[View, Looked], swing: Swing, hand: Hand) -> tuple[Oddity, ...]:
    """What a coach should look at in how a swing was filmed."""
    views = {}
    for view, looked in seen.items():
        sync, recording = swing.sync(view), swing.recording(view)
        if sync is not None and recording is not None:
            track, company = looked.placed(sync).body, looked.company
            if track is None and company.is_doubtful:
                track = no_track()
            if track is not None:
                views[view] = SeenBody(track=track, height_px=recording.height_px, company=company)
    at_set = effective_marks(swing.book.marks).get(Moment.SET)
    return oddities(views, hand=hand, set_ns=None if at_set is None else at_set.at_ns)
