"""Swings made up for tests: short to write, complete to every layer."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from capturestation.records import (
    LessonId,
    Mark,
    Moment,
    Recording,
    StudentId,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    Sync,
    SyncSource,
    View,
    hand_mark,
)

MS = 1_000_000
FIRST_DAY = datetime(2026, 9, 18, 10, 0, tzinfo=UTC)


def made_recording(view: View, *, file: str = "") -> Recording:
    """A recording's facts; only the view and the file name matter."""
    return Recording(
        view=view,
        file=file or f"{view}.mp4",
        sha256="0" * 64,
        size_bytes=1,
        width_px=160,
        height_px=96,
        frames=1,
        rate_hz=None,
        time_base=Fraction(1, 1000),
        first_pts=0,
        duration_ns=0,
        has_sound=False,
    )


def made_sync(view: View, swing_minus_media_ns: int = 0, said: str = "") -> Sync:
    """A view's place on the swing's clock."""
    return Sync(
        view=view,
        swing_minus_media_ns=swing_minus_media_ns,
        u_ns=MS,
        source=SyncSource.SOUND,
        said=said,
    )


def made_swing(
    name: str,
    *,
    day: float = 0,
    student: str = "student-a",
    lesson: str = "lesson-a",
    club: str = "7 iron",
    kind: SwingKind = SwingKind.FULL,
    starred: bool = False,
    syncs: tuple[Sync, ...] = (),
    marks: Iterable[Mark] = (),
    views: tuple[View, ...] = (View.FACE_ON, View.DOWN_THE_LINE),
) -> Swing:
    """A swing struck `day` days after the first day."""
    return Swing(
        facts=SwingFacts(
            id=SwingId(name),
            struck_at=FIRST_DAY + timedelta(days=day),
            recordings=tuple(made_recording(view) for view in views),
            made_by="tests",
        ),
        book=SwingBook(
            id=SwingId(name),
            student_id=StudentId(student),
            lesson_id=LessonId(lesson),
            club=club,
            kind=kind,
            starred=starred,
            syncs=syncs,
            marks=tuple(marks),
        ),
    )


def made_marks(times_ms: dict[Moment, int]) -> dict[Moment, Mark]:
    """Hand marks at the given milliseconds."""
    return {moment: hand_mark(moment, at_ms * MS) for moment, at_ms in times_ms.items()}
