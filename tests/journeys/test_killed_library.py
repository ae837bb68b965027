"""Killed at any step, a library opens again whole: nothing half shows, no original is touched."""

from __future__ import annotations

import random
import shutil
import signal
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from capturestation.folders import write_book, write_swing_facts
from capturestation.library import Library, rebuild
from capturestation.records import Quiet, Swing
from tests.helpers.library_records import Filled, a_struck_swing, files_below, fill

ROOT = Path(__file__).parents[2]
KILLS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A library, a swing to take into it, and a swing to delete from it."""

    folder: Path
    source: Path
    filled: Filled
    coming: Swing


def made_job(folder: Path) -> Job:
    """Set up everything that the killed process needs."""
    source = folder / "job"
    with Library.open(folder / "library") as library:
        filled = fill(library, folder / "other originals")
    struck = a_struck_swing(source, filled.lesson, size=5 << 19)
    for recording in struck.facts.recordings:
        struck.media[recording.view].rename(source / recording.file)
    write_swing_facts(source, struck.facts)
    write_book(source, struck.book)
    coming = Swing(facts=struck.facts, book=struck.book)
    return Job(folder=folder / "library", source=source, filled=filled, coming=coming)


def run(job: Job, last_step: int) -> subprocess.CompletedProcess[str]:
    """Run the working process to that step, or to its end for 0."""
    module = "tests.journeys.killed_library"
    command = [sys.executable, "-m", module, str(job.folder), str(job.source)]
    command += [job.filled.swing.id, str(last_step)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=50
    )


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many steps the whole work takes."""
    done = run(made_job(tmp_path_factory.mktemp("whole")), 0)
    assert done.returncode == 0, done.stderr
    return int(done.stdout.split()[-1])


@pytest.mark.process
@pytest.mark.parametrize("eighth", range(KILLS))
def test_a_killed_import_leaves_all_or_nothing(steps: int, eighth: int, tmp_path: Path) -> None:
    job = made_job(tmp_path)
    before = files_below(job.source)
    last = random.randint(1 + eighth * steps // KILLS, (eighth + 1) * steps // KILLS)

    done = run(job, last)

    assert done.returncode == -signal.SIGKILL, done.stderr
    assert files_below(job.source) == before
    starred = replace(job.coming, book=replace(job.coming.book, starred=True))
    with Library.open(job.folder) as library:
        assert library.check(Quiet()).findings == (), f"killed at step {last} of {steps}"
        kept = library.swings(job.filled.lesson.id)
    shown = {swing.id: swing for swing in kept}
    said = done.stdout.split()
    came = shown.pop(job.coming.id, None)
    assert came in ((starred,) if "starred" in said else (job.coming, starred)) or (
        came is None and "kept" not in said
    )
    stayed = shown.pop(job.filled.swing.id, None)
    assert stayed is None or (stayed == job.filled.swing and "deleted" not in said)
    assert shown == {}
    shutil.rmtree(job.source)
    assert rebuild(job.folder, Quiet()).swings == len(kept)
    with Library.open(job.folder) as library:
        assert library.swings(job.filled.lesson.id) == kept
