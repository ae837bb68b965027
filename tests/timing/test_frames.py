"""Which frame is shown at a time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.timing.frames import middle_of_row, nearest_frame

stamps = st.lists(st.integers(-(10**12), 10**12), min_size=1, max_size=40, unique=True).map(sorted)
asked = st.lists(st.integers(-(2 * 10**12), 2 * 10**12), max_size=20)


@given(times=stamps, at=asked)
def test_no_other_frame_is_nearer_and_none_earlier_as_near(times: list[int], at: list[int]) -> None:
    chosen = nearest_frame(np.array(times), np.array(at, dtype=np.int64))

    expected = [min(range(len(times)), key=lambda i: (abs(times[i] - t), i)) for t in at]
    assert chosen.tolist() == expected


@pytest.mark.parametrize("times", [[], [3, 3], [0, 5, 4]])
def test_stamps_that_do_not_rise_are_our_own_mistake(times: list[int]) -> None:
    with pytest.raises(ValueError, match=r"n > 0|isn't later"):
        nearest_frame(np.array(times, dtype=np.int64), np.array([1]))


@given(share=st.floats(0, 1), readout_ns=st.integers(0, 40_000_000))
def test_a_row_is_read_between_the_top_and_the_bottom(share: float, readout_ns: int) -> None:
    assert 0 <= middle_of_row(0, share, readout_ns) <= readout_ns
