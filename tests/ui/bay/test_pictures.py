"""Live pictures, or the last ball: upright, captioned, and never of a closed camera."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from capturestation.capture.messages import SourceDown
from capturestation.records import View
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.setting import BaySetting
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.look import Look
from tests.helpers.bay_files import Pair
from tests.ui.bay.conftest import GREYS, Opened, preview, sent


def shown(bay: Bay, look: Look, qtbot: QtBot) -> BayPictures:
    made = BayPictures(bay, None, look)
    qtbot.addWidget(made)
    made.resize(800, 300)
    return made


def test_live_pictures_stand_beside_each_other(bare_bay: Bay, look: Look, qtbot: QtBot) -> None:
    made = shown(bare_bay, look, qtbot)
    sent(bare_bay)

    image = made.grab().toImage()

    assert [picture.words for picture in made.pictures()] == ["face-on, now", "down-the-line, now"]
    assert image.pixelColor(200, 140).red() == pytest.approx(GREYS[View.FACE_ON], abs=6)
    assert image.pixelColor(600, 140).red() == pytest.approx(GREYS[View.DOWN_THE_LINE], abs=6)


def test_an_upright_camera_s_picture_stands_upright(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    made = shown(bare_bay, look, qtbot)
    sent(bare_bay)

    bare_bay.take(replace(preview(View.FACE_ON), rotation_deg=90))

    first, second = made.pictures()
    assert (first.turn_deg, second.turn_deg) == (90, 0)
    assert first.aspect == pytest.approx(1 / second.aspect)


def test_a_closed_camera_and_one_that_is_gone_show_no_picture(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    made = shown(bare_bay, look, qtbot)
    closed = [picture.missing for picture in made.pictures()]
    sent(bare_bay)
    bare_bay.take(SourceDown(view=View.FACE_ON, why="Gone.", try_next="Check."))

    first, second = made.pictures()

    assert closed == ["The camera is closed: nobody is filmed."] * 2
    assert (first.image, first.missing) == (None, "No picture comes from this camera.")
    assert second.image is not None
    assert made.live_image(View.FACE_ON) is None


def test_without_a_camera_it_says_how_to_begin(bare_bay: Bay, look: Look, qtbot: QtBot) -> None:
    bare_bay.setting = BaySetting()
    made = shown(bare_bay, look, qtbot)

    image = made.grab().toImage()

    assert made.pictures() == []
    row = {image.pixel(x, y) for x in range(0, 800, 2) for y in range(100, 200, 2)}
    assert len(row) > 2


def test_a_replay_says_that_it_is_one(opened: Opened, qtbot: QtBot, first_swing: Pair) -> None:
    opened.get_ready()
    live = opened.place.pictures.accessibleName()
    opened.ball(first_swing, "a")
    qtbot.waitUntil(lambda: opened.place.pictures.is_replaying)

    first, second = opened.place.pictures.pictures()
    assert first.words.startswith("face-on, last ball ")
    assert second.image is not None
    assert (live, opened.place.pictures.accessibleName()) == (
        "Live pictures",
        "The last ball, slowly",
    )
