"""Commands about a bay that keep nothing: expect, check, line."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.bay_words import FILE, SQUARE, VIEWS, ends, place_m, since, sizes
from capturestation.cli.parameters import Number
from capturestation.cli.show import json_option, library_option, opened, show
from capturestation.station import beforehand, from_pictures, line_checking, measured, moved

NOT_RIGHT = 7


@click.command("check")
@click.argument("camera")
@click.argument("picture", type=FILE)
@library_option
@json_option
def check(camera: str, picture: Path, library: Path, as_json: bool) -> int:
    """Say whether a CAMERA was moved since it was measured, by a PICTURE of now.

    Ends with exit code 7 where it was.
    """
    grey = from_pictures.read_grey(picture)
    with opened(library) as book:
        found = moved.check(book, camera, grey, since(None))
    show(found, as_json=as_json, text=found.said)
    return NOT_RIGHT if found.is_moved else 0


@click.command("line")
@click.argument("camera")
@click.argument("places", metavar='"X,Y X,Y"')
@click.option(
    "--offset-m",
    type=Number(-3.0, 3.0),
    required=True,
    help="How far left of the target line the stick lies, looking at the target; right is less "
    "than 0.",
)
@library_option
@json_option
def line(camera: str, places: str, offset_m: float, library: Path, as_json: bool) -> int:
    """Say whether the target line holds, by a stick that stays on the mat beside it.

    It lies parallel to the line, at the toes or outside the ball. Its ends are given in pixels of
    the CAMERA's recordings, the rear one first; the camera that looks down the line tells it best.
    Ends with exit code 7 where it lies turned.
    """
    marked = ends(camera, places, 2)
    with opened(library) as book:
        found = line_checking.check_stick(book, camera, marked, offset_m, since(None))
    show(found, as_json=as_json, text=found.said)
    return NOT_RIGHT if found.is_turned else 0


@click.command("expect")
@click.option(
    "--camera", "cameras", type=(str, str), multiple=True, required=True, metavar='NAME "X,Y,Z"',
    help="A camera and about where its lens is, in metres: ahead of the mat mark, left of the "
    "target line, above the mat.",
)  # fmt: skip
@VIEWS
@SQUARE
@click.option("--left-handed", is_flag=True, help="Golfers stand right of the target line.")
@library_option
@json_option
def expect(
    cameras: tuple[tuple[str, str], ...],
    views: tuple[tuple[str, float, str], ...],
    square_mm: float | None,
    left_handed: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Say which errors the large board will give, before anything is filmed."""
    stands = {name: place_m(name, words) for name, words in cameras}
    lenses = from_pictures.lenses_by_view(sizes(views))
    lacking = tuple(name for name in stands if name not in lenses)
    if lacking:
        with opened(library) as book:
            lenses |= measured.lenses_of(book, lacking, since(None))
    board = from_pictures.bay_board(square_mm)
    told = beforehand.expected(stands, lenses, board=board, side=-1 if left_handed else 1)
    show(told, as_json=as_json, text=told.said)


COMMANDS = (expect, check, line)
