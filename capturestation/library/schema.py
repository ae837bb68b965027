"""The schema as ordered steps: each runs once, in one transaction, and is written down.

A library from a newer program is refused: its rows may mean something that this one would break.
A new step is added at the end; a step that was released is never edited.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlite_utils import Database

from capturestation.errors import LibraryError
from capturestation.folders import remove_file
from capturestation.library import tables
from capturestation.library.connecting import connect, copy_rows, written
from capturestation.library.faults import explained


@dataclass(frozen=True, slots=True)
class Step:
    """One change of the schema."""

    number: int
    sentence: str
    run: Callable[[Database], None]


def _run_all(statements: tuple[str, ...]) -> Callable[[Database], None]:
    def run(db: Database) -> None:
        for statement in statements:
            db.execute(statement)

    return run


STEPS = (
    Step(
        1,
        "Students, consents, lessons and swings with what belongs to them.",
        _run_all(tables.FIRST),
    ),
    Step(
        2,
        "Calibrations of cameras by the time from which they hold.",
        _run_all(tables.CALIBRATIONS),
    ),
    Step(
        3,
        "What is being changed, so that a crash is settled from the folders.",
        _run_all(tables.UNSETTLED),
    ),
    Step(
        4,
        "Indexes for newest lesson, find by name, same file again and own best.",
        _run_all(tables.INDEXES),
    ),
    Step(
        5,
        "Indexes for the newest lessons of all and the swing struck last.",
        _run_all(tables.NEWEST_INDEXES),
    ),
    Step(
        6,
        "Contact as the picture shows it, files that play slower, and a camera's own swings.",
        _run_all(tables.PLACES_IN_PICTURE),
    ),
    Step(
        7,
        "Drawings on a swing's pictures and on a lesson's views, and places pointed out.",
        _run_all(tables.DRAWN),
    ),
    Step(
        8,
        "Calibrations of a bay with their errors and picture, withdrawn ones, cameras moved since.",
        _run_all(tables.BAYS),
    ),
    Step(
        9,
        "Swings whose two views were named the other way round.",
        _run_all(tables.EXCHANGED),
    ),
)
NEWEST = STEPS[-1].number
_LEDGER = (
    "CREATE TABLE IF NOT EXISTS schema_steps"
    " (number INTEGER PRIMARY KEY, sentence TEXT NOT NULL, done_at TEXT NOT NULL) STRICT"
)


def schema_number(db: Database, path: Path) -> int:
    """The last step that ran, 0 for an empty database.

    Raises:
        LibraryError: If it is newer than this program.
    """
    if not db.table("schema_steps").exists():
        return 0
    number = int(next(db.query("SELECT coalesce(max(number), 0) AS n FROM schema_steps"))["n"])
    if number > NEWEST:
        raise LibraryError(
            f"{path} has schema {number}; this program knows up to {NEWEST}.",
            try_next="Install the newest program; the library was not touched.",
            subject=str(path),
        )
    return number


def refuse_newer_rows(path: Path) -> None:
    """Refuse to replace rows of a newer program; damaged ones, or none, may be replaced.

    Raises:
        LibraryError: If a newer program wrote them.
    """
    if not path.exists():
        return
    try:
        with closing(connect(path)) as db, explained(path):
            schema_number(db, path)
    except LibraryError as error:
        if not isinstance(error.__cause__, sqlite3.Error):
            raise


def upgrade(db: Database, path: Path) -> None:
    """Run the steps that are missing; before that, copy a database that holds something.

    Raises:
        LibraryError: If it is newer than this program.
    """
    number = schema_number(db, path)
    if number == NEWEST:
        return
    if number > 0:
        copy = path.with_name(f"{path.name}.schema-{number}")
        remove_file(copy)
        copy_rows(path, copy)
    for step in STEPS[number:]:
        with written(db):
            db.execute(_LEDGER)
            step.run(db)
            done_at = datetime.now(UTC).isoformat(timespec="seconds")
            row = {"number": step.number, "sentence": step.sentence, "done_at": done_at}
            db.table("schema_steps").insert(row)
