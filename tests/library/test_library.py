"""Opening: what is there, what is made, and what is refused."""

from __future__ import annotations

import sqlite3
import stat
import threading
from pathlib import Path

import pytest

from capturestation.errors import LibraryError, NotFoundError, OutputError
from capturestation.library import Library, rebuild
from capturestation.records import Quiet
from tests.helpers.library_records import a_student, files_below, fill


def test_a_new_library_is_made_private_and_empty(tmp_path: Path) -> None:
    with Library.open(tmp_path / "new") as library:
        assert library.students() == ()
        assert library.newest_lessons() == ()

        assert library.inbox.is_dir()
        assert stat.S_IMODE(library.folder.stat().st_mode) == 0o700


def test_what_was_kept_is_there_when_opened_again(tmp_path: Path, originals: Path) -> None:
    with Library.open(tmp_path / "library") as library:
        filled = fill(library, originals)

    with Library.open(tmp_path / "library", create=False) as again:
        assert again.students() == (filled.student,)
        assert again.lessons(filled.student.id) == (filled.lesson,)
        assert again.swings(filled.lesson.id) == (filled.swing,)


def test_a_library_that_is_not_there_is_not_made_unasked(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no library"):
        Library.open(tmp_path / "none", create=False)

    assert not (tmp_path / "none").exists()


def test_two_may_have_it_open_and_see_each_others_changes(tmp_path: Path) -> None:
    with Library.open(tmp_path / "library") as one, Library.open(tmp_path / "library") as two:
        student = one.add_student(a_student())
        other = two.add_student(a_student("Bo"))

        assert one.students() == two.students() == (student, other)


def test_rows_that_are_lost_are_not_taken_for_an_empty_library(
    tmp_path: Path, originals: Path
) -> None:
    folder = tmp_path / "library"
    with Library.open(folder) as library:
        fill(library, originals)
    (folder / "library.sqlite").unlink()

    with pytest.raises(LibraryError, match="Rebuild"):
        Library.open(folder)

    assert not (folder / "library.sqlite").exists()


def test_rows_that_are_no_database_are_named_and_a_rebuild_helps(
    tmp_path: Path, originals: Path
) -> None:
    folder = tmp_path / "library"
    with Library.open(folder) as library:
        filled = fill(library, originals)
    (folder / "library.sqlite").write_bytes(b"no database at all" * 500)

    with pytest.raises(LibraryError, match=r"library\.sqlite is damaged.*Rebuild"):
        Library.open(folder)
    rebuild(folder, Quiet())

    with Library.open(folder) as library:
        assert library.swing(filled.swing.id) == filled.swing


def test_no_name_of_a_person_stands_in_a_path(library: Library, originals: Path) -> None:
    filled = fill(library, originals)

    paths = " ".join(files_below(library.folder))

    assert filled.swing.id in paths
    assert "anna" not in paths.lower()
    assert "berg" not in paths.lower()


def test_a_writer_that_never_ends_is_said_after_the_wait(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.library.connecting.WAIT_S", 0.0)
    with Library.open(tmp_path / "library") as library:
        blocker = sqlite3.connect(tmp_path / "library" / "library.sqlite", isolation_level=None)
        blocker.execute("BEGIN IMMEDIATE")

        with pytest.raises(LibraryError, match="in use by another program"):
            library.add_student(a_student())

        blocker.close()
        assert library.students() == ()
        assert files_below(tmp_path / "library") == {}


def test_others_read_while_a_change_waits_for_another_program(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits, is_free = threading.Event(), threading.Event()

    def pause(_seconds: float) -> None:
        waits.set()
        is_free.wait()

    monkeypatch.setattr("capturestation.library.store.time.sleep", pause)
    blocker = sqlite3.connect(library.places.database, isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    student = a_student()
    writer = threading.Thread(target=library.add_student, args=(student,))
    writer.start()
    assert waits.wait(10)
    seen = library.students()
    blocker.close()
    is_free.set()
    writer.join()

    assert seen == ()
    assert library.students() == (student,)


def test_a_full_database_keeps_nothing_of_the_change(library: Library) -> None:
    library.add_student(a_student())
    before = files_below(library.folder)
    pages = next(library._db.query("PRAGMA page_count"))["page_count"]
    library._db.execute(f"PRAGMA max_page_count = {pages}")
    long = a_student("B" * 200_000)

    with pytest.raises(OutputError, match="no room left"):
        library.add_student(long)

    assert len(library.students()) == 1
    assert files_below(library.folder) == before
