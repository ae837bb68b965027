"""The golfer in space by what was seen of a swing: the tracks of both views brought together.

Owns which views count, from which moment on he stands, and both ways to bring them together: in
metres where the bay is measured, and by pictures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.library import Library
from capturestation.records import FloatArray, Hand, Moment, Spot, Swing, View
from capturestation.station.in_space import Clocks, in_space
from capturestation.station.seeing import Looked
from capturestation.station.standpoints import Standpoints, standpoints
from capturestation.station.two_views import two_views
from capturestation.swing.both_views import cleaned_together
from capturestation.swing.figure import Figure, Pictured, upright
from capturestation.swing.finding import Watched
from capturestation.swing.hard_to_see import wider_where_hardly_seen
from capturestation.swing.marks import effective_marks
from capturestation.swing.oddities import Oddity, SeenBody, hardly_seen, oddities
from capturestation.swing.tracks import BodyTrack, no_track

_STEP_NS = 8_333_333


def bodies_of(
    placed: Mapping[View, Looked], hand: Hand, where: Standpoints | None = None
) -> dict[View, BodyTrack]:
    """The joints of each view that saw any, cleaned up: by both together where the bay allows it.

    Args:
        placed: What was seen, on the swing's clock.
        hand: Of the golfer.
        where: From where it was filmed; None takes each view by itself.
    """
    tracks = {view: one.body for view, one in placed.items() if one.body is not None}
    two = None if where is None else two_views(where, tracks)
    return cleaned_together(tracks, hand=hand, two=two)


def watched(
    placed: Mapping[View, Looked], hand: Hand, where: Standpoints | None = None
) -> tuple[Watched, ...]:
    """What was seen, cleaned up, as the finder of moments takes it."""
    bodies = bodies_of(placed, hand, where)
    return tuple(
        Watched(view=view, motion=looked.motion, body=bodies.get(view), club=looked.club)
        for view, looked in placed.items()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A golfer both ways.

    Args:
        pictures: By pictures; None where nobody saw the body.
        space: In metres; None where that can't be told.
        why: Why not, a sentence; empty where nobody measured the bay for this swing.
    """

    pictures: Figure | None = None
    space: Figure | None = None
    why: str = ""

    @property
    def best(self) -> Figure | None:
        """In space where that is known, else by pictures."""
        return self.pictures if self.space is None else self.space


def figures_of(library: Library, placed: Mapping[View, Looked], swing: Swing) -> Figures:
    """The golfer by all that was seen, on the swing's clock.

    Args:
        library: Asked for the hand, and for what was measured of the bay.
        placed: What was seen.
        swing: Which, with the marks and places that count.
    """
    hand = library.student(swing.book.student_id).hand
    where = standpoints(library, swing)
    views: dict[View, Pictured] = {
        view: Pictured(body=body, club=placed[view].club, ball_px=_ball_px(swing, view))
        for view, body in bodies_of(placed, hand, where).items()
        if view is not View.EXTRA
    }
    known = effective_marks(swing.book.marks)
    at_set = known.get(Moment.SET)
    if not views or at_set is None or at_set.at_ns is None:
        return Figures()
    begin = min(int(one.body.times_ns[0]) for one in views.values())
    end = max(int(one.body.times_ns[-1]) for one in views.values())
    times_ns = np.arange(begin, end, _STEP_NS, dtype=np.int64)
    flat = upright(views, hand=hand, set_ns=at_set.at_ns, times_ns=times_ns)
    if not where.by_view and not swing.book.moved:
        return Figures(pictures=flat)
    clocks = Clocks(u_ns={sync.view: sync.u_ns for sync in swing.book.syncs})
    found = in_space(views, where, clocks, set_ns=at_set.at_ns, times_ns=times_ns)
    return Figures(pictures=flat, space=found.figure, why=found.why)


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
    told = oddities(views, hand=hand, set_ns=None if at_set is None else at_set.at_ns)
    front = views.get(View.FACE_ON)
    wider = wider_where_hardly_seen(None if front is None else front.track, swing.book.marks)
    return (*told, *hardly_seen(1.0 if told else wider))
