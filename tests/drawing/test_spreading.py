"""Boxes in a row keep their order, never touch, and stand where they want where they can."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.spreading import spread


@given(
    st.lists(st.tuples(st.floats(0, 1000), st.integers(1, 60)), min_size=1, max_size=11),
    st.integers(0, 12),
)
def test_boxes_keep_their_order_and_never_touch(boxes: list[tuple[float, int]], gap: int) -> None:
    boxes.sort()
    middles, widths = [m for m, _ in boxes], [w for _, w in boxes]
    room = sum(widths) + gap * (len(widths) - 1)

    lefts = spread(middles, widths, gap, (0, max(1000, room)))

    ends = [left + width for left, width in zip(lefts, widths, strict=True)]
    assert lefts[0] >= -1e-6
    assert ends[-1] <= max(1000, room) + 1e-6
    for (_, end), (left, _) in itertools.pairwise(zip(lefts, ends, strict=True)):
        assert left - end >= gap - 1e-6


def test_boxes_with_room_stand_where_they_want() -> None:
    assert spread([100, 300], [20, 40], 10, (0, 1000)) == [90, 280]


def test_two_that_want_one_place_share_it() -> None:
    assert spread([100, 100], [20, 20], 10, (0, 1000)) == [75, 105]
