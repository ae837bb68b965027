"""Killed while a student is forgotten: called again it finishes, and nothing is left."""

from __future__ import annotations

import random
import shutil
import signal
from dataclasses import dataclass
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Quiet, StudentId
from capturestation.station.cache import cache_of
from capturestation.station.forgetting import forget
from tests.helpers.killed_import import run_process
from tests.helpers.library_records import a_struck_swing, fill, keep

KILLS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A library with a student to be forgotten and one who stays."""

    folder: Path
    caches: Path
    leaving: StudentId
    staying: StudentId


def made_job(folder: Path) -> Job:
    """Three swings and one in the trash of who leaves, all with something in the cache."""
    with Library.open(folder / "library") as library:
        filled = fill(library, folder / "originals")
        more = [a_struck_swing(folder / "originals", filled.lesson) for _ in range(3)]
        keys = [filled.swing.id, *(keep(library, struck).id for struck in more)]
        library.trash_swing(keys.pop())
        staying = fill(library, folder / "originals")
        cache = cache_of(library, folder / "caches")
        for key in (*keys, staying.swing.id):
            (cache.made_folder(key) / "a.look1.mp4").write_bytes(b"picture")
        database = library.places.database
    shutil.copy(database, database.with_name("library.sqlite.schema-3"))
    shutil.rmtree(folder / "originals")
    return Job(
        folder=folder / "library",
        caches=folder / "caches",
        leaving=filled.student.id,
        staying=staying.student.id,
    )


def words(job: Job, last: int) -> list[str]:
    """What the process is told."""
    return [str(job.folder), str(job.caches), job.leaving, str(last)]


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many steps it takes to forget that student."""
    job = made_job(tmp_path_factory.mktemp("whole"))
    done = run_process("killed_forgetting", *words(job, 0))
    assert done.returncode == 0, done.stderr
    return int(done.stdout)


@pytest.mark.process
@pytest.mark.parametrize("sixth", range(KILLS))
def test_a_deletion_that_was_killed_is_finished(steps: int, sixth: int, tmp_path: Path) -> None:
    job = made_job(tmp_path)
    last = random.randint(1 + sixth * steps // KILLS, (sixth + 1) * steps // KILLS)

    done = run_process("killed_forgetting", *words(job, last))

    assert done.returncode == -signal.SIGKILL, done.stderr
    with Library.open(job.folder) as library:
        cache = cache_of(library, job.caches)
        report = forget(library, cache, job.leaving, Quiet())
        assert report.left == (), f"killed at step {last} of {steps}"
        assert library.check(Quiet()).findings == ()
        stays = library.swings_of(job.staying)
        assert len(stays) == 1
        assert cache.held() == {stays[0].id}
        assert library.old_copies() == ()
        known = {job.staying, stays[0].id, stays[0].book.lesson_id}
        for folder in ("people", "lessons", "trash"):
            assert {path.stem for path in (job.folder / folder).glob("*")} <= known
        kept = {path.name for path in (job.folder / "swings").glob("*/*/*")}
        assert kept == {stays[0].id}
