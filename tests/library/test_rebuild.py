"""A rebuild gives the same library from its folders, and nothing that was deleted."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, LibraryError, NotFoundError, OutputError
from capturestation.library import Library, Problem, rebuild
from capturestation.records import CalibrationRow, Consent, Giver, Purpose, Quiet, StopAfter
from tests.helpers.library_records import STRUCK, Filled, a_student, fill
from tests.helpers.random_library import grow

TABLES = (
    "students",
    "consents",
    "lessons",
    "swings",
    "recordings",
    "syncs",
    "marks",
    "results",
    "calibrations",
)


def everything(library: Library) -> dict[str, list[str]]:
    """All rows of all tables, in an order of their own."""
    return {
        table: sorted(str(sorted(row.items())) for row in library._rows(f"SELECT * FROM {table}"))
        for table in TABLES
    }


@pytest.fixture
def closed(tmp_path: Path, originals: Path) -> tuple[Path, Filled, dict[str, list[str]]]:
    """A library with some of everything and something deleted, closed; and its rows."""
    with Library.open(tmp_path / "library") as library:
        filled = fill(library, originals)
        library.set_consent(
            filled.student.id,
            Consent(
                purpose=Purpose.COACHING,
                giver=Giver.STUDENT,
                given=False,
                on=date(2026, 11, 1),
            ),
        )
        library.add_calibration(
            CalibrationRow(id="c", camera="left", valid_from=STRUCK, document="{}")
        )
        other = fill(library, originals)
        library.delete_swing(other.swing.id)
        return library.folder, filled, everything(library)


def test_a_rebuild_gives_the_same_rows(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, _, before = closed

    report = rebuild(folder, Quiet())

    assert (report.students, report.lessons, report.swings, report.calibrations) == (2, 2, 1, 1)
    assert report.left == ()
    with Library.open(folder) as library:
        assert everything(library) == before
        assert library.check(Quiet()).sound


def test_a_rebuild_works_without_the_old_rows(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, _, before = closed
    for file in folder.glob("library.*"):
        file.unlink()

    rebuild(folder, Quiet())

    with Library.open(folder) as library:
        assert everything(library) == before


def test_a_deleted_swing_that_comes_back_as_a_folder_stays_deleted(
    closed: tuple[Path, Filled, dict[str, list[str]]], tmp_path: Path
) -> None:
    folder, filled, _ = closed
    with Library.open(folder) as library:
        swing = library.swing_path(filled.swing.id)
        shutil.copytree(swing, tmp_path / "copy")
        library.delete_swing(filled.swing.id)
    shutil.copytree(tmp_path / "copy", swing)

    report = rebuild(folder, Quiet())

    assert [(f.problem, f.path) for f in report.left] == [(Problem.GONE, swing)]
    assert swing.exists()
    with Library.open(folder) as library:
        assert library.swings(filled.lesson.id) == ()


def break_book(swing: Path) -> None:
    """Damage a swing's book."""
    (swing / "book.json").write_bytes(b"{")


def copy_by_hand(swing: Path) -> None:
    """Copy a swing's folder under a second name."""
    shutil.copytree(swing, swing.with_name("bycopy"))


def rename_wildly(swing: Path) -> None:
    """Copy a swing's folder under a name that is no id."""
    shutil.copytree(swing, swing.with_name("My Copy"))


def drop_lesson(swing: Path) -> None:
    """Lose the lesson that the swing is of."""
    for file in (swing.parents[3] / "lessons").glob("*.json"):
        file.unlink()


@pytest.mark.parametrize(
    ("harm", "left"),
    [(break_book, 1), (copy_by_hand, 1), (rename_wildly, 1), (drop_lesson, 1)],
)
def test_what_can_not_be_taken_up_is_named_and_left(
    closed: tuple[Path, Filled, dict[str, list[str]]], harm: Callable[[Path], None], left: int
) -> None:
    folder, filled, _ = closed
    with Library.open(folder) as library:
        swing = library.swing_path(filled.swing.id)
    harm(swing)

    report = rebuild(folder, Quiet())

    assert [f.problem for f in report.left] == [Problem.UNREADABLE] * left
    assert all(f.path.exists() and f.said for f in report.left)
    assert (swing / "face-on.mp4").exists()


def test_an_open_library_is_not_rebuilt(closed: tuple[Path, Filled, dict[str, list[str]]]) -> None:
    folder, _, before = closed

    with Library.open(folder) as library:
        with pytest.raises(LibraryError, match="open in another program"):
            rebuild(folder, Quiet())

        assert everything(library) == before


def test_a_cancelled_rebuild_leaves_the_old_rows(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, _, before = closed
    files = sorted(p.name for p in folder.iterdir())

    with pytest.raises(CancelledError):
        rebuild(folder, StopAfter(0.5))

    assert sorted(p.name for p in folder.iterdir()) == files
    with Library.open(folder) as library:
        assert everything(library) == before


def test_a_rebuild_that_was_stopped_when_ready_is_finished_by_the_next_opening(
    closed: tuple[Path, Filled, dict[str, list[str]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, _, before = closed
    (folder / "library.sqlite").write_bytes(b"damaged")
    (folder / "library.sqlite-wal").write_bytes(b"of the damaged one")

    def crash(_: object) -> None:
        raise OutputError("Power cut.", try_next="")

    with monkeypatch.context() as patch:
        patch.setattr("capturestation.library.swap._keep_old", crash)
        with pytest.raises(OutputError):
            rebuild(folder, Quiet())

    with Library.open(folder) as library:
        assert everything(library) == before
    assert (folder / "library.sqlite.old").read_bytes() == b"damaged"
    assert not (folder / "library.sqlite.ready").exists()


def test_a_rebuild_that_never_got_ready_is_cleared_away(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, _, before = closed
    (folder / "library.sqlite.partial").write_bytes(b"half")

    with Library.open(folder) as library:
        assert everything(library) == before

    assert not (folder / "library.sqlite.partial").exists()


def test_a_folder_without_a_library_is_not_rebuilt(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no library"):
        rebuild(tmp_path, Quiet())

    assert list(tmp_path.iterdir()) == []


def test_a_forgotten_student_does_not_come_back(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, filled, _ = closed
    rebuild(folder, Quiet())
    with Library.open(folder) as library:
        library.delete_student(filled.student.id, Quiet())
        with pytest.raises(ValueError, match="was in the library"):
            library.add_student(replace(a_student(), id=filled.student.id))

    rebuild(folder, Quiet())

    with Library.open(folder) as library:
        assert [s.id for s in library.students()] != [filled.student.id]
        assert library.lessons(filled.student.id) == ()
        assert len(library.students()) == 1


def test_two_hundred_random_swings_come_back_row_by_row(
    library: Library, originals: Path, unflushed: None
) -> None:
    grown = grow(library, originals, 4, students=12, swings=200)
    gone = [s.id for s in grown.swings[::20]]
    kept_copy = originals / "copy"
    shutil.copytree(library.swing_path(gone[0]), kept_copy)
    back = library.swing_path(gone[0])
    for key in gone:
        library.delete_swing(key)
    library.delete_student(grown.students[0].id, Quiet())
    before = everything(library)
    library.close()
    shutil.copytree(kept_copy, back)
    for file in library.folder.glob("library.sqlite*"):
        file.unlink()

    report = rebuild(library.folder, Quiet())

    assert [(f.problem, f.path.name) for f in report.left] == [(Problem.GONE, gone[0])]
    with Library.open(library.folder) as again:
        assert everything(again) == before
        assert len(before["swings"]) > 150
        shown = {s.id for p in again.students() for s in again.swings_of(p.id)}
    assert shown.isdisjoint(gone)


def test_an_empty_database_beside_full_folders_is_not_taken_for_a_library(
    closed: tuple[Path, Filled, dict[str, list[str]]],
) -> None:
    folder, _, before = closed
    database = folder / "library.sqlite"
    database.write_bytes(b"")

    with pytest.raises(LibraryError, match=r"no rows in library\.sqlite.*Rebuild"):
        Library.open(folder)

    assert database.read_bytes() == b""
    rebuild(folder, Quiet())
    with Library.open(folder) as library:
        assert everything(library) == before
