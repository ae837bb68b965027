"""Commands that measure lenses and the bay from pictures: board, lens, bay, sticks, check."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click
import numpy as np

from capturestation.cli.parameters import WHEN, Number
from capturestation.cli.show import json_option, library_option, opened, show, watching
from capturestation.drawing.app import ensure_app
from capturestation.errors import BadInputError
from capturestation.records import FloatArray
from capturestation.station import boards, from_pictures, measured, measured_report, moved
from capturestation.station.from_pictures import BayAsked, LensAsked

FILE = click.Path(path_type=Path)
SQUARE = click.option(
    "--square-mm",
    type=Number(least=1.0, most=2000.0),
    help="A square's side, as measured on the print; else as it should have been printed.",
)
SINCE = click.option("--valid-from", type=WHEN, metavar="WHEN", help="Since when; else now.")
DRY = click.option("--dry-run", is_flag=True, help="Measure and report; keep nothing.")
PLAN = click.option("--picture", type=FILE, metavar="PNG", help="Write the bay from above there.")
ENDS = 4


def _since(when: datetime | None) -> datetime:
    return datetime.now().astimezone() if when is None else when.astimezone()


@click.command("board")
@click.argument("out", type=FILE, metavar="PDF")
@click.option(
    "--paper", type=click.Choice([str(p) for p in boards.Paper], case_sensitive=False), default="A4"
)
@click.option(
    "--for",
    "which",
    type=click.Choice(list(boards.BOARDS)),
    multiple=True,
    help="For the lens or for the bay; else both.",
)
@json_option
def board(out: Path, paper: str, which: tuple[str, ...], as_json: bool) -> None:
    """Write the boards as PDF pages at true size, with a ruler to check the print."""
    ensure_app()
    written = boards.write_boards(out, boards.Paper(paper), which or tuple(boards.BOARDS))
    told = f"{written.file}: {written.pages} pages. Print at 100 %, never fitted to the page; "
    told += "hold a ruler to the line on each, and glue the sheets flat onto a stiff plate."
    show(written, as_json=as_json, text=told)


@click.command("lens")
@click.argument("camera")
@click.argument("pictures", type=FILE, nargs=-1, required=True)
@click.option("--zoom", default="", help="Zoom or lens in use, in your words.")
@click.option("--upright", is_flag=True, help="The camera stands on its side.")
@SQUARE
@SINCE
@DRY
@library_option
@json_option
def lens(
    camera: str,
    pictures: tuple[Path, ...],
    zoom: str,
    upright: bool,
    square_mm: float | None,
    valid_from: datetime | None,
    dry_run: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Find how a CAMERA's lens draws, from PICTURES of the board for the lens."""
    asked = LensAsked(
        camera=camera, pictures=pictures, zoom=zoom, is_upright=upright, square_mm=square_mm
    )
    with watching() as watch:
        found = from_pictures.find_lens(asked, watch)
    if not dry_run:
        with opened(library, begin=True) as book:
            measured.keep(book, (measured.lens_row(found.result.lens, _since(valid_from)),))
    show(
        measured_report.lens_plain(found.result, found.unused),
        as_json=as_json,
        text=measured_report.lens_text(found.result, found.unused),
    )


@click.command("bay")
@click.option(
    "--camera", "cameras", type=(str, FILE), multiple=True, required=True, metavar="NAME FOLDER",
    help="A camera and the folder of its pictures; the same file names show the same place.",
)  # fmt: skip
@click.option(
    "--line", default="", help="Pictures of the board on the target line; else the first."
)
@click.option(
    "--heading",
    type=Number(least=-180.0, most=180.0),
    default=0.0,
    help="Degrees from the target, against the clock, that its foot points to, left to right.",
)
@click.option("--lying", multiple=True, metavar="NAME", help="Pictures whose board lies.")
@click.option(
    "--empty", type=(str, FILE), multiple=True, metavar="NAME PICTURE",
    help="The empty bay as a camera sees it, by which a moved camera is found.",
)  # fmt: skip
@click.option("--angles-only", is_flag=True, help="As outdoors: for angles in the picture only.")
@SQUARE
@PLAN
@SINCE
@DRY
@library_option
@json_option
def bay(
    cameras: tuple[tuple[str, Path], ...],
    line: str,
    heading: float,
    lying: tuple[str, ...],
    empty: tuple[tuple[str, Path], ...],
    angles_only: bool,
    square_mm: float | None,
    picture: Path | None,
    valid_from: datetime | None,
    dry_run: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Find where the cameras stand, from pictures of the large board at five places or more."""
    since = _since(valid_from)
    asked = BayAsked(
        folders=dict(cameras), line=line, heading_deg=heading, lying=lying, square_mm=square_mm
    )
    references = from_pictures.references_of(dict(empty))
    with opened(library, begin=True) as book:
        lenses = measured.lenses_of(book, tuple(asked.folders), since)
        with watching() as watch:
            found = from_pictures.find_bay(asked, lenses, watch)
        if not dry_run:
            rows = measured.bay_rows(found.bay, since, references, angles_only=angles_only)
            measured.keep(book, rows)
    if picture is not None:
        ensure_app()
        measured_report.write_plan(found.bay, picture)
    show(
        measured_report.bay_plain(found.bay, found.unused),
        as_json=as_json,
        text=measured_report.bay_text(found.bay, found.unused),
    )


@click.command("sticks")
@click.option(
    "--camera", "cameras", type=(str, str), multiple=True, required=True, metavar='NAME "X,Y ..."',
    help="A camera and where it sees the ends, in pixels: rear and front of the stick on the "
    "target line, then left and right of the one across.",
)  # fmt: skip
@click.option(
    "--field-of-view", "views", type=(str, Number(5.0, 150.0), str), multiple=True,
    metavar="NAME DEGREES WxH",
    help="Of a camera whose lens was not measured: how wide it looks, and its picture's size.",
)  # fmt: skip
@click.option("--length-m", type=Number(0.3, 3.0), default=1.22, help="Of both sticks.")
@click.option("--empty", type=(str, FILE), multiple=True, metavar="NAME PICTURE")
@PLAN
@SINCE
@DRY
@library_option
@json_option
def sticks(
    cameras: tuple[tuple[str, str], ...],
    views: tuple[tuple[str, float, str], ...],
    length_m: float,
    empty: tuple[tuple[str, Path], ...],
    picture: Path | None,
    valid_from: datetime | None,
    dry_run: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Find where the cameras stand from two sticks on the mat, one on the target line.

    The other lies square across it; both middles lie on the mat mark.
    """
    since = _since(valid_from)
    ends = {name: _ends(name, words) for name, words in cameras}
    wide = {name: (deg, _size(name, size)) for name, deg, size in views}
    references = from_pictures.references_of(dict(empty))
    with opened(library, begin=True) as book:
        known = measured.lenses_of(book, tuple(set(ends) - set(wide)), since)
        lenses = known | from_pictures.lenses_by_view(wide)
        found = from_pictures.find_by_sticks(ends, lenses, length_m)
        if not dry_run:
            measured.keep(book, measured.bay_rows(found, since, references))
    if picture is not None:
        ensure_app()
        measured_report.write_plan(found, picture)
    plain, text = measured_report.bay_plain(found), measured_report.bay_text(found)
    show(plain, as_json=as_json, text=text)


def _ends(name: str, words: str) -> FloatArray:
    try:
        ends = np.array([[float(v) for v in pair.split(",")] for pair in words.split()])
    except ValueError:
        ends = np.zeros((0, 0))
    if ends.shape != (ENDS, 2):
        raise BadInputError(
            f"The ends that {name} sees are four places in pixels, not {words!r}.",
            try_next='Write them as "412,650 820,655 600,580 640,700".',
        )
    return ends


def _size(name: str, words: str) -> tuple[int, int]:
    wide, _, high = words.partition("x")
    if not (wide.isdecimal() and high.isdecimal() and int(wide) and int(high)):
        raise BadInputError(
            f"The size of {name}'s picture is width x height in pixels, not {words!r}.",
            try_next="Write it as 1280x720.",
        )
    return int(wide), int(high)


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
        found = moved.check(book, camera, grey, _since(None))
    show(found, as_json=as_json, text=found.said)
    return 7 if found.is_moved else 0


COMMANDS = (board, lens, bay, sticks, check)
