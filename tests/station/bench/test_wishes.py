"""Which pictures are wanted, and where the earlier one lies over today's."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.compare.overlay import Placing
from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.rect import Rect
from capturestation.drawing.theme import PAPER
from capturestation.records import View
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.station.bench.wishes import now_from_then, wishes_at
from capturestation.station.laying import Nudge
from tests.helpers.seen_swings import even_frames, seen_swing, then_swing

NOW: Cell = (Side.NOW, View.FACE_ON)
PLACE = FieldPlace(
    rect=Rect(left=0, top=0, width=320, height=192), width_px=160, height_px=96, fit=2.0
)


@pytest.fixture
def state() -> BenchState:
    made = BenchState()
    made.open_now(seen_swing())
    made.open_then(then_swing())
    return made


def test_a_field_wants_the_frame_nearest_to_its_time(state: BenchState) -> None:
    wishes = wishes_at(state, {NOW: PLACE}, 0, PAPER)

    assert wishes[NOW].base.ordinal == 240
    assert wishes[NOW].over is None


def test_a_field_without_a_recording_wants_nothing() -> None:
    state = BenchState()
    state.open_now(seen_swing(frames={View.DOWN_THE_LINE: even_frames()}))

    assert wishes_at(state, {NOW: PLACE}, 0, PAPER) == {}


def test_laid_over_the_earlier_frame_of_the_same_moment_is_wanted(state: BenchState) -> None:
    state.arrange(Arrangement.OVER)

    over = wishes_at(state, {NOW: PLACE}, -250_000_000, PAPER)[NOW].over

    assert over is not None
    assert over.ordinal == round((1000 - 270) / 1000 * 240)


def test_unplaced_both_are_as_high_about_one_middle() -> None:
    state = BenchState()
    state.open_now(seen_swing())
    frames = {View.FACE_ON: even_frames(size_px=(96, 192))}
    state.open_then(seen_swing("then", frames=frames))

    corners = np.array([[0, 0, 1], [96, 192, 1]]) @ now_from_then(state, View.FACE_ON).T

    assert corners[:, :2].tolist() == [[56, 0], [104, 96]]


def test_a_placing_by_first_pixels_is_brought_to_edges(state: BenchState) -> None:
    by_middles = np.array([[2.0, 0.0, 0.0], [0.0, 2.0, 0.0]])
    state.lay(View.FACE_ON, Placing(now_from_then=by_middles, said="by the ball"))

    edge = now_from_then(state, View.FACE_ON) @ (0.5, 0.5, 1)

    assert edge.tolist() == [0.5, 0.5, 1.0]


def test_a_hand_moves_and_enlarges_about_the_middle(state: BenchState) -> None:
    state.set_nudge(View.FACE_ON, Nudge(dx=0.1, dy=-0.25, scale=1.5))

    middle = now_from_then(state, View.FACE_ON) @ (80, 48, 1)
    right = now_from_then(state, View.FACE_ON) @ (90, 48, 1)

    assert middle[:2].tolist() == pytest.approx([80 + 16, 48 - 24])
    assert (right - middle)[0] == pytest.approx(15)
