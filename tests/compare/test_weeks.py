"""A lesson's mean and its error; what changed over lessons, beyond measuring and own spread."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest

from capturestation.compare.weeks import (
    SPREAD_UNKNOWN,
    Course,
    Taken,
    course,
    lesson_point,
    own_spread,
)
from capturestation.records import LessonId, Measured, SwingId

DAY = date(2026, 9, 1)


def taken(
    values: Sequence[float], *, u: float = 1.0, best: int | None = None, unit: str = "deg"
) -> list[Taken]:
    return [
        Taken(
            swing=SwingId(f"s{number}"),
            measured=Measured(value=value, unit=unit, u_random=u, u_systematic=2.0),
            is_best=number == best,
        )
        for number, value in enumerate(values)
    ]


def over(*lessons: list[Taken], same_set_up: bool = True) -> Course:
    rows = [
        (LessonId(f"l{number}"), DAY + timedelta(days=7 * number), one)
        for number, one in enumerate(lessons)
    ]
    return course("pelvis turn, top", rows, ways=("more", "less"), same_set_up=same_set_up)


def test_a_lessons_mean_is_known_better_the_more_swings_it_has() -> None:
    one = lesson_point(LessonId("l"), DAY, taken([10.0]), None)
    four = lesson_point(LessonId("l"), DAY, taken([10.0, 10.2, 9.8, 10.0]), None)

    assert one.mean.u_random == 1.0
    assert four.mean.value == pytest.approx(10.0)
    assert four.mean.u_random == pytest.approx(0.5)
    assert four.mean.u_systematic == 2.0
    assert one.spread is None


def test_a_spread_larger_than_measuring_makes_the_error() -> None:
    point = lesson_point(LessonId("l"), DAY, taken([0.0, 8.0]), None)

    assert point.spread == pytest.approx(8 / math.sqrt(2))
    assert point.mean.u_random == pytest.approx(8 / math.sqrt(2) / math.sqrt(2))


def test_progress_from_lesson_to_lesson_is_no_spread() -> None:
    rng = np.random.default_rng(1)
    lessons = [(level + rng.normal(0, 2.0, 40)).tolist() for level in (0.0, 50.0, 100.0)]

    assert own_spread(lessons) == pytest.approx(2.0, rel=0.2)


def test_a_real_change_is_told_with_its_error_and_noise_is_not() -> None:
    grown = over(taken([10.0, 11.0, 9.0]), taken([20.0, 21.0, 19.0]))
    same = over(taken([10.0, 11.0, 9.0]), taken([11.0, 9.5, 10.0]))

    assert grown.since_first is not None
    assert grown.since_first.is_clear
    assert grown.since_first.words == "more by 10.0 deg ± 1.6 deg"
    assert same.since_first is not None
    assert not same.since_first.is_clear
    assert same.since_first.note == ""
    assert same.spread is not None


def test_too_few_swings_for_a_spread_are_said() -> None:
    found = over(taken([10.0]), taken([20.0])).since_first

    assert found is not None
    assert found.is_clear
    assert found.note == SPREAD_UNKNOWN


def test_with_other_cameras_what_they_differ_by_counts_too() -> None:
    lessons = (taken([10.0, 11.0, 9.0]), taken([14.0, 15.0, 13.0]))

    assert over(*lessons).since_first != over(*lessons, same_set_up=False).since_first
    shared, other = over(*lessons).since_first, over(*lessons, same_set_up=False).since_first
    assert shared is not None
    assert other is not None
    assert (shared.is_clear, other.is_clear) == (True, False)


def test_noise_alone_is_called_a_change_about_as_often_as_said() -> None:
    rng = np.random.default_rng(5)
    clear = 0
    for _ in range(400):
        lessons = [taken(rng.normal(0, 3.0, 6).tolist(), u=1.0) for _ in range(2)]
        found = over(*lessons).since_first
        assert found is not None
        clear += found.is_clear

    # Two standard uncertainties: about one in twenty, a little more with spreads of few swings.
    assert 0.01 < clear / 400 < 0.11


def test_since_the_best_means_since_the_latest_lesson_with_a_star_before_the_last() -> None:
    found = over(taken([1.0]), taken([30.0, 31.0], best=0), taken([10.0]), taken([2.0], best=0))

    assert found.since_best is not None
    assert found.since_best.value == pytest.approx(2.0 - 30.5)
    assert [point.best is not None for point in found.points] == [False, True, False, True]
    assert over(taken([1.0]), taken([2.0])).since_best is None


def test_values_of_another_unit_are_left_out_and_never_joined() -> None:
    found = over(taken([1.0], unit="% of height"), taken([5.0], unit="cm"))

    assert found.unit == "cm"
    assert len(found.points) == 1
    assert found.since_first is None
    with pytest.raises(ValueError, match="one unit"):
        lesson_point(
            LessonId("l"), DAY, [*taken([1.0], unit="cm"), *taken([1.0], unit="deg")], None
        )


def test_no_value_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="no lesson has a value"):
        course("x", [(LessonId("l"), DAY, [])])
