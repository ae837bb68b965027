"""Commands that lay a swing against the student's own earlier one: as numbers, as a clip."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click

from capturestation.cli.show import (
    json_option,
    library_option,
    opened,
    seconds,
    show,
    table,
    watching,
)
from capturestation.drawing.layout import LayoutName
from capturestation.records import Moment
from capturestation.station import clips, comparing

NOW = click.argument("now", default="latest", required=False)
THEN = click.argument("then", required=False)


@click.command()
@NOW
@THEN
@library_option
@json_option
def compare(now: str, then: str | None, library: Path, as_json: bool) -> None:
    """Compare the swing NOW (else the latest) with THEN (else the student's own best).

    The own best is the starred swing of the same club group and kind; without one it is the
    first of the same lesson.
    """
    with opened(library) as book:
        found = comparing.compare(book, now, then)
    show(comparing.plain(found), as_json=as_json, text=words(found))


@click.command()
@NOW
@THEN
@click.option("--out", type=click.Path(path_type=Path), required=True, help="MP4 file to write.")
@click.option(
    "--layout",
    type=click.Choice([name.value for name in LayoutName]),
    default="all-four",
    show_default=True,
)
@click.option("--slow", type=click.IntRange(1, 32), default=4, show_default=True, help="Times.")
@click.option("--hold", type=click.FloatRange(0, 10), default=0.8, show_default=True, help="s.")
@click.option(
    "--at",
    "at_one",
    type=click.Choice([moment.value for moment in Moment]),
    help="Match at this one moment and play both at real speed from there.",
)
@click.option("--sound", is_flag=True, help="Let the strike be heard; else the clip is silent.")
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
    at_one: str | None,
    sound: bool,
    replace: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Make the clip of NOW beside THEN, both angles at the same moments."""
    wish = clips.ClipWish(
        layout=LayoutName(layout),
        slow=Fraction(1, slow),
        hold_s=hold,
        at_one=None if at_one is None else Moment(at_one),
        sound=sound,
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


def words(found: comparing.Comparison) -> str:
    """The comparison as a page of text."""
    now, then = found.now.facts.struck_at, found.then.facts.struck_at
    rows = [(row.moment, seconds(row.now_ns), seconds(row.then_ns), row.said) for row in found.rows]
    head = ("moment, s to impact", f"now {now:%d %b %Y}", f"then {then:%d %b %Y}", "")
    changes = [f"{change.name}: {change.words}" for change in found.changes]
    return "\n".join(
        [f"Beside: {found.label}. {found.why}", "", table(rows, head), "", *changes, *found.said]
    )
