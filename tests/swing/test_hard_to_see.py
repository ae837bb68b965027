"""Errors are wider where the network hardly sees the golfer, and as stated where it does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import Mark, Moment, View, hand_mark
from capturestation.swing.hard_to_see import MOST_WIDER, how_surely, wider_where_hardly_seen
from capturestation.swing.oddities import hardly_seen
from capturestation.swing.tracks import JOINTS, BodyTrack
from tests.helpers.invented_tracks import projected

MARKS: tuple[Mark, ...] = (
    hand_mark(Moment.SET, -1_300_000_000),
    hand_mark(Moment.TOP, -250_000_000),
)


def seen_so(*shares: float) -> BodyTrack:
    """A golfer whose joints are seen so surely, one after the other."""
    track = projected(View.FACE_ON)
    row = np.resize(np.array(shares), len(JOINTS))
    return replace(track, seen=np.tile(row, (len(track.times_ns), 1)))


def test_as_sure_as_in_a_shirt_nothing_is_wider() -> None:
    assert wider_where_hardly_seen(seen_so(0.99, 0.99, 0.98), MARKS) == 1.0


def test_the_less_surely_the_wider_up_to_twice() -> None:
    wider = [wider_where_hardly_seen(seen_so(p), MARKS) for p in (0.99, 0.98, 0.975, 0.9, 0.5)]

    assert wider == sorted(wider)
    assert 1.0 < wider[2] < MOST_WIDER
    assert wider[-1] == MOST_WIDER


def test_how_surely_is_told_by_the_moments_alone() -> None:
    track = seen_so(0.99)
    unsure = np.abs(track.times_ns[:, None] - [-1_300_000_000, -250_000_000]).min(axis=1) > 1e8
    track = replace(track, seen=np.where(unsure[:, None], 0.4, track.seen))

    assert wider_where_hardly_seen(track, MARKS) == 1.0


def test_pictures_in_which_nobody_was_seen_say_nothing() -> None:
    track = seen_so(0.99)
    gone = np.arange(len(track.times_ns)) > 50
    track = replace(track, seen=np.where(gone[:, None], 0.0, track.seen))

    assert how_surely(track, track.times_ns) == pytest.approx(-np.log(0.01))
    assert np.isnan(how_surely(track, track.times_ns[60:]))
    assert wider_where_hardly_seen(None, MARKS) == 1.0
    assert wider_where_hardly_seen(track, ()) == 1.0


def test_it_is_said_where_it_is_much() -> None:
    (said,) = hardly_seen(1.6)

    assert "1.6 times as wide" in said.said
    assert hardly_seen(1.1) == ()
