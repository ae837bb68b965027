"""The commands of a library that lies or grows in more than one place."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.cli.main import run
from capturestation.library import Library
from tests.helpers.library_records import Filled, fill


@pytest.fixture
def bay(tmp_path: Path) -> Filled:
    """The bay's book, closed, and a copy with one change and one new lesson."""
    with Library.open(tmp_path / "bay") as library:
        filled = fill(library, tmp_path / "originals")
    shutil.copytree(tmp_path / "bay", tmp_path / "laptop")
    with Library.open(tmp_path / "laptop") as far:
        far.save_book(replace(filled.swing.book, notes="rushed"))
        fill(far, tmp_path / "originals")
    return filled


def notes(folder: Path, filled: Filled) -> str:
    """The notes of the swing that both have."""
    with Library.open(folder) as library:
        return library.swing(filled.swing.id).book.notes


def test_a_merge_says_what_came_and_both_texts_of_a_conflict(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["merge", str(tmp_path / "laptop"), "--library", str(tmp_path / "bay")]

    assert run([*arguments, "--dry-run"]) == 0
    would = capsys.readouterr().out
    assert run(arguments) == 0
    did = capsys.readouterr().out

    assert would.startswith("Would bring in: 1 student, 1 lesson, 1 swing. ")
    assert did == would.replace("Would bring in", "Brought in")
    assert f"swing {bay.swing.id}, kept ours" in did
    assert 'ours    "felt easy"' in did
    assert 'theirs  "rushed"' in did
    assert notes(tmp_path / "bay", bay) == "felt easy"


def test_theirs_is_taken_when_said_and_told_as_json(
    tmp_path: Path, bay: Filled, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["merge", str(tmp_path / "laptop"), "--library", str(tmp_path / "bay"), "--json"]

    assert run([*arguments, "--take", "theirs"]) == 0

    told = json.loads(capsys.readouterr().out)
    taken = [item for item in told["items"] if item["outcome"] == "took theirs"]
    assert [item["id"] for item in taken] == [bay.swing.id]
    assert taken[0]["differences"] == [{"field": "notes", "ours": "felt easy", "theirs": "rushed"}]
    assert told["dry_run"] is False
    assert notes(tmp_path / "bay", bay) == "rushed"


def test_where_the_rows_lie_is_said_and_can_be_changed(
    tmp_path: Path,
    bay: Filled,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    local = tmp_path / "local"
    monkeypatch.setattr("capturestation.library.housing.default_local", lambda: local)
    arguments = ["rows", "--library", str(tmp_path / "bay")]

    assert run(arguments) == 0
    beside = capsys.readouterr().out
    assert run([*arguments, "--apart"]) == 0
    apart = capsys.readouterr().out
    assert run([*arguments, "--json"]) == 0
    as_json = json.loads(capsys.readouterr().out)

    assert beside.startswith(f"{tmp_path / 'bay'}\nIt lies beside the folders")
    assert apart.startswith(str(local))
    assert apart.endswith("as you asked.\n")
    assert as_json["rows"].startswith(local.as_posix())
    assert notes(tmp_path / "bay", bay) == "felt easy"
