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


def changer(folder: Path, name: str) -> subprocess.Popen[str]:
    """A process that is ready to change that student."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.journeys.changing_library", folder, name, str(TIMES)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "there\n"
    return process


@pytest.mark.process
def test_three_processes_that_change_students_at_once_all_get_their_turn(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    with Library.open(folder) as library:
        for name in NAMES:
            library.add_student(a_student(name))

    processes = [changer(folder, name) for name in NAMES]
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate(timeout=40)[1] for process in processes]

    assert [(p.returncode, s) for p, s in zip(processes, said, strict=True)] == [(0, "")] * 3
    with Library.open(folder) as library:
        kept = {student.name: student.notes for student in library.students()}
        assert kept == {name: f"{name} {TIMES - 1}" for name in NAMES}
        assert library.check(Quiet()).sound
