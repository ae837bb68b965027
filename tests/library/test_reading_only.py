"""A library where nothing may be written can be read, and a change is refused in a sentence."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.records import Quiet
from tests.helpers.library_records import Filled, files_below


@pytest.fixture
def archived(library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The closed library in a folder to which the system allows no writing."""
    folder = library.folder
    library.close()
    may = os.access

    def read_only(path: str | Path, mode: int) -> bool:
        return may(path, mode) and not (mode == os.W_OK and Path(path) == folder)

    monkeypatch.setattr(os, "access", read_only)
    folder.chmod(0o500)
    yield folder
    folder.chmod(0o700)


def test_all_can_be_read_and_nothing_is_written(archived: Path, filled: Filled) -> None:
    before = files_below(archived)

    with Library.open(archived, create=False) as library:
        assert library.students() == (filled.student,)
        assert library.swings(filled.lesson.id) == (filled.swing,)
        assert library.check(Quiet()).sound

    assert files_below(archived) == before


CHANGES: dict[str, Callable[[Library, Filled], object]] = {
    "student": lambda library, filled: library.save_student(replace(filled.student, notes="x")),
    "star": lambda library, filled: library.change_book(
        filled.swing.id, lambda book: replace(book, starred=True)
    ),
    "deletion": lambda library, filled: library.delete_student(filled.student.id, Quiet()),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_is_refused_and_changes_nothing(
    archived: Path, filled: Filled, change: str
) -> None:
    before = files_below(archived)

    with (
        Library.open(archived) as library,
        pytest.raises(LibraryError, match="not open to this account"),
    ):
        CHANGES[change](library, filled)

    assert files_below(archived) == before


def test_rows_that_were_not_closed_are_not_half_read(archived: Path) -> None:
    archived.chmod(0o700)
    with closing(sqlite3.connect(archived / "library.sqlite")) as open_still:
        open_still.execute("UPDATE students SET notes = 'later'")
        open_still.commit()
        assert (archived / "library.sqlite-wal").stat().st_size > 0

        with pytest.raises(LibraryError, match="not closed after its last change"):
            Library.open(archived)
