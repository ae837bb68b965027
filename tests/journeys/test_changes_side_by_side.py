"""Several processes change one library at once: each waits for its turn and none fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Quiet
from tests.helpers.killed_import import ROOT
from tests.helpers.library_records import a_student

NAMES = ("Anna", "Bo", "Cleo")
TIMES = 12


def changer(folder: Path, name: str, field: str) -> subprocess.Popen[str]:
    """A process that is ready to change that field of that student."""
    words = ["tests.journeys.changing_library", str(folder), name, field, str(TIMES)]
    process = subprocess.Popen(
        [sys.executable, "-m", *words],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "there\n"
    return process


def let_go(processes: list[subprocess.Popen[str]]) -> list[tuple[int, str]]:
    """Let all begin, and wait for them; the exit code of each and what it complained of."""
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate(timeout=40)[1] for process in processes]
    return [(process.returncode, words) for process, words in zip(processes, said, strict=True)]


@pytest.mark.process
def test_three_processes_that_change_students_at_once_all_get_their_turn(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    with Library.open(folder) as library:
        for name in NAMES:
            library.add_student(a_student(name))

    ended = let_go([changer(folder, name, "notes") for name in NAMES])

    assert ended == [(0, "")] * 3
    with Library.open(folder) as library:
        kept = {student.name: student.notes for student in library.students()}
        assert kept == {name: f"{name} {TIMES - 1}" for name in NAMES}
        assert library.check(Quiet()).sound


@pytest.mark.process
def test_two_processes_that_change_two_fields_of_one_student_lose_neither(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    with Library.open(folder) as library:
        library.add_student(a_student("Anna"))

    ended = let_go([changer(folder, "Anna", field) for field in ("notes", "limits_today")])

    assert ended == [(0, "")] * 2
    with Library.open(folder) as library:
        kept = library.find_student("Anna")
        assert (kept.notes, kept.limits_today) == (f"Anna {TIMES - 1}",) * 2
