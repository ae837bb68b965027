"""How all is doing in words and shapes; one trouble at a time; the disk always."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from pytestqt.qtbot import QtBot

from capturestation.capture.messages import SourceDown
from capturestation.records import View
from capturestation.station.bay.bay import Bay
from capturestation.station.capture_client import Interrupted
from capturestation.ui.bay.strip import Strip, delay_words
from capturestation.ui.look import Look
from tests.helpers.bay_facts import SOUND, WELL, doing
from tests.ui.bay.conftest import sent

NBSP = "\N{NO-BREAK SPACE}"


def strip_of(bay: Bay, look: Look, qtbot: QtBot) -> Strip:
    made = Strip(bay, look)
    qtbot.addWidget(made)
    sent(bay)
    made.show()
    return made


def words(strip: Strip) -> str:
    return strip.signs.text().replace(NBSP, " ")


def test_where_all_is_well_it_takes_few_words(bare_bay: Bay, look: Look, qtbot: QtBot) -> None:
    strip = strip_of(bare_bay, look, qtbot)

    assert words(strip).split("   ") == [
        "● 2 cameras: 120 a second, none missing",
        "● Views 1.2 ms apart",
        "● Sound: heard",
        "● Disk: 16 hours left, 1000 balls",
    ]
    assert strip.trouble.text() == ""


def test_cameras_of_different_rates_are_said_one_by_one(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    strip = strip_of(bare_bay, look, qtbot)
    slow = replace(WELL, view=View.DOWN_THE_LINE, rate_hz=30.0, asked_hz=30.0)

    bare_bay.take(doing(replace(WELL, rate_hz=124.0), slow))

    assert words(strip).split("   ")[:2] == [
        "● face-on: 124 a second, none missing",
        "● down-the-line: 30 a second, none missing",
    ]


def test_before_the_cameras_are_open_nothing_is_said(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    strip = Strip(bare_bay, look)
    qtbot.addWidget(strip)

    assert (strip.signs.text(), strip.trouble.text()) == ("", "")


def test_the_worst_trouble_is_said_with_what_to_do(bare_bay: Bay, look: Look, qtbot: QtBot) -> None:
    strip = strip_of(bare_bay, look, qtbot)
    bare_bay.take(doing(replace(WELL, missing=3), sound=replace(SOUND, clipped=True)))
    first = strip.trouble.text()
    bare_bay.take(SourceDown(view=View.DOWN_THE_LINE, why="It is gone.", try_next="Plug it in."))
    worse = strip.trouble.text()
    bare_bay.take(doing())

    assert first.startswith("▲ 3 pictures of the face-on camera are missing. Plug the camera in")
    assert worse == "■ It is gone. Plug it in."


def test_a_recording_that_stopped_is_said_until_it_goes_on(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    strip = strip_of(bare_bay, look, qtbot)
    at = datetime(2026, 10, 30, tzinfo=UTC)

    bare_bay.take(Interrupted(since=at, for_good=False, said=""))
    anew = strip.trouble.text()
    bare_bay.take(Interrupted(since=at, for_good=True, said=""))

    assert anew.startswith("The recording stopped and is begun anew.")
    assert strip.trouble.text().startswith("The recording ended again and again.")


def test_where_there_is_little_room_the_disk_and_what_is_not_well_stay(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    strip = strip_of(bare_bay, look, qtbot)
    bare_bay.take(doing(replace(WELL, rate_hz=90.0), balls_left=30))

    strip.shorten(True)

    assert words(strip).split("   ") == [
        "▲ face-on: 90 a second of 120",
        "▲ Disk: 30 minutes left, 30 balls",
    ]


def test_delays_stand_before_the_disk_with_their_errors(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    strip = strip_of(bare_bay, look, qtbot)

    strip.tell_delays(delay_words((("left phone", "31.2", "4.0"),)))

    assert words(strip).split("   ")[-2] == "Delay of left phone: 31.2 ± 4.0 ms"
