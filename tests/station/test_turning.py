"""A swing filmed on its side is set upright by another in its place, and can come back."""

from __future__ import annotations

import pytest

from capturestation.errors import CancelledError, NotFoundError, NotReadableError
from capturestation.records import Moment, Quiet, StopAfter, View
from capturestation.station.marking import mark_by_hand
from capturestation.station.turning import turn_step, turn_view
from capturestation.station.undo import UndoList
from tests.helpers.looked_at import Room


def test_another_swing_with_all_that_is_known_takes_its_place(looked_at: Room) -> None:
    library = looked_at.library
    old = library.swing(looked_at.swing_id)
    old = mark_by_hand(library, old, Moment.TOP, at_ns=-260_000_000)

    fresh = turn_view(library, looked_at.cache, old, View.FACE_ON, 90, Quiet())

    before, after = old.recording(View.FACE_ON), fresh.recording(View.FACE_ON)
    assert before is not None
    assert after is not None
    assert (after.width_px, after.height_px) == (before.height_px, before.width_px)
    assert fresh.recording(View.DOWN_THE_LINE) == old.recording(View.DOWN_THE_LINE)
    assert (fresh.book.marks, fresh.book.syncs) == (old.book.marks, old.book.syncs)
    assert fresh.book.lesson_id == old.book.lesson_id
    assert [note.id for note in library.trash()] == [old.id]


def test_taken_back_the_old_one_is_there_as_it_was(looked_at: Room) -> None:
    library, cache, steps, shown = looked_at.library, looked_at.cache, UndoList(), list[str]()
    old = library.swing(looked_at.swing_id)
    fresh = turn_view(library, cache, old, View.FACE_ON, 270, Quiet())
    steps.run(turn_step(library, cache, old, fresh, "turned", shown.append))

    steps.undo()
    back = library.swing(old.id)
    steps.redo()

    assert back == old
    assert library.swing(fresh.id) == fresh
    assert [note.id for note in library.trash()] == [old.id]
    assert shown == [fresh.id, old.id, fresh.id]


def test_stopped_or_refused_nothing_was_changed(looked_at: Room) -> None:
    library = looked_at.library
    old = library.swing(looked_at.swing_id)

    with pytest.raises(CancelledError):
        turn_view(library, looked_at.cache, old, View.FACE_ON, 90, StopAfter(0.5))
    with pytest.raises(NotFoundError):
        turn_view(library, looked_at.cache, old, View.EXTRA, 90, Quiet())

    assert library.swing(old.id) == old
    assert library.trash() == ()


def test_a_recording_that_is_not_there_is_said_and_nothing_was_changed(looked_at: Room) -> None:
    library = looked_at.library
    old = library.swing(looked_at.swing_id)
    path = library.media_path(old, View.FACE_ON)
    path.rename(path.with_suffix(".away"))

    with pytest.raises(NotReadableError):
        turn_view(library, looked_at.cache, old, View.FACE_ON, 90, Quiet())

    assert library.swing(old.id) == old
    assert library.trash() == ()
