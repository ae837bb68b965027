"""The panel of the earlier swing: chosen, laid, matched, nudged, both ways."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.compare.overlay import Placing
from capturestation.drawing.grid import Side
from capturestation.errors import ComparisonRefusedError, StationError
from capturestation.library import Library
from capturestation.records import Moment, Spot, Swing, View
from capturestation.station.bench.earlier import Earlier, earlier_swings
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.station.bench.steps import Steps
from capturestation.station.keeping import at_once
from capturestation.station.laying import Nudge
from capturestation.station.spots import Spots
from capturestation.station.undo import UndoList
from capturestation.ui.bench.earlier import NUDGE_SHARE, EarlierPanel
from capturestation.ui.look import Look
from tests.helpers.made_swings import made_swing
from tests.helpers.station_library import Filled

LEFT = Qt.MouseButton.LeftButton
MS = 1_000_000
ROWS = tuple(
    Earlier(id=made_swing(name).id, day=day, at="15:21", club="7 iron", is_best=best, is_of_today=t)
    for name, day, best, t in (
        ("third", "30 Oct 2026", False, True),
        ("second", "30 Oct 2026", False, True),
        ("first", "18 Sep 2026", True, False),
    )
)


def kept_nothing(op: Callable[[], Swing], _failed: Callable[[], None]) -> None:
    op()


@pytest.fixture
def spots(library: Library, state: BenchState, steps: UndoList) -> Spots:
    made = Spots(library, steps, at_once)
    assert state.now is not None
    assert state.then is not None
    made.look_at(state.now.swing, state.then.swing)
    return made


@pytest.fixture
def panel(
    qtbot: QtBot, library: Library, state: BenchState, spots: Spots, steps: UndoList
) -> EarlierPanel:
    does = Steps(state, library, kept_nothing, steps)
    made = EarlierPanel(state, spots, does, steps.run, Look())
    qtbot.addWidget(made)
    made.set_earlier(ROWS)
    made.show()
    return made


def test_a_line_says_day_club_and_star(panel: EarlierPanel) -> None:
    lines = [panel.model.data(panel.model.index(row)) for row in range(3)]

    assert lines == [
        "today 15:21, 7 iron",
        "today 15:21, 7 iron",
        "18 Sep 2026, 7 iron, best",
    ]


def test_what_the_library_holds_is_offered(
    panel: EarlierPanel, library: Library, filled: Filled
) -> None:
    panel.set_earlier(earlier_swings(library, filled.today))

    assert panel.model.rowCount() == 1
    assert panel.list.currentIndex().row() == 0
    assert panel.model.at(panel.list.currentIndex()).id == filled.best.id


def test_best_first_none_and_a_line_are_asked_for(panel: EarlierPanel, qtbot: QtBot) -> None:
    asked: list[tuple[str, ...]] = []
    panel.wants_best.connect(lambda: asked.append(("best",)))
    panel.wants_none.connect(lambda: asked.append(("none",)))
    panel.wants.connect(lambda swing, word: asked.append((swing, word)))

    for pressed in (panel.best, panel.none, panel.first):
        qtbot.mouseClick(pressed, LEFT)
    panel.list.setCurrentIndex(panel.model.index(2))
    panel.list.activated.emit(panel.model.index(2))

    assert asked == [("best",), ("none",), ("second", "first of today"), ("first", "own best")]


def test_beside_or_over_is_pressed_and_shown(
    panel: EarlierPanel, state: BenchState, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.arrangement.button_of(Arrangement.OVER), LEFT)
    over = state.arrangement, panel.opacity.isVisible()
    state.arrange(Arrangement.BESIDE)

    assert over == (Arrangement.OVER, True)
    assert panel.arrangement.button_of(Arrangement.BESIDE).isChecked()
    assert not panel.opacity.isVisible()


def test_how_strongly_it_shows_goes_both_ways(panel: EarlierPanel, state: BenchState) -> None:
    panel.opacity.setValue(70)
    by_hand = state.opacity
    state.set_opacity(0.3)

    assert by_hand == pytest.approx(0.7)
    assert panel.opacity.value() == 30


def test_one_moment_at_real_speed_is_chosen_and_shown(
    panel: EarlierPanel, state: BenchState
) -> None:
    row = panel.match.findData(str(Moment.IMPACT))
    panel.match.activated.emit(row)
    chosen = state.match_at
    state.match(None)

    assert chosen is Moment.IMPACT
    assert panel.match.currentText() == "All moments matched"


def test_a_match_that_can_not_be_is_told_and_nothing_changes(
    panel: EarlierPanel, state: BenchState, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[StationError] = []
    panel.refused.connect(told.append)

    def refuses(_moment: Moment | None) -> None:
        raise ComparisonRefusedError("No such moment.", try_next="Mark it.")

    monkeypatch.setattr(state, "match", refuses)
    panel.match.setCurrentIndex(1)
    panel.match.activated.emit(1)

    assert [str(error) for error in told] == ["No such moment. Mark it."]
    assert panel.match.currentIndex() == 0


def test_nudges_move_every_shown_picture_as_one_step_that_is_taken_back(
    panel: EarlierPanel, state: BenchState, steps: UndoList, qtbot: QtBot
) -> None:
    state.arrange(Arrangement.OVER)
    qtbot.mouseClick(panel.pad.ways["right"], LEFT)
    qtbot.mouseClick(panel.pad.ways["up"], LEFT)

    for view in (View.FACE_ON, View.DOWN_THE_LINE):
        assert state.nudge(view) == Nudge(dx=NUDGE_SHARE, dy=-NUDGE_SHARE)
    steps.undo()
    assert state.nudge(View.FACE_ON) == Nudge(dx=NUDGE_SHARE)
    steps.undo()
    assert state.nudge(View.DOWN_THE_LINE) == Nudge()


def test_it_is_made_larger_and_smaller(
    panel: EarlierPanel, state: BenchState, qtbot: QtBot
) -> None:
    state.arrange(Arrangement.OVER)
    qtbot.mouseClick(panel.pad.ways["larger"], LEFT)
    larger = state.nudge(View.FACE_ON).scale
    qtbot.mouseClick(panel.pad.ways["smaller"], LEFT)

    assert larger == pytest.approx(1.01)
    assert state.nudge(View.FACE_ON).scale == pytest.approx(1.0)


def test_time_is_nudged_by_a_frame_said_in_words_and_put_back_in_one_step(
    panel: EarlierPanel, state: BenchState, steps: UndoList, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.pad.on, LEFT)
    on = state.nudge_ns, panel.time.text()
    qtbot.mouseClick(panel.pad.on, LEFT)
    panel.nudge(1, 0)
    qtbot.mouseClick(panel.pad.reset, LEFT)

    assert on == (20 * MS, "The earlier swing is 20 ms further on than matched.")
    assert (state.nudge_ns, state.nudge(View.FACE_ON)) == (0, Nudge())
    assert panel.time.text() == "In time as matched."
    steps.undo()
    assert (state.nudge_ns, state.nudge(View.FACE_ON)) == (40 * MS, Nudge(dx=NUDGE_SHARE))


def test_putting_back_what_was_not_moved_is_no_step(
    panel: EarlierPanel, steps: UndoList, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.pad.reset, LEFT)

    assert steps.undo_words == ""


def test_what_to_press_in_the_picture_is_said_and_by_what_it_is_placed(
    panel: EarlierPanel, spots: Spots, state: BenchState, qtbot: QtBot
) -> None:
    state.show_alone(View.FACE_ON)
    state.arrange(Arrangement.OVER)
    said = panel.placed.text()
    qtbot.mouseClick(panel.point, LEFT)
    asked = panel.placed.text()
    spots.want(Side.NOW, Spot.GRIP)
    of_stance = panel.point.isChecked(), panel.stance.isChecked()
    spots.want(None)
    state.lay(View.FACE_ON, Placing(now_from_then=np.eye(2, 3), said="Laid over by ball alone."))

    assert said == ""
    assert asked == "Press the ball in the picture of today's swing."
    assert of_stance == (False, True)
    assert panel.placed.text() == "face-on: Laid over by ball alone."


def test_without_an_earlier_swing_only_choosing_is_left(
    panel: EarlierPanel, state: BenchState
) -> None:
    state.open_then(None)

    hidden = (panel.opacity, panel.match, panel.pad, panel.point, panel.time)
    assert not any(widget.isVisible() for widget in hidden)
    assert not panel.none.isEnabled()
    assert panel.best.isEnabled()
    panel.nudge(1, 0)
    assert state.nudge(View.FACE_ON) == Nudge()


def test_what_happened_unseen_is_shown_when_it_is_seen_again(
    panel: EarlierPanel, state: BenchState
) -> None:
    panel.hide()
    state.arrange(Arrangement.OVER)
    panel.show()

    assert panel.arrangement.button_of(Arrangement.OVER).isChecked()


def test_all_that_is_pressed_is_large_enough_for_a_finger(panel: EarlierPanel) -> None:
    panel.look.enlarge(1.5)

    assert panel.opacity.sizeHint().height() >= 44
    assert panel.list.sizeHintForRow(0) >= 44
    assert panel.match.minimumHeight() >= 44
