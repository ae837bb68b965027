from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.compare.differences import NO_CHANGE, Change
from capturestation.compare.differences import change as change_of
from capturestation.records import Measured

STEADY = (0.90, 0.91, 0.89, 0.90, 0.91)


def change(now: Measured, then: Measured, own_values: Sequence[float] = ()) -> Change:
    """With the same cameras in the same places."""
    return change_of(now, then, same_set_up=True, own_values=own_values)


def seconds(value: float, *, u: float = 0.01, shared: float = 0.05) -> Measured:
    return Measured(value=value, unit="s", u_random=u, u_systematic=shared)


def test_random_errors_add_in_quadrature_and_shared_ones_cancel() -> None:
    made = change(seconds(0.95, u=0.03, shared=0.2), seconds(0.85, u=0.04, shared=0.2))

    assert made.u == pytest.approx(0.05)


def test_with_another_set_up_the_systematic_errors_count_in_full() -> None:
    made = change_of(seconds(0.95, u=0.0), seconds(0.85, u=0.0), same_set_up=False)

    assert made.u == pytest.approx(0.05 * math.sqrt(2))


@pytest.mark.parametrize(
    ("now", "then", "words"),
    [
        (0.93, 0.85, "longer by 0.08 s ± 0.03 s"),
        (0.85, 0.93, "shorter by 0.08 s ± 0.03 s"),
        (0.86, 0.85, NO_CHANGE),
    ],
)
def test_the_change_is_said_with_its_error_or_not_at_all(
    now: float, then: float, words: str
) -> None:
    assert change(seconds(now), seconds(then)).words == words


def test_the_last_digit_shown_is_the_errors() -> None:
    now = Measured(value=48.26, unit="deg", u_random=3.0)
    then = Measured(value=20.11, unit="deg", u_random=4.0)

    assert change(now, then).words == "more by 28 deg ± 10 deg"


def test_a_ratio_is_said_without_a_unit() -> None:
    now = Measured(value=3.4, unit="ratio", u_random=0.05)
    then = Measured(value=2.9, unit="ratio", u_random=0.05)

    assert change(now, then).words == "higher by 0.50 ± 0.14"


def test_a_change_within_the_players_own_spread_is_none() -> None:
    wild = (0.70, 1.00, 0.85, 0.95, 0.75)

    assert change(seconds(0.95), seconds(0.85), own_values=STEADY).is_clear
    assert not change(seconds(0.95), seconds(0.85), own_values=wild).is_clear


def test_a_spread_of_fewer_than_five_swings_is_not_used_and_the_note_says_so() -> None:
    made = change(seconds(0.95), seconds(0.85), own_values=(0.1, 0.9, 1.7, 2.5))

    assert made.is_clear
    assert made.spread is None
    assert "5 other swings like these, and 4 are measured" in made.note
    assert change(seconds(1.0), seconds(0.9), own_values=STEADY).note == ""


def test_two_units_are_refused() -> None:
    with pytest.raises(ValueError, match="one unit"):
        change(seconds(1.0), Measured(value=1.0, unit="deg", u_random=0.1))


@given(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3), st.floats(1e-3, 10), st.floats(1e-3, 10))
def test_swapping_the_two_swings_turns_the_change_round(
    a: float, b: float, u_a: float, u_b: float
) -> None:
    there = change(seconds(a, u=u_a), seconds(b, u=u_b))
    back = change(seconds(b, u=u_b), seconds(a, u=u_a))

    assert there.value == -back.value
    assert there.u == back.u
    assert there.is_clear == back.is_clear
