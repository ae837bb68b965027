"""The two views exchanged: everything said of a picture goes with it, and measures follow."""

from __future__ import annotations

import pytest

from capturestation.errors import RefusedError
from capturestation.records import Hand, Moment, Quiet, Swing, View
from capturestation.station.exchanging import ANALYSE, exchange_step, exchange_views
from capturestation.station.figures import odd_about
from capturestation.station.marking import mark_absent
from capturestation.station.measuring_again import find_again
from capturestation.station.seen_tracks import keep_tracks, kept_tracks, tracks_file
from capturestation.station.undo import UndoList
from capturestation.swing.oddities import Odd
from tests.helpers.looked_at import BOTH, Room
from tests.helpers.seen_tracks import tracks_of

TURN = "pelvis turn, top"


@pytest.fixture
def measured(looked_at: Room) -> Swing:
    """A swing that was looked through, as it should be."""
    swing = looked_at.library.swing(looked_at.swing_id)
    keep_tracks(looked_at.cache.made_folder(swing.id), tracks_of(swing))
    return find_again(looked_at.library, swing, Quiet(), looked_at.cache).swing


def value(swing: Swing) -> float | None:
    found = next((r.measured for r in swing.book.results if r.name == TURN), None)
    return None if found is None else found.value


def test_as_it_should_be_nothing_is_noticed(looked_at: Room, measured: Swing) -> None:
    assert noticed(looked_at, measured) == []


def test_each_picture_keeps_its_place_and_measures_follow(looked_at: Room, measured: Swing) -> None:
    done = exchange_views(looked_at.library, measured, looked_at.cache)

    assert done.done
    for view in BOTH:
        ours, theirs = done.swing.sync(view), measured.sync(view.across)
        assert ours is not None
        assert theirs is not None
        assert ours.swing_minus_media_ns == theirs.swing_minus_media_ns
        assert looked_at.library.media_path(done.swing, view).name == f"{view.across}.mp4"
    assert value(done.swing) != value(measured)
    assert noticed(looked_at, done.swing) == [Odd.EXCHANGED]


def noticed(room: Room, swing: Swing) -> list[Odd]:
    seen = kept_tracks(room.cache.folder(swing.id))
    return [one.odd for one in odd_about(seen, swing, Hand.RIGHT)]


def test_taken_back_all_is_as_it_was(looked_at: Room, measured: Swing) -> None:
    library, cache, told, steps = looked_at.library, looked_at.cache, list[str](), UndoList()
    after = exchange_views(library, measured, cache).swing
    steps.run(exchange_step(library, measured, after, "exchanged", told.append, cache))

    steps.undo()
    undone, seen = library.swing(measured.id), noticed(looked_at, measured)
    steps.redo()

    assert undone == measured
    assert seen == []
    assert library.swing(measured.id) == after
    assert noticed(looked_at, after) == [Odd.EXCHANGED]
    assert told == [measured.id] * 3


def test_what_was_changed_since_is_not_taken_back(looked_at: Room, measured: Swing) -> None:
    library, cache, steps = looked_at.library, looked_at.cache, UndoList()
    after = exchange_views(library, measured, cache).swing
    steps.run(exchange_step(library, measured, after, "exchanged", lambda _: None, cache))
    mark_absent(library, after, Moment.TAKEAWAY)

    with pytest.raises(RefusedError):
        steps.undo()

    assert library.swing(measured.id).book.exchanged
    assert noticed(looked_at, after) == [Odd.EXCHANGED]


def test_without_tracks_old_values_go_and_it_says_so(looked_at: Room, measured: Swing) -> None:
    tracks_file(looked_at.cache.folder(measured.id)).unlink()

    done = exchange_views(looked_at.library, measured, looked_at.cache)

    assert (done.done, done.said) == (False, ANALYSE)
    assert value(done.swing) is None
    assert done.swing.recording(View.FACE_ON) is not None
