"""What stands on the Book's lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from capturestation.records import BallResult, Consent, Giver, Hand, Purpose
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.station.people import today
from capturestation.ui.book.wording import (
    ball_words,
    day_finds,
    day_title,
    day_words,
    facts_words,
    lesson_words,
    student_words,
    swing_words,
)
from tests.helpers.library_records import DAY, a_lesson, a_student
from tests.helpers.made_swings import made_swing


def test_days_close_by_are_said_so() -> None:
    now = today()

    assert day_words(now) == "today"
    assert day_words(now - timedelta(days=1)) == "yesterday"
    assert day_title(now).startswith("Today, ")
    assert "today" in day_finds(now)
    assert day_words(DAY) == "30 Oct 2026"


@pytest.mark.parametrize(
    ("ball", "words"),
    [
        (BallResult(), ""),
        (BallResult(rating=5), "5 of 5"),
        (BallResult(start="left", curve="straight", contact="fat"), "starts left, no curve, fat"),
        (BallResult(start="over there", contact="shank"), "shank"),
    ],
)
def test_a_ball_is_said_in_words(ball: BallResult, words: str) -> None:
    assert ball_words(ball) == words


def test_a_swing_says_time_club_kind_star_and_ball() -> None:
    swing = made_swing("a")
    book = replace(swing.book, starred=True, ball=BallResult(rating=2))

    words = swing_words(replace(swing, book=book))

    assert words[0].endswith("7 iron")
    assert words[1:] == ("★ own best · full swing", "2 of 5")


def test_a_lesson_says_day_focus_count_and_notes() -> None:
    lesson = replace(a_lesson(a_student()), focus=("turn", "hips"), notes="rain\nagain")

    assert lesson_words(LessonLine(lesson=lesson, swings=1)) == (
        "Friday 30 October 2026",
        "turn · hips",
        "1 swing",
        "Notes written",
    )


def test_a_student_s_line_says_what_stands_against_filming() -> None:
    child = replace(a_student(), birth_year=today().year - 10, hand=Hand.LEFT)
    no = Consent(purpose=Purpose.COACHING, giver=Giver.PARENT, given=False, on=DAY)
    refused = replace(child, consents=(*child.consents, no))

    assert student_words(StudentLine(student=child, last=None)) == (
        "Anna Berg",
        "No consent: parent",
        "no lesson yet, left-handed",
    )
    assert student_words(StudentLine(student=refused, last=DAY)) == (
        "Anna Berg",
        "No filming: parent",
        "30 Oct 2026, left-handed",
    )
    unasked = replace(child, consents=())
    assert student_words(StudentLine(student=unasked, last=DAY))[1] == "No consent: student, parent"


def test_a_page_s_facts_are_sentences_and_limits_are_said_only_when_asked_for() -> None:
    student = replace(a_student(), limits_today="sore\nback.")
    facts = "Right-handed, born 1980. Consent to filming is recorded."

    assert facts_words(student, with_limits=False) == facts
    assert facts_words(student, with_limits=True) == f"{facts} Limits of today: sore back."
