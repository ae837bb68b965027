from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.compare.playout import NOT_HELD, Pace, write_script
from capturestation.records import NS_PER_S, Moment, no_such_moment
from tests.helpers.made_swings import MS, made_marks

MARKS = made_marks({Moment.TOP: -250, Moment.FINISH: 800})


def test_without_holds_each_frame_steps_by_the_slowed_interval() -> None:
    pace = Pace(slow=Fraction(1, 4), rate_hz=Fraction(25))

    script = write_script(MARKS, pace, start_ns=-100 * MS, stop_ns=100 * MS)

    assert script.now_ns.tolist() == [-100 * MS + n * 10 * MS for n in range(21)]
    assert (script.held == NOT_HELD).all()


def test_a_hold_stands_exactly_at_the_mark_for_its_time() -> None:
    pace = Pace(rate_hz=Fraction(25), hold_s=Fraction(1, 5), moments=(Moment.IMPACT,))

    script = write_script({}, pace, start_ns=-20 * MS, stop_ns=20 * MS)

    assert (script.now_ns // MS).tolist() == [-20, -10, 0, 0, 0, 0, 0, 0, 10, 20]
    assert script.held.tolist() == [-1, -1, 0, 0, 0, 0, 0, -1, -1, -1]
    assert script.held_at(2) is Moment.IMPACT
    assert script.held_at(1) is None


def test_a_mark_between_two_frames_is_still_held_exactly() -> None:
    pace = Pace(rate_hz=Fraction(30000, 1001), moments=(Moment.TOP,))
    marks = made_marks({Moment.TOP: -17})

    script = write_script(marks, pace, start_ns=-99 * MS, stop_ns=99 * MS)

    assert set(script.now_ns[script.held == 0].tolist()) == {-17 * MS}


def test_holds_come_in_the_order_of_their_times() -> None:
    pace = Pace(moments=(Moment.FINISH, Moment.IMPACT, Moment.TOP))

    script = write_script(MARKS, pace, start_ns=-500 * MS, stop_ns=900 * MS)

    assert script.moments == (Moment.TOP, Moment.IMPACT, Moment.FINISH)
    assert [script.now_ns[script.held == k][0] // MS for k in range(3)] == [-250, 0, 800]


def test_moments_that_cannot_be_held_are_named_with_the_reason() -> None:
    marks = MARKS | {Moment.TAKEAWAY: no_such_moment(Moment.TAKEAWAY)}
    pace = Pace(moments=(Moment.SET, Moment.TAKEAWAY, Moment.FINISH, Moment.IMPACT))

    script = write_script(marks, pace, start_ns=-500 * MS, stop_ns=500 * MS)

    assert script.moments == (Moment.IMPACT,)
    assert {gone.moment: gone.why for gone in script.not_held} == {
        Moment.SET: "it is not marked",
        Moment.TAKEAWAY: "it does not occur in this swing",
        Moment.FINISH: "it lies outside the clip",
    }


def test_a_hold_of_no_length_is_no_hold() -> None:
    pace = Pace(hold_s=Fraction(0), moments=(Moment.IMPACT,))

    script = write_script({}, pace, start_ns=-10 * MS, stop_ns=10 * MS)

    assert script.moments == ()
    assert (script.held == NOT_HELD).all()


@given(
    slow=st.fractions(Fraction(1, 16), 1, max_denominator=16),
    rate_hz=st.sampled_from([Fraction(24), Fraction(30000, 1001), Fraction(60)]),
    hold_s=st.fractions(0, 2, max_denominator=10),
    moments=st.lists(st.sampled_from([Moment.TOP, Moment.IMPACT, Moment.FINISH]), unique=True),
    start_ms=st.integers(-900, 0),
    span_ms=st.integers(1, 900),
)
def test_time_never_falls_stays_inside_and_never_jumps_more_than_one_step(
    slow: Fraction,
    rate_hz: Fraction,
    hold_s: Fraction,
    moments: list[Moment],
    start_ms: int,
    span_ms: int,
) -> None:
    pace = Pace(slow=slow, rate_hz=rate_hz, hold_s=hold_s, moments=tuple(moments))
    start_ns, stop_ns = start_ms * MS, (start_ms + span_ms) * MS

    script = write_script(MARKS, pace, start_ns=start_ns, stop_ns=stop_ns)

    steps = np.diff(script.now_ns)
    assert script.now_ns[0] == start_ns
    assert (steps >= 0).all()
    assert (steps <= slow / rate_hz * NS_PER_S + 1).all()
    assert script.now_ns[-1] <= stop_ns
    total_s = Fraction(stop_ns - start_ns, NS_PER_S) / slow + len(script.moments) * hold_s
    assert len(script) == int(total_s * rate_hz) + 1


@pytest.mark.parametrize("slow", [Fraction(0), Fraction(2), Fraction(-1, 4)])
def test_a_clip_slower_than_stopped_or_faster_than_life_is_refused(slow: Fraction) -> None:
    with pytest.raises(ValueError, match="slow"):
        Pace(slow=slow)


def test_a_clip_that_ends_before_it_starts_is_refused() -> None:
    with pytest.raises(ValueError, match="ends after"):
        write_script({}, Pace(), start_ns=5, stop_ns=5)
