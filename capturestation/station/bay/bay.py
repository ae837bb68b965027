"""The Bay without its window: who is hitting, ready or paused, and what is kept.

Owns every decision about filming. A camera is opened for a lesson only once somebody is chosen who
may be filmed; to set the bay up it is opened too, and then nothing can be kept. A pause, a new
person and a new lesson are followed by the question who is hitting.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path

from capturestation.capture.messages import (
    ChangeWindows,
    ClockSet,
    KeepNow,
    Pause,
    Preview,
    Ready,
    ReadyNow,
    Refused,
    SourceDown,
)
from capturestation.errors import StationError
from capturestation.records import SwingKind, View
from capturestation.records.capture import Windows
from capturestation.station.bay.balls import Balls
from capturestation.station.bay.person import Person
from capturestation.station.bay.recording import Began, Ended, NotBegun, Recording, Said
from capturestation.station.bay.setting import BaySetting, capture_setting
from capturestation.station.bay.standing import USUAL_BALLS_AN_HOUR, Standing
from capturestation.station.bench.notice import Notice
from capturestation.station.capture_client import Interrupted, Resumed
from capturestation.station.taking_in import ticket_text

_SLOWEST, _QUICKEST = 20.0, 240.0
# Balls an hour: a lesson that begins with three quick ones does not go on so.


class Mode(StrEnum):
    """How the Bay stands; only in the last is a struck ball kept."""

    NO_CAMERAS = "no cameras"
    NO_ONE = "no one"
    REFUSED = "refused"
    BEGINNING = "beginning"
    ASKS = "asks"
    PAUSED = "paused"
    READY = "ready"


class Bay:
    """One bay while the window is open.

    Args:
        inbox: Where kept balls are left.
        setting: Cameras and microphone.
        recording: The process.

    Attributes:
        changed: Something that is read in words is different.
        pictured: A live picture came.
        balled: Something became of a ball.
    """

    def __init__(self, inbox: Path, setting: BaySetting, recording: Recording) -> None:
        self.changed, self.pictured, self.balled = Notice(), Notice(), Notice()
        self.inbox = inbox
        self.setting = setting
        self.recording = recording
        self.person: Person | None = None
        self.balls = Balls()
        self.standing = Standing()
        self.previews: dict[View, Preview] = {}
        self.is_setting_up = False
        self.is_ending = False
        self.keeps_talk = setting.windows.keeps_talk
        self.keeps_swings = False
        """Whether swings of which no ball is heard are kept by their motion: where it is wished."""
        self.refused: StationError | None = None
        """The process would not, or could not be begun: what it said."""
        self.interrupted: Interrupted | None = None
        self.resumed: Resumed | None = None
        self._asks = True
        self._wants_ready = False
        self._is_told_ready = False

    # How it stands.

    @property
    def mode(self) -> Mode:
        """How it stands."""
        if not self.setting.has_cameras:
            return Mode.NO_CAMERAS
        if self.person is None:
            return Mode.NO_ONE
        if not self.person.may_be_filmed:
            return Mode.REFUSED
        if self._wants_ready and self.is_ready:
            return Mode.READY
        if self._wants_ready:
            return Mode.BEGINNING
        return Mode.ASKS if self._asks else Mode.PAUSED

    @property
    def is_ready(self) -> bool:
        """Whether a ball that is struck now is kept: the process says so and a camera sends."""
        return (
            self._wants_ready
            and self._is_told_ready
            and self.interrupted is None
            and self.standing.sends
        )

    @property
    def wants_ready(self) -> bool:
        """Whether the coach wants balls to be kept, also while something is in the way."""
        return self._wants_ready

    @property
    def balls_an_hour(self) -> float:
        """This lesson's pace, or a usual one."""
        pace = self.balls.an_hour()
        return USUAL_BALLS_AN_HOUR if pace is None else min(max(pace, _SLOWEST), _QUICKEST)

    # What the coach does.

    def choose(self, person: Person | None) -> None:
        """Somebody else is hitting, or nobody; what is struck from now on waits for "ready"."""
        before = self.person
        if person is None or before is None or before.lesson.id != person.lesson.id:
            self.balls.forget()
        self._stop_keeping()
        self.person = person
        self._asks = True
        self._run_or_end()
        self.changed()

    def know_again(self, person: Person) -> None:
        """The same person, as the book knows her now: a consent was written down or taken back."""
        was_ready = self._wants_ready
        self.person = person
        if was_ready and not person.may_be_filmed:
            self._stop_keeping()
        self._run_or_end()
        self.changed()

    def answer_who(self) -> None:
        """It is the person that is chosen; balls are kept from now on."""
        self._asks = False
        self.ready()

    def ready(self) -> None:
        """Keep every struck ball from now on; asks first who is hitting where that isn't known."""
        if self.person is None or not self.person.may_be_filmed or self._asks:
            self.changed()
            return
        self._wants_ready = True
        self._run_or_end()
        self._say_ready()
        self.changed()

    def pause(self) -> None:
        """Keep nothing from now on."""
        self._stop_keeping()
        self._asks = True
        self.changed()

    def turn(self) -> None:
        """What the one large button does: pause while ready, else the next step to it."""
        if self._wants_ready:
            self.pause()
        elif self._asks and self.mode is Mode.ASKS:
            self.answer_who()
        else:
            self.ready()

    def keep_now(self) -> None:
        """Keep what just happened, whatever was heard of it."""
        self.refused = None
        self.recording.say(KeepNow())

    def hold_talk(self, keeps: bool) -> None:
        """Keep the sound as long as the picture, or only the strike."""
        self.keeps_talk = keeps
        self.recording.say(ChangeWindows(windows=self._windows()))
        self.changed()

    def hold_swings(self, keeps: bool) -> None:
        """Keep every swing, seen by its motion, or only struck balls."""
        self.keeps_swings = keeps
        self._say_ready()
        self.changed()

    def wish(self, *, club: str | None = None, kind: SwingKind | None = None) -> None:
        """The next balls are of another club or kind."""
        if self.person is None:
            return
        old = self.person
        self.person = replace(old, club=club or old.club, kind=kind or old.kind)
        self._say_ready()
        self.changed()

    def set_up(self, setting: BaySetting) -> None:
        """Take other cameras, or another microphone, and begin with them."""
        self._stop_keeping()
        self._asks = True
        self.setting = setting
        self.recording.end()
        self._run_or_end()
        self.changed()

    def look_close(self, on: bool) -> None:
        """Open the cameras to set them up, nothing being kept; or go back to the lesson."""
        if on == self.is_setting_up:
            return
        self._stop_keeping()
        self._asks = True
        self.is_setting_up = on
        self.recording.end()
        self._run_or_end()
        self.changed()

    def end_lesson(self) -> None:
        """Finish what is struck, close the cameras; it `is_ending` until nothing comes any more."""
        self._stop_keeping()
        self._asks = True
        self.is_ending = self.recording.is_wanted
        self.recording.end()
        self.previews.clear()
        self.changed()

    # What the process says.

    def listen(self) -> None:
        """Take up all that was said meanwhile; called many times a second."""
        for said in self.recording.told():
            self.take(said)

    def take(self, said: Said) -> None:
        """Take up one thing that was said."""
        if isinstance(said, Preview):
            self._see(said)
            return
        if isinstance(said, (Began, Ended, NotBegun, Interrupted, Resumed)):
            self._take_turn(said)
        elif isinstance(said, ReadyNow):
            self._is_told_ready = said.ready
        elif isinstance(said, (Refused, ClockSet)):
            self.refused = StationError(said.what, try_next=said.try_next)
        elif self.balls.take(said):
            self.balled()
        elif not self.standing.take(said):
            return
        if isinstance(said, SourceDown):
            # What it sent last is not what is there now.
            self.previews.pop(said.view, None)
        self.changed()

    def _see(self, preview: Preview) -> None:
        if self.recording.is_wanted:
            self.previews[preview.view] = preview
            self.pictured()

    def _take_turn(self, said: Began | Ended | NotBegun | Interrupted | Resumed) -> None:
        match said:
            case Began():
                self.refused = None
            case Ended():
                self.is_ending = False
                self._fall_silent()
            case NotBegun():
                self.refused = said.why
                self._give_up()
            case Interrupted():
                self.interrupted, self.resumed = said, None
                self._fall_silent()
                if said.for_good:
                    self._give_up()
            case Resumed():
                # Its follower was told to be ready by its client, and says so itself.
                self.interrupted, self.resumed = None, said

    def _give_up(self) -> None:
        """Nothing is there to be told; "ready" begins anew."""
        self._wants_ready = False
        self.recording.end()

    def _fall_silent(self) -> None:
        self._is_told_ready = False
        self.previews.clear()
        self.standing.silence()
        self.pictured()

    def _stop_keeping(self) -> None:
        if self._wants_ready:
            self._wants_ready = False
            self._is_told_ready = False
            self.recording.say(Pause())

    def _say_ready(self) -> None:
        if self._wants_ready and self.person is not None:
            ticket = ticket_text(self.person.ticket())
            self.recording.say(Ready(ticket=ticket, keeps_swings=self.keeps_swings))

    def _windows_setting(self) -> BaySetting:
        return replace(self.setting, windows=self._windows())

    def _windows(self) -> Windows:
        return replace(self.setting.windows, keeps_talk=self.keeps_talk)

    @property
    def may_film(self) -> bool:
        """Whether cameras may be open now."""
        if not self.setting.has_cameras:
            return False
        return self.is_setting_up or (self.person is not None and self.person.may_be_filmed)

    def _run_or_end(self) -> None:
        if not self.may_film:
            self.recording.end()
            self.previews.clear()
        elif not self.recording.is_wanted:
            self.interrupted = self.resumed = self.refused = None
            setting = self._windows_setting()
            views = tuple(source.view for source in setting.sources())
            self.standing = Standing(views, setting.windows)
            made = capture_setting(setting, self.inbox, close=self.is_setting_up)
            self.recording.begin(made)

    def close(self) -> None:
        """End the process and wait for it: what is struck is finished first."""
        self.recording.close()
