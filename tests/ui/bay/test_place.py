"""The Bay as a whole: keys, pages over it, and that a new ball takes nothing from anybody."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PyQt6.QtCore import QSize
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.capture.messages import KeepNow, Lost
from capturestation.records import View
from capturestation.records.capture import Windows
from capturestation.station.bay.bay import Mode
from capturestation.ui.keys import key_table
from tests.helpers.bay_facts import struck
from tests.helpers.bay_files import Pair
from tests.ui.bay.conftest import GREYS, Opened


def test_every_key_of_the_bay_and_the_remote_does_something(opened: Opened) -> None:
    wanted = {line.action for line in key_table() if line.place in ("bay", "remote")}

    assert set(opened.place.commands()) == wanted


def test_the_large_button_leads_step_by_step_to_ready(opened: Opened) -> None:
    opened.do("turn")
    asked = opened.over
    opened.place.close_over()
    opened.choose()
    opened.place.band.button.click()
    opened.say()

    assert asked is opened.place.who
    assert opened.bay.mode is Mode.BEGINNING


def test_a_key_does_nothing_while_a_page_lies_over_it(opened: Opened) -> None:
    opened.get_ready()
    opened.place.lessons.ask_kind()

    opened.do("turn")

    assert opened.bay.mode is Mode.READY


def test_one_is_kept_by_key_when_ready_and_else_it_is_said_why_not(opened: Opened) -> None:
    opened.do("keep")
    said = list(opened.said)
    opened.get_ready()
    opened.do("keep")

    assert said == ["Nothing is kept while it is paused: get ready first."]
    assert opened.recording.client.heard[-1] == KeepNow()


def test_talk_is_kept_and_not_by_one_key(opened: Opened) -> None:
    opened.get_ready()
    opened.do("talk")
    on = opened.recording.client.setting.windows, opened.bay.keeps_talk
    opened.do("talk")

    assert on == (Windows(), True)
    assert not opened.bay.keeps_talk


def test_a_ball_is_played_until_the_key_and_again_after_it(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    opened.do("picture")
    live = opened.place.pictures.is_replaying
    opened.do("picture")
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    assert not live
    assert opened.place.replay.ball == "a"


def test_a_new_ball_is_said_calmly_to_whoever_is_elsewhere_and_waits(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.place.hide()
    opened.ball(first_swing, "a")
    qtbot.waitUntil(lambda: not opened.place.workers.jobs)
    elsewhere = (list(opened.said), list(opened.opened), opened.place.pictures.is_replaying)

    opened.place.show()
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    assert elsewhere == (["A new ball is kept; it waits in the Bay."], [], False)
    assert opened.opened == []


def test_a_ball_that_is_lost_is_a_trouble_with_what_to_do(opened: Opened) -> None:
    opened.get_ready()
    at = datetime(2026, 10, 30, tzinfo=UTC)
    lost = Lost(struck_at=at, why="No room.", try_next="Make room.", id="a")

    opened.say(struck("a"), lost, lost)

    assert [str(error) for error in opened.troubles] == ["A ball is not kept. No room. Make room."]


def test_the_second_screen_shows_the_pictures_alone(opened: Opened) -> None:
    opened.choose()
    image = QImage(QSize(640, 200), QImage.Format.Format_RGB32)
    image.fill(0)
    painter = QPainter(image)
    tv = opened.place.tv()
    assert tv is not None

    tv.paint_tv(painter, image.size())
    painter.end()

    left, right = image.pixelColor(160, 100).red(), image.pixelColor(480, 100).red()
    assert left == pytest.approx(GREYS[View.FACE_ON], abs=6)
    assert right == pytest.approx(GREYS[View.DOWN_THE_LINE], abs=6)


def test_where_there_is_little_room_the_keys_do_it(opened: Opened, qtbot: QtBot) -> None:
    opened.get_ready()
    roomy = opened.place.tools.isVisible()
    opened.place.look.enlarge(2.0)
    qtbot.waitUntil(lambda: not opened.place.tools.isVisible())

    assert roomy
    assert opened.place.band.button.text() == "Pause"


def test_leaving_closes_what_lies_over_it_and_says_whether_anything_did(opened: Opened) -> None:
    nothing = opened.place.leave()
    opened.do("who")
    something = opened.place.leave()

    assert (nothing, something, opened.over) == (False, True, None)


def test_the_window_waits_for_a_ball_that_is_being_kept(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    before = opened.place.is_writing
    opened.say(struck("a"))
    struck_now = opened.place.is_writing
    opened.ball(first_swing, "a")
    taking = opened.place.is_writing
    qtbot.waitUntil(lambda: not opened.place.is_writing, timeout=30_000)

    assert (before, struck_now, taking) == (False, True, True)


def test_a_student_who_is_forgotten_is_filmed_and_shown_no_more(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    opened.place.let_go_of(opened.student.id)
    opened.recording.wait()

    assert opened.bay.person is None
    assert opened.place.replay.ball == ""
    assert opened.recording.client.is_stopped


def test_a_ball_that_goes_is_played_no_more(
    opened: Opened, qtbot: QtBot, first_swing: Pair
) -> None:
    opened.get_ready()
    opened.ball(first_swing, "a")
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    opened.place.let_go_of("another")
    other = opened.place.replay.ball
    opened.place.let_go_of("a")

    assert (other, opened.place.replay.ball) == ("a", "")


def test_the_club_is_as_it_was_when_the_program_starts_again(opened: Opened) -> None:
    opened.place.restore({"club": "wedge"})

    assert opened.place.kept() == {"club": "wedge"}


def test_more_words_stand_on_a_page_where_the_header_has_no_room(opened: Opened) -> None:
    opened.place.head.more.click()
    page = opened.place.more_page
    words = [answer.text() for answer in page.answers]
    page.answers[3].click()

    assert words == ["Morning check", "Cameras", "Measure", "End the lesson"]
    assert opened.said == ["No lesson is open here."]
