"""Commands about swings: add files, look, change, star, place on the clock by hand."""

from __future__ import annotations

from datetime import datetime
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
from capturestation.records import BallResult, Swing, SwingKind, View
from capturestation.station import intake, marking
from capturestation.timing.air import Microphone

VIEWS = click.Choice([view.value for view in View])
KINDS = click.Choice([kind.value for kind in SwingKind])
FILE = click.Path(path_type=Path)


class Placed(click.ParamType[tuple[View, float]]):
    """VIEW=NUMBER, for what differs between the cameras."""

    name = "view=number"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[View, float]:
        """Split and read."""
        view, _, number = str(value).partition("=")
        try:
            return View(view), float(number)
        except ValueError:
            views = ", ".join(View)
            self.fail(f"{value!r} is not VIEW=NUMBER with a view of: {views}", param, ctx)


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
@click.option("--lesson", help="Lesson id; else the student's lesson of that day.")
@click.option("--struck-at", type=click.DateTime(), help="When; else what the file says.")
@click.option("--microphone-m", type=Placed(), multiple=True, help="Ball to microphone, metres.")
@click.option("--temperature-c", type=float, default=20.0, show_default=True)
@click.option(
    "--contact-at", type=Placed(), multiple=True, help="Contact by hand, seconds in the file."
)
@click.option("--notes", default="")
@library_option
@json_option
def add(
    student: str,
    face_on: Path | None,
    down_the_line: Path | None,
    extra: Path | None,
    club: str,
    kind: str,
    lesson: str | None,
    struck_at: datetime | None,
    microphone_m: tuple[tuple[View, float], ...],
    temperature_c: float,
    contact_at: tuple[tuple[View, float], ...],
    notes: str,
    library: Path,
    as_json: bool,
) -> None:
    """Add a STUDENT's swing from one file for each camera; the files stay where they are."""
    files = {View.FACE_ON: face_on, View.DOWN_THE_LINE: down_the_line, View.EXTRA: extra}
    request = intake.IntakeRequest(
        student=student,
        files={view: path for view, path in files.items() if path is not None},
        club=club,
        kind=SwingKind(kind),
        lesson=lesson,
        struck_at=None if struck_at is None else struck_at.astimezone(),
        microphones={
            view: Microphone(distance_m=metres, temperature_c=temperature_c)
            for view, metres in microphone_m
        },
        temperature_c=temperature_c,
        contacts_ns={view: to_ns(at_s) for view, at_s in contact_at},
        notes=notes,
    )
    with opened(library) as book, watching() as watch:
        swing = intake.add_swing(book, request, watch)
    show(swing, as_json=as_json, text=_card(swing))


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
        for s in found
    ]
    head = ("id", "struck", "club", "kind", "star", "views", "ball")
    show(found, as_json=as_json, text=table(rows, head))


@swings.command("show")
@click.argument("swing")
@library_option
@json_option
def show_one(swing: str, library: Path, as_json: bool) -> None:
    """Show one SWING: its views on the clock, its moments, its ball."""
    with opened(library) as book:
        found = book.find_swing(swing)
    show(found, as_json=as_json, text=_card(found))


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
        old = book.find_swing(swing)
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
    show(changed, as_json=as_json, text=_card(changed))


@swings.command("delete")
@click.argument("swing")
@click.option("--yes", is_flag=True, help="Don't ask.")
@library_option
@json_option
def delete(swing: str, yes: bool, library: Path, as_json: bool) -> None:
    """Delete a SWING with its files."""
    with opened(library) as book:
        found = book.find_swing(swing)
        words = f"{found.book.club} of {found.facts.struck_at:%Y-%m-%d %H:%M}"
        if not yes:
            click.confirm(f"Delete {words} with its files for good?", abort=True, err=True)
        book.delete_swing(found.id)
    show({"deleted": found.id}, as_json=as_json, text=f"Deleted {words}.")


@click.command()
@click.argument("swing")
@click.option("--off", is_flag=True, help="Take the star away.")
@library_option
@json_option
def star(swing: str, off: bool, library: Path, as_json: bool) -> None:
    """Star a SWING as the student's best of its club and kind."""
    with opened(library) as book:
        changed = marking.set_star(book, book.find_swing(swing), starred=not off)
    words = "is a best now" if changed.book.starred else "is no best any more"
    show(changed, as_json=as_json, text=f"{changed.id} {words}.")


@click.command()
@click.argument("swing")
@click.argument("view", type=VIEWS)
@click.option("--contact-at", type=float, required=True, help="Contact, seconds in the file.")
@click.option("--error", type=float, default=None, help="How sure, seconds; else half a frame.")
@library_option
@json_option
def offset(
    swing: str, view: str, contact_at: float, error: float | None, library: Path, as_json: bool
) -> None:
    """Place a VIEW of a SWING on the clock by hand; found moments are found again."""
    with opened(library) as book, watching() as watch:
        changed = intake.place_by_hand(
            book,
            book.find_swing(swing),
            View(view),
            contact_ns=to_ns(contact_at),
            u_ns=None if error is None else to_ns(error),
            watch=watch,
        )
    show(changed, as_json=as_json, text=_card(changed))


def _card(swing: Swing) -> str:
    book = swing.book
    ball = book.ball
    lines = [
        f"{book.club}, {book.kind}, {swing.facts.struck_at:%Y-%m-%d %H:%M}  ({swing.id})"
        + ("  best" if book.starred else ""),
        f"zero is {book.zero}",
    ]
    for sync in book.syncs:
        contact = -sync.swing_minus_media_ns
        lines.append(
            f"{sync.view:14} contact at {contact / 1e9:.4f} s ± {sync.u_ns / 1e6:.1f} ms in its "
            f"file, by {sync.source}. {sync.said}"
        )
    words = [
        ball.start,
        ball.curve,
        ball.contact,
        "" if ball.rating is None else f"{ball.rating}/5",
    ]
    if any(words):
        lines.append("ball           " + ", ".join(word for word in words if word))
    if book.notes:
        lines.append(f"notes          {book.notes}")
    rows = [
        (mark.moment, seconds(mark.at_ns) if mark.occurs else "does not occur", mark.source)
        for mark in marking.effective(book)
    ]
    return "\n".join([*lines, "", table(rows, ("moment", "s to impact", "by"))])
