"""The Bench over a real library: opening, the own best, marks, and what keys do."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import QLabel, QLineEdit
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.errors import MarkRefusedError, NotFoundError, StationError
from capturestation.library import Library
from capturestation.records import MarkSource, Moment, SwingId, View
from capturestation.station.bench.state import Arrangement
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.room import Room
from capturestation.ui.keys import key_table
from tests.helpers.seen_swings import MS
from tests.helpers.station_library import Filled


def look_at(place: BenchPlace, qtbot: QtBot, swing: SwingId) -> None:
    place.look_at(swing)
    qtbot.waitUntil(lambda: place.swing == swing and place.canvas.projection.is_complete)


def hand_marks(library: Library, swing: SwingId, moment: Moment) -> list[int | None]:
    marks = library.swing(swing).book.marks
    return [m.at_ns for m in marks if m.moment is moment and m.source is MarkSource.HAND]


def saved(place: BenchPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not place.saver.is_busy)


def test_a_swing_opens_at_impact_with_both_angles(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)

    shown = place.canvas.projection.shown_ordinals()
    assert place.state.transport.at_ns == 0
    assert set(shown) == {(Side.NOW, View.FACE_ON), (Side.NOW, View.DOWN_THE_LINE)}


def test_the_newest_of_two_wishes_is_shown(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    place.look_at(filled.best.id)
    look_at(place, qtbot, filled.today.id)
    qtbot.waitUntil(lambda: not place.openings.is_busy)

    assert place.swing == filled.today.id


def test_an_unknown_swing_is_told_and_what_lies_there_stays(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)
    told: list[StationError] = []
    place.trouble.connect(told.append)
    place.look_at(SwingId("nothere"))
    qtbot.waitUntil(lambda: bool(told))

    assert [type(error) for error in told] == [NotFoundError]
    assert place.swing == filled.today.id


def test_the_own_best_is_laid_beside_and_taken_away(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)
    commands = place.commands()
    commands["bench.earlier"]()
    qtbot.waitUntil(lambda: place.state.then is not None and place.canvas.projection.is_complete)
    assert place.state.then is not None
    laid = place.state.then.swing.id, len(place.canvas.fields)
    commands["bench.earlier"]()

    assert laid == (filled.best.id, 4)
    assert place.state.seen(Side.THEN) is None
    assert len(place.canvas.fields) == 2


def test_over_lays_the_own_best_there_too(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    look_at(place, qtbot, filled.today.id)
    place.commands()["bench.over"]()
    qtbot.waitUntil(lambda: place.state.then is not None and place.canvas.projection.is_complete)

    assert place.state.arrangement is Arrangement.OVER
    assert all(len(pair) == 2 for pair in place.canvas.projection.shown_ordinals().values())


def test_the_earlier_swing_stays_wanted_for_the_next_one(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    place.restore({"earlier": "yes"})
    look_at(place, qtbot, filled.today.id)

    assert place.state.then is not None


def test_neighbours_are_reached_and_the_end_is_said(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)
    said: list[str] = []
    place.says.connect(said.append)
    place.commands()["bench.next_swing"]()
    qtbot.waitUntil(lambda: bool(said))
    place.commands()["bench.previous_swing"]()
    qtbot.waitUntil(lambda: place.swing == filled.best.id)

    assert said == ["There is no further swing in this lesson."]


def test_a_moved_moment_is_written_and_taken_back(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    look_at(place, qtbot, filled.best.id)
    place.bar.move_moment.emit(Moment.SHAFT_LEVEL_DOWN, -50 * MS)
    saved(place, qtbot)
    moved = hand_marks(library, filled.best.id, Moment.SHAFT_LEVEL_DOWN)
    place.steps.undo()
    saved(place, qtbot)

    assert moved == [-50 * MS]
    assert hand_marks(library, filled.best.id, Moment.SHAFT_LEVEL_DOWN) == [-60 * MS]


def test_a_refused_move_is_told_and_nothing_changes(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    look_at(place, qtbot, filled.best.id)
    told: list[StationError] = []
    place.trouble.connect(told.append)
    place.bar.move_moment.emit(Moment.SHAFT_LEVEL_DOWN, 90 * MS)

    assert [type(error) for error in told] == [MarkRefusedError]
    assert place.steps.undo_words == ""
    assert hand_marks(library, filled.best.id, Moment.SHAFT_LEVEL_DOWN) == [-60 * MS]


def test_a_moment_that_does_not_occur_leaves_the_bar(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.best.id)
    place.bar.no_moment.emit(Moment.SHAFT_LEVEL_DOWN)
    saved(place, qtbot)

    moments = [one.moment for one in place.bar.shown.moments]
    assert Moment.SHAFT_LEVEL_DOWN not in moments


def test_a_change_that_could_not_be_written_is_told_and_shown_as_it_is(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    look_at(place, qtbot, filled.best.id)
    told: list[StationError] = []
    place.trouble.connect(told.append)

    def refuse() -> object:
        raise NotFoundError("It is gone.", try_next="Look elsewhere.")

    assert place.state.now is not None
    place.move_moment(Moment.SHAFT_LEVEL_DOWN, -50 * MS)
    saved(place, qtbot)
    place.saver.save(refuse)  # type: ignore[arg-type]
    qtbot.waitUntil(lambda: bool(told))
    saved(place, qtbot)

    assert place.state.now.swing == library.swing(filled.best.id)


def test_a_star_is_set_by_a_key_and_taken_back(
    place: BenchPlace, qtbot: QtBot, filled: Filled, library: Library
) -> None:
    look_at(place, qtbot, filled.today.id)
    place.commands()["bench.star"]()
    saved(place, qtbot)
    starred = library.swing(filled.today.id).book.starred
    place.steps.undo()
    saved(place, qtbot)

    assert starred
    assert not library.swing(filled.today.id).book.starred


def test_flip_and_turn_are_the_same_for_both_swings(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)
    place.commands()["bench.flip"]()
    place.commands()["bench.turn"]()

    framings = [place.state.framing((side, View.FACE_ON)) for side in Side]
    assert [(f.is_flipped, f.turn_deg) for f in framings] == [(True, 90.0)] * 2


def test_zoom_by_keys_and_back_to_whole(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    look_at(place, qtbot, filled.today.id)
    place.commands()["bench.zoom_in"]()
    zoomed = place.state.framing((Side.NOW, View.FACE_ON)).zoom
    place.commands()["bench.fit"]()

    assert zoomed == 1.25
    assert place.state.framing((Side.NOW, View.FACE_ON)).zoom == 1.0


def test_a_nudge_in_time_is_one_frame_and_can_be_taken_back(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    place.restore({"earlier": "yes"})
    look_at(place, qtbot, filled.today.id)
    place.commands()["bench.nudge_on"]()
    nudged_ns = place.state.nudge_ns
    place.steps.undo()

    assert abs(nudged_ns - 16_666_667) < 100_000
    assert place.state.nudge_ns == 0


def test_every_action_of_the_bench_s_keys_is_answered_here(place: BenchPlace) -> None:
    wanted = {line.action for line in key_table() if line.action.startswith(("bench.", "remote."))}

    assert wanted <= place.commands().keys()


def test_panels_open_one_at_a_time_and_leave_closes_them(
    place: BenchPlace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.bench.head.say", lambda key: key)
    one, other = QLabel("one"), QLabel("other")
    place.add_panel("draw", one)
    place.add_panel("send", other)
    place.show_panel("draw")
    first = one.isVisible(), other.isVisible()
    place.show_panel("send")
    second = one.isVisible(), other.isVisible()

    assert (first, second) == ((True, False), (False, True))
    assert place.leave()
    assert (other.isVisible(), place.leave()) == (False, False)


def test_leave_goes_back_from_one_angle_to_all(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    look_at(place, qtbot, filled.today.id)
    place.state.next_angle()

    assert place.leave()
    assert place.state.alone is None


def test_what_is_kept_comes_back(place: BenchPlace) -> None:
    place.state.arrange(Arrangement.OVER)
    place.state.set_opacity(0.3)
    kept = place.kept()
    place.state.arrange(Arrangement.BESIDE)
    place.state.set_opacity(0.7)
    place.restore(kept)

    assert (place.state.arrangement, place.state.opacity) == (Arrangement.OVER, 0.3)


@pytest.mark.parametrize("kept", [{}, {"arrangement": "sideways", "opacity": "much", "x": "y"}])
def test_what_is_unknown_is_left_alone(place: BenchPlace, kept: dict[str, str]) -> None:
    place.restore(kept)

    assert (place.state.arrangement, place.state.opacity) == (Arrangement.BESIDE, 0.5)


def test_the_second_screen_is_the_canvas(place: BenchPlace) -> None:
    assert place.tv() is place.canvas


def test_with_room_the_focus_stands_above_and_the_caption_says_how_exactly(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    told: list[str] = []
    place.stands.connect(told.append)
    place.head.set_focus(("turn",))
    look_at(place, qtbot, filled.today.id)
    place.head.set_focus(("turn",))
    place.resize(1100, 900)
    qtbot.waitUntil(lambda: place.room is Room.ROOMY)
    roomy = place.head.isVisible(), place.standing()
    place.resize(1100, 400)
    qtbot.waitUntil(lambda: place.room is not Room.ROOMY)

    assert roomy == (True, place.notes.line)
    assert (place.head.isVisible(), place.standing()) == (False, "turn")
    assert told[-1] == "turn"


def test_a_key_opens_the_page_of_notes_and_closes_it(place: BenchPlace) -> None:
    place.commands()["bench.notes"]()
    opened = place.notes.isVisible()
    place.commands()["bench.notes"]()

    assert opened
    assert not place.notes.isVisible()


def test_in_a_small_window_one_angle_of_both_swings_is_large(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    place.restore({"earlier": "yes"})
    look_at(place, qtbot, filled.today.id)
    wide = len(place.canvas.fields)
    place.resize(900, 640)
    qtbot.waitUntil(lambda: len(place.canvas.fields) == 2)
    first = {field.cell[1] for field in place.canvas.fields}
    place.commands()["remote.view"]()

    assert wide == 4
    assert first == {View.FACE_ON}
    assert {field.cell[1] for field in place.canvas.fields} == {View.DOWN_THE_LINE}


def test_a_panel_that_closes_gives_the_keyboard_to_the_bar(
    place: BenchPlace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.bench.head.say", lambda key: key)
    field = QLineEdit()
    place.add_panel("draw", field)
    place.show_panel("draw")
    place.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)

    place.leave()

    assert place.bar.hasFocus()


def test_a_panel_that_closes_elsewhere_leaves_the_keyboard_where_it_is(
    place: BenchPlace, qtbot: QtBot, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.bench.head.say", lambda key: key)
    look_at(place, qtbot, filled.today.id)
    place.add_panel("draw", QLabel("one"))
    place.show_panel("draw")
    place.activateWindow()
    place.transport.play.setFocus()
    qtbot.waitUntil(place.transport.play.hasFocus)

    place.leave()

    assert place.transport.play.hasFocus()
