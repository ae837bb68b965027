"""A back-up that kills itself at a step, and what must hold of library and copy afterwards."""

from __future__ import annotations

import signal
from dataclasses import dataclass, replace
from pathlib import Path

from capturestation.errors import StationError
from capturestation.library import Library, back_up, restore
from capturestation.records import Quiet, Swing
from tests.helpers.killed_import import run_process
from tests.helpers.library_records import a_lesson, a_struck_swing, files_below, fill, keep

_NOT_COPIED = ("backups.json", "inbox", "holder.json")


@dataclass(frozen=True, slots=True, kw_only=True)
class Backed:
    """A library that was copied once and has changed since.

    Args:
        folder: The library.
        drive: Where the copy is.
        stay: Swings that were in the first copy and were not deleted.
    """

    folder: Path
    drive: Path
    stay: tuple[Swing, ...]


def made_backed(above: Path) -> Backed:
    """Copy a library, then add, star, throw away and delete."""
    drive = above / "drive"
    drive.mkdir(parents=True)
    originals = above / "originals"
    with Library.open(above / "library") as library:
        filled = fill(library, originals)
        more = [keep(library, a_struck_swing(originals, filled.lesson)) for _ in range(3)]
        back_up(library.places, drive, Quiet())
        other = library.add_lesson(a_lesson(filled.student))
        keep(library, a_struck_swing(originals, other, size=3 << 19))
        library.save_book(replace(filled.swing.book, starred=True))
        library.trash_swing(more[0].id)
        library.delete_swing(more[1].id)
    return Backed(folder=above / "library", drive=drive, stay=(filled.swing, more[2]))


def count_backup_steps(above: Path) -> int:
    """How many steps bringing the copy up takes."""
    backed = made_backed(above)
    done = run_process("killed_backup", backed.folder, backed.drive, "0")
    if done.returncode != 0:
        msg = f"the back-up fails by itself: {done.stderr}"
        raise RuntimeError(msg)
    return int(done.stdout.split()[-1])


def broken_backups(backed: Backed, last_step: int) -> tuple[str, ...]:
    """Kill the back-up at that step and say what should not be so."""
    before = copied(backed.folder)
    done = run_process("killed_backup", backed.folder, backed.drive, str(last_step))
    broken = []
    if done.returncode != -signal.SIGKILL:
        broken.append(f"not killed: {done.stderr}")
    if copied(backed.folder) != before:
        broken.append("the library was touched")
    broken += _lost(backed, backed.folder.with_name("cut short"))
    with Library.open(backed.folder) as library:
        broken += [f"library: {f.problem} {f.path.name}" for f in library.check(Quiet()).findings]
        back_up(library.places, backed.drive, Quiet())
    whole = backed.folder.with_name("whole")
    broken += _lost(backed, whole)
    if copied(whole) != before:
        broken.append("what is restored after the next back-up is not the library")
    return tuple(broken)


def _lost(backed: Backed, into: Path) -> list[str]:
    """What a library restored from the copy as it stands lacks."""
    try:
        made = restore(backed.drive, into, Quiet())
    except StationError as error:
        return [f"{into.name} can't be restored: {error}"]
    broken = [f"{into.name}: damaged {path.name}" for path in made.damaged]
    with Library.open(into) as library:
        broken += [f"{into.name}: {f.problem} {f.path}" for f in library.check(Quiet()).findings]
        for swing in backed.stay:
            try:
                library.swing(swing.id)
            except StationError:
                broken.append(f"{into.name}: a swing of the first copy is lost")
    return broken


def copied(folder: Path) -> dict[str, bytes]:
    """What of a library's files belongs into a copy."""
    return {n: b for n, b in files_below(folder).items() if not n.startswith(_NOT_COPIED)}
