"""A name stands in the student's own file and in the rows: in no path, log or other file."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import LibraryError, StationError
from capturestation.library import Library, keep_rows_apart, merge_library, rebuild
from capturestation.library.places import Subject
from capturestation.library.settle import note
from capturestation.records import Quiet, StopAfter, StudentId
from tests.helpers.library_records import Filled, a_lesson, a_struck_swing, a_student, keep

FIRST, LAST = "Quendolina", "Xylander"


def used(library: Library, originals: Path) -> Filled:
    """A library that was used in every way, well and badly, by a student of that name."""
    student = library.add_student(replace(a_student(f"{FIRST} {LAST}"), notes=f"call {FIRST}"))
    lesson = library.add_lesson(replace(a_lesson(student), notes=""))
    swing = keep(library, a_struck_swing(originals, lesson))
    library.save_book(replace(swing.book, starred=True))
    gone = keep(library, a_struck_swing(originals, lesson))
    library.delete_swing(gone.id)
    for attempt in (
        lambda: library.find_student("Xander"),
        lambda: library.keep_swing(swing.facts, swing.book, {}, Quiet()),
        lambda: library.add_student(student),
    ):
        refused(attempt)
    return Filled(student=student, lesson=lesson, swing=swing)


def refused(attempt: Callable[[], object]) -> None:
    """Try what must fail."""
    with pytest.raises((StationError, ValueError)):
        attempt()


def cared_for(folder: Path, local: Path, filled: Filled) -> None:
    """Stop, crash, damage, merge, rebuild and move a library."""
    shutil.copytree(folder, folder.with_name("other"))
    with Library.open(folder, local=local) as library:
        library.back_up_rows(folder.with_name("copy.sqlite"))
        far = a_student(f"{FIRST} {LAST} of the range")
        with Library.open(folder.with_name("other"), local=local) as other:
            other.save_student(replace(filled.student, notes=f"{LAST} calls back"))
            other.add_student(replace(far, id=StudentId("0range")))
        refused(lambda: merge_library(library, folder.with_name("other"), StopAfter(0.3)))
        merge_library(library, folder.with_name("other"), Quiet())
        note(library._db, Subject.STUDENT, filled.student.id)
    file = folder / "people" / f"{filled.student.id}.json"
    whole = file.read_text(encoding="utf-8")
    file.write_text(whole.replace('"birth_year": 1980', f'"birth_year": "{FIRST}"'), "utf-8")
    with Library.open(folder, local=local) as library:
        library.check(Quiet())
    file.write_text(whole, "utf-8")
    rebuild(folder, Quiet(), local=local)
    keep_rows_apart(folder, apart=True)
    Library.open(folder, local=local).close()


def test_a_name_is_in_no_path_no_log_and_no_other_file(
    library: Library, originals: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    filled = used(library, originals)
    library.close()
    cared_for(library.folder, tmp_path / "local", filled)

    assert "not taken up after a crash" in caplog.text
    everywhere = [*tmp_path.rglob("*")]
    for word in (FIRST.lower(), LAST.lower()):
        assert word not in caplog.text.lower()
        assert not [path for path in everywhere if word in str(path.relative_to(tmp_path)).lower()]
        holding = [p for p in everywhere if p.is_file() and holds(p, word)]
        assert holding
        assert all(p.parent.name == "people" or ".sqlite" in p.name for p in holding), holding


def holds(path: Path, word: str) -> bool:
    """Whether a file's bytes hold a word, in small letters or not."""
    return word.encode() in path.read_bytes().lower()


def test_forgetting_leaves_the_name_nowhere_in_the_library(
    library: Library, originals: Path, tmp_path: Path
) -> None:
    filled = used(library, originals)
    local = tmp_path / "local"
    library.close()
    keep_rows_apart(library.folder, apart=True)
    Library.open(library.folder, local=local).close()
    keep_rows_apart(library.folder, apart=False)

    with Library.open(library.folder, local=local) as again:
        again.delete_student(filled.student.id, Quiet())
        with pytest.raises(StationError):
            again.student(filled.student.id)

        left = [p for p in tmp_path.rglob("*") if p.is_file() and holds(p, FIRST.lower())]
        assert left == []


def test_the_error_of_a_damaged_file_names_the_file(library: Library, originals: Path) -> None:
    filled = used(library, originals)
    library.close()
    (library.folder / "library.json").write_bytes(b"{")

    with pytest.raises(LibraryError) as caught:
        Library.open(library.folder)

    assert caught.value.subject.endswith("library.json")
    assert filled.student.name not in str(caught.value)
