"""Who the golfer is: a box by the coach, kept with the swing, taken back, used by who looks."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.drawing.grid import Side
from capturestation.errors import NotFoundError, NotReadableError, RefusedError
from capturestation.library import Library
from capturestation.records import GOLFER_SPOTS, Box, Point, Quiet, Sync, View
from capturestation.station import analysing
from capturestation.station.cache import cache_of
from capturestation.station.golfer_box import GolferBoxes, box_between, golfer_box, say_golfer
from capturestation.station.keeping import at_once
from capturestation.station.models import BodyModel
from capturestation.station.seeing import Looked, Lookers
from capturestation.station.spots import Spots, proposed_for
from capturestation.station.undo import UndoList
from tests.helpers.station_library import Filled

FACE_ON = View.FACE_ON
NOW, THEN = (Side.NOW, FACE_ON), (Side.THEN, FACE_ON)
BOX = Box(left=0.25, top=0.125, right=0.5, bottom=0.875)


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def steps() -> UndoList:
    return UndoList()


@pytest.fixture
def boxes(library: Library, filled: Filled, steps: UndoList) -> GolferBoxes:
    spots = Spots(library, steps, at_once)
    spots.look_at(library.swing(filled.today.id), library.swing(filled.best.id))
    return GolferBoxes(spots)


def kept(library: Library, filled: Filled) -> Box | None:
    return golfer_box(library.swing(filled.today.id).book.spots, FACE_ON)


def test_a_box_that_is_drawn_is_kept_and_taken_back(
    boxes: GolferBoxes, library: Library, filled: Filled, steps: UndoList
) -> None:
    boxes.draw(is_on=True)

    took = [
        boxes.press(NOW, Point(x=0.5, y=0.875)),
        boxes.move(NOW, Point(x=0.3, y=0.2)),
        boxes.release(NOW, Point(x=0.25, y=0.125)),
    ]

    assert took == [True, True, True]
    assert kept(library, filled) == BOX
    assert boxes.of(FACE_ON) == BOX
    assert steps.undo_words == "say who the golfer is"
    steps.undo()
    assert kept(library, filled) is None


def test_one_press_says_that_nobody_is(
    boxes: GolferBoxes, library: Library, filled: Filled, steps: UndoList
) -> None:
    say_golfer(library, filled.today, FACE_ON, BOX)
    boxes._spots.look_at(library.swing(filled.today.id), None)

    boxes.forget()

    assert kept(library, filled) is None
    steps.undo()
    assert kept(library, filled) == BOX


def test_only_today_s_pictures_take_a_box_and_only_while_it_is_drawn(boxes: GolferBoxes) -> None:
    off = boxes.press(NOW, Point(x=0.1, y=0.1))
    boxes.draw(is_on=True)
    earlier = boxes.press(THEN, Point(x=0.1, y=0.1))
    left = boxes.leave()

    assert (off, earlier, left) == (False, False, True)
    assert not boxes.press(NOW, Point(x=0.1, y=0.1))


def test_a_press_without_a_drag_is_no_box(
    boxes: GolferBoxes, library: Library, filled: Filled
) -> None:
    boxes.draw(is_on=True)

    boxes.press(NOW, Point(x=0.5, y=0.5))
    boxes.release(NOW, Point(x=0.51, y=0.51))

    assert kept(library, filled) is None


def test_keys_alone_move_a_box_and_it_is_kept_once_drawing_ends(
    boxes: GolferBoxes, library: Library, filled: Filled, steps: UndoList
) -> None:
    boxes.draw(is_on=True)

    for _ in range(40):
        boxes.nudge(FACE_ON, -1, 0)
    boxes.nudge(FACE_ON, 0, 0, 1)
    drawn = boxes.of(FACE_ON)
    before = kept(library, filled)
    boxes.draw(is_on=False)

    assert before is None
    assert drawn is not None
    assert drawn.left == 0.0
    assert kept(library, filled) == drawn
    steps.undo()
    assert kept(library, filled) is None


def test_drawing_that_is_given_up_leaves_no_box(
    boxes: GolferBoxes, library: Library, filled: Filled
) -> None:
    boxes.draw(is_on=True)
    boxes.nudge(FACE_ON, 1, 1)

    boxes.leave()

    assert kept(library, filled) is None
    assert boxes.of(FACE_ON) is None


def test_a_box_is_not_offered_for_the_next_ball(library: Library, filled: Filled) -> None:
    said = say_golfer(library, filled.best, FACE_ON, BOX)

    offered = proposed_for(library.swing(filled.today.id), [said])

    assert not [mark for mark in offered if mark.spot in GOLFER_SPOTS]


def test_what_can_be_no_golfer_is_refused(library: Library, filled: Filled) -> None:
    small = Box(left=0.1, top=0.1, right=0.11, bottom=0.9)

    with pytest.raises(RefusedError):
        say_golfer(library, filled.today, FACE_ON, small)
    with pytest.raises(NotFoundError):
        say_golfer(library, filled.today, View.EXTRA, BOX)

    assert kept(library, filled) is None


def test_a_box_reaches_no_further_than_the_picture() -> None:
    box = box_between(Point(x=1.2, y=-0.1), Point(x=0.4, y=0.5))

    assert box == Box(left=0.4, top=0.0, right=1.0, bottom=0.5)


def test_whoever_looks_is_told_the_box(
    library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    say_golfer(library, filled.today, FACE_ON, BOX)
    asked: dict[View, Box | None] = {}

    def look(path: Path, sync: Sync, marks: object, lookers: Lookers, watch: object) -> Looked:
        asked[sync.view] = lookers.box
        raise NotReadableError("not now", try_next="later")

    monkeypatch.setattr(analysing, "look_through", look)
    model = BodyModel(path=Path("nowhere"), is_there=False, engine="cv2")
    analyst = analysing.Analyst(library=library, cache=cache_of(library), model=model, workers=1)

    analyst.analyse([library.swing(filled.today.id)], Quiet(), again=True)

    assert asked == {view: BOX if view is FACE_ON else None for view in asked}
    assert FACE_ON in asked
