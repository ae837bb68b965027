"""Commands that look after the library, and shell completion."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import click
from click.shell_completion import get_completion_class

from capturestation.cli.parameters import WHEN
from capturestation.cli.say import put
from capturestation.cli.show import (
    counted,
    json_option,
    library_option,
    opened,
    show,
    table,
    watching,
)
from capturestation.library import Problem
from capturestation.records import CalibrationRow
from capturestation.station import calibrating, checking, delays


@click.command()
@library_option
@json_option
def check(library: Path, as_json: bool) -> int:
    """Look for missing, changed and stray files.

    Ends with exit code 7 where something is not right.
    """
    with opened(library) as book, watching() as watch:
        report = checking.check(book, watch)
    lines = [f"{f.problem}: {f.path} {f.said}".rstrip() for f in report.findings]
    wrong = f"{counted(len(lines), 'thing')} {'is' if len(lines) == 1 else 'are'} not right."
    told = f"{counted(report.swings, 'swing')}, {counted(report.files, 'file')}: "
    told += wrong if lines else "all is well."
    show(report, as_json=as_json, text="\n".join([*lines, told]))
    return 0 if report.sound else 7


@click.command()
@library_option
@json_option
def rebuild(library: Path, as_json: bool) -> int:
    """Build the database again from the swings' folders.

    Ends with exit code 7 where it had to leave something out that was not deleted before.
    """
    with watching() as watch:
        report = checking.rebuild(library, watch)
    left = [f"left alone, {f.problem}: {f.path} {f.said}".rstrip() for f in report.left]
    told = (
        f"Built again: {counted(report.students, 'student')}, "
        f"{counted(report.lessons, 'lesson')}, {counted(report.swings, 'swing')}, "
        f"{counted(report.calibrations, 'calibration')}."
    )
    show(report, as_json=as_json, text="\n".join([told, *left]))
    return 7 if any(finding.problem is not Problem.GONE for finding in report.left) else 0


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Print the completion script for a SHELL."""
    kind = get_completion_class(shell)
    assert kind is not None
    root = click.get_current_context().find_root().command
    put(kind(root, {}, "capturestation", "_CAPTURESTATION_COMPLETE").source())


@click.command()
@library_option
@json_option
def cameras(library: Path, as_json: bool) -> None:
    """List each named camera's own delay between picture and sound, with its error."""
    with opened(library) as book:
        found = delays.camera_delays(book)
    rows = [(one.camera, one.swings, one.said) for one in found]
    show(found, as_json=as_json, text=table(rows, ("camera", "swings", "delay")))


@click.group()
def calibrations() -> None:
    """Where cameras stand: measured, checked, and kept with the day it holds from."""


@calibrations.command("add")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--valid-from", type=WHEN, metavar="WHEN", help="Since when; else now.")
@library_option
@json_option
def add(file: Path, valid_from: datetime | None, library: Path, as_json: bool) -> None:
    """Keep the calibration of a camera in FILE with the day it holds from."""
    row = calibrating.read(file, None if valid_from is None else valid_from.astimezone())
    with opened(library, begin=True) as book:
        book.add_calibration(row)
    show(row, as_json=as_json, text=f"{row.camera} from {row.valid_from:%Y-%m-%d %H:%M} on.")


@calibrations.command("list")
@click.argument("camera", required=False)
@library_option
@json_option
def list_(camera: str | None, library: Path, as_json: bool) -> None:
    """List the calibrations that are kept, all or those of a CAMERA."""
    with opened(library) as book:
        found = book.calibrations(camera)
    rows = [
        (
            row.camera,
            f"{row.valid_from:%Y-%m-%d %H:%M}",
            "withdrawn" if row.withdrawn_at else str(row.kind),
            _error_words(row),
            row.id,
        )
        for row in found
    ]
    heads = ("camera", "valid from", "kind", "error", "id")
    bare = tuple(replace(row, reference="") for row in found)
    show(bare, as_json=as_json, text=table(rows, heads))


def _error_words(row: CalibrationRow) -> str:
    if row.u_place_mm is None or row.u_turn_deg is None:
        return "not measured"
    return f"{row.u_place_mm:.0f} mm, {row.u_turn_deg:.2f}°"


@calibrations.command("withdraw")
@click.argument("which", metavar="CAMERA|ID")
@click.option("--again", is_flag=True, help="Use it again instead.")
@library_option
@json_option
def withdraw(which: str, again: bool, library: Path, as_json: bool) -> None:
    """Use the newest calibration of a camera, or one by its id, for no swing any more.

    The one before it counts again.
    """
    with opened(library) as book:
        row = calibrating.withdraw(book, which, again=again)
    word = "is used again" if again else "is not used any more"
    told = f"{row.camera} from {row.valid_from:%Y-%m-%d %H:%M} on {word}."
    show(replace(row, reference=""), as_json=as_json, text=told)
