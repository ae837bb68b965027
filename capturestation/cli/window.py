"""The window, started from the command line; the entry hands in what opens it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import click

from capturestation.cli.parameters import Folder


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Other faces of the program that a command may open.

    Args:
        window: Opens the window on a library, None for the last one, and returns its exit code.
    """

    window: Callable[[Path | None], int]


@click.command()
@click.option(
    "--library",
    type=Folder(),
    envvar="CAPTURESTATION_LIBRARY",
    help="Folder of the library; else CAPTURESTATION_LIBRARY, else the one that was open last.",
)
@click.pass_obj
def window(faces: Faces, library: Path | None) -> int:
    """Open the window: find a swing, look at it, lay the own best beside it."""
    return faces.window(library)
