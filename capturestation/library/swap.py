"""Putting rebuilt rows in the place of the old ones, so that a crash on the way is finished later.

A write-ahead file that outlives its database would be replayed into the next one: it goes before
the new database takes the name. From the moment the new rows are called ready, they are the rows.
"""

from __future__ import annotations

from pathlib import Path

from capturestation.folders import flush_folder, remove_file
from capturestation.folders.files import explained_writing
from capturestation.folders.patience import patiently
from capturestation.library.places import Places

_SIDES = ("-wal", "-shm", "-journal")


def side_files(database: Path) -> tuple[Path, ...]:
    """The files that SQLite keeps beside a database while it is in use or was not closed."""
    return tuple(database.with_name(database.name + side) for side in _SIDES)


def clear_partial(places: Places) -> None:
    """Remove the rows of a rebuild that did not get ready."""
    for path in (places.rebuilding, *side_files(places.rebuilding)):
        remove_file(path)


def swap_in(places: Places) -> None:
    """Make the rows of a finished rebuild the library's; whoever calls has the library alone.

    Raises:
        OutputError: If a file can't be moved; the next opening tries again.
    """
    with explained_writing(places.database):
        if places.rebuilding.exists():
            patiently(lambda: places.rebuilding.replace(places.ready))
            flush_folder(places.rows)
        if places.database.exists():
            _keep_old(places)
        patiently(lambda: places.ready.replace(places.database))
        flush_folder(places.rows)


def _keep_old(places: Places) -> None:
    old = places.database.with_name(places.database.name + ".old")
    for now, then in zip(side_files(places.database), side_files(old), strict=True):
        then.unlink(missing_ok=True)
        if now.exists():
            now.replace(then)
    patiently(lambda: places.database.replace(old))
    flush_folder(places.rows)


def finish_swap(places: Places) -> None:
    """Finish what an earlier rebuild got ready, or clear away what it did not.

    Raises:
        OutputError: If a file can't be moved.
    """
    if places.ready.exists():
        clear_partial(places)
        swap_in(places)
    clear_partial(places)
