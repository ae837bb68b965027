"""The recording process is begun and ended beside the window, in order, and nothing is lost."""

from __future__ import annotations

import threading
from pathlib import Path

from capturestation.capture.messages import Command, KeepNow, Pause, Ready
from capturestation.errors import OutputError
from capturestation.records.capture import CaptureSetting
from capturestation.station.bay.recording import Began, Client, Ended, NotBegun, Recording
from capturestation.station.bay.setting import BaySetting, capture_setting
from tests.helpers.bay_facts import HEARS, READY, SpokenClient, kept

SETTING = capture_setting(BaySetting(is_demo=True), Path("inbox"))
SAY: list[Command] = [Ready(ticket="whose"), KeepNow()]


class Makes:
    """Begins processes, when it is let."""

    def __init__(self) -> None:
        self.clients: list[SpokenClient] = []
        self.may = threading.Event()
        self.may.set()

    def __call__(self, setting: CaptureSetting) -> Client:
        assert self.may.wait(10)
        self.clients.append(SpokenClient(setting))
        return self.clients[-1]


def test_what_is_said_while_it_begins_reaches_it_first() -> None:
    makes = Makes()
    makes.may.clear()
    recording = Recording(makes)

    recording.begin(SETTING)
    recording.say(SAY[0])
    makes.may.set()
    recording.wait()
    recording.say(SAY[1])

    assert makes.clients[0].heard == SAY
    assert recording.told() == [Began()]
    recording.close()


def test_it_says_in_order_what_was_said_and_the_last_words_before_the_end() -> None:
    makes = Makes()
    recording = Recording(makes)
    recording.begin(SETTING)
    recording.wait()
    client = makes.clients[0]
    client.unsaid, client.last_words = [HEARS, READY], [kept("late")]

    first = recording.told()
    recording.end()
    recording.wait()

    assert first == [Began(), HEARS, READY]
    assert recording.told() == [kept("late"), Ended()]
    assert client.is_stopped
    recording.close()


def test_another_one_begins_when_the_first_has_ended() -> None:
    makes = Makes()
    recording = Recording(makes)

    recording.begin(SETTING)
    recording.begin(SETTING)
    recording.say(Pause())
    recording.wait()

    first, second = makes.clients
    assert (first.is_stopped, second.is_stopped) == (True, False)
    assert (first.heard, second.heard) == ([], [Pause()])
    assert recording.told() == [Began(), Ended(), Began()]
    recording.close()
    assert second.is_stopped


def test_one_that_can_t_begin_says_why() -> None:
    why = OutputError("It can't be started.", try_next="Install it anew.")
    recording = Recording(lambda setting: SpokenClient(setting, why))

    recording.begin(SETTING)
    recording.wait()

    [said] = recording.told()
    assert said == NotBegun(why=why)
    recording.end()
    recording.close()
    assert recording.told() == []


def test_to_nobody_nothing_is_said() -> None:
    makes = Makes()
    recording = Recording(makes)

    recording.say(Pause())
    recording.end()
    recording.close()

    assert makes.clients == []
    assert recording.told() == []
