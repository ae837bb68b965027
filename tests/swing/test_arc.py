"""The bottom of the arc by motion."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.errors import TimingRefusedError
from capturestation.records import SyncSource, View
from capturestation.swing.arc import fastest, place_at_arc
from capturestation.swing.tracks import MotionTrack
from tests.helpers.swings import Motion, motion_energy_of

MS = 1_000_000


def track(rate_hz: float, motion: Motion, shift_ns: int = 0) -> MotionTrack:
    times_ns = (np.arange(-2.2, 1.4, 1 / rate_hz) * 1e9).astype(np.int64)
    energy = motion_energy_of(1, times_ns, motion)
    return MotionTrack(times_ns=times_ns + shift_ns, energy=energy)


@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 120.0])
@pytest.mark.parametrize("motion", [Motion(), Motion(down_s=0.34, top_rad=3.2)])
def test_face_on_the_fastest_motion_is_the_bottom_of_the_arc(
    rate_hz: float, motion: Motion
) -> None:
    sync = place_at_arc(View.FACE_ON, track(rate_hz, motion, 5_000 * MS))

    assert abs(sync.contact_media_ns - 5_000 * MS) <= 2 * sync.u_ns
    assert 10 * MS <= sync.u_ns <= 60 * MS
    assert sync.source is SyncSource.PICTURE
    assert "No ball was struck" in sync.said


def test_down_the_line_the_fastest_motion_comes_earlier_and_is_less_certain() -> None:
    seen = track(60.0, Motion())

    beside, behind = (place_at_arc(view, seen) for view in (View.FACE_ON, View.DOWN_THE_LINE))

    assert behind.contact_media_ns - beside.contact_media_ns == pytest.approx(66 * MS, abs=1)
    assert behind.u_ns > beside.u_ns


def test_where_nothing_moves_there_is_no_arc() -> None:
    still = MotionTrack(times_ns=np.arange(50) * 10 * MS, energy=np.zeros(50))

    with pytest.raises(TimingRefusedError, match="No swing is seen") as refused:
        place_at_arc(View.FACE_ON, still)

    assert "by hand" in refused.value.try_next
    assert fastest(still) is None


def test_what_goes_on_alike_for_long_is_no_swing() -> None:
    rng = np.random.default_rng(3)
    level = 0.5 + 0.02 * rng.uniform(size=200)
    wanders = MotionTrack(times_ns=np.arange(200) * 10 * MS, energy=level)

    with pytest.raises(TimingRefusedError, match="No swing is seen"):
        place_at_arc(View.FACE_ON, wanders)
