"""The lesson's end: starred ones stay, the rest goes with one step and comes back with one."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import NotFoundError, StationError
from capturestation.library import Library
from capturestation.records import SwingId
from capturestation.station.bay.ending import Ending, drop
from capturestation.station.cache import Cache
from capturestation.station.undo import UndoList
from tests.helpers.station_library import Filled


def silent(_words: str) -> None:
    """Nobody listens."""


def test_the_starred_are_kept_unless_said_otherwise(filled: Filled) -> None:
    with Library.open(filled.folder) as library:
        ending = Ending(library, filled.today.book.lesson_id)
        proposed = [line.swing.id for line in ending.kept]
        ending.turn(filled.best.id)
        ending.turn(filled.today.id)
        turned = [line.swing.id for line in ending.kept]
        ending.keep_all()

    assert proposed == [filled.best.id]
    assert turned == [filled.today.id]
    assert (len(ending.kept), ending.dropped) == (2, ())


def test_both_ways_say_what_they_take_on_the_disk(filled: Filled) -> None:
    with Library.open(filled.folder) as library:
        ending = Ending(library, filled.today.book.lesson_id)
        files = {
            swing.id: sum(
                library.media_path(swing, r.view).stat().st_size for r in swing.facts.recordings
            )
            for swing in (filled.best, filled.today)
        }

    assert ending.kept_bytes == files[filled.best.id]
    assert ending.dropped_bytes == files[filled.today.id]


def test_only_some_balls_can_be_asked_about(filled: Filled) -> None:
    with Library.open(filled.folder) as library:
        ending = Ending(library, filled.today.book.lesson_id, only=[filled.today.id])

    assert [line.swing.id for line in ending.lines] == [filled.today.id]


def test_what_is_dropped_comes_back_with_one_step(filled: Filled, tmp_path: Path) -> None:
    steps, ids = UndoList(), (filled.best.id, filled.today.id)
    with Library.open(filled.folder) as library:
        cache = Cache(tmp_path / "cache")
        step = drop(library, cache, ids, "2 dropped", silent)
        step.do()
        gone = library.swings(filled.today.book.lesson_id)
        steps.run(step)
        steps.undo()
        back = [swing.id for swing in library.swings(filled.today.book.lesson_id)]
        steps.redo()
        gone_again = library.swings(filled.today.book.lesson_id)

    assert (gone, gone_again) == ((), ())
    assert tuple(back) == ids


def test_a_drop_that_fails_leaves_everything(filled: Filled, tmp_path: Path) -> None:
    ids = (filled.today.id, SwingId("not-there"))
    with Library.open(filled.folder) as library:
        step = drop(library, Cache(tmp_path / "cache"), ids, "dropped", silent)
        with pytest.raises(StationError) as refused:
            step.do()
        left = [swing.id for swing in library.swings(filled.today.book.lesson_id)]

    assert isinstance(refused.value, NotFoundError)
    assert left == [filled.best.id, filled.today.id]
