"""Records and media to fill a library with; the media are any bytes, no video is read there."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

from capturestation.library import Library
from capturestation.records import (
    BallResult,
    Consent,
    ErrorPart,
    Giver,
    Lesson,
    LessonId,
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
    Sync,
    SyncSource,
    View,
    hand_mark,
    new_id,
    no_such_moment,
)

DAY = date(2026, 10, 30)
STRUCK = datetime(2026, 10, 30, 15, 4, 5, 678, tzinfo=UTC)


def a_student(name: str = "Anna Berg") -> Student:
    """A grown-up student who said yes to coaching."""
    yes = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    return Student(id=StudentId(new_id()), name=name, birth_year=1980, consents=(yes,))


def a_lesson(student: Student, on: date = DAY) -> Lesson:
    """A lesson with one focus."""
    return Lesson(id=LessonId(new_id()), student_id=student.id, on=on, focus=("turn",), notes="n")


def a_recording(view: View, data: bytes) -> Recording:
    """The facts of a file of these bytes."""
    return Recording(
        view=view,
        file=f"{view.value}.mp4",
        sha256=hashlib.sha256(data).hexdigest(),
        size_bytes=len(data),
        width_px=160,
        height_px=96,
        frames=48,
        rate_hz=Fraction(30_000, 1001),
        time_base=Fraction(1, 90_000),
        first_pts=-3,
        duration_ns=3_203_200_000,
        has_sound=view is View.FACE_ON,
        camera="left webcam",
    )


def a_book(lesson: Lesson, swing_id: SwingId) -> SwingBook:
    """A book with one of everything that it can hold."""
    sync = Sync(
        view=View.FACE_ON,
        swing_minus_media_ns=-2_000_000_123,
        u_ns=310_000,
        source=SyncSource.SOUND,
        parts=(ErrorPart(cause="distance", u_ns=290_000), ErrorPart(cause="sound", u_ns=110_000)),
        said="By the sound of the strike.",
        sound_ns=800_000_000,
    )
    missing = Result(name="pelvis turn", moment=Moment.TOP, why_missing="trail hip not seen")
    tempo = Measured(value=3.1, unit="ratio", u_random=0.12, cause="the frame of the top")
    return SwingBook(
        id=swing_id,
        student_id=lesson.student_id,
        lesson_id=lesson.id,
        club="7 iron",
        ball=BallResult(start="straight", curve="left", contact="solid", rating=4),
        notes="felt easy",
        syncs=(sync,),
        marks=(hand_mark(Moment.TOP, -260_000_000), no_such_moment(Moment.TAKEAWAY)),
        results=(Result(name="tempo", measured=tempo, method="marks 1"), missing),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """A swing that is not in a library yet, with its files."""

    facts: SwingFacts
    book: SwingBook
    media: dict[View, Path]


def a_struck_swing(
    folder: Path, lesson: Lesson, *, struck_at: datetime = STRUCK, size: int = 3_000
) -> Struck:
    """Two files of different bytes in `folder`, and the records that fit them."""
    key = SwingId(new_id())
    folder.mkdir(parents=True, exist_ok=True)
    media: dict[View, Path] = {}
    recordings = []
    for view in (View.FACE_ON, View.DOWN_THE_LINE):
        data = (f"{key} {view} ".encode() * (size // 10 + 1))[:size]
        media[view] = folder / f"{key} {view.value}.mp4"
        media[view].write_bytes(data)
        recordings.append(a_recording(view, data))
    facts = SwingFacts(
        id=key, struck_at=struck_at, recordings=tuple(recordings), made_by="capture 1"
    )
    return Struck(facts=facts, book=a_book(lesson, key), media=media)


def keep(library: Library, struck: Struck) -> Swing:
    """Take a struck swing in."""
    return library.keep_swing(struck.facts, struck.book, struck.media, Quiet())


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """What `fill` put into a library."""

    student: Student
    lesson: Lesson
    swing: Swing


def fill(library: Library, originals: Path) -> Filled:
    """Add a student with a lesson with a swing."""
    student = library.add_student(a_student())
    lesson = library.add_lesson(a_lesson(student))
    swing = keep(library, a_struck_swing(originals, lesson))
    return Filled(student=student, lesson=lesson, swing=swing)


def files_below(folder: Path) -> dict[str, bytes]:
    """Every file below a folder except the database's own, by relative path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith("library.")
    }
