"""Records to rows and back: the one place that knows both a record's fields and a table's columns.

Rows pass through the records' own plain form, so what JSON accepts the rows accept.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TypeVar

from sqlite_utils import Database

from capturestation.errors import LibraryError
from capturestation.records import (
    CalibrationRow,
    Consent,
    Lesson,
    Plain,
    Student,
    Swing,
    SwingBook,
    SwingFacts,
    from_plain,
    to_plain,
)

Record = TypeVar("Record")
Row = dict[str, Plain]

CHILDREN = ("recordings", "syncs", "marks", "results")
"""Tables whose rows belong to one swing, in their order of `place`."""
_MEASURED = ("value", "unit", "u_random", "u_systematic", "cause")
_BALL = ("start", "curve", "contact", "rating")
_LISTED_IN_LESSON = ("focus", "drawings")
_LISTED_IN_SWING = ("drawings", "spots", "moved")
# Lists that nobody asks rows about: kept as JSON in one column.
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """What `people/<id>.json` holds: a student, and every answer about consent ever given.

    Args:
        student: With the answers that count now.
        history: All answers, oldest written first.
    """

    student: Student
    history: tuple[Consent, ...] = ()


def latest(history: Iterable[Consent]) -> tuple[Consent, ...]:
    """The answer that counts for each purpose and giver: the latest day, then the last written.

    A paper from before a withdrawal that turns up later doesn't overrule it.
    """
    found: dict[tuple[str, str], Consent] = {}
    for consent in sorted(history, key=lambda c: c.on):
        found[consent.purpose, consent.giver] = consent
    counting = set(found.values())
    return tuple(dict.fromkeys(c for c in history if c in counting))


def fold(text: str) -> str:
    """Text as it is searched: without case and accents, single spaces.

    Example:
        >>> fold("  Zoë  ÅSTRÖM")
        'zoe astrom'
    """
    split = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in split if not unicodedata.combining(c)).split())


def utc_us(when: datetime) -> int:
    """Microseconds since 1970, exact; orders times of different zones."""
    return (when - _EPOCH) // timedelta(microseconds=1)


def built(kind: type[Record], value: Plain) -> Record:
    """A record from a row's plain form.

    Raises:
        LibraryError: If the row holds what the record refuses: it was edited by other hands.
    """
    try:
        return from_plain(kind, value)
    except ValueError as error:
        raise _impossible(error) from error


def _impossible(error: Exception) -> LibraryError:
    return LibraryError(
        f"The library's rows hold something impossible: {error}.",
        try_next="Rebuild the library from its folders; no recording is touched.",
    )


def insert(db: Database, table: str, rows: list[Row]) -> None:
    """Add rows that all have the same columns; inside the caller's transaction."""
    if rows:
        names = list(rows[0])
        values = ", ".join(f":{name}" for name in names)
        db.conn.executemany(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({values})", rows)


def put_person(db: Database, person: Person) -> None:
    """Write a student and the history of consents in place of what was there."""
    row = _columns(replace(person.student, consents=()))
    del row["consents"]
    row["name_folded"] = fold(person.student.name)
    db.table("students").upsert(row, pk="id")
    db.execute("DELETE FROM consents WHERE student_id = ?", [person.student.id])
    insert(db, "consents", [_consent_row(person, place) for place in range(len(person.history))])


def _consent_row(person: Person, place: int) -> Row:
    row = _columns(person.history[place])
    return {
        "student_id": person.student.id,
        "place": place,
        "given_on": row.pop("on"),
        "written_by": row.pop("by"),
        **row,
    }


def persons(students: list[Row], consents: list[Row]) -> list[Person]:
    """Persons from the rows of both tables; consents by student and place."""
    histories: dict[str, list[Consent]] = {}
    for row in consents:
        plain: Row = {name: row[name] for name in ("purpose", "giver")}
        plain |= {"given": bool(row["given"]), "on": row["given_on"], "by": row["written_by"]}
        histories.setdefault(str(row["student_id"]), []).append(built(Consent, plain))
    made = []
    for row in students:
        student = built(Student, {k: v for k, v in row.items() if k != "name_folded"})
        history = tuple(histories.get(student.id, ()))
        made.append(Person(student=replace(student, consents=latest(history)), history=history))
    return made


def listed(text: Plain) -> Plain:
    """A list that is kept as JSON in one column.

    Raises:
        LibraryError: If it isn't JSON: it was edited by other hands.
    """
    try:
        listed: Plain = json.loads(str(text))
    except (ValueError, RecursionError) as error:
        raise _impossible(error) from error
    return listed


def put_lesson(db: Database, lesson: Lesson) -> None:
    """Write a lesson in place of what was there."""
    row = _columns(lesson)
    row["held_on"] = row.pop("on")
    for name in _LISTED_IN_LESSON:
        row[name] = json.dumps(row[name])
    db.table("lessons").upsert(row, pk="id")


def lesson_from(row: Row) -> Lesson:
    """A lesson from its row."""
    plain = {**row, "on": row["held_on"]}
    plain |= {name: listed(row[name]) for name in _LISTED_IN_LESSON}
    del plain["held_on"]
    return built(Lesson, plain)


def put_calibration(db: Database, row: CalibrationRow) -> None:
    """Write a calibration in place of what was there."""
    columns = _columns(row) | {"valid_from_utc_us": utc_us(row.valid_from)}
    db.table("calibrations").upsert(columns, pk="id")


def calibration_from(row: Row) -> CalibrationRow:
    """A calibration from its row."""
    return built(CalibrationRow, {k: v for k, v in row.items() if k != "valid_from_utc_us"})


def put_swing(db: Database, swing: Swing, folder: str) -> None:
    """Write a swing and all that belongs to it in place of what was there."""
    facts, book = swing.facts, swing.book
    row = _columns(replace(book, syncs=(), marks=(), results=()))
    for name in ("syncs", "marks", "results", "ball"):
        del row[name]
    row |= {name: json.dumps(row[name]) for name in _LISTED_IN_SWING}
    row |= {f"ball_{name}": value for name, value in _columns(book.ball).items()}
    row |= {
        "folder": folder,
        "struck_at": facts.struck_at.isoformat(),
        "struck_utc_us": utc_us(facts.struck_at),
        "made_by": facts.made_by,
        "club_group": swing.club_group.value,
    }
    db.execute("DELETE FROM swings WHERE id = ?", [swing.id])
    insert(db, "swings", [row])
    _put_children(db, "recordings", swing, facts.recordings)
    _put_children(db, "syncs", swing, book.syncs)
    _put_children(db, "marks", swing, book.marks)
    _put_children(db, "results", swing, book.results)


def _put_children(db: Database, table: str, swing: Swing, records: Iterable[object]) -> None:
    rows: list[Row] = []
    for place, record in enumerate(records):
        row = _columns(record)
        if table == "syncs":
            row["parts"] = json.dumps(row["parts"])
        if table == "results":
            measured = row.pop("measured")
            known = measured if isinstance(measured, dict) else {}
            row |= {name: known.get(name) for name in _MEASURED}
        rows.append({"swing_id": swing.id, "place": place, **row})
    insert(db, table, rows)


def swing_from(row: Row, children: Mapping[str, list[Row]]) -> Swing:
    """A swing from its row and the rows of the `CHILDREN` tables."""
    facts: Row = {"id": row["id"], "struck_at": row["struck_at"], "made_by": row["made_by"]}
    book: Row = {
        name: row[name]
        for name in ("id", "student_id", "lesson_id", "club", "kind", "zero", "notes")
    }
    book["ball"] = {name: row[f"ball_{name}"] for name in _BALL}
    book |= {name: listed(row[name]) for name in _LISTED_IN_SWING}
    book |= {name: bool(row[name]) for name in ("starred", "exchanged")}
    book["syncs"] = [_sync_plain(r) for r in children["syncs"]]
    book["marks"] = [_bare(r) | {"occurs": bool(r["occurs"])} for r in children["marks"]]
    book["results"] = [_result_plain(r) for r in children["results"]]
    facts["recordings"] = [
        _bare(r) | {"has_sound": bool(r["has_sound"])} for r in children["recordings"]
    ]
    return Swing(facts=built(SwingFacts, facts), book=built(SwingBook, book))


def _sync_plain(row: Row) -> Plain:
    return _bare(row) | {"parts": listed(row["parts"])}


def _result_plain(row: Row) -> Plain:
    plain = _bare(row)
    measured: Row = {name: plain.pop(name) for name in _MEASURED}
    plain["measured"] = None if measured["value"] is None else measured
    return plain


def _bare(row: Row) -> Row:
    return {name: value for name, value in row.items() if name not in ("swing_id", "place")}


def _columns(record: object) -> Row:
    plain = to_plain(record)
    if not isinstance(plain, dict):
        msg = f"a record is needed, got {type(record).__name__}"
        raise TypeError(msg)
    return plain
