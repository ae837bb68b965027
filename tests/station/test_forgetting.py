"""A student who is forgotten is nowhere any more, and whatever is still there is named."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, NotFoundError, OutputError
from capturestation.library import Library
from capturestation.records import Quiet, StopAfter, StudentId, View
from capturestation.station import cache as caches
from capturestation.station import people
from capturestation.station.backing_up import back_up
from capturestation.station.cache import Freed
from capturestation.station.forgetting import (
    ELSEWHERE,
    Holding,
    find_forgotten,
    forget,
    holding,
    verify_gone,
)
from capturestation.station.looking import Looking
from capturestation.station.pictures import picture_of
from capturestation.station.taking_in import Ticket, ticket_text
from tests.helpers.bay_files import Pair
from tests.helpers.inbox_balls import left_ball
from tests.helpers.looked_at import Room, made
from tests.helpers.station_library import NAME, grown_up


def student_of(room: Room) -> StudentId:
    """The student whose swings the library holds."""
    return room.library.find_student(NAME).id


@pytest.fixture
def used(looked_at: Room) -> Room:
    """A library that was looked at, with a swing in the trash, and an older copy of its rows."""
    with Looking(looked_at.library, looked_at.cache) as looking:
        looking.prepare(looked_at.swing_id)
        made(looking)
    for key in (looked_at.swing_id, looked_at.other_id):
        picture_of(looked_at.library, looked_at.cache, key, View.FACE_ON)
    looked_at.library.trash_swing(looked_at.other_id)
    database = looked_at.library.places.database
    shutil.copy(database, database.with_name("library.sqlite.schema-5"))
    return looked_at


def bytes_below(folder: Path, words: str) -> list[Path]:
    """The files below a folder that hold these words."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return [path for path in files if words.encode() in path.read_bytes()]


def test_everything_of_a_student_goes_and_is_counted(used: Room, tmp_path: Path) -> None:
    library, key = used.library, student_of(used)
    library.change_student(key, lambda student: replace(student, notes="sore back"))
    size = sum(
        path.stat().st_size
        for above in ("swings", "trash")
        for path in (library.folder / above).rglob("*")
        if path.is_file()
    )

    report = forget(library, used.cache, key, Quiet())

    went = report.went
    assert (went.swings, went.trashed, went.lessons, went.answers) == (1, 1, 1, 1)
    # Two recordings, two documents each, and the note in the trash.
    assert (went.files, went.size_bytes) == (9, size)
    assert report.made.files == 4
    assert [path.name for path in report.old_copies] == ["library.sqlite.schema-5"]
    assert (report.left, report.is_gone, report.said) == ((), True, (ELSEWHERE,))
    assert used.names() == []
    for words in (NAME, "sore back"):
        assert bytes_below(tmp_path, words) == []
    left = [p for p in library.folder.rglob("*") if p.is_file()]
    assert {p.parent.name for p in left} <= {"gone", "library"}
    assert {p.suffix for p in left if p.parent.name == "gone"} == {".json"}


def test_others_keep_everything(used: Room) -> None:
    library, key = used.library, student_of(used)
    bo = grown_up(library, "Bo Berg")
    lesson = people.add_lesson(library, bo.id)
    library.restore_swing(used.other_id)
    library.change_book(
        used.other_id, lambda book: replace(book, student_id=bo.id, lesson_id=lesson.id)
    )

    report = forget(library, used.cache, key, Quiet())

    assert (report.went.swings, report.is_gone) == (1, True)
    assert [swing.id for swing in library.swings_of(bo.id)] == [used.other_id]
    assert used.cache.held() == {used.other_id}
    assert library.check(Quiet()).sound


def test_stopped_it_goes_on_when_it_is_called_again(used: Room) -> None:
    library, key = used.library, student_of(used)
    library.restore_swing(used.other_id)
    with pytest.raises(CancelledError, match="1 of 2 swings"):
        forget(library, used.cache, key, StopAfter(0.5))
    assert library.student(key).name == NAME

    report = forget(library, used.cache, key, Quiet())

    assert (report.went.swings, report.is_gone) == (1, True)
    assert used.names() == []


def test_cut_short_at_the_very_end_it_is_finished_by_the_id(
    used: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    library, key = used.library, student_of(used)

    def killed(*_: object) -> Freed:
        raise OutputError("Killed.", try_next="")

    with monkeypatch.context() as patched:
        patched.setattr(Library, "clear_after_deletion", killed)
        with pytest.raises(OutputError):
            forget(library, used.cache, key, Quiet())
    assert used.names() != []
    assert find_forgotten(library, key.upper()) == key

    report = forget(library, used.cache, key, Quiet())

    assert (report.went, report.is_gone) == (Holding(), True)
    assert [path.name for path in report.old_copies] == ["library.sqlite.schema-5"]
    assert used.names() == []


def test_who_never_was_there_is_not_found(looked_at: Room) -> None:
    before = looked_at.library.students()

    with pytest.raises(NotFoundError):
        forget(looked_at.library, looked_at.cache, StudentId("nobody"), Quiet())

    for text in ("nobody", NAME, student_of(looked_at)):
        assert find_forgotten(looked_at.library, text) is None
    assert looked_at.library.students() == before


def test_what_is_held_open_is_named(used: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    library, key = used.library, student_of(used)
    folder = library.swing_path(used.swing_id)
    monkeypatch.setattr("capturestation.library.settle.remove_folder", lambda _: None)
    monkeypatch.setattr(caches, "remove_folder", lambda _: None)

    report = forget(library, used.cache, key, Quiet())

    left = {one.path for one in report.left}
    assert not report.is_gone
    assert {folder, library.places.trashed(used.other_id)} <= left
    assert {path.parent for path in left} >= {used.cache.folder(used.swing_id)}
    monkeypatch.undo()

    assert forget(library, used.cache, key, Quiet()).is_gone
    assert not folder.exists()


def test_rows_that_can_still_be_read_are_named(used: Room) -> None:
    library, key = used.library, student_of(used)
    with Library.open(library.folder) as other:
        # Another program reads the rows as they were, so the write-ahead file has to keep them.
        other._db.execute("BEGIN")
        other._db.execute("SELECT count(*) FROM students").fetchall()
        library._db.execute("PRAGMA busy_timeout = 0")
        first = forget(library, used.cache, key, Quiet())
        again = forget(library, used.cache, key, Quiet())

    for report in (first, again):
        assert {one.path.name for one in report.left} & {"library.sqlite", "library.sqlite-wal"}
        assert "close other programs" in report.left[0].said
    assert forget(library, used.cache, key, Quiet()).is_gone


def test_an_older_copy_that_resists_is_named(used: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("capturestation.library.care.remove_file", lambda _: None)

    report = forget(used.library, used.cache, student_of(used), Quiet())

    assert [one.path.name for one in report.left] == ["library.sqlite.schema-5"]
    assert report.old_copies == ()


def test_a_name_in_anothers_notes_is_told_and_not_taken_for_a_trace(used: Room) -> None:
    bo = grown_up(used.library, "Bo Berg")
    people.change_student(used.library, bo.id, {"notes": f"shares the hour with {NAME}"})

    report = forget(used.library, used.cache, student_of(used), Quiet())

    assert report.is_gone
    assert any("name still stands elsewhere" in sentence for sentence in report.said)


def test_what_waits_in_the_inbox_and_what_nobody_can_read_is_told(used: Room) -> None:
    library = used.library
    (library.inbox / "20261030").mkdir()
    (library.folder / "trash" / "stray").mkdir()

    report = forget(library, used.cache, student_of(used), Quiet())

    assert [one.path.name for one in report.left] == ["stray"]
    assert any("1 recordings in" in sentence for sentence in report.said)


def test_balls_that_wait_for_his_lessons_go_too_and_those_of_others_stay(
    used: Room, first_swing: Pair
) -> None:
    library, key = used.library, student_of(used)
    bo = grown_up(library, "Bo Berg")
    files = {View.FACE_ON: first_swing.face_on}
    for name, lesson in (
        ("hers", library.lessons(key)[0]),
        ("bos", people.add_lesson(library, bo.id)),
    ):
        ticket = ticket_text(Ticket(lesson=lesson.id, club="7 iron"))
        left_ball(library.inbox, files, ticket=ticket, key=name)
    left_ball(library.inbox, files, ticket="whose?", key="nobodys")

    report = forget(library, used.cache, key, Quiet())

    assert (report.went.waiting, report.is_gone) == (1, True)
    assert {path.name for path in library.inbox.iterdir()} == {"bos", "nobodys"}
    assert any("2 recordings in" in sentence for sentence in report.said)


def test_clips_that_were_made_to_hand_on_go_too(used: Room) -> None:
    clip = used.cache.clips / "a window" / used.swing_id / "2026-10-30 7 iron.mp4"
    clip.parent.mkdir(parents=True)
    clip.write_bytes(b"a clip")

    report = forget(used.library, used.cache, student_of(used), Quiet())

    assert not clip.parent.exists()
    assert report.made.files == 5


def test_a_back_up_that_still_holds_the_student_is_named_until_it_is_made_again(
    used: Room, tmp_path: Path
) -> None:
    library, key = used.library, student_of(used)
    drive, drawer = tmp_path / "drive", tmp_path / "drawer"
    for folder in (drive, drawer):
        folder.mkdir()
        back_up(library, folder, Quiet())
    drawer.rename(tmp_path / "elsewhere")

    said = forget(library, used.cache, key, Quiet()).said
    back_up(library, drive, Quiet())

    assert any(f"{drive} still holds" in sentence for sentence in said)
    assert any(f"{drawer} is not connected and may still hold" in sentence for sentence in said)
    assert bytes_below(drive, NAME) == []
    assert list(drive.rglob("*.mp4")) == []


def test_looking_changes_nothing_and_finds_nothing_wrong(used: Room) -> None:
    library = used.library
    before = holding(library, student_of(used))

    left, said = verify_gone(library, None)

    assert [one.path.name for one in left if "wal" not in one.path.name] == [
        "library.sqlite.schema-5"
    ]
    assert said == []
    assert holding(library, student_of(used)) == before
