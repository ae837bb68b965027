"""Commands about moments: see, set by hand, carry over from another swing."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.parameters import Number, OneMoment
from capturestation.cli.say import put_aside
from capturestation.cli.show import (
    json_option,
    library_option,
    opened,
    show,
    to_ns,
    watching,
)
from capturestation.cli.words import marks_table
from capturestation.library import Library
from capturestation.records import Moment, Swing, View
from capturestation.station import marking
from capturestation.station.finding import latest_or
from capturestation.station.measuring_again import MeasuredAgain, find_again, measure_again


@click.group()
def marks() -> None:
    """Moments of a swing; a mark by hand always counts.

    In order: set, club starts, takeaway, lead arm level back, top, lead arm level down, shaft
    level down, impact, shaft level through, trail arm level through, finish.
    """


@marks.command("list")
@click.argument("swing")
@library_option
@json_option
def list_(swing: str, library: Path, as_json: bool) -> None:
    """List the moments of a SWING that count."""
    with opened(library) as book:
        found = latest_or(book, swing)
    _show(found, as_json=as_json)


@marks.command("set")
@click.argument("swing")
@click.argument("moment", type=OneMoment())
@click.option("--at", type=Number(), help="Seconds from impact; before is negative.")
@click.option("--frame", type=click.IntRange(1), help="A frame of a file instead; 1 is the first.")
@click.option(
    "--view", type=click.Choice([v.value for v in View]), default="face-on", help="Of which file."
)
@click.option("--error", type=Number(0), help="How sure, seconds; else half a frame.")
@library_option
@json_option
def set_(
    swing: str,
    moment: Moment,
    at: float | None,
    frame: int | None,
    view: str,
    error: float | None,
    library: Path,
    as_json: bool,
) -> None:
    """Mark a MOMENT of a SWING by hand, by its time or by a frame."""
    if (at is None) == (frame is None):
        raise click.UsageError("Give either --at or --frame.")
    with opened(library) as book:
        found = latest_or(book, swing)
        at_ns = marking.frame_time(book, found, View(view), frame) if frame else to_ns(at or 0.0)
        changed = marking.mark_by_hand(
            book,
            found,
            moment,
            at_ns=at_ns,
            u_ns=None if error is None else to_ns(error),
        )
        changed = measured(book, changed)
    _show(changed, as_json=as_json)


@marks.command("none")
@click.argument("swing")
@click.argument("moment", type=OneMoment())
@library_option
@json_option
def none(swing: str, moment: Moment, library: Path, as_json: bool) -> None:
    """Say that a MOMENT does not occur in a SWING."""
    with opened(library) as book:
        changed = measured(book, marking.mark_absent(book, latest_or(book, swing), moment))
    _show(changed, as_json=as_json)


@marks.command("clear")
@click.argument("swing")
@click.argument("moment", type=OneMoment())
@library_option
@json_option
def clear(swing: str, moment: Moment, library: Path, as_json: bool) -> None:
    """Take the hand's mark of a MOMENT away; a found one counts again."""
    with opened(library) as book:
        changed = measured(book, marking.clear_mark(book, latest_or(book, swing), moment))
    _show(changed, as_json=as_json)


@marks.command("find")
@click.argument("swing")
@library_option
@json_option
def find(swing: str, library: Path, as_json: bool) -> None:
    """Find the moments of a SWING again; marks by hand stay."""
    with opened(library) as book, watching() as watch:
        changed = told(find_again(book, latest_or(book, swing), watch))
    _show(changed, as_json=as_json)


@marks.command("carry")
@click.argument("swing")
@click.option("--from", "other", required=True, help="The student's other swing, marked by hand.")
@library_option
@json_option
def carry(swing: str, other: str, library: Path, as_json: bool) -> None:
    """Propose in a SWING the moments marked by hand in another."""
    with opened(library) as book, watching() as watch:
        mine, theirs = latest_or(book, swing), latest_or(book, other)
        changed = measured(book, marking.carry_over(book, mine, theirs, watch))
    _show(changed, as_json=as_json)


def measured(library: Library, swing: Swing) -> Swing:
    """The swing measured anew where its marks stand now."""
    return told(measure_again(library, swing))


def told(again: MeasuredAgain) -> Swing:
    """The swing as it is now; beside the answer why values are not those of now."""
    if again.said:
        put_aside(again.said)
    return again.swing


def _show(swing: Swing, *, as_json: bool) -> None:
    counted = marking.effective(swing.book)
    show(counted, as_json=as_json, text=marks_table(counted))
