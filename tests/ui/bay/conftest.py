"""A Bay over a real library, whose recording process says what a test lets it say."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.capture.messages import LookAt, LookReady, Preview
from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.media.still import jpeg_bytes
from capturestation.records import NS_PER_S, Lesson, Student, SwingId, View
from capturestation.records.capture import CaptureSetting, SourceKind, SourceSetting
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.person import Person
from capturestation.station.bay.recording import Recording, Said
from capturestation.station.bay.setting import BaySetting, write_bay
from capturestation.station.cache import cache_of
from capturestation.station.capture_client import Told
from capturestation.station.taking_in import ticket_text
from capturestation.station.undo import UndoList
from capturestation.ui.bay.overs import Outside
from capturestation.ui.bay.place import BayPlace
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.bay_facts import BOTH, HEARS, READY, SpokenClient, doing, kept, struck, up
from tests.helpers.bay_files import CONTACT_S, Pair
from tests.helpers.inbox_balls import left_ball
from tests.helpers.station_library import Filled

SETTING = BaySetting(
    cameras=tuple(
        SourceSetting(view=view, kind=SourceKind.DEVICE, address=f"/dev/{view}", camera=str(view))
        for view in BOTH
    )
)
GREYS = {View.FACE_ON: 60, View.DOWN_THE_LINE: 190}


class Spoken(Recording):
    """A process that is a test's own."""

    def __init__(self) -> None:
        self.clients: list[SpokenClient] = []
        super().__init__(self._made)

    def _made(self, setting: CaptureSetting) -> SpokenClient:
        self.clients.append(SpokenClient(setting))
        return self.clients[-1]

    @property
    def client(self) -> SpokenClient:
        """The one that is there now."""
        self.wait()
        return self.clients[-1]


def preview(view: View) -> Preview:
    """A small picture of one grey."""
    grey = np.full((96, 160, 3), GREYS[view], np.uint8)
    text = base64.b64encode(jpeg_bytes(grey)).decode("ascii")
    return Preview(view=view, at_host_ns=0, rotation_deg=0, jpeg=text)


@dataclass(kw_only=True)
class Opened:
    """A Bay, and what it said to the window.

    Args:
        place: The Bay.
        filled: What its library was filled with.
        recording: Its process.
        qtbot: Waits.
        troubles: Errors that were told.
        said: Sentences that were said.
        opened: Swings that are to be looked at.
    """

    place: BayPlace
    filled: Filled
    recording: Spoken
    qtbot: QtBot
    troubles: list[StationError] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    opened: list[SwingId] = field(default_factory=list)

    @property
    def bay(self) -> Bay:
        """Its state."""
        return self.place.bay

    @property
    def library(self) -> Library:
        """Its library."""
        return self.place.library

    @property
    def student(self) -> Student:
        """Who has the lesson."""
        return self.library.student(self.filled.today.book.student_id)

    @property
    def lesson(self) -> Lesson:
        """Her lesson that is there already."""
        return self.library.lesson(self.filled.today.book.lesson_id)

    @property
    def over(self) -> QWidget | None:
        """The page that lies over the Bay."""
        return self.place.pages.currentWidget() if self.place.is_over else None

    def written(self) -> None:
        """Wait until all that was changed is written."""
        self.qtbot.waitUntil(lambda: not self.place.writer.is_busy)

    def do(self, action: str) -> None:
        """What a key or a word does."""
        self.place.commands()[f"bay.{action}"]()

    def say(self, *said: Said) -> None:
        """The process says this."""
        self.recording.wait()
        self.bay.listen()
        for one in said:
            self.bay.take(one)

    def send(self) -> None:
        """Both cameras send, and all is well."""
        self.say(*(up(view) for view in BOTH), HEARS, doing(), *(preview(v) for v in BOTH))

    def choose(self) -> None:
        """Somebody hits in the lesson that is there."""
        self.bay.choose(Person(student=self.student, lesson=self.lesson, club="7 iron"))
        self.send()

    def get_ready(self) -> None:
        """All the way to ready."""
        self.choose()
        self.bay.turn()
        self.say(READY)

    def ball(self, pair: Pair, key: str) -> None:
        """A ball is struck, seen again and kept."""
        self.say(*self.facts_of(pair, key))

    def facts_of(self, pair: Pair, key: str) -> tuple[Told, ...]:
        """What is said of a ball whose folder is in the inbox now."""
        person = self.bay.person
        assert person is not None
        left_ball(self.library.inbox, pair.by_view, ticket=ticket_text(person.ticket()), key=key)
        looks = tuple(
            LookAt(view=view, file=str(path), impact_media_ns=round(CONTACT_S * NS_PER_S))
            for view, path in pair.by_view.items()
        )
        return struck(key), LookReady(id=key, looks=looks), kept(key, self.library.inbox)


@pytest.fixture
def bay_path(tmp_path: Path) -> Path:
    """Where the bay's setting lies."""
    path = tmp_path / "state" / "bay.json"
    write_bay(path, SETTING)
    return path


@pytest.fixture
def opened(qtbot: QtBot, filled: Filled, tmp_path: Path, bay_path: Path) -> Opened:
    """A Bay, shown."""
    library = Library.open(filled.folder)
    workers, recording = Workers(), Spoken()
    outside = Outside(
        recording=recording, bay_path=bay_path, cache=cache_of(library, tmp_path / "cache")
    )
    place = BayPlace(library, workers, Look(), UndoList(), outside=outside)
    qtbot.addWidget(place, before_close_func=lambda _place: _end(place, workers, library))
    made = Opened(place=place, filled=filled, recording=recording, qtbot=qtbot)
    place.trouble.connect(made.troubles.append)
    place.says.connect(made.said.append)
    place.opens.connect(made.opened.append)
    place.resize(1280, 612)
    place.show()
    qtbot.waitExposed(place)
    place.activateWindow()
    qtbot.waitUntil(place.isActiveWindow)
    return made


def _end(place: BayPlace, workers: Workers, library: Library) -> None:
    place.let_go()
    workers.close()
    library.close()


@pytest.fixture
def bare_bay(tmp_path: Path) -> Iterator[Bay]:
    """A Bay's state alone."""
    recording = Spoken()
    bay = Bay(tmp_path / "inbox", SETTING, recording)
    yield bay
    recording.close()


def sent(bay: Bay) -> None:
    """Cameras that send, without a library."""
    bay.look_close(True)
    bay.recording.wait()
    bay.listen()
    for view in BOTH:
        bay.take(up(view))
        bay.take(preview(view))
    bay.take(HEARS)
    bay.take(doing())
