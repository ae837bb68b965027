"""Commands that measure lenses and the bay from pictures: board, lens, bay, sticks."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from capturestation.cli import bay_checks
from capturestation.cli.bay_words import (
    EMPTY,
    FILE,
    PLAN,
    SQUARE,
    VIEWS,
    ends,
    keeping,
    since,
    sizes,
)
from capturestation.cli.parameters import Number
from capturestation.cli.show import json_option, opened, show, watching
from capturestation.drawing.app import ensure_app
from capturestation.station import boards, from_pictures, measured, measured_report
from capturestation.station.from_pictures import BayAsked, LensAsked

ENDS = 4


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
@keeping
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
            measured.keep(book, (measured.lens_row(found.result.lens, since(valid_from)),))
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
@EMPTY
@click.option(
    "--stick", "sticks_px", type=(str, str), multiple=True, metavar='NAME "X,Y X,Y"',
    help="A camera and where it sees a stick's ends, in pixels, the rear one first: both cameras "
    "together then check the size of the squares, which boards alone can't tell.",
)  # fmt: skip
@click.option("--stick-m", type=Number(0.3, 3.0), default=1.22, help="That stick's length.")
@click.option("--angles-only", is_flag=True, help="As outdoors: for angles in the picture only.")
@SQUARE
@PLAN
@keeping
def bay(
    cameras: tuple[tuple[str, Path], ...],
    line: str,
    heading: float,
    lying: tuple[str, ...],
    empty: tuple[tuple[str, Path], ...],
    sticks_px: tuple[tuple[str, str], ...],
    stick_m: float,
    angles_only: bool,
    square_mm: float | None,
    picture: Path | None,
    valid_from: datetime | None,
    dry_run: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Find where the cameras stand, from pictures of the large board at five places or more."""
    held_from = since(valid_from)
    asked = BayAsked(
        folders=dict(cameras), line=line, heading_deg=heading, lying=lying, square_mm=square_mm,
        stick_px={name: ends(name, words, 2) for name, words in sticks_px}, stick_m=stick_m,
    )  # fmt: skip
    references = from_pictures.references_of(dict(empty))
    with opened(library, begin=True) as book:
        lenses = measured.lenses_of(book, tuple(asked.folders), held_from)
        with watching() as watch:
            found = from_pictures.find_bay(asked, lenses, watch)
        if not dry_run:
            rows = measured.bay_rows(found.bay, held_from, references, angles_only=angles_only)
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
@VIEWS
@click.option("--length-m", type=Number(0.3, 3.0), default=1.22, help="Of both sticks.")
@EMPTY
@PLAN
@keeping
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
    held_from = since(valid_from)
    marked, wide = {name: ends(name, words, ENDS) for name, words in cameras}, sizes(views)
    references = from_pictures.references_of(dict(empty))
    with opened(library, begin=True) as book:
        known = measured.lenses_of(book, tuple(set(marked) - set(wide)), held_from)
        lenses = known | from_pictures.lenses_by_view(wide)
        with watching() as watch:
            found = from_pictures.find_by_sticks(marked, lenses, length_m, watch)
        if not dry_run:
            measured.keep(book, measured.bay_rows(found, held_from, references))
    if picture is not None:
        ensure_app()
        measured_report.write_plan(found, picture)
    plain, text = measured_report.bay_plain(found), measured_report.bay_text(found)
    show(plain, as_json=as_json, text=text)


COMMANDS = (board, lens, bay, sticks, *bay_checks.COMMANDS)
