from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.compare.timemap import LEAST_GAP_NS, TimeMap, at_one_moment, at_shared_marks
from capturestation.errors import ComparisonRefusedError
from capturestation.records import IntArray, MarkSource, Moment, no_such_moment
from tests.helpers.made_swings import MS, made_marks

NOW = {Moment.CLUB_STARTS: -1000, Moment.TOP: -250, Moment.IMPACT: 0, Moment.FINISH: 900}
THEN = {Moment.CLUB_STARTS: -1100, Moment.TOP: -300, Moment.IMPACT: 0, Moment.FINISH: 800}


def ns(*milliseconds: float) -> IntArray:
    return np.array([round(ms * MS) for ms in milliseconds], dtype=np.int64)


@st.composite
def maps(draw: st.DrawFn) -> TimeMap:
    moments = draw(st.lists(st.sampled_from(list(Moment)), unique=True, min_size=1))
    gaps = st.integers(LEAST_GAP_NS, 2_000 * MS)
    knots = []
    for _ in range(2):
        start = draw(st.integers(-5_000 * MS, 5_000 * MS))
        steps = draw(st.lists(gaps, min_size=len(moments) - 1, max_size=len(moments) - 1))
        knots.append(tuple(int(x) for x in np.cumsum([start, *steps])))
    return TimeMap(
        knots_now_ns=knots[0],
        knots_then_ns=knots[1],
        moments=tuple(sorted(moments, key=lambda m: m.place)),
    )


times = st.lists(st.integers(-20_000 * MS, 20_000 * MS), min_size=1, max_size=20).map(
    lambda values: np.array(sorted(values), dtype=np.int64)
)


@given(maps(), times)
def test_a_map_never_falls_and_rises_between_times_that_lie_apart(
    made: TimeMap, at_ns: IntArray
) -> None:
    spans_then = np.diff(made.knots_then_ns)
    slopes = spans_then / np.diff(made.knots_now_ns)
    apart_ns = 1.0 / min([1.0, *slopes]) + 1.0

    there = made.then_from_now(at_ns)

    assert (np.diff(there) >= 0).all()
    assert (np.diff(there)[np.diff(at_ns) >= apart_ns] > 0).all()


@given(maps())
def test_a_map_is_exact_at_its_knots_both_ways(made: TimeMap) -> None:
    now = np.array(made.knots_now_ns, dtype=np.int64)
    then = np.array(made.knots_then_ns, dtype=np.int64)

    assert made.then_from_now(now).tolist() == then.tolist()
    assert made.now_from_then(then).tolist() == now.tolist()


@given(maps(), times)
def test_the_inverse_returns_to_within_its_stated_rounding(made: TimeMap, at_ns: IntArray) -> None:
    now_per_then = np.diff(made.knots_now_ns) / np.diff(made.knots_then_ns)
    stated_ns = (1.0 + max([1.0, *now_per_then])) / 2.0

    back = made.now_from_then(made.then_from_now(at_ns))

    assert np.abs(back - at_ns).max() <= stated_ns


@given(maps(), st.integers(0, 10_000 * MS))
def test_outside_the_knots_both_run_at_real_speed(made: TimeMap, far_ns: int) -> None:
    ends = np.array([made.knots_now_ns[0] - far_ns, made.knots_now_ns[-1] + far_ns])

    there = made.then_from_now(ends)

    assert there.tolist() == [made.knots_then_ns[0] - far_ns, made.knots_then_ns[-1] + far_ns]


def test_between_two_shared_moments_the_time_is_divided_evenly() -> None:
    made = at_shared_marks(made_marks(NOW), made_marks(THEN))

    assert made.then_from_now(ns(-625, -125, 450)).tolist() == ns(-700, -150, 400).tolist()


def test_impact_is_zero_on_both_clocks_whatever_a_mark_says() -> None:
    made = at_shared_marks(made_marks({Moment.IMPACT: 3}), made_marks({Moment.IMPACT: -2}))

    assert made.then_from_now(ns(-10, 0, 10)).tolist() == ns(-10, 0, 10).tolist()


def test_a_moment_that_one_swing_lacks_is_no_knot() -> None:
    then = made_marks(THEN) | {Moment.TOP: no_such_moment(Moment.TOP)}
    del then[Moment.FINISH]

    made = at_shared_marks(made_marks(NOW), then)

    assert made.moments == (Moment.CLUB_STARTS, Moment.IMPACT)
    assert made.left_out == ()


def test_a_mark_out_of_order_is_left_out_with_the_reason_and_the_nearer_to_impact_stays() -> None:
    now = made_marks(NOW | {Moment.CLUB_STARTS: -200})

    made = at_shared_marks(now, made_marks(THEN))

    assert made.moments == (Moment.TOP, Moment.IMPACT, Moment.FINISH)
    (gone,) = made.left_out
    assert gone.moment is Moment.CLUB_STARTS
    assert "today's swing" in gone.why
    assert '"top"' in gone.why


def test_of_two_marks_out_of_order_the_one_set_by_hand_stays() -> None:
    now = made_marks(NOW | {Moment.CLUB_STARTS: -200})
    now[Moment.TOP] = dataclasses.replace(now[Moment.TOP], source=MarkSource.FOUND)

    made = at_shared_marks(now, made_marks(THEN))

    assert made.moments == (Moment.CLUB_STARTS, Moment.IMPACT, Moment.FINISH)
    assert [gone.moment for gone in made.left_out] == [Moment.TOP]


def test_two_moments_within_a_millisecond_are_merged_into_the_one_nearer_impact() -> None:
    now = made_marks(NOW)
    now[Moment.LEAD_ARM_LEVEL_BACK] = made_marks({Moment.LEAD_ARM_LEVEL_BACK: -250})[
        Moment.LEAD_ARM_LEVEL_BACK
    ]
    then = made_marks(THEN | {Moment.LEAD_ARM_LEVEL_BACK: -500})

    made = at_shared_marks(now, then)

    assert Moment.TOP in made.moments
    assert [gone.moment for gone in made.left_out] == [Moment.LEAD_ARM_LEVEL_BACK]


def test_laid_at_one_moment_both_run_at_real_speed() -> None:
    made = at_one_moment(Moment.TOP, made_marks(NOW), made_marks(THEN))

    assert made.then_from_now(ns(-1000, -250, 0)).tolist() == ns(-1050, -300, -50).tolist()
    assert made.said == "Laid together at top, both at real speed."


def test_laid_at_impact_no_mark_is_needed() -> None:
    made = at_one_moment(Moment.IMPACT, {}, {})

    assert made.then_from_now(ns(-7, 7)).tolist() == ns(-7, 7).tolist()


def test_laying_at_a_moment_that_is_not_marked_is_refused_with_the_way_out() -> None:
    with pytest.raises(ComparisonRefusedError, match='earlier swing has no time for "top"'):
        at_one_moment(Moment.TOP, made_marks(NOW), {})


def test_knots_that_do_not_rise_are_refused() -> None:
    with pytest.raises(ValueError, match="rise"):
        TimeMap(knots_now_ns=(0, 1), knots_then_ns=(1, 1), moments=(Moment.TOP, Moment.IMPACT))
