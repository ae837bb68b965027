from __future__ import annotations

import pytest

from capturestation.records import Box, around


@pytest.mark.parametrize(
    ("left", "top", "right", "bottom"),
    [(-0.1, 0, 1, 1), (0, 0, 1.01, 1), (0.5, 0, 0.5, 1), (0, 0.8, 1, 0.2)],
)
def test_a_box_lies_inside_the_picture_and_is_not_empty(
    left: float, top: float, right: float, bottom: float
) -> None:
    with pytest.raises(ValueError, match="inside the picture"):
        Box(left=left, top=top, right=right, bottom=bottom)


def test_the_box_around_others_holds_them_and_no_more() -> None:
    one = Box(left=0.1, top=0.3, right=0.4, bottom=0.9)
    other = Box(left=0.2, top=0.2, right=0.6, bottom=0.5)

    assert around([one, other]) == Box(left=0.1, top=0.2, right=0.6, bottom=0.9)
    assert around([]) is None
