"""A hand's marks and found ones together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import MarkRefusedError
from capturestation.records import Mark, MarkSource, Moment, hand_mark, no_such_moment
from capturestation.swing.marks import effective_marks, with_found, with_mark, without_mark

MS = 1_000_000


def found_mark(moment: Moment, at_ms: int) -> Mark:
    return Mark(
        moment=moment,
        at_ns=at_ms * MS,
        early_ns=(at_ms - 10) * MS,
        late_ns=(at_ms + 10) * MS,
        confidence=0.8,
        source=MarkSource.FOUND,
        method="test",
    )


FOUND = (
    found_mark(Moment.CLUB_STARTS, -1100),
    found_mark(Moment.TOP, -270),
    found_mark(Moment.IMPACT, 0),
    found_mark(Moment.FINISH, 800),
)


def test_a_hands_mark_wins_over_a_found_one_and_the_found_one_is_kept() -> None:
    marks = with_mark(FOUND, hand_mark(Moment.TOP, -300 * MS))

    assert effective_marks(marks)[Moment.TOP].at_ns == -300 * MS
    assert FOUND[1] in marks


def test_taking_the_hands_mark_away_lets_the_found_one_count_again() -> None:
    marks = with_mark(FOUND, hand_mark(Moment.TOP, -300 * MS))

    assert without_mark(marks, Moment.TOP) == FOUND


def test_marking_again_replaces_the_hands_first_mark() -> None:
    once = with_mark(FOUND, hand_mark(Moment.TOP, -300 * MS))

    twice = with_mark(once, hand_mark(Moment.TOP, -280 * MS))

    assert len(twice) == len(once)
    assert effective_marks(twice)[Moment.TOP].at_ns == -280 * MS


def test_what_a_hand_says_does_not_occur_is_not_put_back_by_a_finder() -> None:
    marks = with_mark(FOUND, no_such_moment(Moment.TOP))

    again = with_found(marks, FOUND)

    assert not effective_marks(again)[Moment.TOP].occurs


def test_finding_anew_replaces_all_found_marks_and_no_hands_mark() -> None:
    marks = with_mark(FOUND, hand_mark(Moment.TAKEAWAY, -900 * MS))

    again = with_found(marks, [found_mark(Moment.TOP, -260)])

    assert [(mark.moment, mark.source) for mark in again] == [
        (Moment.TAKEAWAY, MarkSource.HAND),
        (Moment.TOP, MarkSource.FOUND),
    ]


def test_a_hands_mark_after_a_later_hands_mark_is_refused_with_both_times() -> None:
    marks = with_mark(FOUND, hand_mark(Moment.TOP, -300 * MS))

    with pytest.raises(
        MarkRefusedError, match=r"-0\.250 s isn't before 'top' at -0\.300 s"
    ) as error:
        with_mark(marks, hand_mark(Moment.LEAD_ARM_LEVEL_BACK, -250 * MS))

    assert "correct 'top' first" in error.value.try_next
    assert effective_marks(marks)[Moment.TOP].at_ns == -300 * MS


def test_a_moment_before_impact_cannot_be_marked_after_zero() -> None:
    with pytest.raises(MarkRefusedError, match="'impact'"):
        with_mark(FOUND, hand_mark(Moment.TOP, 40 * MS))


def test_a_found_mark_that_contradicts_the_hand_does_not_count() -> None:
    marks = with_mark(FOUND, hand_mark(Moment.TAKEAWAY, -200 * MS))

    chosen = effective_marks(marks)

    assert Moment.TOP not in chosen
    assert chosen[Moment.TAKEAWAY].source is MarkSource.HAND


@given(
    st.lists(
        st.tuples(st.sampled_from(list(Moment)), st.integers(-1500, 1500)), min_size=1, max_size=15
    )
)
def test_whatever_is_accepted_is_in_order(tries: list[tuple[Moment, int]]) -> None:
    marks: tuple[Mark, ...] = FOUND
    for moment, at_ms in tries:
        before = marks
        try:
            marks = with_mark(marks, hand_mark(moment, at_ms * MS))
        except MarkRefusedError:
            assert marks is before

    times = [mark.at_ns for mark in effective_marks(marks).values() if mark.at_ns is not None]
    assert times == sorted(set(times))
