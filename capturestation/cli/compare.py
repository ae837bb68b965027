"""Commands that lay a swing against the student's own earlier one: as numbers, as a clip."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click

from capturestation.cli.parameters import ClipFile, Number, OneMoment
from capturestation.cli.show import (
    json_option,
    library_option,
    opened,
    show,
    watching,
)
from capturestation.cli.words import comparison_page
from capturestation.drawing.layout import LayoutName
from capturestation.records import Moment
from capturestation.station import clips, comparing
from capturestation.station.laying import Over

NOW = click.argument("now", default="latest", required=False)
THEN = click.argument("then", required=False)
SLOW = click.option(
    "--slow", type=click.IntRange(1, 32), default=4, show_default=True, help="Times slower."
)
HOLD = click.option(
    "--hold",
    type=Number(0, 10),
    default=0.8,
    show_default=True,
    help="Seconds to stand at each moment.",
)
OVER = click.option(
    "--over",
    is_flag=True,
    help="Lay THEN over NOW's pictures, by where the cameras stood or by what was pointed out.",
)


@click.command()
@NOW
@THEN
@library_option
@json_option
def compare(now: str, then: str | None, library: Path, as_json: bool) -> None:
    """Compare two swings of a student: NOW and THEN.

    NOW is the latest swing unless named, THEN the student's own best.

    The own best is the starred swing of the same club group and kind; without one it is the
    first of the same lesson.
    """
    with opened(library) as book:
        found = comparing.compare(book, now, then)
    show(comparing.plain(found), as_json=as_json, text=comparison_page(found))


@click.command()
@NOW
@THEN
@click.option(
    "--out",
    type=ClipFile(),
    required=True,
    metavar="FILE",
    help="MP4 file to write.",
)
@click.option(
    "--layout",
    type=click.Choice([name.value for name in LayoutName]),
    default="all-four",
    show_default=True,
    help="What is shown, for a wide screen or upright for a phone.",
)
@SLOW
@HOLD
@click.option(
    "--at",
    "at_one",
    type=OneMoment(),
    help="Lay the two together at this one moment only, each at its own speed.",
)
@OVER
@click.option("--sound", is_flag=True, help="Let the strike be heard; else the clip is silent.")
@click.option(
    "--own-use",
    is_flag=True,
    help="For your own eyes, without the consent to sharing; each picture says so.",
)
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
@library_option
@json_option
def clip(
    now: str,
    then: str | None,
    out: Path,
    layout: str,
    slow: int,
    hold: float,
    at_one: Moment | None,
    over: bool,
    sound: bool,
    own_use: bool,
    replace: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Make a clip of NOW beside THEN.

    Both angles of both swings stand at the same moments, beside each other or laid over one
    another. NOW is the latest swing unless named, THEN the student's own best. Refused without the
    consent to sharing, unless it is for your own use.
    """
    wish = clips.ClipWish(
        layout=LayoutName(layout),
        slow=Fraction(1, slow),
        hold_s=hold,
        at_one=at_one,
        over=Over() if over else None,
        sound=sound,
        own_use=own_use,
        replace=replace,
    )
    with opened(library) as book, watching() as watch:
        made = clips.clip_of(book, now, then, wish, out, watch)
    show(clips.plain(made), as_json=as_json, text="\n".join([about(made), *made.said]))


def about(made: clips.MadeClip) -> str:
    """Where a clip is, how long and how large."""
    report = made.report
    size_mb = made.size_bytes / 1e6
    return f"{report.path}  {float(report.duration_s):.1f} s, {size_mb:.1f} MB"
