"""Opening a swing with its lesson's focus, and what is laid beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.library import Library
from capturestation.records import SwingId, View
from capturestation.station.bench.opening import Opener
from capturestation.station.cache import cache_of
from tests.helpers.coded_media import read_code
from tests.helpers.station_library import Filled


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def opener(library: Library, tmp_path: Path) -> Iterator[Opener]:
    made = Opener(library, cache_of(library, tmp_path / "caches"))
    yield made
    made.close()


def test_a_swing_opens_with_the_own_best_and_the_focus(
    opener: Opener, library: Library, filled: Filled
) -> None:
    lesson = library.lesson(filled.today.book.lesson_id)
    library.save_lesson(replace(lesson, focus=("turn",)))

    opened = opener.open(filled.today.id, beside=True)

    assert opened.now is not None
    assert opened.then is not None
    assert (opened.now.word, opened.then.word) == ("today", "own best")
    assert (opened.then.swing.id, opened.focus) == (filled.best.id, ("turn",))
    shown = opened.now.shown(View.FACE_ON, 0)
    frame = opened.now.frames[View.FACE_ON].frame_rgb(shown.ordinal)
    assert read_code(frame) == shown.ordinal
    opened.close()


def test_a_swing_with_nothing_to_stand_beside_opens_alone_and_says_why(
    opener: Opener, library: Library, filled: Filled
) -> None:
    library.change_book(filled.best.id, lambda book: replace(book, starred=False, club="driver"))

    opened = opener.open(filled.today.id, beside=True)

    assert opened.then is None
    assert opened.why.startswith("No best of this club and kind yet.")
    opened.close()


def test_what_must_not_be_compared_is_refused(
    opener: Opener, library: Library, filled: Filled
) -> None:
    library.change_book(filled.best.id, lambda book: replace(book, club="driver"))

    with pytest.raises(ComparisonRefusedError):
        opener.open_earlier(filled.today, filled.best.id, "chosen")


def test_a_chosen_swing_is_called_as_wished(opener: Opener, filled: Filled) -> None:
    opened = opener.open_earlier(filled.today, filled.best.id, "in May")

    assert opened.then is not None
    assert opened.then.word == "in May"
    opened.close()


def test_neighbours_are_those_of_the_lesson_in_order(opener: Opener, filled: Filled) -> None:
    assert opener.neighbour(filled.today, -1) == filled.best.id
    assert opener.neighbour(filled.today, 1) is None


def test_an_unknown_swing_is_not_found(opener: Opener) -> None:
    with pytest.raises(NotFoundError):
        opener.open(SwingId("nothere"), beside=False)
