"""An import that kills itself at a step, and what must hold of the library afterwards."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path

from capturestation.folders import write_book, write_swing_facts
from capturestation.library import Library, rebuild
from capturestation.records import Quiet, Swing
from tests.helpers.library_records import Filled, a_struck_swing, files_below, fill

ROOT = Path(__file__).parents[2]


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


def run_process(module: str, *words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run one of the processes that can kill themselves."""
    command = [sys.executable, "-m", f"tests.journeys.{module}", *map(str, words)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=50
    )


def run(job: Job, last_step: int) -> subprocess.CompletedProcess[str]:
    """Run the import to that step, or to its end for 0."""
    leaving = job.filled.swing.id
    return run_process("killed_library", job.folder, job.source, leaving, str(last_step))


def count_steps(folder: Path) -> int:
    """How many steps the whole import takes."""
    done = run(made_job(folder), 0)
    if done.returncode != 0:
        msg = f"the import fails by itself: {done.stderr}"
        raise RuntimeError(msg)
    return int(done.stdout.split()[-1])


def broken_promises(job: Job, last_step: int) -> tuple[str, ...]:
    """Kill the import at that step, look at what is left, and say what should not be so.

    The originals are removed on the way: what was kept must stand without them.
    """
    before = files_below(job.source)
    done = run(job, last_step)
    said = done.stdout.split()
    broken = []
    if done.returncode != -signal.SIGKILL:
        broken.append(f"not killed: {done.stderr}")
    if files_below(job.source) != before:
        broken.append("an original was touched")
    with Library.open(job.folder) as library:
        broken += [f"{f.problem}: {f.path.name}" for f in library.check(Quiet()).findings]
        kept = library.swings(job.filled.lesson.id)
    broken += _half_shown(job, kept, said)
    shutil.rmtree(job.source)
    if rebuild(job.folder, Quiet()).swings != len(kept):
        broken.append("the folders tell of other swings than the rows")
    with Library.open(job.folder) as library:
        if library.swings(job.filled.lesson.id) != kept:
            broken.append("a rebuild changes a swing")
    return tuple(broken)


def _half_shown(job: Job, kept: tuple[Swing, ...], said: list[str]) -> list[str]:
    shown = {swing.id: swing for swing in kept}
    starred = replace(job.coming, book=replace(job.coming.book, starred=True))
    came = shown.pop(job.coming.id, None)
    stayed = shown.pop(job.filled.swing.id, None)
    broken = [f"{key} came from nowhere" for key in shown]
    if came not in (None, job.coming, starred):
        broken.append("a swing shows half")
    if "kept" in said and came is None:
        broken.append("a swing that was said to be kept is lost")
    if "starred" in said and came != starred:
        broken.append("a star that was said to be kept is lost")
    if stayed not in (None, job.filled.swing):
        broken.append("another swing was changed")
    if stayed is None and "starred" not in said:
        broken.append("a swing is lost that nobody deleted")
    if stayed is not None and "deleted" in said:
        broken.append("a swing that was said to be deleted is back")
    return broken
