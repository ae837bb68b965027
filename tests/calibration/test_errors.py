"""A refusal says what is wrong and what to try, also across processes."""

from __future__ import annotations

import pickle

from calibration.errors import CalibrationError


def test_a_refusal_comes_whole_through_another_process() -> None:
    error = CalibrationError("The board is cut off.", try_next="Move it into the picture.")

    back = pickle.loads(pickle.dumps(error))

    assert str(back) == "The board is cut off. Move it into the picture."
    assert (back.what, back.try_next) == (error.what, error.try_next)
