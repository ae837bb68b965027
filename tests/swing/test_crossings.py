"""When a height is level, how well that is known, and when it never is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.swing.crossings import Height, When, crossing, highest, together

AT_S = np.linspace(-1.0, 1.0, 121)


def height(value: np.ndarray[tuple[int, ...], np.dtype[np.float64]], u: float = 0.05) -> Height:
    return Height(at_s=AT_S, value=value, u_random=u, u_systematic=0.0)


@given(level_s=st.floats(-0.8, 0.8), speed=st.floats(0.5, 20.0))
def test_a_straight_rise_crosses_where_it_does(level_s: float, speed: float) -> None:
    found = crossing(height(speed * (AT_S - level_s)), -1.0, 1.0, rising=True)

    assert found is not None
    assert found.at_s == pytest.approx(level_s, abs=1e-6)
    assert found.u_s >= 0.05 / speed * 0.99


def test_first_and_last_and_direction_are_told_apart() -> None:
    wave = height(np.sin(2 * np.pi * 2 * (AT_S - 0.01)))

    first = crossing(wave, -0.9, 0.9, rising=True)
    last = crossing(wave, -0.9, 0.9, rising=True, last=True)
    falls = crossing(wave, -0.9, 0.9, rising=False)

    assert [round(one.at_s, 2) for one in (first, last, falls) if one] == [-0.49, 0.51, -0.74]


def test_a_hidden_stretch_is_bridged_and_known_less_well() -> None:
    rise = AT_S * 4.0
    hidden = np.where(np.abs(AT_S) < 0.1, np.nan, rise)

    sure, unsure = (crossing(height(v), -1.0, 1.0, rising=True) for v in (rise, hidden))

    assert sure is not None
    assert unsure is not None
    assert unsure.at_s == pytest.approx(0.0, abs=1e-6)
    assert unsure.u_s > 2 * sure.u_s


def test_what_never_gets_there_does_not_cross() -> None:
    low = height(-0.5 - AT_S**2)

    assert crossing(low, -1.0, 1.0, rising=True) is None
    assert highest(low, -1.0, 1.0) == pytest.approx(-0.5, abs=0.01)


def test_one_leap_is_not_the_highest() -> None:
    value = np.full(len(AT_S), -1.0)
    value[40] = 3.0

    assert highest(height(value), -1.0, 1.0) == -1.0


def test_estimates_that_agree_are_surer_and_those_that_do_not_are_wider() -> None:
    agreed = together([When(at_s=0.10, u_s=0.01), When(at_s=0.11, u_s=0.01)])
    apart = together([When(at_s=0.0, u_s=0.01), When(at_s=0.2, u_s=0.01)])

    assert agreed is not None
    assert apart is not None
    assert agreed.at_s == pytest.approx(0.105)
    assert agreed.u_s < 0.01
    assert apart.u_s > 0.05
    assert together([]) is None
