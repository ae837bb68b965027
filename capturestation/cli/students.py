"""Commands about students: who they are and what they allowed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from capturestation.cli.parameters import DAY
from capturestation.cli.show import (
    be_sure,
    counted,
    json_option,
    library_option,
    opened,
    show,
    table,
    watching,
)
from capturestation.cli.words import (
    consent_cell,
    forgotten_page,
    holding_words,
    student_card,
)
from capturestation.errors import CancelledError, RefusedError
from capturestation.library.rows import fold
from capturestation.records import Consent, Giver, Hand, Purpose, Student
from capturestation.station import forgetting, given_out, people, retention
from capturestation.station.cache import cache_of
from capturestation.station.retention import Reason

_WHY = {Reason.REFUSED: "no to filming", Reason.AWAY: "long away"}
HANDS = click.Choice([hand.value for hand in Hand])


@click.group()
def students() -> None:
    """Students: hand, year of birth, consents, limits of the day."""


@students.command("add")
@click.argument("name")
@click.option("--hand", type=HANDS, default=Hand.RIGHT.value, show_default=True)
@click.option("--birth-year", type=int, help="Decides whose consent is needed.")
@click.option("--notes", default="", help="The coach's own; private.")
@library_option
@json_option
def add(
    name: str, hand: str, birth_year: int | None, notes: str, library: Path, as_json: bool
) -> None:
    """Add a student by NAME; the first one begins the library."""
    new = people.new_student(name=name, hand=Hand(hand), birth_year=birth_year, notes=notes)
    with opened(library, begin=True) as book:
        book.add_student(new)
    said = people.consent_words(new).capitalize()
    told = f"Added {new.name}  ({new.id})\n{said}.\nNext: {_next(new)}"
    show(new, as_json=as_json, text=told)


@students.command("list")
@click.argument("text", default="")
@library_option
@json_option
def list_(text: str, library: Path, as_json: bool) -> None:
    """List students, or those whose name holds TEXT."""
    with opened(library) as book:
        found = book.find_students(text)
    rows = [(s.id, s.name, s.hand, s.birth_year, consent_cell(s)) for s in found]
    head = ("id", "name", "hand", "born", "consent to coaching")
    show(found, as_json=as_json, text=table(rows, head))


@students.command("show")
@click.argument("student")
@library_option
@json_option
def show_one(student: str, library: Path, as_json: bool) -> None:
    """Show one STUDENT, by id or name."""
    with opened(library) as book:
        found = book.find_student(student)
    show(found, as_json=as_json, text=student_card(found))


@students.command("change")
@click.argument("student")
@click.option("--name")
@click.option("--hand", type=HANDS)
@click.option("--birth-year", type=int)
@click.option("--limits", help="What the body won't do today; private.")
@click.option("--notes", help="The coach's own; private.")
@library_option
@json_option
def change(
    student: str,
    name: str | None,
    hand: str | None,
    birth_year: int | None,
    limits: str | None,
    notes: str | None,
    library: Path,
    as_json: bool,
) -> None:
    """Change what is known of a STUDENT; what isn't named stays."""
    given: dict[str, str | int | None] = {
        "name": name,
        "hand": hand,
        "birth_year": birth_year,
        "limits_today": limits,
        "notes": notes,
    }
    changes = {key: value for key, value in given.items() if value is not None}
    with opened(library) as book:
        changed = people.change_student(book, student, changes)
    show(changed, as_json=as_json, text=student_card(changed))


@students.command("consent")
@click.argument("student")
@click.argument("purpose", type=click.Choice([p.value for p in Purpose]))
@click.argument("answered", metavar="yes|no", type=click.Choice(["yes", "no"]))
@click.option(
    "--from",
    "giver",
    type=click.Choice([g.value for g in Giver]),
    default="student",
    show_default=True,
    help="Whose answer.",
)
@click.option("--by", required=True, help="Who wrote it down: your name.")
@click.option("--on", type=DAY, metavar="YYYY-MM-DD", help="Day of the answer; else today.")
@library_option
@json_option
def consent(
    student: str,
    purpose: str,
    answered: str,
    giver: str,
    by: str,
    on: datetime | None,
    library: Path,
    as_json: bool,
) -> None:
    """Write down a STUDENT's or parent's answer for a PURPOSE.

    Under 18 a parent's written consent and the child's own yes are needed before filming.
    """
    answer = Consent(
        purpose=Purpose(purpose),
        giver=Giver(giver),
        given=answered == "yes",
        on=people.today() if on is None else on.date(),
        by=by,
    )
    with opened(library) as book:
        changed = people.answer_consent(book, student, answer)
    show(changed, as_json=as_json, text=student_card(changed))


@students.command("idle")
@click.option(
    "--months",
    type=click.IntRange(1, 600),
    default=retention.USUAL_MONTHS,
    show_default=True,
    help="Without a lesson for so long.",
)
@library_option
@json_option
def idle(months: int, library: Path, as_json: bool) -> None:
    """List who had no lesson for long, and what is kept of them: proposals, nothing is deleted.

    Whoever said no to being filmed comes first, however short the time.
    """
    with opened(library) as book:
        found = retention.proposals(book, retention.Wish(months=months))
    rows = [
        (one.student, one.name, one.last or "never", _WHY[one.reason], holding_words(one.held))
        for one in found
    ]
    text = table(rows, ("id", "name", "last lesson", "why", "kept"))
    if found:
        text += "\n\nTo give it out: students zip; to forget: students delete --everything."
    else:
        text = f"Nobody was away for {months} months."
    show(found, as_json=as_json, text=text)


@students.command("zip")
@click.argument("student")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    metavar="FILE",
    help="Zip to write.",
)
@library_option
@json_option
def zip_(student: str, out: Path, library: Path, as_json: bool) -> None:
    """Write everything of a STUDENT into one zip, for whoever has a right to it.

    Recordings as they are, all facts and words as JSON, the measures as a table, what lies in the
    trash too. Your private notes about the student are in it.
    """
    with opened(library) as book, watching() as watch:
        made = given_out.give_out(book, student, out, watch)
    size_mb = made.size_bytes / 1e6
    held = f"{counted(made.swings, 'swing')}, {counted(made.lessons, 'lesson')}"
    show(made, as_json=as_json, text=f"{made.path}  {held}, {size_mb:.1f} MB")


@students.command("delete")
@click.argument("student")
@click.option("--everything", is_flag=True, help="With all swings, lessons and answers, for good.")
@click.option("--yes", is_flag=True, help="Don't ask whether; the name is still asked for.")
@click.option("--name", "typed", help="The student's name, so that it isn't asked for.")
@library_option
@json_option
def delete(
    student: str, everything: bool, yes: bool, typed: str | None, library: Path, as_json: bool
) -> int:
    """Delete a STUDENT; with --everything all swings, lessons and answers too, for good.

    Asks twice: whether, and for the name. Says what went, looks afterwards whether it is gone, and
    ends with exit code 7 where something is left. If it was cut short, repeat it with the id.
    """
    with opened(library) as book:
        key = forgetting.find_forgotten(book, student)
        if key is None:
            found = book.find_student(student)
            key = found.id
            _be_sure(found, forgetting.holding(book, key), everything, yes, typed)
        with watching() as watch:
            report = forgetting.forget(book, cache_of(book), key, watch)
    show(report, as_json=as_json, text=forgotten_page(report))
    return 0 if report.is_gone else 7


def _be_sure(
    student: Student,
    held: forgetting.Holding,
    everything: bool,
    yes: bool,
    typed: str | None,
) -> None:
    words = f"{student.name} with {holding_words(held)}"
    if not everything and (held.swing_ids or held.lessons):
        raise RefusedError(
            f"{student.name} has {holding_words(held)}.",
            try_next="Nothing was deleted. To forget all of it for good, add --everything.",
            subject=student.id,
        )
    if not yes:
        be_sure(f"Delete {words} for good?")
    named = click.prompt("The student's name", err=True) if typed is None else typed
    # Not every keyboard has every accent.
    if fold(named) != fold(student.name):
        raise CancelledError(
            f"That is not the name of {student.name}: nothing was deleted.",
            try_next="Write the whole name as it stands there.",
        )


def _next(student: Student) -> str:
    if student.missing_consents(Purpose.COACHING, people.today()):
        return f'capturestation students consent {student.id} coaching yes --by "Your name"'
    return f'capturestation swings add {student.id} --club "7 iron" --face-on FILE'
