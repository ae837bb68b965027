"""What lies on the Bench is what the library holds, however fast it is asked for or changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.errors import OutputError, StationError
from capturestation.library import Library
from capturestation.records import Swing, SwingBook, SwingId, View
from capturestation.station import deleting
from capturestation.station.exchanging import exchanged_book
from capturestation.ui.bench.openings import Openings
from capturestation.ui.bench.place import BenchPlace
from tests.helpers.station_library import Filled, grown_up


def rested(place: BenchPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: place.is_settled and not place.is_writing, timeout=20_000)


def both(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    """Today's swing with the own best beside."""
    place.look_at(filled.today.id)
    rested(place, qtbot)
    place.toggle_earlier()
    rested(place, qtbot)
    assert place.state.then is not None


def test_a_star_given_elsewhere_is_known_here(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    place.look_at(filled.today.id)
    rested(place, qtbot)
    library.change_book(filled.today.id, lambda book: replace(book, starred=True))
    place.refresh()
    rested(place, qtbot)
    place.commands()["bench.star"]()
    rested(place, qtbot)

    assert not library.swing(filled.today.id).book.starred


def test_a_swing_that_became_another_student_s_stands_alone(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    both(place, qtbot, filled)
    other = grown_up(library, "Second")
    lesson = library.lesson(filled.today.book.lesson_id)
    moved = library.add_lesson(replace(lesson, id=type(lesson.id)("other"), student_id=other.id))

    def move(book: SwingBook) -> SwingBook:
        return replace(book, student_id=other.id, lesson_id=moved.id)

    library.change_book(filled.today.id, move)
    place.refresh()
    rested(place, qtbot)

    assert place.swing == filled.today.id
    assert place.state.then is None


def test_a_swing_that_is_gone_leaves_an_empty_bench_and_says_so(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    both(place, qtbot, filled)
    said: list[str] = []
    place.says.connect(said.append)
    deleting.throw_away(library, place.cache, library.swing(filled.today.id))
    place.refresh()
    rested(place, qtbot)

    assert (place.swing, place.state.then) == (None, None)
    assert said == ["This swing is no longer in the book."]


@pytest.mark.parametrize("whose", ["today", "best", "student", "nobody"])
def test_files_are_let_go_before_they_move_or_go(
    place: BenchPlace, qtbot: QtBot, filled: Filled, whose: str
) -> None:
    both(place, qtbot, filled)
    ids = {
        "today": filled.today.id,
        "best": filled.best.id,
        "student": filled.today.book.student_id,
        "nobody": "nobody",
    }
    place.let_go_of(ids[whose])

    lies = place.swing is not None, place.state.then is not None
    left = {"today": (False, False), "best": (True, False), "student": (False, False)}
    assert lies == left.get(whose, (True, True))


def test_presses_that_come_faster_than_files_open_are_all_meant(
    place: BenchPlace, qtbot: QtBot, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    place.look_at(filled.today.id)
    asked: list[int] = []
    neighbour = place.opener.neighbour

    def listening(swing: Swing, way: int) -> SwingId | None:
        asked.append(way)
        return neighbour(swing, way)

    monkeypatch.setattr(place.opener, "neighbour", listening)
    for way in (-1, -1, 1, -1):
        place.look_at_neighbour(way)
    rested(place, qtbot)

    assert asked == [-2]


def test_a_change_of_a_swing_that_is_gone_is_told_once_and_can_t_be_taken_back(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    place.look_at(filled.today.id)
    rested(place, qtbot)
    told: list[StationError] = []
    place.trouble.connect(told.append)
    deleting.throw_away(library, place.cache, library.swing(filled.today.id))
    place.star()
    rested(place, qtbot)

    assert len(told) == 1
    assert place.swing is None
    assert place.steps.undo_words == ""


def test_what_could_not_be_written_is_shown_as_it_is_and_is_no_step(
    place: BenchPlace,
    qtbot: QtBot,
    filled: Filled,
    library: Library,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    place.look_at(filled.today.id)
    rested(place, qtbot)
    told: list[StationError] = []
    place.trouble.connect(told.append)

    def full(_id: SwingId, _change: object) -> None:
        raise OutputError("The disk is full.", try_next="Free some space.")

    monkeypatch.setattr(library, "change_book", full)
    place.star()
    rested(place, qtbot)

    now = place.state.now
    assert now is not None
    assert not now.swing.book.starred
    assert [type(error) for error in told] == [OutputError]
    assert place.steps.undo_words == ""


def test_a_swing_placed_anew_elsewhere_is_opened_anew(
    place: BenchPlace,
    qtbot: QtBot,
    filled: Filled,
    library: Library,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    place.look_at(filled.today.id)
    rested(place, qtbot)
    opened: list[SwingId] = []
    monkeypatch.setattr(Openings, "look_at", lambda _self, swing: opened.append(swing))

    def later(book: SwingBook) -> SwingBook:
        moved = [replace(s, swing_minus_media_ns=s.swing_minus_media_ns + 1) for s in book.syncs]
        return replace(book, syncs=tuple(moved))

    library.change_book(filled.today.id, later)
    place.refresh()
    rested(place, qtbot)

    assert opened == [filled.today.id]


@pytest.mark.parametrize("side", list(Side))
def test_views_that_were_exchanged_elsewhere_show_their_own_pictures(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library, side: Side
) -> None:
    both(place, qtbot, filled)
    seen, then = place.state.seen(side), place.state.then
    assert seen is not None
    assert then is not None
    swing, word, beside = seen.swing, then.word, then.swing.id
    # Their places on the clock alone don't tell that it was done.
    library.change_book(swing.id, lambda book: replace(exchanged_book(book), syncs=book.syncs))
    place.refresh()
    rested(place, qtbot)

    now, then = place.state.seen(side), place.state.then

    assert now is not None
    assert then is not None
    assert now.swing.recording(View.FACE_ON) != swing.recording(View.FACE_ON)
    assert now.frames[View.FACE_ON] is not seen.frames[View.FACE_ON]
    assert (then.swing.id, then.word) == (beside, word)
