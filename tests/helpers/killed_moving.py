"""A restoring, or a moving, that kills itself at a step, and what must hold afterwards.

What it reads is as it was; where it writes to there is nothing, or a whole library that at most
wants its rows made anew; and the same can be done again.
"""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Literal

from capturestation.errors import LibraryError, StationError
from capturestation.library import Library, back_up, rebuild, relocate, restore
from capturestation.records import Quiet
from tests.helpers.killed_backup import Backed, copied, made_backed
from tests.helpers.killed_import import run_process
from tests.helpers.library_records import files_below

Way = Literal["restore", "relocate"]


def made_movable(above: Path) -> Backed:
    """A library and a copy of it as it stands."""
    backed = made_backed(above)
    with Library.open(backed.folder) as library:
        back_up(library.places, backed.drive, Quiet())
    return backed


def count_moving_steps(way: Way, above: Path) -> int:
    """How many steps all of it takes."""
    backed = made_movable(above)
    done = run_process("killed_moving", way, _source(way, backed), above / "new", "0")
    if done.returncode != 0:
        msg = f"it fails by itself: {done.stderr}"
        raise RuntimeError(msg)
    return int(done.stdout.split()[-1])


def broken_moving(way: Way, backed: Backed, last_step: int) -> tuple[str, ...]:
    """Kill it at that step and say what should not be so."""
    whole, drive = copied(backed.folder), files_below(backed.drive)
    above = backed.folder.parent
    done = run_process("killed_moving", way, _source(way, backed), above / "new", str(last_step))
    broken = []
    if done.returncode != -signal.SIGKILL:
        broken.append(f"not killed: {done.stderr}")
    if files_below(backed.drive) != drive:
        broken.append("the copy was touched")
    olds = [p for p in above.glob(f"{backed.folder.name}*") if p.is_dir() and _is_library(p)]
    if [copied(path) for path in olds] != [whole]:
        broken.append(f"the old library is not what it was: {olds}")
    if (above / "new").exists():
        broken += _unlike(above / "new", whole)
    try:
        if way == "restore":
            restore(backed.drive, above / "again", Quiet())
        else:
            relocate(olds[0], above / "again", Quiet())
    except StationError as error:
        return (*broken, f"it can't be done again: {error}")
    return (*broken, *_unlike(above / "again", whole))


def _source(way: Way, backed: Backed) -> Path:
    return backed.drive if way == "restore" else backed.folder


def _is_library(path: Path) -> bool:
    return (path / "library.json").exists()


def _unlike(folder: Path, whole: dict[str, bytes]) -> list[str]:
    """How a library differs from what it should be; lost rows are made anew, as it says."""
    broken = [] if copied(folder) == whole else [f"{folder.name}: other files"]
    try:
        Library.open(folder, create=False).close()
    except LibraryError as error:
        if "Rebuild" not in error.try_next:
            return [*broken, f"{folder.name}: {error}"]
        rebuild(folder, Quiet())
    with Library.open(folder, create=False) as library:
        found = library.check(Quiet()).findings
    return [*broken, *(f"{folder.name}: {f.problem} {f.path.name}" for f in found)]
