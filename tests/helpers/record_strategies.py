"""Any student, lesson or swing that the records allow, for laws of rows and JSON."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction

from hypothesis import strategies as st

from capturestation.records import (
    BallResult,
    Consent,
    Drawing,
    ErrorPart,
    Giver,
    Hand,
    LessonId,
    Mark,
    MarkSource,
    Measured,
    Moment,
    Pen,
    Point,
    Purpose,
    Recording,
    Result,
    Shape,
    Spot,
    SpotMark,
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
    Zero,
)

TEXT = st.text(st.characters(codec="utf-8"), max_size=20)
WHOLE = st.integers(-(2**63) + 1, 2**63 - 1)
COUNT = st.integers(0, 2**40)
NUMBER = st.floats(allow_nan=False, allow_infinity=False)
RATE = st.builds(Fraction, st.integers(1, 2**31), st.integers(1, 2**31))
DATES = st.dates(date(2000, 1, 1), date(2100, 1, 1))
ZONES = st.builds(lambda m: timezone(timedelta(minutes=m)), st.integers(-840, 840)) | st.just(UTC)
TIMES = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=ZONES)  # noqa: DTZ001

CONSENTS = st.builds(
    Consent,
    purpose=st.sampled_from(Purpose),
    giver=st.sampled_from(Giver),
    given=st.booleans(),
    on=DATES,
    by=TEXT,
)


def students(key: str) -> st.SearchStrategy[Student]:
    """Any student of one id."""
    return st.builds(
        Student,
        id=st.just(StudentId(key)),
        name=TEXT.filter(str.strip),
        hand=st.sampled_from(Hand),
        birth_year=st.none() | st.integers(1900, 2100),
        consents=st.lists(CONSENTS, unique_by=lambda c: (c.purpose, c.giver)).map(tuple),
        limits_today=TEXT,
        notes=TEXT,
    )


def _recordings(view: View) -> st.SearchStrategy[Recording]:
    return st.builds(
        Recording,
        view=st.just(view),
        file=st.just(f"{view.value}.mov"),
        sha256=st.text("0123456789abcdef", min_size=64, max_size=64),
        size_bytes=COUNT,
        width_px=COUNT,
        height_px=COUNT,
        frames=COUNT,
        rate_hz=st.none() | RATE,
        time_base=RATE,
        first_pts=WHOLE,
        duration_ns=COUNT,
        has_sound=st.booleans(),
        camera=TEXT,
    )


SYNCS = st.builds(
    Sync,
    view=st.sampled_from(View),
    swing_minus_media_ns=WHOLE,
    u_ns=COUNT,
    source=st.sampled_from(SyncSource),
    parts=st.lists(st.builds(ErrorPart, cause=TEXT, u_ns=COUNT), max_size=3).map(tuple),
    said=TEXT,
    sound_ns=st.none() | WHOLE,
    last_with_ns=st.none() | WHOLE,
    first_without_ns=st.none() | WHOLE,
    picture_minus_sound_ns=st.none() | WHOLE,
    contact_seen_ns=st.none() | WHOLE,
    contact_seen_u_ns=st.none() | COUNT,
    media_per_swing=RATE,
)


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    """A mark that occurs at three rising times, or does not occur."""
    occurs = draw(st.booleans())
    times = sorted(draw(st.tuples(WHOLE, WHOLE, WHOLE)))
    early, at, late = times if occurs else (None, None, None)
    return Mark(
        moment=draw(st.sampled_from(Moment)),
        occurs=occurs,
        at_ns=at,
        early_ns=early,
        late_ns=late,
        confidence=draw(st.floats(0, 1)),
        source=draw(st.sampled_from(MarkSource)),
        method=draw(TEXT),
    )


@st.composite
def results(draw: st.DrawFn) -> Result:
    """A measured value, or the reason why it is missing."""
    measured = draw(
        st.none()
        | st.builds(
            Measured, value=NUMBER, unit=TEXT, u_random=NUMBER, u_systematic=NUMBER, cause=TEXT
        )
    )
    return Result(
        name=draw(TEXT),
        moment=draw(st.none() | st.sampled_from(Moment)),
        measured=measured,
        why_missing="" if measured else draw(TEXT.filter(bool)),
        method=draw(TEXT),
    )


POINTS = st.builds(Point, x=NUMBER, y=NUMBER)


@st.composite
def drawings(draw: st.DrawFn) -> Drawing:
    """Anything that can be drawn on a picture."""
    shape = draw(st.sampled_from(Shape))
    low, high = (2, 9) if shape.points is None else (shape.points, shape.points)
    return Drawing(
        view=draw(st.sampled_from(View)),
        shape=shape,
        points=tuple(draw(st.lists(POINTS, min_size=low, max_size=high))),
        pen=draw(st.sampled_from(Pen)),
        words=draw(TEXT.filter(str.strip)) if shape is Shape.TEXT else "",
    )


SPOTS = st.builds(
    SpotMark,
    view=st.sampled_from(View),
    spot=st.sampled_from(Spot),
    at=POINTS,
    source=st.sampled_from(MarkSource),
)


def books(key: str, student_id: str, lesson_id: str) -> st.SearchStrategy[SwingBook]:
    """Any book of one swing."""
    return st.builds(
        SwingBook,
        id=st.just(SwingId(key)),
        student_id=st.just(StudentId(student_id)),
        lesson_id=st.just(LessonId(lesson_id)),
        club=TEXT,
        kind=st.sampled_from(SwingKind),
        zero=st.sampled_from(Zero),
        ball=st.builds(
            BallResult, start=TEXT, curve=TEXT, contact=TEXT, rating=st.none() | st.integers(1, 5)
        ),
        starred=st.booleans(),
        notes=TEXT,
        syncs=st.lists(SYNCS, max_size=3, unique_by=lambda s: s.view).map(tuple),
        marks=st.lists(marks(), max_size=6, unique_by=lambda m: (m.moment, m.source)).map(tuple),
        results=st.lists(results(), max_size=4).map(tuple),
        drawings=st.lists(drawings(), max_size=3).map(tuple),
        spots=st.lists(SPOTS, max_size=3, unique_by=lambda s: (s.view, s.spot, s.source)).map(
            tuple
        ),
    )


@st.composite
def swings(draw: st.DrawFn, key: str, student_id: str, lesson_id: str) -> Swing:
    """Any swing of one id."""
    views = draw(st.lists(st.sampled_from(View), min_size=1, max_size=3, unique=True))
    facts = SwingFacts(
        id=SwingId(key),
        struck_at=draw(TIMES),
        recordings=tuple(draw(_recordings(view)) for view in views),
        made_by=draw(TEXT),
    )
    return Swing(facts=facts, book=draw(books(key, student_id, lesson_id)))
