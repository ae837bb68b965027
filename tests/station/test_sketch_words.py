"""A text on a picture is given other words by clicking it with the hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.drawing.grid import Side
from capturestation.library import Library
from capturestation.records import Shape, View
from capturestation.station.keeping import at_once
from capturestation.station.sketching import Sketcher
from capturestation.station.undo import UndoList
from tests.helpers.library_records import fill
from tests.helpers.sketches import at, whole_field

pytestmark = pytest.mark.usefixtures("qapp")
CELL = (Side.NOW, View.FACE_ON)


@pytest.fixture
def steps() -> UndoList:
    return UndoList()


@pytest.fixture
def sketcher(tmp_path: Path, steps: UndoList) -> Iterator[Sketcher]:
    """One text in the middle of the picture, the hand taken up."""
    with Library.open(tmp_path / "library") as library:
        filled = fill(library, tmp_path)
        made = Sketcher(library, steps, at_once)
        made.look_at(filled.swing, filled.lesson)
        made.set_fields({view: whole_field() for view in View})
        made.use(Shape.TEXT)
        drag(made, 0.5, 0.5)
        made.write("hold it")
        made.use(None)
        yield made


def drag(sketcher: Sketcher, start: float, end: float) -> None:
    sketcher.press(CELL, at(start, start))
    sketcher.move(CELL, at(end, end))
    sketcher.release(CELL, at(end, end))


def written(sketcher: Sketcher) -> list[str]:
    return [one.words for one in sketcher.shown(View.FACE_ON)]


def test_a_text_that_is_clicked_gets_other_words_and_they_can_be_taken_back(
    sketcher: Sketcher, steps: UndoList
) -> None:
    drag(sketcher, 0.5, 0.5)
    awaited, old = sketcher.awaits_words, sketcher.words
    sketcher.write(" hold it longer ")

    assert (awaited, old, sketcher.awaits_words) == (True, "hold it", False)
    assert written(sketcher) == ["hold it longer"]
    steps.undo()
    assert written(sketcher) == ["hold it"]


@pytest.mark.parametrize("words", ["", "  ", "hold it"])
def test_no_words_or_the_same_leave_a_text_as_it_was(
    sketcher: Sketcher, steps: UndoList, words: str
) -> None:
    before = steps.undo_words
    drag(sketcher, 0.5, 0.5)
    sketcher.write(words)

    assert steps.undo_words == before
    assert written(sketcher) == ["hold it"]


def test_a_text_that_is_moved_keeps_its_words(sketcher: Sketcher) -> None:
    drag(sketcher, 0.5, 0.7)

    assert not sketcher.awaits_words
    assert written(sketcher) == ["hold it"]


def test_other_words_can_be_given_up(sketcher: Sketcher) -> None:
    drag(sketcher, 0.5, 0.5)

    assert sketcher.leave()
    assert not sketcher.awaits_words
    assert written(sketcher) == ["hold it"]
