"""Nothing is taken back unseen: the Bench shows the swing that a step is about."""

from __future__ import annotations

import pytest

from capturestation.records import SwingId
from capturestation.station.undo import Step
from capturestation.ui.window import Window
from tests.ui.conftest import bench_of

ONE, TWO = SwingId("swing0000001"), SwingId("swing0000002")


@pytest.mark.parametrize(
    ("place", "about", "shown"),
    [("bench", ONE, ONE), ("bench", "", TWO), ("bench", TWO, TWO), ("book", ONE, TWO)],
)
def test_the_bench_goes_to_the_swing_that_was_changed(
    window: Window, place: str, about: str, shown: SwingId
) -> None:
    window.look_at(TWO)
    window.go_to(place)
    window.steps.run(Step(words="draw", do=lambda: None, undo=lambda: None, about=about))

    window.stepping.undo()
    undone = bench_of(window).swing
    window.look_at(TWO)
    window.go_to(place)
    window.stepping.redo()

    assert (undone, bench_of(window).swing) == (shown, shown)
