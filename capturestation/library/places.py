"""Where things lie in a library's folder.

    library.sqlite          rows: a view of the folders, rebuilt from them if need be
    library.lock            who has it open
    swings/yyyy/mm/<id>/    swing.json, book.json, the recordings
    people/<id>.json        a student and every answer about consent
    lessons/<id>.json       a lesson
    calibrations/<id>.json  a camera's calibration
    gone/<id>.json          what was deleted, so that a rebuild doesn't bring it back
    inbox/                  where capture leaves what it recorded

Paths carry ids only, never a name.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from capturestation.folders import PARTIAL, check_id, make_folder, write_document
from capturestation.records import SwingFacts


class Subject(StrEnum):
    """What a library keeps, in the order in which one leans on the other."""

    STUDENT = "student"
    LESSON = "lesson"
    SWING = "swing"
    CALIBRATION = "calibration"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tombstone:
    """What was deleted and when; holds nothing about a person."""

    id: str
    subject: Subject
    gone_at: datetime


@dataclass(frozen=True, slots=True)
class Places:
    """The paths of one library."""

    root: Path

    @property
    def database(self) -> Path:
        """The rows."""
        return self.root / "library.sqlite"

    @property
    def rebuilding(self) -> Path:
        """The rows of a rebuild that is not finished."""
        return self.root / f"library.sqlite{PARTIAL}"

    @property
    def ready(self) -> Path:
        """The rows of a finished rebuild, before they take the name."""
        return self.root / "library.sqlite.ready"

    @property
    def lock(self) -> Path:
        """Who has it open."""
        return self.root / "library.lock"

    @property
    def swings(self) -> Path:
        """Above all swings' folders."""
        return self.root / "swings"

    @property
    def inbox(self) -> Path:
        """Where capture leaves what it recorded."""
        return self.root / "inbox"

    @property
    def gone(self) -> Path:
        """The tombstones."""
        return self.root / "gone"

    def make(self) -> None:
        """Make the folders that are missing.

        Raises:
            OutputError: If one can't be made.
        """
        above = [self.folder_of(s) for s in Subject if s is not Subject.SWING]
        for folder in (self.root, self.swings, self.inbox, self.gone, *above):
            make_folder(folder)

    def has_content(self) -> bool:
        """Whether students or swings lie here, whatever the rows say."""
        people = self.folder_of(Subject.STUDENT)
        return any(next(f.iterdir(), None) for f in (people, self.swings) if f.is_dir())

    def folder_of(self, subject: Subject) -> Path:
        """Where the JSON files of a subject lie."""
        names = {Subject.STUDENT: "people", Subject.LESSON: "lessons"}
        return self.root / names.get(subject, f"{subject.value}s")

    def file(self, subject: Subject, key: str) -> Path:
        """The JSON file of a student, lesson or calibration."""
        check_id(key)
        return self.folder_of(subject) / f"{key}.json"

    def tombstone(self, key: str) -> Path:
        """The file that says that `key` was deleted."""
        check_id(key)
        return self.gone / f"{key}.json"

    def old_copies(self) -> list[Path]:
        """Copies of earlier rows: from before an upgrade or a rebuild."""
        kept = (f"{self.database.name}.{kind}*" for kind in ("old", "schema-"))
        return sorted(path for pattern in kept for path in self.root.glob(pattern))

    def bury(self, subject: Subject, key: str) -> None:
        """Write the tombstone of `key`.

        Raises:
            OutputError: If it can't be written.
        """
        stone = Tombstone(id=key, subject=subject, gone_at=datetime.now(UTC))
        write_document(self.tombstone(key), "tombstone", stone)


def swing_place(facts: SwingFacts) -> str:
    """A swing's folder, relative to the library: year and month by the clock on the wall."""
    check_id(facts.id)
    return f"swings/{facts.struck_at.year:04d}/{facts.struck_at.month:02d}/{facts.id}"
