"""What a crash left half done, settled from the folders: they are the truth, rows are their view.

Every change is noted in `unsettled` first, then file and rows are written, then the note goes with
the rows. A note that is found later says which one thing may be half done.
"""

from __future__ import annotations

import logging
from itertools import chain
from pathlib import Path

from sqlite_utils import Database

from capturestation.errors import LibraryError
from capturestation.folders import (
    FACTS_FILE,
    PARTIAL,
    read_book,
    read_document,
    read_swing_facts,
    remove_file,
    remove_folder,
)
from capturestation.library.connecting import written
from capturestation.library.places import Places, Subject
from capturestation.library.rows import (
    Person,
    put_calibration,
    put_lesson,
    put_person,
    put_swing,
)
from capturestation.records import CalibrationRow, Lesson, Swing, facts_by_book

_log = logging.getLogger(__name__)

TRASHED_FILE = "trashed.json"
"""Says in a swing's folder that it is in the trash, since when, and whose it was."""

TABLES = {
    Subject.STUDENT: "students",
    Subject.LESSON: "lessons",
    Subject.SWING: "swings",
    Subject.CALIBRATION: "calibrations",
}


def note(db: Database, subject: Subject, key: str, folder: str = "") -> None:
    """Write down, for good, that `key` is about to change."""
    row = {"subject": subject.value, "id": key, "folder": folder}
    with written(db):
        db.table("unsettled").upsert(row, pk=("subject", "id"))


def strike(db: Database, subject: Subject, key: str) -> None:
    """Take the note away; inside the transaction that finishes the change."""
    db.execute("DELETE FROM unsettled WHERE subject = ? AND id = ?", [subject.value, key])


def settle_all(db: Database, places: Places) -> None:
    """Settle everything that is noted; only for the one who has the library alone."""
    order = list(Subject)
    notes = [(Subject(n["subject"]), n["id"], n["folder"]) for n in db.query(_ALL)]
    for subject, key, folder in sorted(notes, key=lambda n: order.index(n[0])):
        settle(db, places, subject, key, folder)


_ALL = "SELECT subject, id, folder FROM unsettled"


def settle(db: Database, places: Places, subject: Subject, key: str, folder: str = "") -> None:
    """Make the rows of `key` say what its folder or file says, and finish a deletion.

    A file that can't be read leaves the rows as they are; checking the library names it.
    """
    buried = places.tombstone(key).exists()
    with written(db):
        strike(db, subject, key)
        if buried:
            drop(db, subject, key)
        else:
            try:
                take_from_folder(db, places, subject, key, folder)
            except LibraryError as error:
                # The message can hold what the file says about a person, and a log must not.
                cause = error.subject or type(error).__name__
                _log.warning("not taken up after a crash, check the library: %s", cause)
        clear_leftovers(places, subject, key, folder)
        if buried and not remove_media(places, subject, key, folder):
            # Something still holds a file open: keep the note, so the next opening tries again.
            row = {"subject": subject.value, "id": key, "folder": folder}
            db.table("unsettled").insert(row)


def take_from_folder(
    db: Database, places: Places, subject: Subject, key: str, folder: str = ""
) -> None:
    """Write the rows of one thing from its files, if these are there and complete.

    Raises:
        LibraryError: If a file is damaged or newer than this program.
    """
    if subject is Subject.SWING:
        path = places.root / folder
        if path != places.trashed(key) and (path / FACTS_FILE).exists():
            facts, book = read_swing_facts(path), read_book(path)
            need_key(path, key, facts.id, book.id)
            put_swing(db, Swing(facts=facts_by_book(facts, book), book=book), folder)
        elif places.trashed(key).exists():
            drop(db, subject, key)
        return
    file = places.file(subject, key)
    if file.exists():
        _put_document(db, subject, file)


def clear_leftovers(places: Places, subject: Subject, key: str, folder: str) -> None:
    """Remove what was being written for one thing and never got its name."""
    leftovers = [places.gone.glob(f".{key}.json.*{PARTIAL}")]
    if subject is Subject.SWING:
        remove_folder(places.root / (folder + PARTIAL))
        if places.root / folder != places.trashed(key):
            remove_file(places.root / folder / TRASHED_FILE)
        leftovers.append((places.root / folder).glob(f".*{PARTIAL}"))
    else:
        leftovers.append(places.folder_of(subject).glob(f".{key}.json.*{PARTIAL}"))
    for file in chain.from_iterable(leftovers):
        remove_file(file)


def _put_document(db: Database, subject: Subject, file: Path) -> None:
    if subject is Subject.STUDENT:
        person = read_document(file, subject, Person)
        need_key(file, file.stem, person.student.id)
        put_person(db, person)
    elif subject is Subject.LESSON:
        lesson = read_document(file, subject, Lesson)
        need_key(file, file.stem, lesson.id)
        put_lesson(db, lesson)
    else:
        row = read_document(file, subject, CalibrationRow)
        need_key(file, file.stem, row.id)
        put_calibration(db, row)


def need_key(path: Path, *keys: str) -> None:
    """Refuse a file or folder that is not named after what it holds.

    Two folders with one id, after a copy by hand, must not overwrite each other's rows.

    Raises:
        LibraryError: If the ids are not all the same.
    """
    if len(set(keys)) > 1:
        raise LibraryError(
            f"{path} holds {keys[1]}, which is not what it is named after.",
            try_next="Give it back the name that it holds, or move it out of the library.",
            subject=str(path),
        )


def drop(db: Database, subject: Subject, key: str) -> None:
    """Remove the rows of one thing; what hangs on a swing or a student's consents go too."""
    db.execute(f"DELETE FROM {TABLES[subject]} WHERE id = ?", [key])


def remove_media(places: Places, subject: Subject, key: str, folder: str) -> bool:
    """Remove the files of what was buried; False if something resists."""
    if subject is Subject.SWING:
        # It can lie in both: a move to the trash may have been undone by hand.
        paths = (places.root / folder, places.trashed(key))
        for path in paths:
            remove_folder(path)
        return not any(path.exists() for path in paths)
    file = places.file(subject, key)
    remove_file(file)
    return not file.exists()
