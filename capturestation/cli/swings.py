"""Commands about swings: add files, look, change, star, place on the clock by hand."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import TypedDict, Unpack

import click

from capturestation.cli.parameters import WHEN, NamedCamera, Number, OfView, Percents, by_view
from capturestation.cli.say import put_aside
from capturestation.cli.show import (
    json_option,
    library_option,
    opened,
    show,
    table,
    to_ns,
    watching,
)
from capturestation.cli.words import swing_card
from capturestation.errors import ComparisonRefusedError
from capturestation.library import Library
from capturestation.records import BallResult, Box, Plain, Swing, SwingKind, View, Zero, to_plain
from capturestation.station import comparing, intake, marking, reading
from capturestation.station.cache import cache_of
from capturestation.station.exchanging import exchange_views
from capturestation.station.finding import latest_or
from capturestation.station.golfer_box import say_golfer
from capturestation.station.measuring_again import measure_again
from capturestation.station.turning import turn_view
from capturestation.timing.air import COLDEST_C, WARMEST_C, Microphone

VIEWS = click.Choice([view.value for view in View])
KINDS = click.Choice([kind.value for kind in SwingKind])
FILE = click.Path(path_type=Path)


class _Asked(TypedDict):
    """What the options of `swings add` hold."""

    face_on: Path | None
    down_the_line: Path | None
    extra: Path | None
    club: str
    kind: str
    lesson: str | None
    struck_at: datetime | None
    microphone_m: tuple[tuple[View, float], ...]
    temperature_c: float
    contact_at: tuple[tuple[View, float], ...]
    played_slower: tuple[tuple[View, float], ...]
    camera: tuple[tuple[View, str], ...]
    no_ball: bool
    notes: str


@click.group()
def swings() -> None:
    """Swings: add from files, look, change."""


@swings.command("add")
@click.argument("student")
@click.option("--face-on", type=FILE, help="File of the face-on camera.")
@click.option("--down-the-line", type=FILE, help="File of the down-the-line camera.")
@click.option("--extra", type=FILE, help="File of a third camera.")
@click.option("--club", required=True, help="As you say it: 7 iron, driver, sand wedge ...")
@click.option("--kind", type=KINDS, default=SwingKind.FULL.value, show_default=True)
@click.option("--lesson", help="Its id; else the student's lesson of that day.")
@click.option(
    "--struck-at",
    type=WHEN,
    metavar="WHEN",
    help='Such as "2026-10-30 15:04"; else what the file says.',
)
@click.option(
    "--microphone-m",
    metavar="VIEW=METRES",
    type=OfView(Number(0, 100)),
    multiple=True,
    help="From ball to that camera's microphone.",
)
@click.option(
    "--temperature-c",
    type=Number(COLDEST_C, WARMEST_C),
    default=20.0,
    show_default=True,
    help="Of the air; sound is faster in warm air.",
)
@click.option(
    "--contact-at",
    metavar="VIEW=SECONDS",
    type=OfView(Number()),
    multiple=True,
    help="Contact by hand, seconds in that file.",
)
@click.option(
    "--played-slower",
    metavar="VIEW=TIMES",
    type=OfView(Number(1, 64)),
    multiple=True,
    help="That file was slowed down for good and plays so many times slower; 1 for not at all.",
)
@click.option(
    "--camera",
    metavar="VIEW=NAME",
    type=NamedCamera(),
    multiple=True,
    help="Its name: a camera's own delay is learnt from its swings.",
)
@click.option("--no-ball", is_flag=True, help="No ball was struck: zero is the bottom of the arc.")
@click.option("--notes", default="")
@library_option
@json_option
def add(student: str, library: Path, as_json: bool, **asked: Unpack[_Asked]) -> None:
    """Add a STUDENT's swing from one file for each camera.

    The files are copied; yours stay where they are. Contact is found by the strike in the sound
    and the ball leaving the picture, or given by hand with --contact-at.
    """
    request = _request(student, asked)
    with opened(library) as book, watching() as watch:
        swing = intake.add_swing(book, request, watch)
        value, card = _with_files(book, swing)
        told = f"{card}\n\n{_next(book, swing)}"
    show(value, as_json=as_json, text=told)


def _request(student: str, asked: _Asked) -> intake.IntakeRequest:
    files = _files(asked["face_on"], asked["down_the_line"], asked["extra"])
    metres = by_view(asked["microphone_m"], files, "--microphone-m")
    contacts = by_view(asked["contact_at"], files, "--contact-at")
    slower = by_view(asked["played_slower"], files, "--played-slower")
    when, air_c = asked["struck_at"], asked["temperature_c"]
    return intake.IntakeRequest(
        student=student,
        files=files,
        club=asked["club"],
        kind=SwingKind(asked["kind"]),
        lesson=asked["lesson"],
        struck_at=None if when is None else when.astimezone(),
        microphones={v: Microphone(distance_m=m, temperature_c=air_c) for v, m in metres.items()},
        temperature_c=air_c,
        contacts_ns={view: to_ns(at_s) for view, at_s in contacts.items()},
        media_per_swing={v: Fraction(n).limit_denominator(1000) for v, n in slower.items()},
        cameras=by_view(asked["camera"], files, "--camera"),
        zero=Zero.ARC_BOTTOM if asked["no_ball"] else None,
        notes=asked["notes"],
    )


def _files(
    face_on: Path | None, down_the_line: Path | None, extra: Path | None
) -> dict[View, Path]:
    named = {View.FACE_ON: face_on, View.DOWN_THE_LINE: down_the_line, View.EXTRA: extra}
    files = {view: path for view, path in named.items() if path is not None}
    if not files:
        raise click.UsageError("Name a file for each camera, such as --face-on FILE.")
    return files


@swings.command("list")
@click.argument("student")
@library_option
@json_option
def list_(student: str, library: Path, as_json: bool) -> None:
    """List a STUDENT's swings, newest first."""
    with opened(library) as book:
        found = book.swings_of(book.find_student(student).id)
    rows = [
        (
            s.id,
            f"{s.facts.struck_at:%Y-%m-%d %H:%M}",
            s.book.club,
            s.book.kind,
            "best" if s.book.starred else "",
            ", ".join(r.view for r in s.facts.recordings),
            s.book.ball.rating,
        )
        for s in reversed(found)
    ]
    head = ("id", "struck", "club", "kind", "star", "views", "ball")
    show(found[::-1], as_json=as_json, text=table(rows, head))


@swings.command("show")
@click.argument("swing")
@library_option
@json_option
def show_one(swing: str, library: Path, as_json: bool) -> None:
    """Show one SWING: its views on the clock, its moments, its ball."""
    with opened(library) as book:
        value, told = _with_files(book, latest_or(book, swing))
    show(value, as_json=as_json, text=told)


@swings.command("change")
@click.argument("swing")
@click.option("--club")
@click.option("--kind", type=KINDS)
@click.option("--notes")
@click.option("--start", help="Where the ball started: left, straight, right.")
@click.option("--curve", help="How it curved: left, straight, right.")
@click.option("--contact", help="Solid, thin, fat, heel, toe ...")
@click.option("--rating", type=click.IntRange(1, 5), help="1 poor to 5 as wanted.")
@library_option
@json_option
def change(
    swing: str,
    club: str | None,
    kind: str | None,
    notes: str | None,
    start: str | None,
    curve: str | None,
    contact: str | None,
    rating: int | None,
    library: Path,
    as_json: bool,
) -> None:
    """Change what is known of a SWING; what isn't named stays."""
    with opened(library) as book:
        old = latest_or(book, swing)
        ball = BallResult(
            start=old.book.ball.start if start is None else start,
            curve=old.book.ball.curve if curve is None else curve,
            contact=old.book.ball.contact if contact is None else contact,
            rating=old.book.ball.rating if rating is None else rating,
        )
        changed = marking.change_swing(
            book,
            old,
            club=club,
            kind=None if kind is None else SwingKind(kind),
            notes=notes,
            ball=ball,
        )
        told = _card(book, changed)
    show(changed, as_json=as_json, text=told)


@swings.command("exchange")
@click.argument("swing")
@library_option
@json_option
def exchange(swing: str, library: Path, as_json: bool) -> None:
    """Exchange the two views of a SWING: face-on is down the line and the other way round.

    Moments and measures follow; done again, all is as before.
    """
    with opened(library) as book:
        again = exchange_views(book, latest_or(book, swing))
        card = _card(book, again.swing)
    if again.said:
        put_aside(again.said)
    show(again.swing, as_json=as_json, text=card)


@swings.command("turn")
@click.argument("swing")
@click.argument("view", type=VIEWS)
@click.option(
    "--by",
    type=click.Choice(["90", "180", "270"]),
    default="90",
    show_default=True,
    help="Degrees clockwise that set it upright.",
)
@library_option
@json_option
def turn(swing: str, view: str, by: str, library: Path, as_json: bool) -> None:
    """Set a VIEW of a SWING upright whose camera stood on its side.

    A swing with the turned file takes its place; the old one lies in the trash. Analyse it again.
    """
    with opened(library) as book, watching() as watch:
        old = latest_or(book, swing)
        fresh = turn_view(book, cache_of(book), old, View(view), int(by), watch)
        card = _card(book, fresh)
    told = f"{card}\n\nIt was {old.id}; back with: capturestation swings restore {old.id}"
    show(fresh, as_json=as_json, text=told)


@swings.command("golfer")
@click.argument("swing")
@click.argument("view", type=VIEWS)
@click.option(
    "--box",
    type=Percents(),
    metavar="LEFT,TOP,RIGHT,BOTTOM",
    help="Percent of the picture, from its left upper corner; without it nobody is said to be.",
)
@library_option
@json_option
def golfer(swing: str, view: str, box: Box | None, library: Path, as_json: bool) -> None:
    """Say who of all in a VIEW of a SWING is the golfer: a box round him at set.

    It counts when the swing is analysed again.
    """
    with opened(library) as book:
        changed = say_golfer(book, latest_or(book, swing), View(view), box)
    words = "anybody who swings" if box is None else "who stands in that box"
    told = f"{changed.id}: the golfer is {words}. Analyse it again: capturestation analyse --again"
    show(changed, as_json=as_json, text=f"{told} {changed.id}")


@click.command()
@click.argument("swing")
@click.option("--off", is_flag=True, help="Take the star away.")
@library_option
@json_option
def star(swing: str, off: bool, library: Path, as_json: bool) -> None:
    """Star a SWING as the student's best."""
    with opened(library) as book:
        changed = marking.set_star(book, latest_or(book, swing), starred=not off)
    words = "is a best now" if changed.book.starred else "is no best any more"
    show(changed, as_json=as_json, text=f"{changed.id} {words}.")


@click.command()
@click.argument("swing")
@click.argument("view", type=VIEWS)
@click.option("--contact-at", type=Number(), required=True, help="Contact, seconds in the file.")
@click.option("--error", type=Number(0), help="How sure, seconds; else half a frame.")
@library_option
@json_option
def offset(
    swing: str, view: str, contact_at: float, error: float | None, library: Path, as_json: bool
) -> None:
    """Place a VIEW of a SWING on the clock by hand.

    Its moments are found again. Marks by hand go with the view where it is the only one.
    """
    with opened(library) as book, watching() as watch:
        changed = intake.place_by_hand(
            book,
            latest_or(book, swing),
            View(view),
            contact_ns=to_ns(contact_at),
            u_ns=None if error is None else to_ns(error),
            watch=watch,
        )
        again = measure_again(book, changed, moments_too=True)
        changed, told = again.swing, _card(book, again.swing)
    if again.said:
        put_aside(again.said)
    if len(changed.book.syncs) > 1 and any(m.source == "hand" for m in changed.book.marks):
        told += "\n\nMarks by hand stayed at their times: look at them again in this view."
    show(changed, as_json=as_json, text=told)


def _card(library: Library, swing: Swing) -> str:
    return swing_card(swing, library.student(swing.book.student_id).name)


def _with_files(library: Library, swing: Swing) -> tuple[dict[str, Plain], str]:
    """A swing with what to know of how its files are read, as JSON values and as a card."""
    files = reading.about_files(library, swing)
    plain = to_plain(swing)
    assert isinstance(plain, dict)
    name = library.student(swing.book.student_id).name
    return {**plain, "files": to_plain(files)}, swing_card(swing, name, files)


def _next(library: Library, swing: Swing) -> str:
    star = f"capturestation star {swing.id}"
    try:
        comparing.pick(library, swing.id, None)
    except ComparisonRefusedError:
        return f"Next: {star}, if it was a good one: later swings are laid beside it."
    return f"Next: capturestation compare {swing.id}, or {star} if it was a good one."
