"""A stick across the hips over a mark: what is read, how far off, or why it can't be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.errors import RefusedError
from capturestation.station.seeing import Looked
from capturestation.station.seen_tracks import keep_tracks
from capturestation.station.stick_check import read_stick
from capturestation.swing.measuring import table
from capturestation.swing.tracks import MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.invented_tracks import projected
from tests.helpers.looked_at import Room

TOP_NS = -280_000_000


def keep_seen(room: Room) -> None:
    """An invented golfer's own joints, as if the swing had been looked through."""
    golfer, seen = Golfer(SwingParameters()), {}
    for sync in room.library.swing(room.swing_id).book.syncs:
        body = projected(sync.view, golfer=golfer)
        times_ns = sync.to_media(body.times_ns)
        still = MotionTrack(times_ns=times_ns, energy=np.zeros(len(times_ns)))
        seen[sync.view] = Looked(motion=still, body=replace(body, times_ns=times_ns), club=None)
    keep_tracks(room.cache.made_folder(room.swing_id), seen)


def true_turn_deg(at_ns: int) -> float:
    pose = Golfer(SwingParameters()).pose(np.array([at_ns / 1e9]))
    side = (pose.lead_hip - pose.trail_hip)[0]
    return float(np.degrees(np.arctan2(-side[1], side[0])))


def test_the_turn_is_read_and_set_against_the_mark(looked_at: Room) -> None:
    keep_seen(looked_at)
    swing, true = looked_at.library.swing(looked_at.swing_id), true_turn_deg(TOP_NS)

    found = read_stick(looked_at.library, looked_at.cache, swing, TOP_NS, mark_deg=true)

    taken_off = table()["pelvis turn, set"].offset
    assert found.off_deg == pytest.approx(-taken_off, abs=6.0)
    assert found.is_within
    wrong = read_stick(looked_at.library, looked_at.cache, swing, TOP_NS, mark_deg=true - 60.0)
    assert wrong.off_deg == pytest.approx(found.off_deg + 60.0)
    assert not wrong.is_within


def test_without_tracks_it_says_what_to_do(looked_at: Room) -> None:
    swing = looked_at.library.swing(looked_at.swing_id)

    with pytest.raises(RefusedError) as told:
        read_stick(looked_at.library, looked_at.cache, swing, TOP_NS)

    assert "Analyse" in told.value.try_next


def test_where_nobody_is_seen_it_says_so(looked_at: Room) -> None:
    keep_seen(looked_at)
    swing = looked_at.library.swing(looked_at.swing_id)

    with pytest.raises(RefusedError, match="not seen in both"):
        read_stick(looked_at.library, looked_at.cache, swing, 60_000_000_000)
