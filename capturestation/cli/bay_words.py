"""Options and arguments that the commands of `calibrations` share, and how theirs are read."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import ParamSpec, TypeVar

import click
import numpy as np

from capturestation.cli.parameters import WHEN, Number
from capturestation.cli.show import json_option, library_option
from capturestation.errors import BadInputError
from capturestation.records import FloatArray

P = ParamSpec("P")
R = TypeVar("R")
FILE = click.Path(path_type=Path)
SQUARE = click.option(
    "--square-mm",
    type=Number(least=1.0, most=2000.0),
    help="A square's side, as measured on the print; else as it should have been printed.",
)
PLAN = click.option("--picture", type=FILE, metavar="PNG", help="Write the bay from above there.")
EMPTY = click.option(
    "--empty", type=(str, FILE), multiple=True, metavar="NAME PICTURE",
    help="The empty bay as a camera sees it, by which a moved camera is found.",
)  # fmt: skip
VIEWS = click.option(
    "--field-of-view", "views", type=(str, Number(5.0, 150.0), str), multiple=True,
    metavar="NAME DEGREES WxH",
    help="Of a camera whose lens was not measured: how wide it looks, and its picture's size.",
)  # fmt: skip


def keeping(command: Callable[P, R]) -> Callable[P, R]:
    """Add what every command takes that measures and keeps."""
    for option in (
        json_option,
        library_option,
        click.option("--dry-run", is_flag=True, help="Measure and report; keep nothing."),
        click.option("--valid-from", type=WHEN, metavar="WHEN", help="Since when; else now."),
    ):
        command = option(command)
    return command


def since(when: datetime | None) -> datetime:
    """That time, or now."""
    return datetime.now().astimezone() if when is None else when.astimezone()


def ends(name: str, words: str, count: int) -> FloatArray:
    """The ends of sticks as a camera sees them, (count, 2).

    Raises:
        BadInputError: If they are something else.
    """
    try:
        found = np.array([[float(v) for v in pair.split(",")] for pair in words.split()])
    except ValueError:
        found = np.zeros((0, 0))
    if found.shape != (count, 2):
        spelt = {2: "two", 4: "four"}[count]
        like = " ".join(("412,650", "820,655", "600,580", "640,700")[:count])
        raise BadInputError(
            f"The ends that {name} sees are {spelt} places in pixels, not {words!r}.",
            try_next=f'Write them as "{like}".',
        )
    return found


def place_m(name: str, words: str) -> tuple[float, float, float]:
    """Where a lens is.

    Raises:
        BadInputError: If that is no place of a bay.
    """
    try:
        at = [float(value) for value in words.split(",")]
    except ValueError:
        at = []
    if len(at) != 3 or not all(abs(value) <= 30 for value in at) or not any(at[:2]):
        raise BadInputError(
            f"Where {name} stands is three numbers of metres, not {words!r}.",
            try_next='Ahead of the mat mark, left of the line, above the mat: "0,-2.8,1.1".',
        )
    return at[0], at[1], at[2]


def sizes(views: Iterable[tuple[str, float, str]]) -> dict[str, tuple[float, tuple[int, int]]]:
    """How wide cameras look and their pictures' sizes, by name.

    Raises:
        BadInputError: If a size is none.
    """
    return {name: (deg, _size(name, size)) for name, deg, size in views}


def _size(name: str, words: str) -> tuple[int, int]:
    wide, _, high = words.partition("x")
    if not (wide.isdecimal() and high.isdecimal() and int(wide) and int(high)):
        raise BadInputError(
            f"The size of {name}'s picture is width x height in pixels, not {words!r}.",
            try_next="Write it as 1280x720.",
        )
    return int(wide), int(high)
