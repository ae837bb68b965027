"""A library's worth of random records from a seed: the same seed gives the same records."""

from __future__ import annotations

import hashlib
import random
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

from capturestation.library import Library
from capturestation.records import (
    BallResult,
    CalibrationRow,
    Consent,
    ErrorPart,
    Giver,
    Hand,
    Lesson,
    LessonId,
    Mark,
    MarkSource,
    Measured,
    Moment,
    Purpose,
    Quiet,
    Recording,
    Result,
    Student,
    StudentId,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    Sync,
    SyncSource,
    View,
    no_such_moment,
)

SIGNS = "0123456789abcdefghjkmnpqrstvwxyz"
FIRST_NAMES = ("Ada", "Bo", "Cleo", "Dan", "Edda", "Finn", "Gita", "Hal", "Ines", "Jörg", "Kai")
LAST_NAMES = ("Ahl", "Brand", "Cole", "Dorn", "Ek", "Falk", "Grün", "Holm", "Irving", "Jansen")
CLUBS = ("7 iron", "8i", "PW", "driver", "3w", "stick")
FIRST_DAY = date(2026, 1, 5)
MS = 1_000_000


def random_id(dice: random.Random) -> str:
    """An id as the records make them, but by the seed."""
    return "".join(dice.choice(SIGNS) for _ in range(12))


def random_student(dice: random.Random) -> Student:
    """A student with answers about consent."""
    consents = tuple(
        Consent(purpose=p, giver=g, given=dice.random() < 0.8, on=FIRST_DAY, by="coach")
        for p, g in {(dice.choice(list(Purpose)), dice.choice(list(Giver))) for _ in range(3)}
    )
    return Student(
        id=StudentId(random_id(dice)),
        name=f"{dice.choice(FIRST_NAMES)} {dice.choice(LAST_NAMES)}{dice.choice('abcdefgh')}",
        hand=dice.choice(list(Hand)),
        birth_year=dice.choice([None, dice.randint(1940, 2015)]),
        consents=consents,
        limits_today=dice.choice(["", "sore back"]),
        notes=dice.choice(["", "likes pictures", "zwei\nZeilen"]),
    )


def random_lesson(dice: random.Random, student: Student) -> Lesson:
    """A lesson within a year."""
    focus = tuple(dice.sample(["turn", "grip", "pelvis square by then"], dice.randint(0, 2)))
    return Lesson(
        id=LessonId(random_id(dice)),
        student_id=student.id,
        on=FIRST_DAY + timedelta(days=dice.randint(0, 365)),
        focus=focus,
        notes=dice.choice(["", "wind"]),
    )


def random_media(dice: random.Random) -> dict[View, bytes]:
    """Some bytes for one to three views."""
    views = dice.sample(list(View), dice.choice([1, 2, 2, 2, 3]))
    return {view: dice.randbytes(dice.randint(20, 400)) for view in views}


def random_swing(dice: random.Random, lesson: Lesson, media: dict[View, bytes]) -> Swing:
    """A swing of these files, struck on its lesson's day."""
    key = SwingId(random_id(dice))
    zone = timezone(timedelta(minutes=dice.choice([0, 60, 120, -300, 330])))
    day = datetime(lesson.on.year, lesson.on.month, lesson.on.day, 8, tzinfo=UTC)
    facts = SwingFacts(
        id=key,
        struck_at=(day + timedelta(milliseconds=dice.randint(0, 36_000_000))).astimezone(zone),
        recordings=tuple(_recording(dice, view, data) for view, data in media.items()),
        made_by="capture 1",
    )
    book = SwingBook(
        id=key,
        student_id=lesson.student_id,
        lesson_id=lesson.id,
        club=dice.choice(CLUBS),
        kind=dice.choices(list(SwingKind), [6, 1, 1, 1, 1, 1])[0],
        ball=BallResult(curve=dice.choice(["", "left"]), rating=dice.choice([None, 1, 3, 5])),
        starred=dice.random() < 0.15,
        notes=dice.choice(["", "felt easy", "«ü»"]),
        syncs=tuple(_sync(dice, view) for view in media if dice.random() < 0.9),
        marks=tuple(_mark(dice, m) for m in Moment if dice.random() < 0.7),
        results=(_tempo(dice), Result(name="turn", moment=Moment.TOP, why_missing="not seen")),
    )
    return Swing(facts=facts, book=book)


def _recording(dice: random.Random, view: View, data: bytes) -> Recording:
    return Recording(
        view=view,
        file=f"{view.value}.mp4",
        sha256=hashlib.sha256(data).hexdigest(),
        size_bytes=len(data),
        width_px=1280,
        height_px=720,
        frames=dice.randint(1, 900),
        rate_hz=dice.choice([None, Fraction(120), Fraction(30_000, 1001)]),
        time_base=Fraction(1, 90_000),
        first_pts=dice.randint(-9, 9),
        duration_ns=dice.randint(0, 5_000 * MS),
        has_sound=dice.random() < 0.5,
        camera=dice.choice(["", "left webcam"]),
    )


def _sync(dice: random.Random, view: View) -> Sync:
    return Sync(
        view=view,
        swing_minus_media_ns=-dice.randint(0, 3_000 * MS),
        u_ns=dice.randint(1, MS),
        source=dice.choice(list(SyncSource)),
        parts=(ErrorPart(cause="distance", u_ns=dice.randint(1, MS)),),
        said="By the sound of the strike.",
        sound_ns=dice.choice([None, dice.randint(0, 3_000 * MS)]),
    )


def _mark(dice: random.Random, moment: Moment) -> Mark:
    if dice.random() < 0.1:
        return no_such_moment(moment)
    at_ns = (moment.place - 7) * 100 * MS + dice.randint(0, 50 * MS)
    return Mark(
        moment=moment,
        at_ns=at_ns,
        early_ns=at_ns - dice.randint(0, MS),
        late_ns=at_ns + dice.randint(0, MS),
        confidence=dice.random(),
        source=dice.choice(list(MarkSource)),
        method=dice.choice(["", "motion 1"]),
    )


def _tempo(dice: random.Random) -> Result:
    value = Measured(value=dice.uniform(2, 4), unit="ratio", u_random=0.1, cause="the top's frame")
    return Result(name="tempo", measured=value, method="marks 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grown:
    """Everything that `grow` put into a library."""

    students: tuple[Student, ...]
    lessons: tuple[Lesson, ...]
    swings: tuple[Swing, ...]


def grow(library: Library, originals: Path, seed: int, *, students: int, swings: int) -> Grown:
    """Fill a library with random records: students, twice as many lessons, swings, a camera."""
    dice = random.Random(seed)
    people = [library.add_student(random_student(dice)) for _ in range(students)]
    lessons = [library.add_lesson(random_lesson(dice, p)) for p in people for _ in range(2)]
    for number in range(2):
        when = datetime(2026, 1 + number, 1, tzinfo=UTC)
        row = CalibrationRow(id=random_id(dice), camera="left", valid_from=when, document="{}")
        library.add_calibration(row)
    kept = [keep_random(library, originals, dice, dice.choice(lessons)) for _ in range(swings)]
    return Grown(students=tuple(people), lessons=tuple(lessons), swings=tuple(kept))


def keep_random(library: Library, originals: Path, dice: random.Random, lesson: Lesson) -> Swing:
    """Take one random swing in, from files that are written for it."""
    media = random_media(dice)
    swing = random_swing(dice, lesson, media)
    originals.mkdir(parents=True, exist_ok=True)
    files = {view: originals / f"{swing.id} {view.value}.mp4" for view in media}
    for view, data in media.items():
        files[view].write_bytes(data)
    return library.keep_swing(swing.facts, swing.book, files, Quiet())


def changed(swing: Swing) -> SwingBook:
    """Another version of a swing's book."""
    return replace(swing.book, starred=not swing.book.starred, notes="changed elsewhere")
