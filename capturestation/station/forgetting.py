"""Forgetting a student with everything, and looking afterwards whether it is true.

Owns the report. What it can't reach it says: clips and copies that lie elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from capturestation.errors import NotFoundError, StationError
from capturestation.folders import read_document, remove_folder
from capturestation.library import Library, Subject
from capturestation.records import Student, StudentId, Watch
from capturestation.records.capture import CaptureNote
from capturestation.station.backing_up import still_held
from capturestation.station.cache import Cache, Freed, measured
from capturestation.station.taking_in import CAPTURE_FILE, ticket_of, waiting

ELSEWHERE = (
    "Not reached: clips that you handed out or saved elsewhere, your own back-ups, and copies of "
    "the library on other computers. Delete them there."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What a library holds of a student.

    Args:
        swings: How many swings.
        trashed: How many more lie in the trash.
        waiting: How many balls were recorded for his lessons and not taken in yet.
        lessons: How many lessons.
        answers: How many answers about consent were ever written down.
        files: How many files lie in the folders of the swings, and of the balls that wait.
        size_bytes: Their length.
        swing_ids: Of all swings, those in the trash too.
    """

    swings: int = 0
    trashed: int = 0
    waiting: int = 0
    lessons: int = 0
    answers: int = 0
    files: int = 0
    size_bytes: int = 0
    swing_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What is still there, and what to do about it."""

    path: Path
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgotten:
    """What went, and what looking afterwards found.

    Args:
        student_id: Who; a tombstone with this id stays, as with the ids of lessons and swings.
        went: What the library held of him when this began.
        made: What was made of his recordings to look at and went too.
        old_copies: Copies of earlier rows that went with it, because they named him.
        left: What is still there; nothing if all is well.
        said: What to know beyond, a sentence each.
    """

    student_id: StudentId
    went: Holding
    made: Freed
    old_copies: tuple[Path, ...] = ()
    left: tuple[Left, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def is_gone(self) -> bool:
        """Whether nothing is left that this program knows of."""
        return not self.left


def holding(library: Library, student_id: StudentId) -> Holding:
    """What the library holds of a student.

    Raises:
        NotFoundError: If there is no such student.
    """
    answers = len(library.person(student_id).history)
    swings = library.swings_of(student_id)
    trashed = [note for note in library.trash() if note.student_id == student_id]
    folders = [library.swing_path(swing.id) for swing in swings]
    folders += [library.places.trashed(note.id) for note in trashed]
    balls = waiting_of(library, student_id)
    folders += balls
    sizes = [measured(folder) for folder in folders]
    return Holding(
        swings=len(swings),
        trashed=len(trashed),
        waiting=len(balls),
        lessons=len(library.lessons(student_id)),
        answers=answers,
        files=sum(one.files for one in sizes),
        size_bytes=sum(one.size_bytes for one in sizes),
        swing_ids=(*(s.id for s in swings), *(note.id for note in trashed)),
    )


def waiting_of(library: Library, student_id: StudentId) -> list[Path]:
    """Balls in the inbox that were recorded for one of a student's lessons."""
    lessons = {lesson.id for lesson in library.lessons(student_id)}
    found = []
    for folder in waiting(library):
        try:
            note = read_document(folder / CAPTURE_FILE, "capture", CaptureNote)
            lesson = ticket_of(note.ticket).lesson
        except StationError:
            continue  # Whose it is nobody can tell; that some wait is said.
        if lesson in lessons:
            found.append(folder)
    return found


def _there(paths: Iterable[Path]) -> list[Path]:
    return [path for path in paths if path.exists()]


def find_forgotten(library: Library, text: str) -> StudentId | None:
    """The id of a student who was deleted, if this is one: a deletion may have been cut short."""
    key = text.strip().lower()
    try:
        gone = library.was_deleted(Subject.STUDENT, key)
    except ValueError:
        return None  # A name, not an id.
    return StudentId(key) if gone else None


def forget(library: Library, cache: Cache, student_id: StudentId, watch: Watch) -> Forgotten:
    """Delete a student with everything, for good, and look afterwards whether it is gone.

    Stopped or killed anywhere, it is called again with the same id and finishes.

    Args:
        library: The library.
        cache: What was made of its recordings.
        student_id: Who; one whose deletion was cut short too.
        watch: Told how far it is.

    Raises:
        NotFoundError: If nobody of that id is or was there.
        OutputError: If a tombstone can't be written.
        CancelledError: If the watch stops it; says what was deleted by then.
    """
    copies = library.old_copies()
    student, held = _known(library, student_id)
    balls = waiting_of(library, student_id)
    # First, as long as lessons tell whose they are.
    for folder in balls:
        remove_folder(folder)
    if student is None:
        library.clear_after_deletion()
    else:
        library.delete_student(student_id, watch)
    made = cache.drop(held.swing_ids) + cache.sweep(library)
    left, said = verify_gone(library, student)
    return Forgotten(
        student_id=student_id,
        went=held,
        made=made,
        old_copies=tuple(path for path in copies if not path.exists()),
        left=(*left, *(Left(path=path, said=_HELD) for path in (*made.left, *_there(balls)))),
        said=(*said, *still_held(library, student_id), ELSEWHERE),
    )


_IN_BYTES = (
    "Deleted rows can still be read in it: close other programs that have the library open, then "
    "delete the student again by this id."
)
_HELD = "It is held open: close what shows it, then delete the student again by this id."


def _known(library: Library, student_id: StudentId) -> tuple[Student | None, Holding]:
    try:
        return library.student(student_id), holding(library, student_id)
    except NotFoundError:
        if find_forgotten(library, student_id) is None:
            raise
        return None, Holding()


def verify_gone(library: Library, student: Student | None) -> tuple[list[Left], list[str]]:
    """Look for what deletions left: on the disk, in the rows, in the bytes of their files.

    Args:
        library: The library.
        student: Who was deleted; None if only his id is known any more.

    Returns:
        What is still there, and what to know beyond.
    """
    left = [Left(path=path, said=_HELD) for path in library.half_gone()]
    left += [Left(path=p, said="It holds earlier rows: delete it.") for p in library.old_copies()]
    left += [
        Left(path=finding.path, said="Nobody can tell any more whose this is: look, and delete it.")
        for finding in library.trash_findings()
        if finding.path not in {one.path for one in left}
    ]
    said = []
    if student is None:
        doubtful = library.unwritten()
    elif library.mentions(student.name):
        said.append("The name still stands elsewhere: in another student's name, or in notes.")
        doubtful = ()
    else:
        doubtful = library.files_naming(student.name)
    known = {one.path for one in left}
    left += [Left(path=path, said=_IN_BYTES) for path in doubtful if path not in known]
    waiting = list(library.inbox.glob("[!.]*"))
    if waiting:
        said.append(f"{len(waiting)} recordings in {library.inbox} belong to nobody yet: look.")
    return left, said
