"""Files that come into a folder together, or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import CancelledError, OutputError
from capturestation.folders import atomic_write_text
from capturestation.folders.gathering import gathered
from tests.helpers.small_disk import files_up_to


def test_all_of_them_come_at_once_and_the_hidden_place_goes(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "deep"

    with gathered(folder) as place:
        atomic_write_text(place / "a.txt", "a")
        atomic_write_text(place / "b.txt", "b")
        seen_meanwhile = list(folder.glob("[!.]*"))

    assert seen_meanwhile == []
    assert {path.name for path in folder.iterdir()} == {"a.txt", "b.txt"}


def test_a_full_disk_leaves_no_folder_and_names_the_one_that_was_asked_for(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "deep"

    def two_files() -> None:
        with gathered(folder) as place:
            atomic_write_text(place / "small.txt", "a")
            atomic_write_text(place / "large.txt", "a" * 2000)

    with pytest.raises(OutputError, match="There is no room left") as refused, files_up_to(1000):
        two_files()

    assert f"write {folder / 'large.txt'}." in refused.value.what
    assert refused.value.subject == str(folder / "large.txt")
    assert list(tmp_path.iterdir()) == []


def test_stopped_it_leaves_a_folder_that_was_there_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "a.txt").write_text("old")

    def stopped() -> None:
        with gathered(tmp_path) as place:
            atomic_write_text(place / "a.txt", "new")
            raise CancelledError("Stopped.", try_next="")

    with pytest.raises(CancelledError):
        stopped()

    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {
        "mine.txt": "mine",
        "a.txt": "old",
    }


def test_what_somebody_put_into_the_new_folder_meanwhile_stays(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "deep"

    def stopped() -> None:
        with gathered(folder) as place:
            (place / "a.txt").write_text("a")
            (tmp_path / "new" / "theirs.txt").write_text("theirs")
            raise CancelledError("Stopped.", try_next="")

    with pytest.raises(CancelledError):
        stopped()

    assert [path.name for path in (tmp_path / "new").iterdir()] == ["theirs.txt"]
