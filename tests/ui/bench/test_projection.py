"""What is written at a field is true of the picture that stands there."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.records import View
from capturestation.station.bench.state import Arrangement
from capturestation.ui.bench.canvas import Canvas
from tests.helpers.seen_swings import MS, even_frames, seen_swing
from tests.ui.bench.conftest import lay_then

NOW = (Side.NOW, View.FACE_ON)


def test_a_field_says_whose_when_and_from_where(canvas: Canvas) -> None:
    words = canvas.projection.words(NOW)

    assert (words.whose, words.day, words.view) == ("today", "30 Oct 2026", "face-on")
    assert words.times == ((Side.NOW, "impact", "+0.000 s"),)


def test_the_time_is_that_of_the_frame_on_show_until_the_next_is_there(
    canvas: Canvas, qtbot: QtBot
) -> None:
    canvas.state.transport.drag(100 * MS)
    at_once = canvas.projection.words(NOW).times[0][2]
    qtbot.waitUntil(lambda: canvas.projection.is_complete)

    assert (at_once, canvas.projection.words(NOW).times[0][2]) == ("+0.000 s", "+0.100 s")


def test_beyond_its_ends_a_recording_says_so(canvas: Canvas, qtbot: QtBot) -> None:
    views = {View.FACE_ON: even_frames(frames=250), View.DOWN_THE_LINE: even_frames(start_ms=-500)}
    seen = seen_swing(frames=views)
    canvas.room.show(Side.NOW, seen.frames)
    canvas.state.open_now(seen)
    canvas.state.transport.end()
    ended = canvas.projection.words(NOW).times[0][1]
    canvas.state.transport.home()
    later = canvas.projection.words((Side.NOW, View.DOWN_THE_LINE)).times[0][1]

    assert (ended, later) == ("the recording has ended", "the recording starts later")


def test_laid_over_both_times_are_said(canvas: Canvas, qtbot: QtBot) -> None:
    lay_then(canvas)
    canvas.state.arrange(Arrangement.OVER)
    canvas.state.transport.drag(-250 * MS)
    qtbot.waitUntil(lambda: canvas.projection.is_complete)
    words = canvas.projection.words(NOW)

    assert words.over == "own best, 18 Sep 2026"
    assert [short for _, _, short in words.times] == ["−0.250 s", "−0.271 s"]


def test_an_angle_that_one_swing_has_not_is_said(canvas: Canvas) -> None:
    seen = seen_swing("then", frames={View.DOWN_THE_LINE: even_frames()}, word="own best")
    canvas.room.show(Side.THEN, seen.frames)
    canvas.state.open_then(seen)
    beside = canvas.projection.words((Side.THEN, View.FACE_ON)).missing
    canvas.state.arrange(Arrangement.OVER)

    assert beside == "not recorded face-on in this swing"
    assert canvas.projection.words(NOW).over == "own best: not recorded face-on"
