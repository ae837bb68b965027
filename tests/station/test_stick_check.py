"""A stick across the hips over a mark: what is read, how far off, or why it can't be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.errors import RefusedError
from capturestation.records import Swing, View
from capturestation.station.seeing import Looked
from capturestation.station.seen_tracks import keep_tracks
from capturestation.station.stick_check import read_stick
from capturestation.swing.measuring import may_not_hold, table
from capturestation.swing.measuring_in_space import offsets
from capturestation.swing.tracks import MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.calibrated import calibrated, calibration_row
from tests.helpers.invented_tracks import camera_of, projected, times
from tests.helpers.looked_at import Room

TOP_NS = -280_000_000


def keep_seen(room: Room) -> None:
    """Joints of an invented golfer who stands all the time as at the top, as if looked through."""
    golfer, seen = Golfer(SwingParameters()), {}
    stamps = times()
    for sync in room.library.swing(room.swing_id).book.syncs:
        body = projected(sync.view, golfer=golfer, times_ns=TOP_NS + np.arange(len(stamps)))
        times_ns = sync.to_media(stamps)
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

    read, taken_off = found.pictures, table()["pelvis turn, set"].offset
    assert read.off_deg == pytest.approx(-taken_off, abs=6.0)
    assert read.is_within
    assert (found.space, found.why) == (None, "")
    wrong = read_stick(looked_at.library, looked_at.cache, swing, TOP_NS, mark_deg=true - 60.0)
    assert wrong.pictures.off_deg == pytest.approx(read.off_deg + 60.0)
    assert not wrong.pictures.is_within


def in_measured_bay(room: Room) -> Swing:
    """The swing as if cameras of known places had filmed it."""
    swing = room.library.swing(room.swing_id)
    recordings = []
    for recording in swing.facts.recordings:
        camera = calibrated(camera_of(recording.view), f"bay {recording.view}")
        room.library.add_calibration(calibration_row(camera, str(recording.view)))
        width, height = camera.size_px
        recordings.append(replace(recording, camera=camera.name, width_px=width, height_px=height))
    return replace(swing, facts=replace(swing.facts, recordings=tuple(recordings)))


def test_where_the_bay_is_measured_it_is_read_in_space_too(looked_at: Room) -> None:
    keep_seen(looked_at)
    true = true_turn_deg(TOP_NS)

    swing = in_measured_bay(looked_at)
    found = read_stick(looked_at.library, looked_at.cache, swing, TOP_NS, mark_deg=true)

    assert found.space is not None
    assert found.why == ""
    # The correction is the body model's, which these joints don't need.
    assert found.space.off_deg == pytest.approx(-offsets()["pelvis turn, set"].offset, abs=0.5)
    assert found.space.is_within
    assert found.space.read_deg != found.pictures.read_deg
    # That of the correction alone is there also where all else is exact.
    assert may_not_hold(offsets()["pelvis turn, set"].offset) < found.space.u_deg < 16.0


def test_where_a_camera_was_moved_it_says_why_not_in_space(looked_at: Room) -> None:
    keep_seen(looked_at)
    swing = in_measured_bay(looked_at)
    moved = replace(swing, book=replace(swing.book, moved=(View.FACE_ON,)))

    found = read_stick(looked_at.library, looked_at.cache, moved, TOP_NS)

    assert found.space is None
    assert "moved after it was calibrated" in found.why


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
