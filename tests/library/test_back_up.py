"""A copy of the rows is whole while others write, and read over before it gets its name."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest

from capturestation.errors import LibraryError, OutputError
from capturestation.library import Library
from capturestation.library.connecting import check_copy, copy_rows
from tests.helpers.library_records import a_student, fill


def names_in(copy: Path) -> list[str]:
    """The students in a copy of the rows."""
    with closing(sqlite3.connect(copy)) as rows:
        return [str(row[0]) for row in rows.execute("SELECT name FROM students ORDER BY name")]


def test_a_copy_holds_the_rows_as_they_stand(library: Library, tmp_path: Path) -> None:
    library.add_student(a_student("Anna Berg"))

    library.back_up_rows(tmp_path / "copy.sqlite")

    library.add_student(a_student("Bo Ek"))
    assert names_in(tmp_path / "copy.sqlite") == ["Anna Berg"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["copy.sqlite", "library"]


def test_a_copy_is_made_while_another_writes(library: Library, tmp_path: Path) -> None:
    library.add_student(a_student("Anna Berg"))
    writer = sqlite3.connect(library.places.database, isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    writer.execute("UPDATE students SET name = 'half'")

    library.back_up_rows(tmp_path / "copy.sqlite")

    writer.execute("ROLLBACK")
    writer.close()
    assert names_in(tmp_path / "copy.sqlite") == ["Anna Berg"]


def test_each_copy_made_beside_a_busy_writer_is_whole(library: Library, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            library.add_student(a_student())

    busy = threading.Thread(target=write, name="writes")
    busy.start()
    try:
        copies = [tmp_path / f"{number}.sqlite" for number in range(3)]
        for copy in copies:
            library.back_up_rows(copy)
    finally:
        stop.set()
        busy.join(timeout=30)

    counts = [len(names_in(copy)) for copy in copies]
    assert counts == sorted(counts)
    for copy in copies:
        with closing(sqlite3.connect(copy)) as rows:
            assert rows.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            pairs = "SELECT count(*), count(DISTINCT student_id) FROM consents"
            assert rows.execute(pairs).fetchone() == (len(names_in(copy)),) * 2


def test_a_name_that_is_taken_is_not_overwritten(library: Library, tmp_path: Path) -> None:
    target = tmp_path / "copy.sqlite"
    target.write_bytes(b"precious")

    with pytest.raises(OutputError, match="already there"):
        library.back_up_rows(target)

    assert target.read_bytes() == b"precious"


def spoil(database: Path, of: str) -> None:
    """Overwrite the first page of a table or an index."""
    with closing(sqlite3.connect(database)) as rows:
        rows.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = rows.execute("PRAGMA page_size").fetchone()
        root = "SELECT rootpage FROM sqlite_master WHERE name = ?"
        (page,) = rows.execute(root, [of]).fetchone()
    with database.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(bytes(range(1, 129)) * (size // 128))


def test_damaged_rows_make_no_copy(library: Library, originals: Path, tmp_path: Path) -> None:
    fill(library, originals)
    library.close()
    spoil(library.places.database, "recordings")

    with pytest.raises(LibraryError, match="damaged"):
        copy_rows(library.places.database, tmp_path / "copy.sqlite")

    assert sorted(p.name for p in tmp_path.iterdir()) == ["library", "originals"]


def test_a_copy_that_is_not_whole_never_gets_its_name(
    library: Library, originals: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(library, originals)

    def spoiled(copy: Path) -> None:
        spoil(copy, "swings_newest")
        check_copy(copy)

    monkeypatch.setattr("capturestation.library.connecting.check_copy", spoiled)
    with pytest.raises(LibraryError, match=r"copy\.sqlite.* is not whole"):
        library.back_up_rows(tmp_path / "copy.sqlite")

    assert sorted(p.name for p in tmp_path.iterdir()) == ["library", "originals"]


def test_a_folder_that_is_not_there_is_said(library: Library, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="none"):
        library.back_up_rows(tmp_path / "none" / "copy.sqlite")

    assert not (tmp_path / "none").exists()
