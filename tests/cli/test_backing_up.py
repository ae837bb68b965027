"""The commands of a library's copies."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from capturestation.cli.main import run
from capturestation.library import Library
from tests.helpers.library_records import Filled, fill


@pytest.fixture
def bay(tmp_path: Path) -> Filled:
    """A library, closed, and a drive."""
    (tmp_path / "drive").mkdir()
    with Library.open(tmp_path / "bay") as library:
        return fill(library, tmp_path / "originals")


def of(tmp_path: Path, *words: str) -> list[str]:
    """A command line about the bay's library."""
    return [*words, "--library", str(tmp_path / "bay")]


def test_made_listed_and_restored_on_a_new_machine(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    drive, new = str(tmp_path / "drive"), tmp_path / "new"

    assert run(of(tmp_path, "backup", "list")) == 0
    assert run(of(tmp_path, "backup", "make", drive)) == 0
    assert run(of(tmp_path, "backup", "list")) == 0
    shutil.rmtree(tmp_path / "bay")
    assert run(["backup", "restore", drive, "--library", str(new)]) == 0

    said = capsys.readouterr().out
    assert "No back-up was made yet." in said
    assert "1 new" in said
    assert "finished" in said
    assert "Restored as of" in said
    with Library.open(new, create=False) as library:
        assert library.swing(bay.swing.id) == bay.swing


def test_a_drive_in_a_drawer_is_listed_as_not_connected(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    run(of(tmp_path, "backup", "make", str(tmp_path / "drive")))
    (tmp_path / "drive").rename(tmp_path / "drawer")
    capsys.readouterr()

    assert run(of(tmp_path, "backup", "list", "--json")) == 0

    [one] = json.loads(capsys.readouterr().out)
    assert one["is_there"] is False
    assert bay.swing.id


def test_a_damaged_copy_ends_with_trouble(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    drive = tmp_path / "drive"
    run(of(tmp_path, "backup", "make", str(drive)))
    [film, *_] = sorted(drive.rglob("*.mp4"))
    film.write_bytes(b"?" + film.read_bytes()[1:])

    code = run(["backup", "restore", str(drive), "--library", str(tmp_path / "new")])

    assert code == 7
    assert f"damaged: {tmp_path / 'new'}" in capsys.readouterr().out
    assert bay.swing.id


def test_forgetting_names_the_copies_that_still_hold_somebody(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    drive = tmp_path / "drive"
    run(of(tmp_path, "backup", "make", str(drive)))
    name = bay.student.name

    forgets = of(tmp_path, "students", "delete", name, "--everything", "--yes", "--name", name)
    assert run(forgets) == 0
    assert f"The back-up in {drive} still holds this student" in capsys.readouterr().out

    assert run(of(tmp_path, "backup", "make", str(drive))) == 0
    assert not list(drive.rglob(f"{bay.student.id}.json"))[1:]


def test_the_library_is_moved(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(of(tmp_path, "relocate", str(tmp_path / "disk" / "lessons"))) == 0

    assert "The old folder is" in capsys.readouterr().out
    with Library.open(tmp_path / "disk" / "lessons", create=False) as library:
        assert library.swing(bay.swing.id) == bay.swing
    assert run(of(tmp_path, "swings", "list", bay.student.name)) != 0
