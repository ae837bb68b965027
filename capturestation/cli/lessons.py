"""Commands about lessons: the day and the one or two things to work on."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from capturestation.cli.parameters import DAY
from capturestation.cli.show import counted, json_option, library_option, opened, show, table
from capturestation.cli.words import ball_cell
from capturestation.compare.differences import value_words
from capturestation.records import Lesson
from capturestation.station import people
from capturestation.station.lesson_summary import Group, summary_of


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


@lessons.command("summary")
@click.argument("lesson")
@library_option
@json_option
def summary(lesson: str, library: Path, as_json: bool) -> None:
    """Sum a LESSON up: swings, spread, the typical one, near to and far from the own best."""
    with opened(library) as book:
        found = summary_of(book, lesson)
    parts = [_line(found.lesson), *(_group_words(group) for group in found.groups)]
    if found.left_out:
        parts.append(f"Left out: {counted(found.left_out, 'drill or rehearsal')}.")
    show(found, as_json=as_json, text="\n\n".join(parts))


def _group_words(group: Group) -> str:
    lines = [f"{group.club}, {group.kind}: {counted(len(group.swings), 'swing')}"]
    lines += [f"  {swing}  {ball_cell(ball)}".rstrip() for swing, ball in group.swings]
    for what, away in (
        ("most typical", group.typical),
        (f"nearest to the best ({group.best})", group.nearest),
        ("farthest from it", group.farthest),
    ):
        if away is not None:
            lines.append(
                f"  {what}: {away.swing}, {away.times_noise:.1f} times the noise "
                f"in {away.measures} measures"
            )
    rows = [
        (name, value_words(point.mean), "" if point.spread is None else f"{point.spread:.2g}")
        for name, point in group.points
    ]
    return "\n".join([*lines, "", table(rows, ("measure", "mean", "spread"))])


def _line(lesson: Lesson) -> str:
    focus = f": {', '.join(lesson.focus)}" if lesson.focus else ""
    return f"Lesson of {lesson.on}  ({lesson.id}){focus}"
