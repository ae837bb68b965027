"""Commands for copies of the library on another disk."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.show import (
    counted,
    json_option,
    library_option,
    opened,
    show,
    table,
    watching,
)
from capturestation.library import Restored
from capturestation.station import backing_up

_FOLDER = click.Path(path_type=Path)


@click.group()
def backup() -> None:
    """Copies of the library on another disk, for the day this one fails."""


@backup.command("make")
@click.argument("folder", type=_FOLDER)
@library_option
@json_option
def make(folder: Path, library: Path, as_json: bool) -> None:
    """Copy the library into FOLDER, such as a drive, or bring the copy there up to date.

    Lessons may go on meanwhile. Each file is read back and held against its hash. Stopped or
    killed, the next one goes on from there. What was deleted for good goes from the copy too.
    """
    with opened(library) as book, watching() as watch:
        report = backing_up.back_up(book, folder, watch)
    lines = [
        f"{counted(report.swings, 'swing')} in {report.folder}: {report.new} new, "
        f"{counted(report.files, 'file')} written ({report.size_bytes / 1e6:.0f} MB), "
        f"{report.removed} removed.",
    ]
    if report.only_there:
        lines.append(
            f"{counted(len(report.only_there), 'swing')} there that the library lost without "
            "being told to: they stay in the copy."
        )
    show(report, as_json=as_json, text="\n".join(lines))


@backup.command("list")
@library_option
@json_option
def list_(library: Path, as_json: bool) -> None:
    """List the copies of this library, and when each was last finished."""
    with opened(library) as book:
        found = backing_up.copies(book)
    rows = [
        (
            str(one.folder),
            f"{one.finished_at.astimezone():%Y-%m-%d %H:%M}" if one.finished_at else "never",
            ("finished" if one.is_finished else "cut short") if one.is_there else "not connected",
        )
        for one in found
    ]
    text = table(rows, ("folder", "last finished", "now")) if rows else "No back-up was made yet."
    show(found, as_json=as_json, text=text)


@backup.command("restore")
@click.argument("copy", type=_FOLDER)
@library_option
@json_option
def restore(copy: Path, library: Path, as_json: bool) -> int:
    """Make a library from the COPY, in the folder given by --library.

    That folder must be empty or not there yet. Ends with exit code 7 where a file's bytes are not
    those that were copied.
    """
    with watching() as watch:
        made = backing_up.restore(copy, library, watch)
    when = made.card.finished_at if made.card else None
    dated = f"as of {when.astimezone():%Y-%m-%d %H:%M}" if when else "from a copy never finished"
    return _show(made, f"Restored {dated}", as_json=as_json)


@click.command()
@click.argument("folder", type=_FOLDER)
@library_option
@json_option
def relocate(folder: Path, library: Path, as_json: bool) -> int:
    """Move the library to FOLDER, on another disk say.

    Close the window first. Each file is read back. The old folder stays under another name: look
    at the new library, then delete it.
    """
    with watching() as watch:
        made = backing_up.relocate(library, folder, watch)
    return _show(made, "Moved", as_json=as_json)


def _show(made: Restored, head: str, *, as_json: bool) -> int:
    rows = made.rows
    lines = [
        f"{head}: {counted(rows.students, 'student')}, {counted(rows.lessons, 'lesson')}, "
        f"{counted(rows.swings, 'swing')} in {made.folder}.",
    ]
    lines += [f"damaged: {path}" for path in made.damaged]
    if made.old is not None:
        lines.append(f"The old folder is {made.old}: delete it once you have looked.")
    show(made, as_json=as_json, text="\n".join(lines))
    return 7 if made.damaged else 0
