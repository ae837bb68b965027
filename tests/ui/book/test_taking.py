"""Dropped files become a swing: guessed, asked, taken in beside the window, taken back."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import (
    BadInputError,
    ConsentRefusedError,
    NotReadableError,
)
from capturestation.media.still import still_jpeg
from capturestation.records import Consent, Giver, Purpose, View
from capturestation.station.people import today
from tests.helpers.bay_files import CONTACT_S, RATE_HZ, Filmed, Pair, bay_file
from tests.ui.book.conftest import Opened

LEFT = Qt.MouseButton.LeftButton
SLOW_MS = 30_000


def dropped(book: Opened, *paths: Path) -> None:
    """Drop files on the window, which hands them to the Book; a club was told before."""
    book.place.taking.club = book.place.taking.club or "7 iron"
    assert book.place.take_files(paths)


def settled(book: Opened, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not book.place.workers.jobs, timeout=SLOW_MS)


def test_two_dropped_files_become_a_swing_and_it_is_taken_back(
    book: Opened, qtbot: QtBot, third_swing: Pair
) -> None:
    dropped(book, third_swing.down_the_line, third_swing.face_on)
    page = book.place.files
    assert book.over is page
    settled(book, qtbot)
    assert page.why.text().startswith("They show what these cameras saw")
    assert page.prints[third_swing.face_on].has_picture

    qtbot.mouseClick(page.take_word, LEFT)
    settled(book, qtbot)

    assert book.troubles == []
    assert book.chosen.id not in (book.filled.today.id, book.filled.best.id)
    assert {r.view for r in book.chosen.facts.recordings} == {View.FACE_ON, View.DOWN_THE_LINE}
    assert book.said[-1].startswith("The swing is in the book.")
    assert book.place.kept()["club"] == book.chosen.book.club
    book.undo()
    assert book.prints == [book.filled.today.id, book.filled.best.id]


def test_one_file_of_a_new_place_is_asked_about(book: Opened, qtbot: QtBot, tmp_path: Path) -> None:
    path = bay_file(tmp_path / "one.mp4", Filmed(view=View.EXTRA, seed=3))
    dropped(book, path)
    settled(book, qtbot)
    page = book.place.files
    assert page.why.text().startswith("Which of them")
    assert not page.take_word.isEnabled()

    qtbot.mouseClick(page.words[path, View.FACE_ON], LEFT)
    qtbot.mouseClick(page.take_word, LEFT)
    settled(book, qtbot)

    assert [r.view for r in book.chosen.facts.recordings] == [View.FACE_ON]


def refused(book: Opened, qtbot: QtBot, tmp_path: Path) -> Path:
    """A file in which nothing tells contact was dropped and is asked about."""
    path = bay_file(tmp_path / "front.mp4", Filmed(has_sound=False, has_ball=False, seed=4))
    dropped(book, path)
    settled(book, qtbot)
    qtbot.mouseClick(book.place.files.take_word, LEFT)
    settled(book, qtbot)
    return path


def test_where_nothing_tells_contact_it_is_shown_by_hand(
    book: Opened, qtbot: QtBot, tmp_path: Path
) -> None:
    refused(book, qtbot, tmp_path)
    page = book.place.contact
    file = page.files[View.FACE_ON]
    assert book.over is page
    assert "front.mp4" in page.why.text()
    assert file.print.has_picture
    assert not page.take_word.isEnabled()

    file.slider.setValue(round(CONTACT_S * RATE_HZ))
    qtbot.mouseClick(file.here, LEFT)
    qtbot.mouseClick(page.take_word, LEFT)
    settled(book, qtbot)

    assert book.troubles == []
    sync = book.chosen.book.syncs[0]
    assert sync.contact_media_ns == pytest.approx(CONTACT_S * 1e9, abs=1e9 / RATE_HZ)
    book.undo()
    assert len(book.prints) == 2


def test_leaving_the_page_of_contact_takes_nothing_in(
    book: Opened, qtbot: QtBot, tmp_path: Path
) -> None:
    path = refused(book, qtbot, tmp_path)
    book.place.leave()

    assert book.over is None
    assert path.exists()
    assert len(book.prints) == 2


def test_the_frame_wished_last_is_the_one_that_stays(
    book: Opened, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = refused(book, qtbot, tmp_path)
    fetched: list[int] = []

    def still(_path: Path, media_ns: int, *, box_px: tuple[int, int]) -> bytes:
        fetched.append(media_ns)
        return still_jpeg(path, media_ns, box_px=box_px)

    monkeypatch.setattr("capturestation.ui.book.taking.still_jpeg", still)
    file = book.place.contact.files[View.FACE_ON]
    for frame in (10, 20, 30, 40):
        file.slider.setValue(frame)
    settled(book, qtbot)

    assert len(fetched) == 2
    assert fetched[-1] == file.shown_ns


def test_taking_in_can_be_stopped(book: Opened, qtbot: QtBot, third_swing: Pair) -> None:
    dropped(book, third_swing.face_on, third_swing.down_the_line)
    settled(book, qtbot)
    qtbot.mouseClick(book.place.files.take_word, LEFT)
    book.place.workers.stop_all()
    settled(book, qtbot)

    assert book.troubles == []
    assert book.said[-1].startswith("Stopped")
    assert len(book.prints) == 2


def test_a_file_that_can_t_be_read_is_told(book: Opened, qtbot: QtBot, tmp_path: Path) -> None:
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"no film")
    dropped(book, broken)
    settled(book, qtbot)

    assert {type(error) for error in book.troubles} == {NotReadableError}


@pytest.mark.parametrize("names", [("notes.txt",), ("a.mp4", "b.mp4", "c.mp4", "d.mp4")])
def test_what_can_t_be_a_swing_is_refused_kindly(
    book: Opened, tmp_path: Path, names: tuple[str, ...]
) -> None:
    paths = [tmp_path / name for name in names]
    for path in paths:
        path.touch()

    dropped(book, *paths)

    assert isinstance(book.troubles[0], BadInputError)
    assert book.troubles[0].try_next.startswith("Drop ")
    assert book.over is None


def test_files_for_nobody_are_refused(book: Opened, third_swing: Pair) -> None:
    book.place.index.field.setText("nobody at all")

    dropped(book, third_swing.face_on)

    assert str(book.troubles[0]).startswith("Nobody is chosen")
    assert book.over is None


def test_files_of_a_student_who_said_no_are_refused_before_they_are_read(
    book: Opened, third_swing: Pair
) -> None:
    no = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=today())
    book.library.set_consent(book.filled.today.book.student_id, no)
    book.place.refresh()

    dropped(book, third_swing.face_on)

    assert isinstance(book.troubles[0], ConsentRefusedError)
    assert "choose Change" in book.troubles[0].try_next
    assert book.over is None
    assert book.place.workers.jobs == ()


def test_the_club_told_last_stands_first_for_the_next_files(
    book: Opened, qtbot: QtBot, third_swing: Pair
) -> None:
    book.place.restore({"club": "5 wood"})

    dropped(book, third_swing.face_on)
    settled(book, qtbot)

    assert book.place.files.club.currentText() == "5 wood"
