from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.compare.warp import (
    METHOD,
    Curve,
    carry_marks,
    squared,
    warp_costs,
    warp_path,
)
from capturestation.records import FloatArray, IntArray, MarkSource, Moment, no_such_moment
from tests.helpers.made_swings import MS, made_marks

MOST_STEPS = 8


def cheapest_by_trying_all(costs: FloatArray, row: int = 0, column: int = 0) -> float:
    rows, columns = costs.shape
    steps = [(row + 1, column + 1), (row + 1, column), (row, column + 1)]
    rest = [cheapest_by_trying_all(costs, r, c) for r, c in steps if r < rows and c < columns]
    return float(costs[row, column]) + min(rest, default=0.0)


tables = st.integers(1, 5).flatmap(
    lambda width: st.lists(
        st.lists(st.integers(0, 9), min_size=width, max_size=width), min_size=1, max_size=5
    ).map(lambda rows: np.array(rows, dtype=np.float64))
)


@given(tables)
def test_no_path_is_cheaper_than_the_one_found(costs: FloatArray) -> None:
    assert warp_costs(costs).total == cheapest_by_trying_all(costs)


@given(tables)
def test_a_path_runs_from_corner_to_corner_by_unit_steps(costs: FloatArray) -> None:
    warp = warp_costs(costs)

    cells = np.column_stack((warp.first, warp.second))
    assert cells[0].tolist() == [0, 0]
    assert cells[-1].tolist() == [costs.shape[0] - 1, costs.shape[1] - 1]
    steps = np.diff(cells, axis=0)
    assert ((steps >= 0) & (steps <= 1)).all()
    assert (steps.sum(axis=1) >= 1).all()


def test_a_sequence_lies_on_itself_in_step() -> None:
    values = np.array([0.0, 3.0, 1.0, 1.0, 5.0])

    warp = warp_path(values, values, squared)

    assert warp.total == 0
    assert warp.first.tolist() == warp.second.tolist() == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(
    "costs", [np.zeros((0, 3)), np.zeros(3), np.array([[-1.0]]), np.array([[np.nan]])]
)
def test_what_is_not_a_table_of_costs_is_refused(costs: FloatArray) -> None:
    with pytest.raises(ValueError, match="costs must be"):
        warp_costs(costs)


def motion(at_ns: IntArray) -> FloatArray:
    """Two bumps as a swing makes them: slow going back, fast coming down."""
    seconds = at_ns / 1e9
    back = 0.4 * np.exp(-(((seconds + 0.65) / 0.15) ** 2))
    down = np.exp(-(((seconds + 0.02) / 0.08) ** 2))
    return np.asarray(back + down, dtype=np.float64)


def curve(stretched: float, rate_hz: int) -> Curve:
    times_ns = np.arange(-1_500 * MS, 800 * MS, 1_000_000_000 // rate_hz, dtype=np.int64)
    own_ns = (times_ns / np.where(times_ns < 0, stretched, 1.0)).astype(np.int64)
    return Curve(times_ns=times_ns, energy=motion(own_ns))


MARKS_THEN = made_marks({Moment.TAKEAWAY: -650, Moment.TOP: -300, Moment.IMPACT: 0})


@pytest.mark.parametrize("rate_hz", [60, 240])
def test_marks_are_carried_into_a_slower_swing_at_another_rate(rate_hz: int) -> None:
    now, then = curve(1.2, rate_hz), curve(1.0, 120)

    carried = {mark.moment: mark for mark in carry_marks(now, then, MARKS_THEN)}

    assert set(carried) == {Moment.TAKEAWAY, Moment.TOP}
    for moment, truth_ms in ((Moment.TAKEAWAY, -780), (Moment.TOP, -360)):
        mark = carried[moment]
        assert mark.at_ns is not None
        assert mark.early_ns is not None
        assert mark.late_ns is not None
        assert abs(mark.at_ns - truth_ms * MS) <= 30 * MS
        assert mark.early_ns <= truth_ms * MS <= mark.late_ns
        assert mark.late_ns - mark.early_ns >= 80 * MS


def test_a_carried_mark_says_that_it_was_found_and_how() -> None:
    carried = carry_marks(curve(1.0, 120), curve(1.0, 120), MARKS_THEN)

    assert {(mark.source, mark.method) for mark in carried} == {(MarkSource.FOUND, METHOD)}
    assert METHOD == "carried-1"


def test_a_shared_anchor_pulls_the_proposals_to_its_own_side() -> None:
    now, then = curve(1.0, 120), curve(1.0, 120)

    carried = carry_marks(now, then, MARKS_THEN, anchors=[(-450 * MS, -400 * MS)])

    takeaway, top = (mark.at_ns for mark in carried)
    assert takeaway is not None
    assert top is not None
    assert takeaway < -450 * MS < top


def test_in_a_stretch_where_nothing_moves_a_mark_keeps_its_proportion() -> None:
    times_ns = np.arange(-1_000 * MS, 100 * MS, 4 * MS, dtype=np.int64)
    still = Curve(times_ns=times_ns, energy=np.zeros(len(times_ns)))

    (mark,) = carry_marks(
        still, still, made_marks({Moment.TOP: -200}), anchors=[(-800 * MS, -400 * MS)]
    )

    assert mark.at_ns is not None
    assert abs(mark.at_ns + 400 * MS) <= 8 * MS


def test_what_does_not_occur_or_lies_beyond_the_curves_is_not_carried() -> None:
    marks = MARKS_THEN | made_marks({Moment.SET: -1_600, Moment.FINISH: 900})
    marks[Moment.TOP] = no_such_moment(Moment.TOP)

    carried = carry_marks(curve(1.0, 120), curve(1.0, 120), marks)

    assert [mark.moment for mark in carried] == [Moment.TAKEAWAY]


def test_a_doubtful_mark_is_carried_with_its_own_doubt() -> None:
    doubtful = dataclasses.replace(MARKS_THEN[Moment.TOP], early_ns=-500 * MS, late_ns=-100 * MS)

    (mark,) = carry_marks(curve(1.0, 120), curve(1.0, 120), {Moment.TOP: doubtful})

    assert mark.early_ns is not None
    assert mark.late_ns is not None
    assert mark.late_ns - mark.early_ns >= 400 * MS


def test_anchors_that_cross_are_refused() -> None:
    with pytest.raises(ValueError, match="anchors must rise"):
        carry_marks(curve(1.0, 60), curve(1.0, 60), MARKS_THEN, anchors=[(-5 * MS, 5 * MS)])


def test_a_curve_whose_times_do_not_rise_is_refused() -> None:
    with pytest.raises(ValueError, match="rise"):
        Curve(times_ns=np.array([0, 0]), energy=np.zeros(2))
