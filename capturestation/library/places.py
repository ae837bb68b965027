"""Where things lie in a library's folder.

    library.json            the library's own id, and whether its rows lie elsewhere
    library.sqlite          rows: a view of the folders, rebuilt from them if need be
    library.lock            who has it open
    holder.json             where rows lie apart: whose are up to date
    swings/yyyy/mm/<id>/    swing.json, book.json, the recordings
    people/<id>.json        a student and every answer about consent
    lessons/<id>.json       a lesson
    calibrations/<id>.json  a camera's calibration
    gone/<id>.json          what was deleted, so that a rebuild doesn't bring it back
    trash/<id>/             a swing's folder that can still be brought back
    inbox/                  where capture leaves what it recorded

The rows and their lock lie in a folder of this computer instead where the library lies on a
network disk or in a mirrored folder. Paths carry ids only, never a name.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from capturestation.folders import PARTIAL, check_id, make_folder, write_document
from capturestation.records import SwingFacts, new_id


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What a library says of itself in `library.json`.

    Args:
        id: Its own; rows that lie apart are named after it.
        rows_apart: Whether somebody said that the rows must not lie beside the folders.
    """

    id: str
    rows_apart: bool = False


@dataclass(frozen=True, slots=True)
class Places:
    """The paths of one library.

    Args:
        root: Its top folder.
        apart: Where its rows lie if not there.
        card: What it says of itself; None where it has not said so yet.
        local: Where this computer keeps the rows of libraries that have them apart, if known.
    """

    root: Path
    apart: Path | None = None
    card: Card | None = None
    local: Path | None = None

    @property
    def rows(self) -> Path:
        """The folder of the rows."""
        return self.root if self.apart is None else self.apart

    @property
    def card_file(self) -> Path:
        """What the library says of itself."""
        return self.root / "library.json"

    @property
    def holder_file(self) -> Path:
        """Whose rows are up to date."""
        return self.root / "holder.json"

    @property
    def database(self) -> Path:
        """The rows."""
        return self.rows / "library.sqlite"

    @property
    def rebuilding(self) -> Path:
        """The rows of a rebuild that is not finished."""
        return self.rows / f"library.sqlite{PARTIAL}"

    @property
    def ready(self) -> Path:
        """The rows of a finished rebuild, before they take the name."""
        return self.rows / "library.sqlite.ready"

    @property
    def lock(self) -> Path:
        """Who has it open."""
        return self.rows / "library.lock"

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

    @property
    def trash(self) -> Path:
        """Above the folders of swings that can still be brought back."""
        return self.root / "trash"

    def trashed(self, key: str) -> Path:
        """Where the folder of a swing lies while it can still be brought back."""
        check_id(key)
        return self.trash / key

    def make(self) -> None:
        """Make the folders that are missing.

        Raises:
            OutputError: If one can't be made.
        """
        above = [self.folder_of(s) for s in Subject if s is not Subject.SWING]
        for folder in (self.root, self.rows, self.swings, self.inbox, self.gone, *above):
            make_folder(folder)
        if not self.card_file.exists():
            card = Card(id=new_id()) if self.card is None else self.card
            write_document(self.card_file, "library", card)

    def has_rows(self) -> bool:
        """Whether rows lie here, or new ones that are ready; an empty file is none."""
        files = (self.database, self.ready)
        return any(path.exists() and path.stat().st_size > 0 for path in files)

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
        where = {self.root, self.rows}
        return sorted(p for pattern in kept for folder in where for p in folder.glob(pattern))

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
