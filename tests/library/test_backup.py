"""A copy of a library: whole at any time, brought up, and a library again."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import (
    CancelledError,
    LibraryError,
    NotFoundError,
    OutputError,
    RefusedError,
)
from capturestation.library import Library, back_up, known_backups, relocate, restore
from capturestation.library.mirror import SUMS_FILE, Mirror
from capturestation.records import Quiet, StopAfter
from tests.helpers.library_records import (
    Filled,
    a_lesson,
    a_struck_swing,
    a_student,
    files_below,
    keep,
)


@pytest.fixture
def drive(tmp_path: Path) -> Path:
    """A drive."""
    folder = tmp_path / "drive"
    folder.mkdir()
    return folder


def restored(drive: Path, into: Path) -> dict[str, bytes]:
    """The files of a library made from the copy, which is looked over."""
    shutil.rmtree(into, ignore_errors=True)
    restore(drive, into, Quiet())
    with Library.open(into) as library:
        assert library.check(Quiet()).findings == ()
    return library_files(into)


def library_files(folder: Path) -> dict[str, bytes]:
    """What of a library is copied."""
    left_out = ("backups.json", "inbox", "holder.json")
    return {n: b for n, b in files_below(folder).items() if not n.startswith(left_out)}


def test_a_copy_becomes_the_same_library_again(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    report = back_up(library.places, drive, Quiet())

    assert (report.swings, report.new, report.only_there) == (1, 1, ())
    assert restored(drive, tmp_path / "new") == library_files(library.folder)
    with Library.open(tmp_path / "new") as new:
        assert new.swing(filled.swing.id) == filled.swing
        assert new.key == library.key


def test_the_sums_are_those_that_coreutils_checks(
    library: Library, filled: Filled, drive: Path
) -> None:
    # GNU coreutils, sha256sum --check: a hash, two spaces, a name, a line each.
    report = back_up(library.places, drive, Quiet())
    folder = report.folder / library.swing_path(filled.swing.id).relative_to(library.folder)

    done = subprocess.run(
        ["sha256sum", "--check", "--strict", SUMS_FILE],
        cwd=folder,
        capture_output=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert done.stdout.count(b": OK") == len(list(folder.iterdir())) - 1


def test_nothing_is_written_twice(library: Library, filled: Filled, drive: Path) -> None:
    back_up(library.places, drive, Quiet())

    report = back_up(library.places, drive, Quiet())

    assert (report.files, report.new, report.swings) == (0, 0, 1)
    assert filled.swing.id


def test_what_changed_is_brought_up(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    back_up(library.places, drive, Quiet())
    other = library.add_lesson(a_lesson(filled.student))
    fresh = keep(library, a_struck_swing(tmp_path / "more", other))
    library.save_book(replace(filled.swing.book, starred=True, notes="held"))
    library.trash_swing(fresh.id)

    report = back_up(library.places, drive, Quiet())

    assert report.new == 1
    assert restored(drive, tmp_path / "new") == library_files(library.folder)
    library.restore_swing(fresh.id)
    assert back_up(library.places, drive, Quiet()).new == 0
    assert restored(drive, tmp_path / "new") == library_files(library.folder)


def test_what_was_deleted_for_good_goes_from_the_copy_too(
    library: Library, filled: Filled, drive: Path
) -> None:
    root = back_up(library.places, drive, Quiet()).folder
    library.delete_student(filled.student.id, Quiet())

    report = back_up(library.places, drive, Quiet())

    assert report.swings == 0
    names = [path.name for path in root.rglob("*") if path.is_file()]
    assert filled.student.name.encode() not in b"".join(
        path.read_bytes() for path in root.rglob("*") if path.is_file()
    )
    assert not any(name.endswith(".mp4") for name in names)


def test_what_the_library_lost_stays_in_the_copy(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    back_up(library.places, drive, Quiet())
    shutil.rmtree(library.swing_path(filled.swing.id))

    report = back_up(library.places, drive, Quiet())

    assert report.only_there == (filled.swing.id,)
    restore(drive, tmp_path / "new", Quiet())
    with Library.open(tmp_path / "new") as new:
        assert new.swing(filled.swing.id) == filled.swing


@pytest.mark.parametrize("share", [0.0, 0.3, 0.6])
def test_stopped_anywhere_the_next_one_goes_on(
    library: Library, filled: Filled, drive: Path, tmp_path: Path, share: float
) -> None:
    for number in range(3):
        keep(library, a_struck_swing(tmp_path / f"more {number}", filled.lesson, size=2 << 20))
    with pytest.raises(CancelledError):
        back_up(library.places, drive, StopAfter(share))

    back_up(library.places, drive, Quiet())

    assert restored(drive, tmp_path / "new") == library_files(library.folder)


def test_a_damaged_copy_is_named_and_still_restored(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    report = back_up(library.places, drive, Quiet())
    place = library.swing_path(filled.swing.id).relative_to(library.folder)
    [first, *_] = sorted((report.folder / place).glob("*.mp4"))
    first.write_bytes(first.read_bytes()[:-1] + b"?")

    made = restore(drive, tmp_path / "new", Quiet())

    assert made.damaged == (tmp_path / "new" / place / first.name,)
    assert made.rows.swings == 1


def test_a_disk_that_gives_back_other_bytes_is_refused(
    library: Library, filled: Filled, drive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.library.mirror.sha256_of", lambda _path, _watch: "0" * 64)

    with pytest.raises(OutputError, match="reads back as something else"):
        back_up(library.places, drive, Quiet())

    assert not list(drive.rglob("*.mp4"))
    assert filled.swing.id


def test_a_drive_without_room_is_said_before_anything_is_copied(
    library: Library, filled: Filled, drive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = shutil.disk_usage(drive)._replace(free=1000)
    monkeypatch.setattr("capturestation.library.backup.shutil.disk_usage", lambda _path: usage)

    with pytest.raises(OutputError, match="GB left and the copy takes"):
        back_up(library.places, drive, Quiet())

    assert not list(drive.rglob("*.mp4"))
    assert filled.swing.id


def test_a_folder_in_the_library_a_missing_one_and_another_s_copy_are_refused(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    root = back_up(library.places, drive, Quiet()).folder
    with Library.open(tmp_path / "other") as other:
        root.rename(root.with_name(f"backup-{other.key[:8]}"))
        with pytest.raises(RefusedError, match="another library's copy"):
            back_up(other.places, drive, Quiet())

    with pytest.raises(RefusedError, match="within the library"):
        back_up(library.places, library.folder / "swings", Quiet())
    with pytest.raises(NotFoundError):
        back_up(library.places, tmp_path / "drawer", Quiet())
    assert known_backups(library.places) == (drive.resolve(),)
    assert filled.swing.id


def test_nothing_is_restored_over_something(
    library: Library, filled: Filled, drive: Path, tmp_path: Path
) -> None:
    back_up(library.places, drive, Quiet())
    into = tmp_path / "there"
    into.mkdir()
    (into / "a letter").write_text("mine")

    with pytest.raises(RefusedError, match="not empty"):
        restore(drive, into, Quiet())
    with pytest.raises(NotFoundError):
        restore(into, tmp_path / "new", Quiet())
    with pytest.raises(CancelledError):
        restore(drive, tmp_path / "new", StopAfter(0.3))

    assert files_below(into) == {"a letter": b"mine"}
    assert not (tmp_path / "new").exists()
    assert filled.swing.id


def test_a_library_is_moved_and_the_old_one_stays_under_another_name(tmp_path: Path) -> None:
    with Library.open(tmp_path / "old") as library:
        filled_lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
        swing = keep(library, a_struck_swing(tmp_path / "originals", filled_lesson))
        (library.inbox / "waiting").mkdir()
        (library.inbox / "waiting" / "swing.json").write_text("{}")
        with pytest.raises(LibraryError, match="open in another program"):
            relocate(tmp_path / "old", tmp_path / "new", Quiet())
    before = library_files(tmp_path / "old")

    moved = relocate(tmp_path / "old", tmp_path / "new", Quiet())

    assert moved.old is not None
    assert library_files(moved.old) == before == library_files(tmp_path / "new")
    assert not (tmp_path / "old").exists()
    assert (tmp_path / "new" / "inbox" / "waiting" / "swing.json").exists()
    with Library.open(tmp_path / "new", create=False) as library:
        assert library.swing(swing.id) == swing


def test_a_file_that_goes_while_it_is_copied_is_no_error(tmp_path: Path) -> None:
    source = tmp_path / "source"
    source.mkdir()
    (source / "a.json").write_text("a")
    mirror = Mirror()

    shutil.rmtree(source)

    assert mirror.whole(source, tmp_path / "target") is False
    assert not (tmp_path / "target").exists()
