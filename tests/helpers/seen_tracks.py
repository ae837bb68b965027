"""Tracks of an invented golfer as if a swing's recordings had been looked through."""

from __future__ import annotations

from dataclasses import replace

from capturestation.records import Swing, View
from capturestation.station.seeing import Looked
from capturestation.swing.tracks import MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.invented_tracks import camera_of, club_projected, moved, projected


def tracks_of(swing: Swing) -> dict[View, Looked]:
    """A perfect network's tracks of each placed recording, on its own clock and in its pixels."""
    golfer, seen = Golfer(SwingParameters()), {}
    for sync in swing.book.syncs:
        recording = swing.recording(sync.view)
        assert recording is not None
        share = recording.width_px / camera_of(sync.view).lens.width_px
        body = projected(sync.view, golfer=golfer)
        club = club_projected(sync.view, golfer=golfer)
        motion = moved(golfer)
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
