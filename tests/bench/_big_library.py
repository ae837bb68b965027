"""A library of a hundred thousand swings, written row by row: no recording lies on the disk.

Two hundred random swings are made as records and written by the library's own mapping; each of the
others is one of them again, with an id, a time, a student, a lesson and hashes of its own.
"""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from capturestation.library import Library
from capturestation.library.rows import CHILDREN, Person, Row, put_lesson, put_person, put_swing
from capturestation.library.rows import utc_us as to_us
from capturestation.records import Lesson, Student
from tests.helpers.random_library import (
    random_id,
    random_lesson,
    random_media,
    random_student,
    random_swing,
)

STUDENTS = 400
LESSONS = 5_000
SWINGS = 100_000
TEMPLATES = 200
_BATCH = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Big:
    """What was written."""

    folder: Path
    students: tuple[Student, ...]
    lessons: tuple[Lesson, ...]
    swing_ids: tuple[str, ...]


def made_big(folder: Path, seed: int, *, swings: int = SWINGS, lessons_held: int = LESSONS) -> Big:
    """Write the whole library; the same seed gives the same rows.

    Args:
        folder: Where it lies.
        seed: Of all dice.
        swings: How many; each lesson holds as many.
        lessons_held: How many lessons.
    """
    dice = random.Random(seed)
    students = tuple(random_student(dice) for _ in range(STUDENTS))
    lessons = tuple(random_lesson(dice, dice.choice(students)) for _ in range(lessons_held))
    with Library.open(folder) as library:
        db = library._db
        # Nothing here has to outlive a power cut.
        db.execute("PRAGMA synchronous = OFF")
        with db.atomic():
            for student in students:
                put_person(db, Person(student=student, history=student.consents))
            for lesson in lessons:
                put_lesson(db, lesson)
        templates = _templates(library, dice, lessons[0])
        ids = []
        for batch in _batches(dice, templates, lessons, swings):
            ids += [str(row["id"]) for row in batch["swings"]]
            with db.atomic():
                for table, rows in batch.items():
                    names = ", ".join(rows[0])
                    values = ", ".join(f":{name}" for name in rows[0])
                    sql = f"INSERT INTO {table} ({names}) VALUES ({values})"
                    db.conn.executemany(sql, rows)
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return Big(folder=folder, students=students, lessons=lessons, swing_ids=tuple(ids))


def _templates(library: Library, dice: random.Random, lesson: Lesson) -> list[dict[str, list[Row]]]:
    made = []
    for _ in range(TEMPLATES):
        swing = random_swing(dice, lesson, random_media(dice))
        with library._db.atomic():
            put_swing(library._db, swing, "swings/2026/01/template")
        rows = {"swings": library._rows("SELECT * FROM swings")}
        rows |= {table: library._rows(f"SELECT * FROM {table}") for table in CHILDREN}
        made.append(rows)
        with library._db.atomic():
            library._db.execute("DELETE FROM swings")
    return made


def _batches(
    dice: random.Random,
    templates: list[dict[str, list[Row]]],
    lessons: tuple[Lesson, ...],
    swings: int,
) -> Iterator[dict[str, list[Row]]]:
    each = swings // len(lessons)
    batch: dict[str, list[Row]] = {table: [] for table in ("swings", *CHILDREN)}
    for number in range(swings):
        lesson = lessons[number // each]
        day = datetime(lesson.on.year, lesson.on.month, lesson.on.day, 9, tzinfo=UTC)
        struck = day + timedelta(minutes=2 * (number % each), milliseconds=dice.randint(0, 59_999))
        key = random_id(dice)
        own: Row = {
            "id": key,
            "student_id": lesson.student_id,
            "lesson_id": lesson.id,
            "folder": f"swings/{struck:%Y/%m}/{key}",
            "struck_at": struck.isoformat(),
            "struck_utc_us": to_us(struck),
        }
        template = dice.choice(templates)
        batch["swings"].append({**template["swings"][0], **own})
        for table in CHILDREN:
            batch[table] += [_of(row, key) for row in template[table]]
        if len(batch["swings"]) == _BATCH:
            yield batch
            batch = {table: [] for table in batch}
    if batch["swings"]:
        yield batch


def _of(row: Row, key: str) -> Row:
    made = {**row, "swing_id": key}
    if "sha256" in row:
        made["sha256"] = hashlib.sha256(json.dumps([key, row["view"]]).encode()).hexdigest()
    return made
