"""Commands about moments: see, set by hand, carry over from another swing."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.show import (
    json_option,
    library_option,
    opened,
    seconds,
    show,
    table,
    to_ns,
    watching,
)
from capturestation.records import Mark, Moment, Swing
from capturestation.station import marking

MOMENTS = click.Choice([moment.value for moment in Moment], case_sensitive=False)


@click.group()
def marks() -> None:
    """Moments of a swing; a hand's mark always wins over a found one."""


@marks.command("list")
@click.argument("swing")
@library_option
@json_option
def list_(swing: str, library: Path, as_json: bool) -> None:
    """List the moments of a SWING that count."""
    with opened(library) as book:
        found = book.find_swing(swing)
    _show(found, as_json=as_json)


@marks.command("set")
@click.argument("swing")
@click.argument("moment", type=MOMENTS)
@click.option("--at", type=float, required=True, help="Seconds to impact; before is negative.")
@click.option("--error", type=float, default=None, help="How sure, seconds; else half a frame.")
@library_option
@json_option
def set_(
    swing: str, moment: str, at: float, error: float | None, library: Path, as_json: bool
) -> None:
    """Mark a MOMENT of a SWING by hand."""
    with opened(library) as book:
        changed = marking.mark_by_hand(
            book,
            book.find_swing(swing),
            Moment(moment),
            at_ns=to_ns(at),
            u_ns=None if error is None else to_ns(error),
        )
    _show(changed, as_json=as_json)


@marks.command("none")
@click.argument("swing")
@click.argument("moment", type=MOMENTS)
@library_option
@json_option
def none(swing: str, moment: str, library: Path, as_json: bool) -> None:
    """Say that a MOMENT does not occur in a SWING."""
    with opened(library) as book:
        changed = marking.mark_absent(book, book.find_swing(swing), Moment(moment))
    _show(changed, as_json=as_json)


@marks.command("clear")
@click.argument("swing")
@click.argument("moment", type=MOMENTS)
@library_option
@json_option
def clear(swing: str, moment: str, library: Path, as_json: bool) -> None:
    """Take the hand's mark of a MOMENT away; a found one counts again."""
    with opened(library) as book:
        changed = marking.clear_mark(book, book.find_swing(swing), Moment(moment))
    _show(changed, as_json=as_json)


@marks.command("find")
@click.argument("swing")
@library_option
@json_option
def find(swing: str, library: Path, as_json: bool) -> None:
    """Find the moments of a SWING again from its files; marks by hand stay."""
    with opened(library) as book, watching() as watch:
        changed = marking.find_again(book, book.find_swing(swing), watch)
    _show(changed, as_json=as_json)


@marks.command("carry")
@click.argument("swing")
@click.option("--from", "other", required=True, help="A swing of the student marked by hand.")
@library_option
@json_option
def carry(swing: str, other: str, library: Path, as_json: bool) -> None:
    """Propose in a SWING the moments that were marked by hand in another."""
    with opened(library) as book, watching() as watch:
        changed = marking.carry_over(book, book.find_swing(swing), book.find_swing(other), watch)
    _show(changed, as_json=as_json)


def _show(swing: Swing, *, as_json: bool) -> None:
    counted = marking.effective(swing.book)
    rows = [(m.moment, _when(m), _between(m), m.source, m.method) for m in counted]
    head = ("moment", "s to impact", "between", "by", "method")
    show(counted, as_json=as_json, text=table(rows, head))


def _when(mark: Mark) -> str:
    return seconds(mark.at_ns) if mark.occurs else "does not occur"


def _between(mark: Mark) -> str:
    return f"{seconds(mark.early_ns)} .. {seconds(mark.late_ns)}" if mark.occurs else ""
