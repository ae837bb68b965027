"""A student's weeks in sentences, and which measure stands for a lesson's focus."""

from __future__ import annotations

from datetime import date, timedelta

from capturestation.compare.weeks import SPREAD_UNKNOWN, Course, Taken, course
from capturestation.records import LessonId, Measured, SwingId
from capturestation.station.weeks_told import (
    BEST_IS_LAST,
    NO_BEST,
    ONE_LESSON,
    in_focus_first,
    of_focus,
    told,
)

DAY = date(2026, 9, 1)
FOCUS = ("pelvis square by lead arm level on the way down",)
DOWN, TOP = "pelvis turn, lead arm level, down", "pelvis turn, top"


def measured(name: str, *lessons: tuple[float, ...], best: int | None = None) -> Course:
    """Swings by lesson, ten days apart; one lesson's last swing is the best."""
    rows = [
        (
            LessonId(f"l{number}"),
            DAY + timedelta(days=10 * number),
            [
                Taken(
                    swing=SwingId(f"{number}-{at}"),
                    measured=Measured(value=value, unit="deg", u_random=0.5),
                    is_best=number == best and at == len(values) - 1,
                )
                for at, value in enumerate(values)
            ],
        )
        for number, values in enumerate(lessons)
    ]
    return course(name, rows)


def test_of_several_moments_the_focus_means_the_one_it_names() -> None:
    courses = (measured(TOP, (40.0,), (50.0,)), measured(DOWN, (5.0,), (1.0,)))

    found = of_focus(courses, FOCUS)

    assert found is not None
    assert found.name == DOWN


def test_one_lesson_alone_or_another_measure_stands_for_no_focus() -> None:
    courses = (measured(DOWN, (5.0,)), measured("head up, impact", (5.0,), (1.0,)))

    assert of_focus(courses, FOCUS) is None
    assert of_focus(courses, ("have fun",)) is None


def test_what_is_worked_on_comes_first_and_what_has_one_lesson_last() -> None:
    once, head = measured("head to the ball, top", (1.0,)), measured("head up, top", (1.0,), (2.0,))
    turn = measured(TOP, (40.0,), (50.0,))

    assert in_focus_first((once, head, turn), FOCUS) == (turn, head, once)


def test_own_spread_is_told_where_it_is_known() -> None:
    known = measured(TOP, (40.0, 42.0), (50.0, 52.0), (45.0, 47.0), best=0)

    assert told(known)[-1] == "Own spread from swing to swing: 1.4°, one standard deviation."
    assert told(measured(TOP, (40.0,), (50.0,)))[-1] == SPREAD_UNKNOWN


def test_one_lesson_no_best_and_a_best_of_the_last_lesson_are_told_as_such() -> None:
    assert told(measured(TOP, (40.0,)))[1:3] == (ONE_LESSON, NO_BEST)
    assert told(measured(TOP, (40.0,), (50.0,), best=1))[2] == BEST_IS_LAST
