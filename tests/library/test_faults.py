"""Every error that SQLite can raise is either the world's, with words, or ours, let through."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from types import SimpleNamespace

import pytest

from capturestation.errors import LibraryError, OutputError
from capturestation.library import Library
from capturestation.library.faults import OURS, WORLDLY, as_station_error, explained
from tests.helpers.library_records import Filled

CODES = {
    sqlite3.SQLITE_BUSY: "in use by another program",
    sqlite3.SQLITE_LOCKED: "in use by another program",
    sqlite3.SQLITE_PROTOCOL: "in use by another program",
    sqlite3.SQLITE_CORRUPT: "damaged",
    sqlite3.SQLITE_NOTADB: "damaged",
    sqlite3.SQLITE_FORMAT: "damaged",
    sqlite3.SQLITE_CORRUPT_INDEX: "damaged",
    sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY: "at odds with itself",
    sqlite3.SQLITE_READONLY: "not open to this account",
    sqlite3.SQLITE_PERM: "not open to this account",
    sqlite3.SQLITE_AUTH: "not open to this account",
    sqlite3.SQLITE_CANTOPEN: "not open to this account",
    sqlite3.SQLITE_NOLFS: "not open to this account",
    sqlite3.SQLITE_IOERR_READ: "on a disk that failed",
    sqlite3.SQLITE_ERROR: "can't be used",
}


def family(kind: type[sqlite3.Error]) -> set[type[sqlite3.Error]]:
    """A class of errors and all below it."""
    return {kind}.union(*(family(child) for child in kind.__subclasses__()))


def fault(code: int) -> sqlite3.OperationalError:
    """What SQLite raises with that code."""
    error = sqlite3.OperationalError("its own words")
    error.sqlite_errorcode = code
    return error


def test_every_class_of_error_is_on_one_of_the_two_lists() -> None:
    assert family(sqlite3.Error) == {sqlite3.Error, *WORLDLY, *OURS}
    assert not set(WORLDLY) & set(OURS)


@pytest.mark.parametrize("code", CODES)
def test_each_code_has_words_and_keeps_its_cause(code: int) -> None:
    error = fault(code)

    with pytest.raises(LibraryError, match=CODES[code]) as caught, explained(Path("a.sqlite")):
        raise error

    assert caught.value.__cause__ is error
    assert caught.value.subject == "a.sqlite"


def test_a_full_disk_is_a_failed_output() -> None:
    assert isinstance(as_station_error(fault(sqlite3.SQLITE_FULL), Path("a")), OutputError)


@pytest.mark.parametrize("code", [sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC])
def test_what_cannot_be_written_is_asked_about_the_disk_and_never_called_input(code: int) -> None:
    error = as_station_error(fault(code), Path("a.sqlite"))

    assert isinstance(error, OutputError)
    assert error.what == "a.sqlite can't be written: is the disk full?"


@pytest.mark.parametrize("kind", OURS)
def test_a_wrong_call_is_our_bug_and_passes_through(kind: type[sqlite3.Error]) -> None:
    with pytest.raises(kind), explained(Path("a.sqlite")):
        raise kind("wrong call")


@pytest.mark.parametrize("code", [sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_CANTOPEN])
def test_a_fault_on_a_disk_without_room_is_a_full_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    assert isinstance(as_station_error(fault(code), tmp_path / "a"), LibraryError)

    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=4_096))
    error = as_station_error(fault(code), tmp_path / "a")

    assert isinstance(error, OutputError)
    assert "disk is full" in error.what


def test_bytes_that_are_no_text_are_a_damaged_library() -> None:
    with (
        pytest.raises(LibraryError, match=r"a\.sqlite is damaged.*Rebuild"),
        explained(Path("a.sqlite")),
    ):
        b"\xff".decode()


def everything(library: Library, filled: Filled) -> None:
    """Read all rows of that student."""
    library.student(filled.student.id)
    library.lesson(filled.lesson.id)
    library.swing(filled.swing.id)


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("students", "name", "CAST(x'fffe41' AS TEXT)"),
        ("lessons", "focus", "'[\"turn'"),
        ("lessons", "focus", "CAST(x'5b22ff225d' AS TEXT)"),
        ("syncs", "parts", "'{'"),
    ],
)
def test_damaged_text_in_a_row_is_a_damaged_library(
    library: Library, filled: Filled, table: str, column: str, value: str
) -> None:
    library._db.execute(f"UPDATE {table} SET {column} = {value}")

    with pytest.raises(LibraryError, match=r"[Rr]ebuild"):
        everything(library, filled)
