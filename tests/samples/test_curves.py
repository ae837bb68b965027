"""The curves and limbs that the invented golfer is made of."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_sessions.curves import Curve, bend, turn_about

SPREAD = st.floats(-50.0, 50.0)


@given(st.lists(SPREAD, min_size=2, max_size=8))
def test_a_curve_meets_its_keys_and_never_leaves_their_range(values: list[float]) -> None:
    keys = [(0.3 * place, value) for place, value in enumerate(values)]
    fine = np.linspace(-1.0, 0.3 * len(values) + 1.0, 400)

    curve = Curve(keys)
    met = curve(np.array([time for time, _ in keys]))
    between = curve(fine)

    assert np.allclose(met, values, atol=1e-9)
    assert between.min() >= min(values) - 1e-9
    assert between.max() <= max(values) + 1e-9


def test_keys_that_fall_back_in_time_are_refused() -> None:
    with pytest.raises(ValueError, match="rise in time"):
        Curve([(0.0, 1.0), (0.0, 2.0)])


@given(st.floats(0.05, 0.57), SPREAD, SPREAD)
def test_a_bent_limb_keeps_both_bones(span_m: float, sideways: float, ahead: float) -> None:
    root = np.zeros((1, 3))
    end = np.array([[0.0, 0.0, -span_m]])
    towards = np.array([[sideways, ahead + 60.0, 0.0]])

    joint = bend(root, end, (0.31, 0.27), towards)

    assert np.linalg.norm(joint - root) == pytest.approx(0.31, abs=1e-9)
    assert np.linalg.norm(joint - end) == pytest.approx(0.27, abs=1e-9)


def test_a_limb_that_is_too_short_says_so() -> None:
    with pytest.raises(ValueError, match="can't span"):
        bend(np.zeros((1, 3)), np.array([[1.0, 0.0, 0.0]]), (0.3, 0.3), np.ones((1, 3)))


def test_turning_follows_the_right_hand() -> None:
    x, z = np.array([[1.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])

    turned = turn_about(x, z, np.array([90.0]))

    assert np.allclose(turned, [[0.0, 1.0, 0.0]], atol=1e-12)
