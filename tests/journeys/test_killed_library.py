"""Killed at any step, a library opens again whole: nothing half shows, no original is touched."""

from __future__ import annotations

import random
import signal
from pathlib import Path

import pytest

from capturestation.library import Library, merge_library
from capturestation.records import Quiet
from tests.helpers.killed_import import broken_promises, count_steps, made_job, run_process
from tests.helpers.library_records import a_struck_swing, fill, keep
from tests.library.test_merge import states

KILLS = 8
MERGE_KILLS = 4


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many steps the whole import takes."""
    return count_steps(tmp_path_factory.mktemp("whole"))


@pytest.mark.process
@pytest.mark.parametrize("eighth", range(KILLS))
def test_a_killed_import_leaves_all_or_nothing(steps: int, eighth: int, tmp_path: Path) -> None:
    job = made_job(tmp_path)
    last = random.randint(1 + eighth * steps // KILLS, (eighth + 1) * steps // KILLS)

    assert broken_promises(job, last) == (), f"killed at step {last} of {steps}"


def made_pair(folder: Path) -> tuple[Path, Path]:
    """The bay's book, and a laptop's with a lesson of three swings."""
    with Library.open(folder / "bay") as bay:
        fill(bay, folder / "originals")
    with Library.open(folder / "laptop") as laptop:
        filled = fill(laptop, folder / "originals")
        for _ in range(2):
            keep(laptop, a_struck_swing(folder / "originals", filled.lesson, size=2 << 20))
    return folder / "bay", folder / "laptop"


@pytest.fixture(scope="module")
def merge_steps(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many steps a whole merge takes."""
    done = run_process("killed_merge", *made_pair(tmp_path_factory.mktemp("merge")), "0")
    assert done.returncode == 0, done.stderr
    return int(done.stdout)


@pytest.mark.process
@pytest.mark.parametrize("quarter", range(MERGE_KILLS))
def test_a_killed_merge_has_whole_swings_and_goes_on_when_run_again(
    merge_steps: int, quarter: int, tmp_path: Path
) -> None:
    bay, laptop = made_pair(tmp_path)
    before = states(laptop)
    first, past = (n * merge_steps // MERGE_KILLS for n in (quarter, quarter + 1))
    last = random.randint(1 + first, past)

    done = run_process("killed_merge", bay, laptop, str(last))

    assert done.returncode == -signal.SIGKILL, done.stderr
    assert states(laptop) == before
    with Library.open(laptop) as far:
        theirs = {s.id: s for p in far.students() for s in far.swings_of(p.id)}
    with Library.open(bay) as library:
        assert library.check(Quiet()).findings == (), f"killed at step {last} of {merge_steps}"
        came = [s for p in library.students() for s in library.swings_of(p.id) if s.id in theirs]
        assert all(swing == theirs[swing.id] for swing in came)
        merge_library(library, laptop, Quiet())
        assert all(library.swing(key) == swing for key, swing in theirs.items())
        assert library.check(Quiet()).sound
