"""Swings: whole or not at all, the folder and the rows saying the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from capturestation.errors import (
    CancelledError,
    NotFoundError,
    NotReadableError,
    OutputError,
)
from capturestation.folders import SwingFolder, read_book, read_swing_facts
from capturestation.library import Library
from capturestation.library.rows import Person, put_lesson, put_person, put_swing
from capturestation.records import (
    LessonId,
    Quiet,
    StopAfter,
    StudentId,
    Swing,
    SwingId,
    View,
)
from tests.helpers.library_records import (
    STRUCK,
    a_lesson,
    a_struck_swing,
    a_student,
    files_below,
    fill,
    keep,
)
from tests.helpers.record_strategies import swings


def nothing_new(library: Library, before: dict[str, bytes]) -> bool:
    """Whether folders and rows are as they were, with no note left."""
    rows = library._rows("SELECT id FROM swings UNION ALL SELECT id FROM unsettled")
    folders = list(library.places.swings.glob("*/*/*"))
    return files_below(library.folder) == before and rows == [] and folders == []


def test_a_kept_swing_lies_in_its_month_and_the_originals_stay(
    library: Library, originals: Path
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    struck = a_struck_swing(originals, lesson)
    before = files_below(originals)

    swing = keep(library, struck)

    folder = library.folder / "swings" / "2026" / "10" / swing.id
    assert library.swing(swing.id) == Swing(facts=struck.facts, book=struck.book)
    assert library.swing_path(swing.id) == folder
    assert read_swing_facts(folder) == struck.facts
    assert read_book(folder) == struck.book
    path = library.media_path(swing, View.FACE_ON)
    assert path == folder / "face-on.mp4"
    assert path.read_bytes() == struck.media[View.FACE_ON].read_bytes()
    assert files_below(originals) == before


def test_a_view_that_was_not_recorded_is_said(library: Library, originals: Path) -> None:
    swing = fill(library, originals).swing

    with pytest.raises(NotFoundError, match=r"no extra view.*face-on and down-the-line"):
        library.media_path(swing, View.EXTRA)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 0.94, 0.95])
def test_a_cancel_at_any_share_leaves_neither_folder_nor_row(
    library: Library, originals: Path, share: float
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    struck = a_struck_swing(originals, lesson, size=3 << 20)
    before = files_below(library.folder)

    with pytest.raises(CancelledError):
        library.keep_swing(struck.facts, struck.book, struck.media, StopAfter(share))

    assert nothing_new(library, before)
    assert keep(library, struck) == library.swing(struck.facts.id)


@pytest.mark.parametrize("step", ["add_copy", "add_book", "seal", "publish"])
def test_a_failure_at_any_step_leaves_neither_folder_nor_row(
    library: Library, originals: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    struck = a_struck_swing(originals, lesson)
    before = files_below(library.folder)
    real = getattr(SwingFolder, step)

    def fails_when_done(*args: object) -> None:
        real(*args)
        raise OutputError("No room.", try_next="")

    monkeypatch.setattr(SwingFolder, step, fails_when_done)
    with pytest.raises(OutputError):
        keep(library, struck)

    assert nothing_new(library, before)


def test_a_file_that_is_not_what_the_facts_say_is_not_taken_in(
    library: Library, originals: Path
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    struck = a_struck_swing(originals, lesson)
    struck.media[View.DOWN_THE_LINE].write_bytes(b"still growing")
    before = files_below(library.folder)

    with pytest.raises(NotReadableError, match=r"down-the-line\.mp4 changed"):
        keep(library, struck)

    assert nothing_new(library, before)


def test_a_swing_needs_its_lesson_and_a_file_for_each_recording(
    library: Library, originals: Path
) -> None:
    student = library.add_student(a_student())
    other = library.add_student(a_student("Bo"))
    lesson = library.add_lesson(a_lesson(student))
    struck = a_struck_swing(originals, lesson)
    before = files_below(library.folder)
    nowhere = replace(struck.book, lesson_id=LessonId("none"))
    crossed = replace(struck.book, student_id=other.id)

    with pytest.raises(NotFoundError, match="no lesson none"):
        library.keep_swing(struck.facts, nowhere, struck.media, Quiet())
    with pytest.raises(ValueError, match="not of the student"):
        library.keep_swing(struck.facts, crossed, struck.media, Quiet())
    with pytest.raises(ValueError, match="files for"):
        library.keep_swing(struck.facts, struck.book, {}, Quiet())

    assert nothing_new(library, before)


def test_a_saved_book_replaces_file_and_rows(library: Library, originals: Path) -> None:
    filled = fill(library, originals)
    changed = replace(filled.swing.book, starred=True, marks=(), notes="the one")

    saved = library.save_book(changed)

    assert saved == library.swing(filled.swing.id)
    assert saved.book == changed
    assert saved.facts == filled.swing.facts
    assert read_book(library.swing_path(saved.id)) == changed


def test_a_swing_moves_to_another_lesson_by_its_book(library: Library, originals: Path) -> None:
    filled = fill(library, originals)
    bo = library.add_student(a_student("Bo"))
    lesson = library.add_lesson(a_lesson(bo))

    library.save_book(replace(filled.swing.book, student_id=bo.id, lesson_id=lesson.id))

    assert library.swings(filled.lesson.id) == ()
    assert [s.id for s in library.swings(lesson.id)] == [filled.swing.id]
    assert [s.id for s in library.swings_of(bo.id)] == [filled.swing.id]


def test_a_book_that_can_not_be_written_changes_nothing(
    library: Library, originals: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled = fill(library, originals)
    before = files_below(library.folder)

    def refuse(*_: object) -> None:
        raise OutputError("No room.", try_next="")

    monkeypatch.setattr("capturestation.library.swings.write_book", refuse)
    with pytest.raises(OutputError):
        library.save_book(replace(filled.swing.book, starred=True))

    assert library.swing(filled.swing.id) == filled.swing
    assert files_below(library.folder) == before


def test_swings_come_in_the_order_they_were_struck(library: Library, originals: Path) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    times = [STRUCK + timedelta(minutes=m) for m in (5, 1, 3)]

    kept = [keep(library, a_struck_swing(originals, lesson, struck_at=t)) for t in times]

    assert library.swings(lesson.id) == (kept[1], kept[2], kept[0])
    assert library.swings_of(lesson.student_id) == (kept[1], kept[2], kept[0])


def test_the_same_file_again_is_recognised(library: Library, originals: Path) -> None:
    swing = fill(library, originals).swing

    assert library.swing_with_hash(swing.facts.recordings[1].sha256) == swing
    assert library.swing_with_hash("0" * 64) is None


def test_a_swing_is_found_by_the_start_of_its_id(library: Library, originals: Path) -> None:
    swing = fill(library, originals).swing

    assert library.find_swing(swing.id[:5].upper()) == swing
    near = swing.id[:-1] + ("0" if swing.id[-1] != "0" else "1")
    with pytest.raises(NotFoundError, match=f"Did you mean {swing.id}"):
        library.find_swing(near)
    with pytest.raises(NotFoundError, match="List what is there"):
        library.find_swing("")


def test_a_deleted_swing_is_gone_with_its_files_and_leaves_its_id(
    library: Library, originals: Path
) -> None:
    filled = fill(library, originals)
    folder = library.swing_path(filled.swing.id)

    library.delete_swing(filled.swing.id)

    assert not folder.exists()
    assert library.swings(filled.lesson.id) == ()
    assert (library.folder / "gone" / f"{filled.swing.id}.json").exists()
    with pytest.raises(NotFoundError):
        library.swing(filled.swing.id)
    for table in ("recordings", "syncs", "marks", "results", "unsettled"):
        assert library._rows(f"SELECT * FROM {table}") == []


def test_a_swing_that_can_not_be_buried_stays(
    library: Library, originals: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled = fill(library, originals)
    before = files_below(library.folder)

    def refuse(*_: object) -> None:
        raise OutputError("No room.", try_next="")

    monkeypatch.setattr("capturestation.library.places.write_document", refuse)
    with pytest.raises(OutputError):
        library.delete_swing(filled.swing.id)

    assert library.swing(filled.swing.id) == filled.swing
    assert files_below(library.folder) == before


def test_files_that_resist_deletion_are_removed_at_the_next_opening(
    library: Library, originals: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled = fill(library, originals)
    folder = library.swing_path(filled.swing.id)

    with monkeypatch.context() as patch:
        patch.setattr("capturestation.library.settle.remove_folder", lambda _: None)
        library.delete_swing(filled.swing.id)
    assert folder.exists()
    library.close()

    with Library.open(library.folder) as again:
        assert not folder.exists()
        assert again.check(Quiet()).sound


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_any_swing_comes_back_from_its_rows(library: Library, data: st.DataObject) -> None:
    student = replace(a_student(), id=StudentId("s"))
    lesson = replace(a_lesson(student), id=LessonId("l"))
    swing = data.draw(swings("a", "s", "l"))
    with library._db.atomic():
        put_person(library._db, Person(student=student, history=student.consents))
        put_lesson(library._db, lesson)
        put_swing(library._db, swing, "swings/2026/10/a")

    assert library.swing(SwingId("a")) == swing
