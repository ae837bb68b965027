"""Tracks of an invented golfer as if a swing's recordings had been looked through."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from capturestation.records import Swing, View
from capturestation.station.seeing import Looked
from capturestation.swing.tracks import BodyTrack, ClubTrack, MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.invented_tracks import camera_of, club_projected, moved, projected


@lru_cache
def _perfect(view: View) -> tuple[MotionTrack, BodyTrack, ClubTrack]:
    golfer = Golfer(SwingParameters())
    seen = projected(view, golfer=golfer), club_projected(view, golfer=golfer)
    return moved(golfer), *seen


def tracks_of(swing: Swing) -> dict[View, Looked]:
    """A perfect network's tracks of each placed recording, on its own clock and in its pixels."""
    seen = {}
    for sync in swing.book.syncs:
        recording = swing.recording(sync.view)
        assert recording is not None
        share = recording.width_px / camera_of(sync.view).lens.width_px
        motion, body, club = _perfect(sync.view)
        seen[sync.view] = Looked(
            motion=MotionTrack(times_ns=sync.to_media(motion.times_ns), energy=motion.energy),
            body=replace(
                body, times_ns=sync.to_media(body.times_ns), joints_px=body.joints_px * share
            ),
            club=replace(
                club,
                times_ns=sync.to_media(club.times_ns),
                grip_px=club.grip_px * share,
                head_px=club.head_px * share,
            ),
        )
    return seen
