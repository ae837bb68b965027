"""Throwing a swing away, bringing it back, and letting what was thrown away go for good.

Owns how long the trash keeps it, and that what was made of it to look at goes at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from capturestation.errors import NotFoundError
from capturestation.library import Library, Trashed
from capturestation.records import Lesson, Swing, SwingId, Watch
from capturestation.station.cache import Cache, Freed, measured
from capturestation.station.finding import LATEST
from capturestation.station.people import add_lesson

KEPT_DAYS = 30
"""A slip of the hand is noticed by the next lesson; recordings of a person are kept no longer than
needed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptied:
    """What went for good.

    Args:
        swings: Their ids.
        freed: Files and bytes that went, and what resisted.
    """

    swings: tuple[SwingId, ...]
    freed: Freed


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtBack:
    """A swing that is back from the trash.

    Args:
        swing: As it is now.
        said: Where it isn't where it was, in a sentence; else empty.
    """

    swing: Swing
    said: str = ""


def throw_away(library: Library, cache: Cache, swing: Swing) -> Trashed:
    """Put a swing into the trash, and let go of what has lain there too long.

    Raises:
        NotFoundError: If it is gone already.
        OutputError: If it can't be moved; the swing stays.
    """
    note = library.trash_swing(swing.id)
    cache.drop([swing.id])
    for old in older_than(library, KEPT_DAYS):
        library.delete_trashed(old.id)
    return note


def older_than(library: Library, days: float) -> tuple[Trashed, ...]:
    """What has lain in the trash for longer than so many days; 0 finds all."""
    horizon = datetime.now(UTC) - timedelta(days=days)
    return tuple(note for note in library.trash() if note.trashed_at <= horizon)


def find_trashed(library: Library, text: str) -> Trashed:
    """The one swing in the trash whose id starts so, or the one thrown away last for "latest".

    Raises:
        NotFoundError: If none or more than one does.
    """
    start = text.strip().lower()
    notes = library.trash()
    found = notes[:1] if start == LATEST else [n for n in notes if start and n.id.startswith(start)]
    if len(found) == 1:
        return found[0]
    what = f"{len(found)} swings" if found else "No swing"
    verb = "start" if found else "starts"
    raise NotFoundError(
        f"{what} in the trash {verb} with {text!r}.",
        try_next="Look in the trash for what is there.",
        subject=text,
    )


def bring_back(library: Library, note: Trashed) -> BroughtBack:
    """Bring a swing back from the trash, with its marks and its star.

    Where its lesson was deleted meanwhile it goes to the student's lesson of its day.

    Raises:
        NotFoundError: If it isn't there any more.
        RefusedError: If a recording of it is in the library again, in another swing.
        OutputError: If it can't be moved; it stays in the trash.
    """
    swing = library.trashed_swing(note.id)
    book = swing.book
    if any(lesson.id == book.lesson_id for lesson in library.lessons(book.student_id)):
        return BroughtBack(swing=library.restore_swing(note.id))
    day = swing.facts.struck_at.date()
    found = library.lesson_on(book.student_id, day)
    lesson: Lesson = found or add_lesson(library, book.student_id, on=day)
    try:
        back = library.restore_swing(note.id, lesson_id=lesson.id)
    except BaseException:
        if found is None:
            library.withdraw_lesson(lesson.id)
        raise
    said = f"Its lesson was deleted meanwhile: it is in the lesson of {day} now."
    return BroughtBack(swing=back, said=said)


def delete_for_good(library: Library, cache: Cache, swing_id: SwingId) -> Emptied:
    """Delete a swing past the trash: rows, recordings, and what was made of them to look at.

    Raises:
        NotFoundError: If there is no such swing.
        OutputError: If the tombstone can't be written; the swing stays.
    """
    held = measured(library.swing_path(swing_id))
    library.delete_swing(swing_id)
    return Emptied(swings=(swing_id,), freed=held + cache.drop([swing_id]))


def empty_trash(library: Library, cache: Cache, watch: Watch, *, days: float = 0) -> Emptied:
    """Let go for good of what has lain in the trash for longer than so many days.

    Raises:
        OutputError: If a tombstone can't be written; what went by then is gone.
        CancelledError: If the watch stops it; what went by then is gone.
    """
    freed, gone = Freed(), []
    notes = older_than(library, days)
    for number, note in enumerate(notes):
        watch.report(number / len(notes), "emptying the trash")
        freed += measured(library.places.trashed(note.id))
        library.delete_trashed(note.id)
        gone.append(note.id)
    return Emptied(swings=tuple(gone), freed=freed + cache.drop(gone))
