"""What has to work in a swing: the coach's list, and what a swing's measures say of it."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.parameters import Number
from capturestation.cli.show import json_option, library_option, opened, show, table, to_ns
from capturestation.station.cache import cache_of
from capturestation.station.finding import LATEST, latest_or
from capturestation.station.function_checks import asked_of, change_check, checks_of
from capturestation.station.stick_check import MARK_DEG, StickReading, read_stick
from capturestation.swing.checks import FunctionCheck


@click.group()
def checks() -> None:
    """What has to work in a swing: common practice, no published source; the list is yours."""


@checks.command("list")
@library_option
@json_option
def list_checks(library: Path, as_json: bool) -> None:
    """Show the list with its limits."""
    with opened(library) as book:
        found = checks_of(book)
    rows = [_row(one) for one in found]
    text = table(rows, ("check", "measure", "from", "to", "swings", "asked"))
    show(found, as_json=as_json, text=text)


def _row(one: FunctionCheck) -> tuple[object, ...]:
    kinds = ", ".join((*one.kinds, *one.clubs)) or "all"
    return one.name, one.measure, one.low, one.high, kinds, "yes" if one.on else "no"


@checks.command("set")
@click.argument("name")
@click.option("--on/--off", "on", default=None, help="Whether it is asked at all.")
@click.option("--low", type=Number(), help="The value is to be no lower.")
@click.option("--high", type=Number(), help="The value is to be no higher.")
@library_option
@json_option
def set_check(
    name: str,
    on: bool | None,
    low: float | None,
    high: float | None,
    library: Path,
    as_json: bool,
) -> None:
    """Switch the check of that NAME on or off, or move its limits."""
    with opened(library) as book:
        changed = change_check(book, name, on=on, low=low, high=high)
    text = table([_row(changed)], ("check", "measure", "from", "to", "swings", "asked"))
    show(changed, as_json=as_json, text=text)


@checks.command("of")
@click.argument("swing", default=LATEST)
@library_option
@json_option
def of_swing(swing: str, library: Path, as_json: bool) -> None:
    """Ask the list of a SWING: works, not yet, or cannot tell and why."""
    with opened(library) as book:
        found = asked_of(book, latest_or(book, swing))
    rows = [(one.check.name, str(one.verdict), one.why) for one in found]
    show(found, as_json=as_json, text=table(rows, ("check", "answer", "why")))


@checks.command("stick")
@click.argument("swing", default=LATEST)
@click.option("--at", type=Number(), default=0.0, help="When he stood still; seconds from zero.")
@click.option("--turned", type=Number(), default=MARK_DEG, help="The mark's angle, closed.")
@library_option
@json_option
def stick(swing: str, at: float, turned: float, library: Path, as_json: bool) -> None:
    """Read a stick held across the hips over a mark on the floor: a check of one minute.

    Lay a mark at 45 degrees to the target line, hold a stick across both hips, turn until it lies
    over the mark, stand still while the Bay keeps it by its key; analyse that recording (SWING).
    It is read by pictures, and in space too where the bay was measured.
    """
    with opened(library) as book:
        found = read_stick(book, cache_of(book), latest_or(book, swing), to_ns(at), mark_deg=turned)
    told = [
        f"The stick lies at {found.mark_deg:.0f} deg closed.",
        _told("By pictures", found.pictures),
    ]
    if found.space is not None:
        told.append(_told("In space", found.space))
    elif found.why:
        told.append(f"Not in space: {found.why}")
    show(found, as_json=as_json, text="\n".join(told))


def _told(how: str, read: StickReading) -> str:
    verdict = "within what it states" if read.is_within else "more than it states"
    return (
        f"{how} the hips are read as {read.read_deg:.0f} deg: off by {read.off_deg:+.0f} deg,"
        f" {verdict} (\N{PLUS-MINUS SIGN} {2 * read.u_deg:.0f});"
        f" meanwhile it wandered by {read.moved_deg:.1f} deg."
    )
