from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.helpers.coded_media import LARGEST_CODE, paint_code, plain_scene, read_code


@given(number=st.integers(0, LARGEST_CODE), scale=st.floats(0.33, 1.5))
def test_a_painted_number_is_read_back_at_any_size_down_to_a_third(
    number: int, scale: float
) -> None:
    painted = paint_code(plain_scene(number), number)
    scaled = cv2.resize(painted, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)

    read = read_code(np.asarray(scaled, np.uint8))

    assert read == number


def test_painting_leaves_the_given_picture_as_it_was() -> None:
    scene = plain_scene(3)
    before = scene.copy()

    paint_code(scene, 3)

    assert np.array_equal(scene, before)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_turned_picture_has_no_code(turns: int) -> None:
    painted = paint_code(plain_scene(77), 77)

    with pytest.raises(ValueError, match="no code"):
        read_code(np.rot90(painted, turns))


def test_a_mix_of_two_pictures_has_no_code() -> None:
    mixed = (paint_code(plain_scene(5), 5) // 2 + paint_code(plain_scene(6), 6) // 2).astype(
        np.uint8
    )

    with pytest.raises(ValueError, match="no code"):
        read_code(mixed)


def test_a_picture_without_a_code_has_none() -> None:
    with pytest.raises(ValueError, match="no code"):
        read_code(plain_scene(5))
