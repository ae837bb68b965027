"""Commands that throw swings away, bring them back, and put them where they belong."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.parameters import Number
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
from capturestation.cli.words import megabytes, swing_card, swing_line
from capturestation.errors import LibraryError
from capturestation.library import Library, Trashed
from capturestation.records import StudentId
from capturestation.station import deleting, moving
from capturestation.station.cache import cache_of
from capturestation.station.finding import latest_or

LONGEST_DAYS = 36_500


@click.command("delete")
@click.argument("swing")
@click.option("--for-good", is_flag=True, help="Past the trash; asks first.")
@click.option("--yes", is_flag=True, help="Don't ask.")
@library_option
@json_option
def delete(swing: str, for_good: bool, yes: bool, library: Path, as_json: bool) -> None:
    """Throw a SWING away with its files; `swings restore` brings it back for thirty days."""
    with opened(library) as book:
        found = latest_or(book, swing)
        words = f"{found.book.club} of {found.facts.struck_at:%Y-%m-%d %H:%M}"
        if for_good:
            if not yes:
                be_sure(f"Delete {words} with its files for good?")
            gone = deleting.delete_for_good(book, cache_of(book), found.id)
            told = f"Deleted {words} for good: {counted(gone.freed.files, 'file')}."
        else:
            deleting.throw_away(book, cache_of(book), found)
            told = f"Deleted {words}. Back with: capturestation swings restore {found.id}"
    show({"deleted": found.id, "for_good": for_good}, as_json=as_json, text=told)


@click.command("restore")
@click.argument("swing", default="latest")
@library_option
@json_option
def restore(swing: str, library: Path, as_json: bool) -> None:
    """Bring a SWING back from the trash, by its id; else the one thrown away last."""
    with opened(library) as book:
        back = deleting.bring_back(book, deleting.find_trashed(book, swing))
        told = [swing_card(back.swing, _name(book, back.swing.book.student_id)), back.said]
    show(back.swing, as_json=as_json, text="\n\n".join(filter(None, told)))


@click.command("trash")
@click.option("--empty", is_flag=True, help="Let all of it go for good; asks first.")
@click.option(
    "--older-than",
    type=Number(0, LONGEST_DAYS),
    metavar="DAYS",
    help="Only what has lain there for longer.",
)
@click.option("--yes", is_flag=True, help="Don't ask.")
@library_option
@json_option
def trash(empty: bool, older_than: float | None, yes: bool, library: Path, as_json: bool) -> None:
    """List the swings in the trash, newest first, or let them go for good."""
    with opened(library) as book:
        notes = deleting.older_than(book, older_than or 0)
        if not empty:
            rows = [_row(book, note) for note in notes]
            head = ("id", "thrown away", "whose", "swing")
            show(notes, as_json=as_json, text=table(rows, head))
            return
        if notes and not yes:
            be_sure(f"Let {counted(len(notes), 'swing')} in the trash go for good?")
        with watching() as watch:
            gone = deleting.empty_trash(book, cache_of(book), watch, days=older_than or 0)
    size = megabytes(gone.freed.size_bytes)
    told = f"Gone for good: {counted(len(gone.swings), 'swing')}, {size}."
    show(gone, as_json=as_json, text=told)


def _row(library: Library, note: Trashed) -> tuple[object, ...]:
    since = f"{note.trashed_at.astimezone():%Y-%m-%d %H:%M}"
    try:
        words = swing_line(library.trashed_swing(note.id))
    except LibraryError as error:
        words = error.what
    return note.id, since, _name(library, note.student_id), words


def _name(library: Library, student_id: StudentId) -> str:
    return library.student(student_id).name


@click.command("move")
@click.argument("swing")
@click.option("--to-student", metavar="STUDENT", help="Into that one's lesson of the swing's day.")
@click.option("--to-lesson", metavar="LESSON", help="Into that lesson, whoever's it is.")
@library_option
@json_option
def move(
    swing: str, to_student: str | None, to_lesson: str | None, library: Path, as_json: bool
) -> None:
    """Move a SWING to another student or another lesson, with its marks and its star."""
    if (to_student is None) == (to_lesson is None):
        raise click.UsageError("Say where to, by --to-student or by --to-lesson.")
    with opened(library) as book:
        found = latest_or(book, swing)
        if to_student is not None:
            moved = moving.move_to_student(book, found, to_student)
        else:
            moved = moving.move_to_lesson(book, found, to_lesson or "")
        name = _name(book, moved.swing.book.student_id)
    told = [
        f"{name}: {swing_line(moved.swing)}",
        f"In the lesson of {moved.lesson.on} now  ({moved.lesson.id}).",
        *moved.said,
        f"Undo: capturestation swings move {moved.swing.id} --to-lesson {moved.before.id}",
    ]
    show(moved, as_json=as_json, text="\n".join(told))


COMMANDS = (delete, restore, trash, move)
"""Of the group `swings`."""
