"""Records go to plain JSON and back unchanged, and a file that does not fit is refused."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import (
    BallResult,
    Consent,
    Giver,
    Hand,
    Lesson,
    LessonId,
    Mark,
    MarkSource,
    Moment,
    Plain,
    Purpose,
    Recording,
    Student,
    StudentId,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    View,
    from_plain,
    no_such_moment,
    to_plain,
)

CET = timezone(timedelta(hours=1))
RECORDING = Recording(
    view=View.FACE_ON,
    file="face-on.mp4",
    sha256="0" * 64,
    size_bytes=1,
    width_px=1280,
    height_px=720,
    frames=2,
    rate_hz=Fraction(120_000, 1001),
    time_base=Fraction(1, 90_000),
    first_pts=0,
    duration_ns=16_683_333,
    has_sound=True,
)
marks = st.builds(
    lambda moment, at, before, after, share, source: Mark(
        moment=moment,
        at_ns=at,
        early_ns=at - before,
        late_ns=at + after,
        confidence=share,
        source=source,
        method="m",
    ),
    st.sampled_from(Moment),
    st.integers(-(10**10), 10**10),
    st.integers(0, 10**8),
    st.integers(0, 10**8),
    st.floats(0, 1),
    st.sampled_from(MarkSource),
)
students = st.builds(
    Student,
    id=st.just(StudentId("s")),
    name=st.text(min_size=1).filter(str.strip),
    hand=st.sampled_from(Hand),
    birth_year=st.none() | st.integers(1920, 2026),
    consents=st.lists(
        st.builds(
            Consent,
            purpose=st.sampled_from(Purpose),
            giver=st.sampled_from(Giver),
            given=st.booleans(),
            on=st.dates(),
            by=st.text(),
        ),
        unique_by=lambda c: (c.purpose, c.giver),
    ).map(tuple),
    limits_today=st.text(),
    notes=st.text(),
)


@given(students)
def test_a_student_comes_back_from_json_as_it_went(student: Student) -> None:
    text = json.dumps(to_plain(student))

    assert from_plain(Student, json.loads(text)) == student


@given(st.lists(marks, unique_by=lambda m: (m.moment, m.source)).map(tuple))
def test_a_book_comes_back_from_json_as_it_went(some: tuple[Mark, ...]) -> None:
    book = SwingBook(
        id=SwingId("w"),
        student_id=StudentId("s"),
        lesson_id=LessonId("l"),
        club="7 iron",
        kind=SwingKind.PITCH,
        ball=BallResult(rating=4),
        marks=some,
    )

    assert from_plain(SwingBook, json.loads(json.dumps(to_plain(book)))) == book


def test_facts_keep_exact_rates_and_the_time_zone() -> None:
    facts = SwingFacts(
        id=SwingId("w"),
        struck_at=datetime(2026, 3, 29, 1, 59, tzinfo=CET),
        recordings=(RECORDING,),
        made_by="t",
    )

    back = from_plain(SwingFacts, json.loads(json.dumps(to_plain(facts))))

    assert back == facts
    assert back.recordings[0].rate_hz == Fraction(120_000, 1001)
    assert back.struck_at.utcoffset() == timedelta(hours=1)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"colour": "red"}, "Lesson: unknown colour"),
        ({"on": "yesterday"}, r"Lesson\.on"),
        ({"focus": "turn"}, r"Lesson\.focus: a list is needed"),
        ({"focus": [3]}, r"Lesson\.focus\[0\]: str is needed"),
        ({"notes": None}, r"Lesson\.notes: str is needed"),
    ],
)
def test_a_file_that_does_not_fit_is_refused_by_the_place(
    change: dict[str, Plain], place: str
) -> None:
    plain = to_plain(
        Lesson(id=LessonId("l"), student_id=StudentId("s"), on=date(2026, 3, 2), focus=("turn",))
    )
    assert isinstance(plain, dict)

    with pytest.raises(ValueError, match=place):
        from_plain(Lesson, {**plain, **change})


def test_a_missing_value_is_named() -> None:
    with pytest.raises(ValueError, match="Lesson: missing on"):
        from_plain(Lesson, {"id": "l", "student_id": "s"})


def test_a_moment_that_does_not_occur_comes_back_so() -> None:
    mark = no_such_moment(Moment.TAKEAWAY)

    assert from_plain(Mark, to_plain(mark)) == mark
    assert not mark.occurs
