"""Commands about lessons: the day and the one or two things to work on."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from capturestation.cli.parameters import DAY
from capturestation.cli.show import json_option, library_option, opened, show, table
from capturestation.records import Lesson
from capturestation.station import people


@click.group()
def lessons() -> None:
    """Lessons: a day, a student, one or two things to work on."""


@lessons.command("add")
@click.argument("student")
@click.option("--on", type=DAY, metavar="YYYY-MM-DD", help="Day; else today.")
@click.option("--focus", multiple=True, help="One thing to work on; twice at most.")
@click.option("--notes", default="")
@library_option
@json_option
def add(
    student: str,
    on: datetime | None,
    focus: tuple[str, ...],
    notes: str,
    library: Path,
    as_json: bool,
) -> None:
    """Open a lesson for a STUDENT."""
    with opened(library) as book:
        new = people.add_lesson(
            book, student, on=None if on is None else on.date(), focus=focus, notes=notes
        )
    show(new, as_json=as_json, text=_line(new))


@lessons.command("list")
@click.argument("student")
@library_option
@json_option
def list_(student: str, library: Path, as_json: bool) -> None:
    """List a STUDENT's lessons, newest first."""
    with opened(library) as book:
        found = book.lessons(book.find_student(student).id)
        counts = book.swing_counts(lesson.id for lesson in found)
    rows = [(le.id, le.on, ", ".join(le.focus), counts[le.id]) for le in found]
    show(found, as_json=as_json, text=table(rows, ("id", "day", "focus", "swings")))


@lessons.command("focus")
@click.argument("lesson")
@click.argument("things", nargs=-1, required=True)
@library_option
@json_option
def focus(lesson: str, things: tuple[str, ...], library: Path, as_json: bool) -> None:
    """Set the one or two THINGS that a LESSON works on."""
    with opened(library) as book:
        changed = people.set_focus(book, lesson, things)
    show(changed, as_json=as_json, text=_line(changed))


def _line(lesson: Lesson) -> str:
    focus = f": {', '.join(lesson.focus)}" if lesson.focus else ""
    return f"Lesson of {lesson.on}  ({lesson.id}){focus}"
