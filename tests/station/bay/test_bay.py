"""Ready or paused, who is hitting, and that nobody is filmed who may not be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from capturestation.capture.messages import (
    ChangeWindows,
    KeepNow,
    Pause,
    Preview,
    Ready,
    Refused,
)
from capturestation.errors import OutputError, StationError
from capturestation.library import Library
from capturestation.records import Consent, Giver, Purpose, SwingKind, View
from capturestation.records.capture import CaptureSetting, SourceKind, SourceSetting
from capturestation.station import people
from capturestation.station.bay.bay import Bay, Mode
from capturestation.station.bay.person import Person
from capturestation.station.bay.recording import Recording
from capturestation.station.bay.setting import CLOSE_PX, LESSON_PX, BaySetting
from capturestation.station.capture_client import Interrupted, Resumed
from capturestation.station.people import today
from capturestation.station.taking_in import ticket_of
from tests.helpers.bay_facts import READY, SpokenClient, kept, struck, up
from tests.helpers.station_library import grown_up

CAMERA = SourceSetting(view=View.FACE_ON, kind=SourceKind.DEVICE, address="/dev/video0")
SETTING = BaySetting(cameras=(CAMERA,))
PREVIEW = Preview(view=View.FACE_ON, at_host_ns=0, rotation_deg=0, jpeg="")
NOW = datetime(2026, 10, 30, 15, 0, tzinfo=UTC)


@dataclass
class Made:
    """A bay whose processes are a test's own."""

    why: StationError | None = None
    clients: list[SpokenClient] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.recording = Recording(self._client)
        self.bay = Bay(Path("inbox"), SETTING, self.recording)

    def _client(self, setting: CaptureSetting) -> SpokenClient:
        made = SpokenClient(setting, self.why)
        self.clients.append(made)
        return made

    def settle(self) -> None:
        """Let what was begun or ended be so."""
        self.recording.wait()
        self.bay.listen()

    @property
    def client(self) -> SpokenClient:
        """The process that is there now."""
        self.settle()
        return self.clients[-1]

    def heard(self, *said: object) -> None:
        """It says this."""
        client = self.client
        client.unsaid += said  # type: ignore[arg-type]
        self.bay.listen()

    def get_ready(self, person: Person) -> None:
        """All the way to ready."""
        self.bay.choose(person)
        self.bay.turn()
        self.settle()
        for said in (up(), READY):
            self.bay.take(said)


@pytest.fixture
def made() -> Iterator[Made]:
    made = Made()
    yield made
    made.bay.close()


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library") as library:
        yield library


@pytest.fixture
def grown(library: Library) -> Person:
    student = grown_up(library)
    return Person(student=student, lesson=people.add_lesson(library, student.id), club="7 iron")


@pytest.fixture
def child(library: Library) -> Person:
    student = people.add_student(library, name="Kind", birth_year=today().year - 12)
    return Person(student=student, lesson=people.add_lesson(library, student.id), club="7 iron")


def says_yes(library: Library, person: Person, giver: Giver) -> Person:
    """One more yes to coaching."""
    yes = Consent(purpose=Purpose.COACHING, giver=giver, given=True, on=today(), by="the coach")
    people.answer_consent(library, person.student.id, yes)
    return person.read_again(library)


def test_without_a_camera_and_without_a_person_no_camera_is_opened(made: Made) -> None:
    bare = Bay(Path("inbox"), BaySetting(), made.recording)

    bare.turn()
    made.bay.turn()
    made.settle()

    assert (bare.mode, made.bay.mode) == (Mode.NO_CAMERAS, Mode.NO_ONE)
    assert made.clients == []


def test_it_asks_who_is_hitting_before_it_is_ready(made: Made, grown: Person) -> None:
    made.bay.choose(grown)
    asked = made.bay.mode
    made.bay.ready()
    still = made.bay.mode
    made.bay.turn()

    assert (asked, still, made.bay.mode) == (Mode.ASKS, Mode.ASKS, Mode.BEGINNING)
    [ready] = made.client.heard
    assert isinstance(ready, Ready)
    assert ticket_of(ready.ticket) == grown.ticket()


def test_it_is_ready_once_the_process_says_so_and_a_camera_sends(made: Made, grown: Person) -> None:
    made.bay.choose(grown)
    made.bay.turn()

    made.heard(READY)
    without_picture = made.bay.mode
    made.heard(up())

    assert (without_picture, made.bay.mode) == (Mode.BEGINNING, Mode.READY)


def test_a_pause_is_followed_by_the_question(made: Made, grown: Person) -> None:
    made.get_ready(grown)

    made.bay.turn()

    assert made.bay.mode is Mode.ASKS
    assert made.client.heard[-1] == Pause()


def test_another_person_pauses_and_is_asked_for(
    made: Made, grown: Person, library: Library
) -> None:
    made.get_ready(grown)
    made.heard(struck("a"), kept("a"))
    other = people.add_lesson(library, grown.student.id)

    made.bay.choose(replace(grown, lesson=other))

    assert made.bay.mode is Mode.ASKS
    assert made.client.heard[-1] == Pause()
    assert made.bay.balls.all == ()


def test_nobody_under_18_is_filmed_before_both_said_yes(
    made: Made, child: Person, library: Library
) -> None:
    modes = []
    for giver in (None, *Giver):
        child = child if giver is None else says_yes(library, child, giver)
        made.bay.choose(child)
        made.bay.turn()
        made.settle()
        modes.append((made.bay.mode, len(made.clients)))

    assert modes == [(Mode.REFUSED, 0), (Mode.REFUSED, 0), (Mode.BEGINNING, 1)]


def test_a_consent_that_is_taken_back_closes_the_cameras_at_once(
    made: Made, grown: Person, library: Library
) -> None:
    made.get_ready(grown)
    client = made.client
    no = Consent(
        purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=today(), by="the coach"
    )
    people.answer_consent(library, grown.student.id, no)

    made.bay.know_again(grown.read_again(library))
    made.settle()

    assert made.bay.mode is Mode.REFUSED
    assert client.heard[-1] == Pause()
    assert client.is_stopped


def test_a_picture_that_comes_late_of_somebody_who_may_not_be_filmed_is_not_shown(
    made: Made, grown: Person, child: Person
) -> None:
    made.get_ready(grown)
    made.heard(PREVIEW)
    shown = dict(made.bay.previews)

    made.bay.choose(child)
    made.bay.take(PREVIEW)

    assert shown == {View.FACE_ON: PREVIEW}
    assert made.bay.previews == {}


def test_setting_up_opens_the_cameras_close_and_keeps_nothing(made: Made, grown: Person) -> None:
    made.bay.look_close(True)
    close = made.client
    made.bay.choose(grown)
    made.bay.look_close(False)
    lesson = made.client

    assert close.setting.preview_px == CLOSE_PX
    assert close.heard == []
    assert close.is_stopped
    assert lesson.setting.preview_px == LESSON_PX


def test_set_up_without_a_person_ends_with_closed_cameras(made: Made) -> None:
    made.bay.look_close(True)
    client = made.client

    made.bay.look_close(False)
    made.settle()

    assert client.is_stopped
    assert made.bay.mode is Mode.NO_ONE


def test_the_lesson_s_end_waits_for_the_last_ball(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    client = made.client
    client.last_words = [kept("late")]
    made.heard(struck("late"))

    made.bay.end_lesson()
    ending = made.bay.is_ending
    made.settle()

    assert ending
    assert not made.bay.is_ending
    assert [ball.id for ball in made.bay.balls.waiting] == ["late"]
    assert client.is_stopped


def test_a_process_that_dies_is_not_ready_until_its_follower_is(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    gone = Interrupted(since=NOW, for_good=False, said="Begun anew.")

    made.heard(gone)
    meanwhile = made.bay.mode
    made.heard(READY, Resumed(since=NOW, until=NOW, said="Goes on."), up())

    assert meanwhile is Mode.BEGINNING
    assert made.bay.mode is Mode.READY
    assert made.bay.interrupted is None


def test_a_process_that_is_given_up_is_begun_anew_by_the_button(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    made.heard(Interrupted(since=NOW, for_good=True, said="Given up."))
    given_up = made.bay.mode

    made.bay.turn()
    made.settle()

    assert given_up is Mode.PAUSED
    assert made.bay.mode is Mode.BEGINNING
    assert len(made.clients) == 2


def test_a_process_that_can_t_be_begun_is_said(made: Made, grown: Person) -> None:
    made.why = OutputError("It can't be started.", try_next="Install it anew.")

    made.bay.choose(grown)
    made.settle()

    assert made.bay.refused is made.why
    assert not made.recording.is_wanted


def test_a_refusal_is_remembered_until_the_next_try(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    made.heard(Refused(what="Too late.", try_next="Press sooner."))
    refused = made.bay.refused

    made.bay.keep_now()

    assert str(refused) == "Too late. Press sooner."
    assert made.bay.refused is None
    assert made.client.heard[-1] == KeepNow()


def test_talk_and_kind_are_told_while_it_is_ready(made: Made, grown: Person) -> None:
    made.get_ready(grown)

    made.bay.hold_talk(True)
    made.bay.wish(kind=SwingKind.PUTT, club="putter")

    talk, ready = made.client.heard[-2:]
    assert isinstance(talk, ChangeWindows)
    assert talk.windows.keeps_talk
    assert isinstance(ready, Ready)
    assert ticket_of(ready.ticket).kind is SwingKind.PUTT
    assert ticket_of(ready.ticket).club == "putter"


def test_swings_without_a_strike_are_kept_where_that_is_wished(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    before = made.client.heard[-1]

    made.bay.hold_swings(True)
    made.bay.wish(club="putter")

    wished, later = made.client.heard[-2:]
    assert isinstance(before, Ready)
    assert isinstance(wished, Ready)
    assert isinstance(later, Ready)
    assert [said.keeps_swings for said in (before, wished, later)] == [False, True, True]


def test_another_camera_begins_another_process(made: Made, grown: Person) -> None:
    made.get_ready(grown)
    first = made.client
    other = replace(CAMERA, view=View.DOWN_THE_LINE, address="/dev/video2")

    made.bay.set_up(SETTING.with_camera(other))

    assert [source.view for source in made.client.setting.sources] == [
        View.FACE_ON,
        View.DOWN_THE_LINE,
    ]
    assert first.is_stopped
    assert made.bay.mode is Mode.ASKS
