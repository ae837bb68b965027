"""Contact said by hand for the picture that is looked at, and taken back with all of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from capturestation.errors import NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.records import Quiet, Swing, SyncSource, View
from capturestation.station.bench.contact import contact_here, contact_step
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.undo import UndoList
from tests.helpers.seen_swings import MS, even_frames
from tests.helpers.station_library import Filled


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def seen_of(swing: Swing) -> SeenSwing:
    frames = {recording.view: even_frames() for recording in swing.facts.recordings}
    return SeenSwing(swing=swing, frames=frames, word="today")


def test_the_frame_that_is_shown_becomes_zero(library: Library, filled: Filled) -> None:
    seen = seen_of(library.swing(filled.today.id))
    shown = seen.shown(View.FACE_ON, 200 * MS)
    was = seen.swing.sync(View.FACE_ON)
    assert was is not None

    before, after = contact_here(library, seen, View.FACE_ON, 200 * MS, Quiet())

    now = after.sync(View.FACE_ON)
    assert now is not None
    assert now.source is SyncSource.HAND
    assert abs(now.to_swing(was.to_media(shown.at_ns))) <= 1
    assert after.sync(View.DOWN_THE_LINE) == before.sync(View.DOWN_THE_LINE)
    assert library.swing(filled.today.id).book == after.book


def test_taken_back_and_done_again(library: Library, filled: Filled) -> None:
    seen = seen_of(library.swing(filled.today.id))
    before, after = contact_here(library, seen, View.FACE_ON, 100 * MS, Quiet())
    told: list[str] = []
    steps = UndoList()
    steps.run(contact_step(library, before, after, "contact by hand", told.append))

    steps.undo()
    undone = library.swing(before.id).book
    steps.redo()

    assert undone == before.book
    assert library.swing(before.id).book == after.book
    assert told == [before.id] * 3


def test_what_was_changed_meanwhile_is_not_overwritten(library: Library, filled: Filled) -> None:
    seen = seen_of(library.swing(filled.today.id))
    before, after = contact_here(library, seen, View.FACE_ON, 100 * MS, Quiet())
    step = contact_step(library, before, after, "contact by hand", lambda _id: None)
    step.do()
    contact_here(library, seen_of(after), View.FACE_ON, -100 * MS, Quiet())
    kept = library.swing(before.id).book

    with pytest.raises(RefusedError):
        step.undo()
    assert library.swing(before.id).book == kept


def test_an_angle_that_is_not_there_is_refused(library: Library, filled: Filled) -> None:
    seen = seen_of(library.swing(filled.today.id))

    with pytest.raises(NotFoundError):
        contact_here(library, seen, View.EXTRA, 0, Quiet())
    assert library.swing(filled.today.id) == seen.swing
