"""Media on any disk, rows on a local one: made anew from the folders where they are not there."""

from __future__ import annotations

import shutil
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, LibraryError, NotFoundError
from capturestation.library import Library, rebuild
from capturestation.library.disk import Disk, disk_of
from capturestation.library.housing import Why, keep_rows_apart
from capturestation.records import Quiet, StopAfter
from tests.helpers.library_records import Filled, a_student, files_below, fill


@pytest.fixture
def shared(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that lies on a network disk, or in a mirrored folder, as the system would say."""
    top = tmp_path / "shared"
    top.mkdir()
    real = disk_of

    def told(folder: Path) -> Disk:
        return Disk.NETWORK if top in (folder, *folder.parents) else real(folder)

    for user in ("housing", "store"):
        monkeypatch.setattr(f"capturestation.library.{user}.disk_of", told)
    return top


Opened = Callable[[str], Library]


@pytest.fixture
def on(tmp_path: Path, shared: Path) -> Opened:
    """Open the shared library on a computer of that name, each with a disk of its own."""
    return lambda name: Library.open(shared / "library", local=tmp_path / name)


def journal(library: Library) -> object:
    """How SQLite keeps the library's rows safe."""
    return library._rows("PRAGMA journal_mode")[0]["journal_mode"]


def names_of(folder: Path) -> set[str]:
    """The names of what lies in a folder."""
    return {path.name for path in folder.iterdir()}


def test_on_a_local_disk_the_rows_lie_beside_the_folders(tmp_path: Path) -> None:
    with Library.open(tmp_path / "library", local=tmp_path / "local") as library:
        assert library.housing.why is Why.BESIDE
        assert library.housing.rows == library.folder
        assert journal(library) == "wal"

    assert not (tmp_path / "local").exists()
    assert not (tmp_path / "library" / "holder.json").exists()


def test_on_a_network_disk_only_the_folders_lie(
    tmp_path: Path, shared: Path, on: Opened, originals: Path
) -> None:
    with on("bay") as library:
        filled = fill(library, originals)

        assert library.housing.why is Why.NETWORK
        assert library.housing.rows.parent == tmp_path / "bay"
        assert journal(library) == "wal"
        assert stat.S_IMODE(library.housing.rows.stat().st_mode) == 0o700
        assert library.check(Quiet()).sound
    files = [p.name for p in shared.rglob("*") if "sqlite" in p.name or p.name.endswith("lock")]
    assert files == []
    with on("bay") as again:
        assert again.swing(filled.swing.id) == filled.swing


def test_a_mirrored_folder_is_found_out_by_its_mark(tmp_path: Path) -> None:
    (tmp_path / ".sync").mkdir()

    with Library.open(tmp_path / "library", local=tmp_path.parent / "of this computer") as library:
        assert library.housing.why is Why.SYNCED
        assert library.housing.rows.parent == tmp_path.parent / "of this computer"
        assert journal(library) == "wal"
    assert "library.sqlite" not in names_of(tmp_path / "library")


def test_where_no_folder_is_on_a_local_disk_there_is_no_write_ahead_file(
    shared: Path, originals: Path
) -> None:
    with Library.open(shared / "library", local=shared / "home") as library:
        filled = fill(library, originals)

        assert library.housing.why is Why.NOWHERE
        assert journal(library) == "delete"
        assert not (shared / "home").exists()
        assert library.swing(filled.swing.id) == filled.swing


def test_rows_that_had_a_write_ahead_file_lose_it_on_a_network_disk(
    tmp_path: Path, shared: Path
) -> None:
    with Library.open(tmp_path / "library") as library:
        student = library.add_student(a_student())
    shutil.copytree(tmp_path / "library", shared / "library")

    with Library.open(shared / "library", local=shared / "home") as library:
        assert journal(library) == "delete"
        assert library.students() == (student,)


def test_the_rows_of_this_computer_are_made_anew_where_they_are_missing(
    tmp_path: Path, on: Opened, originals: Path
) -> None:
    with on("bay") as library:
        filled = fill(library, originals)
    shutil.rmtree(tmp_path / "bay")

    with on("bay") as library:
        assert library.students() == (filled.student,)
        assert library.swing(filled.swing.id) == filled.swing
        assert library.check(Quiet()).sound


def test_each_computer_sees_what_the_other_changed(on: Opened, originals: Path) -> None:
    with on("bay") as library:
        filled = fill(library, originals)
    with on("office") as library:
        assert library.swing(filled.swing.id) == filled.swing
        library.save_book(replace(filled.swing.book, starred=True))
        library.add_student(a_student("Bo"))

    with on("bay") as library:
        assert library.swing(filled.swing.id).book.starred
        assert [s.name for s in library.students()] == ["Anna Berg", "Bo"]


def test_while_another_computer_has_it_nothing_is_changed_here(on: Opened, originals: Path) -> None:
    with on("bay") as here:
        filled = fill(here, originals)
        on("office").close()
        before = files_below(here.folder)

        with pytest.raises(LibraryError, match=r"on another computer meanwhile.*open it here"):
            here.save_book(replace(filled.swing.book, starred=True))
        with pytest.raises(LibraryError, match="on another computer"):
            on("bay")

        assert here.swing(filled.swing.id) == filled.swing
        assert files_below(here.folder) == before
    with on("bay") as again:
        again.save_book(replace(filled.swing.book, starred=True))


def test_a_back_up_of_the_folders_that_comes_back_is_noticed(
    shared: Path, tmp_path: Path, on: Opened, originals: Path
) -> None:
    with on("bay") as library:
        filled = fill(library, originals)
    shutil.copytree(shared / "library", tmp_path / "back-up")
    with on("bay") as library:
        library.delete_swing(filled.swing.id)
    shutil.rmtree(shared / "library")
    shutil.copytree(tmp_path / "back-up", shared / "library")

    with on("bay") as library:
        assert library.swing(filled.swing.id) == filled.swing


def test_a_copy_of_a_library_has_rows_of_its_own(shared: Path, tmp_path: Path, on: Opened) -> None:
    with on("bay") as library:
        student = library.add_student(a_student())
    shutil.copytree(shared / "library", shared / "copy")

    with Library.open(shared / "copy", local=tmp_path / "bay") as copy:
        copy.add_student(a_student("Bo"))

        with on("bay") as library:
            assert library.students() == (student,)
            assert library.housing.rows != copy.housing.rows


def test_who_is_forgotten_on_one_computer_is_in_no_rows_of_the_other(
    tmp_path: Path, on: Opened
) -> None:
    with on("bay") as library:
        student = library.add_student(a_student("Quendolina"))
    with on("office") as library:
        library.delete_student(student.id, Quiet())
    assert any(b"Quendolina" in p.read_bytes() for p in (tmp_path / "bay").rglob("*.sqlite"))

    on("bay").close()

    left = [p for p in tmp_path.rglob("*") if p.is_file() and b"Quendolina" in p.read_bytes()]
    assert left == []


def test_who_is_forgotten_is_in_no_rows_that_an_earlier_path_left(
    shared: Path, tmp_path: Path, on: Opened
) -> None:
    with on("bay") as library:
        student = library.add_student(a_student("Quendolina"))
    (shared / "library").rename(shared / "moved")
    assert len(names_of(tmp_path / "bay")) == 1

    with Library.open(shared / "moved", local=tmp_path / "bay") as library:
        library.delete_student(student.id, Quiet())

    assert len(names_of(tmp_path / "bay")) == 1
    left = [p for p in tmp_path.rglob("*") if p.is_file() and b"Quendolina" in p.read_bytes()]
    assert left == []


def test_rows_go_apart_when_asked_and_come_back(tmp_path: Path, originals: Path) -> None:
    folder, local = tmp_path / "library", tmp_path / "local"
    with Library.open(folder, local=local) as library:
        filled = fill(library, originals)

    keep_rows_apart(folder, apart=True)
    with Library.open(folder, local=local) as library:
        assert library.housing.why is Why.ASKED
        assert library.swing(filled.swing.id) == filled.swing
        library.save_book(replace(filled.swing.book, starred=True))
    keep_rows_apart(folder, apart=False)

    with Library.open(folder, local=local) as library:
        assert library.housing.why is Why.BESIDE
        assert library.swing(filled.swing.id).book.starred
        assert library.check(Quiet()).sound


def test_nothing_is_asked_of_a_folder_without_a_library(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no library"):
        keep_rows_apart(tmp_path, apart=True)

    assert list(tmp_path.iterdir()) == []


def test_the_making_of_rows_can_be_stopped_and_is_done_at_the_next_opening(
    shared: Path, tmp_path: Path, on: Opened, originals: Path
) -> None:
    with on("bay") as library:
        filled = fill(library, originals)

    with pytest.raises(CancelledError):
        Library.open(shared / "library", local=tmp_path / "office", watch=StopAfter(0.5))

    with on("office") as library:
        assert library.swing(filled.swing.id) == filled.swing


def test_rows_that_lie_apart_are_rebuilt_where_they_lie(
    shared: Path, tmp_path: Path, on: Opened, originals: Path
) -> None:
    with on("bay") as library:
        filled = fill(library, originals)
        rows = library.places.database
    rows.write_bytes(b"damaged" * 200)

    rebuild(shared / "library", Quiet(), local=tmp_path / "bay")

    with on("bay") as library:
        assert library.swing(filled.swing.id) == filled.swing
        assert library.places.database == rows
    assert "library.sqlite" not in names_of(shared / "library")


@pytest.mark.parametrize("length", [300, 700])
def test_a_library_works_at_the_end_of_a_long_path(
    tmp_path: Path, originals: Path, length: int
) -> None:
    folder = tmp_path
    while len(str(folder)) < length:
        folder /= "x" * 90

    with Library.open(folder, local=tmp_path / "local") as library:
        filled: Filled = fill(library, originals)
        assert library.housing.why is (Why.BESIDE if length == 300 else Why.LONG)
    with Library.open(folder, local=tmp_path / "local") as library:
        assert library.swing(filled.swing.id) == filled.swing
        assert library.check(Quiet()).sound
        library.delete_swing(filled.swing.id)
        assert not any(library.places.swings.rglob("*.mp4"))


def test_the_rows_are_private_even_in_an_open_folder(tmp_path: Path) -> None:
    (tmp_path / "library").mkdir(mode=0o755)

    with Library.open(tmp_path / "library") as library:
        library.add_student(a_student())
        library.back_up_rows(tmp_path / "copy.sqlite")

        for path in (tmp_path / "copy.sqlite", *library.folder.glob("library.sqlite*")):
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, path
        below = [p for p in library.folder.rglob("*") if p.is_dir()]
        assert {stat.S_IMODE(p.stat().st_mode) for p in below} == {0o700}


def test_a_damaged_card_is_named(tmp_path: Path) -> None:
    Library.open(tmp_path / "library").close()
    (tmp_path / "library" / "library.json").write_bytes(b"{")

    with pytest.raises(LibraryError, match=r"library\.json can't be understood"):
        Library.open(tmp_path / "library")

    with closing(sqlite3.connect(tmp_path / "library" / "library.sqlite")) as rows:
        assert rows.execute("SELECT count(*) FROM students").fetchone() == (0,)
