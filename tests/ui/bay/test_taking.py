"""Kept balls go into the lesson; what was said of them before is written then."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.folders import remove_folder
from capturestation.records import SwingId
from capturestation.station.bay.balls import Stage
from tests.helpers.bay_facts import kept, struck
from tests.helpers.bay_files import Pair
from tests.helpers.inbox_balls import left_ball
from tests.ui.bay.conftest import Opened


def settled(opened: Opened, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not opened.place.workers.jobs and not opened.place.taking.is_busy)


def test_a_ball_is_in_the_lesson_and_can_be_opened(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    opened.do("open")
    early = list(opened.opened)
    settled(opened, qtbot)

    opened.do("open")

    swing = opened.library.swing(SwingId("a"))
    assert swing.book.lesson_id == opened.lesson.id
    assert (early, opened.opened, opened.place.swing) == ([], ["a"], "a")
    assert "not in the lesson yet" in opened.said[0]


def test_what_is_said_of_a_ball_on_its_way_is_written_and_can_be_taken_back(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    opened.do("star")
    opened.do("rate_4")
    settled(opened, qtbot)
    opened.written()
    written = opened.library.swing(SwingId("a")).book

    opened.place.steps.undo()
    opened.place.refresh()

    assert (written.starred, written.ball.rating) == (True, 4)
    last = opened.bay.balls.last
    assert last is not None
    assert (last.starred, last.rating) == (True, None)


def test_what_is_said_of_a_ball_in_the_lesson_is_written_at_once(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    settled(opened, qtbot)

    opened.do("star")
    opened.do("rate_2")
    opened.written()
    both = opened.library.swing(SwingId("a")).book
    opened.do("star")
    opened.do("rate_2")
    opened.written()
    neither = opened.library.swing(SwingId("a")).book

    assert (both.starred, both.ball.rating) == (True, 2)
    assert (neither.starred, neither.ball.rating) == (False, None)


def test_without_a_ball_nothing_can_be_said_of_it(opened: Opened) -> None:
    for action in ("star", "rate_3"):
        opened.do(action)

    assert opened.said == ["No ball yet", "No ball yet"]


def test_a_ball_that_can_t_be_taken_in_stays_and_is_a_trouble(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    left_ball(opened.library.inbox, first_swing.by_view, ticket="nobody's", key="a")
    opened.say(struck("a"), kept("a", opened.library.inbox))
    settled(opened, qtbot)

    assert [ball.stage for ball in opened.bay.balls.all] == [Stage.LEFT]
    assert len(opened.troubles) == 1
    assert (opened.library.inbox / "a").is_dir()
    remove_folder(opened.library.inbox / "a")


def test_a_ball_that_goes_with_a_step_is_not_the_last_any_more(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    settled(opened, qtbot)
    opened.library.trash_swing(SwingId("a"))

    opened.place.refresh()

    assert opened.bay.balls.all == ()


def test_delays_that_strikes_have_told_are_shown(opened: Opened, qtbot: QtBot) -> None:
    opened.choose()
    opened.place.taking.learn_delays()
    settled(opened, qtbot)

    # Two swings of cameras without a name say nothing.
    assert opened.place.strip.delays == ""
    opened.place.strip.tell_delays("Delay of table: 31.0 ± 4.0 ms")
    assert "31.0" in opened.place.strip.signs.text()
