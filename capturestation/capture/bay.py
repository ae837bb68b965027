"""The bay while it is recorded: cameras, ear, witness and recorder, put together and taken apart.

Owns who tells whom. Called by the process, which owns the lines in and out.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from capturestation.capture.ear import Ear, Listener, Sounded
from capturestation.capture.eye import Confirmer, MotionConfirmer
from capturestation.capture.health import HealthBook
from capturestation.capture.hearing import Hearing
from capturestation.capture.inbox import Inbox
from capturestation.capture.messages import (
    ClockSet,
    Fact,
    Heard,
    Lost,
    Ready,
    SourceDown,
    SourceUp,
)
from capturestation.capture.onlooker import Blind, Mover, Onlooker
from capturestation.capture.own_microphone import OwnMicrophone
from capturestation.capture.part import Part
from capturestation.capture.previews import Previews
from capturestation.capture.recorder import Recorder
from capturestation.capture.source import Life, Opener, Source, opened_for_real
from capturestation.capture.strike import Strike
from capturestation.capture.wall import Wall
from capturestation.capture.witness import Rules, Witness
from capturestation.errors import BadInputError, StationError
from capturestation.media.microphone import Driver, SystemDriver
from capturestation.media.packets import SoundBlock
from capturestation.records import NS_PER_S, SwingId, new_id
from capturestation.records.capture import (
    Candidate,
    CaptureSetting,
    Confirmed,
    Health,
    Trigger,
    Windows,
)
from capturestation.timing.streaming import StreamingListener

_SPARE_NS = 4 * NS_PER_S
# Memory reaches back further than a ball needs, by what a slow disk may make its writer wait.
_KEY_U_NS = NS_PER_S // 2
# A coach's finger.
_MOTION_U_NS = 60_000_000
# Seen from behind, most moves that long before the club is lowest.
_ONE_SWING_NS = 1_500_000_000
# What is heard of a ball and what is seen of its swing lie no further apart.

Tell = Callable[[Fact], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Senses:
    """What can be put in place of another.

    Args:
        listener: Hears strikes.
        confirmer: Sees whether the ball left.
        mover: Sees swings of which nothing is heard.
        opener: Opens cameras.
        driver: Opens microphones.
    """

    listener: Listener
    confirmer: Confirmer
    mover: Mover = field(default_factory=Blind)
    opener: Opener = opened_for_real
    driver: Driver = field(default_factory=SystemDriver)


def plain_senses() -> Senses:
    """An eye that only sees whether somebody moves."""
    return Senses(listener=StreamingListener(), confirmer=MotionConfirmer())


class Bay:
    """Cameras and microphone of one station, recording.

    Args:
        setting: Which, and how much is kept.
        tell: Takes facts from any thread, never waiting.
        senses: Ear and eye.

    Raises:
        OutputError: If the inbox can't be written.
    """

    def __init__(self, setting: CaptureSetting, tell: Tell, senses: Senses) -> None:
        self.windows = setting.windows
        self._tell = tell
        self._ticket: str | None = None
        self._kept_ns = -_ONE_SWING_NS
        self._wall = Wall(setting.as_of)
        self.inbox = Inbox(Path(setting.inbox))
        needs_ns = setting.windows.before_ns + setting.windows.after_ns
        self.sources = tuple(
            Source(
                source,
                self,
                limit_bytes=setting.ring_mb << 20,
                limit_ns=needs_ns + _SPARE_NS,
                opener=senses.opener,
            )
            for source in setting.sources
        )
        self._ear = Ear(senses.listener, self._heard)
        self._hearing = Hearing(self._ear, tell)
        self._microphone = (
            None
            if setting.microphone is None
            else OwnMicrophone(
                setting.microphone, self._hearing, senses.driver, needs_ns + _SPARE_NS
            )
        )
        self._book = HealthBook(self.inbox.folder, self.sources, self._ear, self._hearing, needs_ns)
        self._recorder = Recorder(self.inbox, tell, self.health)
        self._witness = Witness(self.sources, senses.confirmer, self._keep_heard, tell)
        self._onlooker = Onlooker(self.sources, senses.mover, self._swung)
        self._previews = Previews(
            self.sources, long_px=setting.preview_px, rate_hz=setting.preview_hz, tell=tell
        )

    def start(self) -> None:
        """Say what was lost before, then begin to record."""
        for claim in self.inbox.sweep():
            self._tell(
                Lost(
                    struck_at=claim.struck_at,
                    why="The recording was cut off while this ball was being kept.",
                    try_next="Hit it again; whatever is struck from now on is kept.",
                    id=claim.id,
                )
            )
        self._ear.start()
        self._witness.start()
        if self._microphone is not None:
            self._microphone.start()
        for source in self.sources:
            source.start()
        self._previews.start()
        self._onlooker.start()

    @property
    def ticket(self) -> str | None:
        """What was given when it became ready; None while it is paused."""
        return self._ticket

    def ready(self, asked: Ready) -> None:
        """Keep every struck ball from now on."""
        self._witness.rules = Rules(keeps_unclear=asked.keeps_unclear)
        self._onlooker.is_wanted = asked.keeps_swings
        self._ticket = asked.ticket

    def pause(self) -> None:
        """Keep nothing that is struck from now on."""
        self._ticket = None
        self._onlooker.is_wanted = False

    def change_windows(self, windows: Windows) -> None:
        """Keep more or less of each ball from now on.

        Raises:
            BadInputError: If it is more than memory was made for.
        """
        most_ns = self.sources[0].limit_ns - _SPARE_NS // 2
        if windows.before_ns + windows.after_ns > most_ns:
            raise BadInputError(
                f"At most {most_ns / NS_PER_S:.0f} s of each ball can be kept.",
                try_next="Start the recording anew with longer times.",
            )
        self.windows = windows

    def keep_now(self, back_ns: int) -> None:
        """Keep what happened so long ago, whatever was heard.

        Raises:
            BadInputError: If nobody is ready, or it is longer ago than memory reaches.
        """
        if self._ticket is None:
            raise BadInputError(
                "Nothing is kept while the station is paused.",
                try_next="Say who is hitting, then try again.",
            )
        if not 0 <= back_ns <= _SPARE_NS:
            raise BadInputError(
                f"{back_ns / NS_PER_S:.1f} s ago is not kept any more.",
                try_next=f"Press the key within {_SPARE_NS // NS_PER_S} s.",
            )
        at_ns = time.perf_counter_ns() - back_ns
        self._witness.kept_by_key(at_ns)
        self._keep((at_ns, _KEY_U_NS), self._ticket, Trigger.KEY)

    def health(self) -> Health:
        """How it is doing."""
        return self._book.measure(self._recorder.usual_mb)

    def look_over(self) -> Health:
        """Once a second: that every thread lives, how loud it is, and how all is doing.

        Raises:
            RuntimeError: If a thread died of a mistake of ours.
        """
        for source in self.sources:
            source.check()
        self._ear.check()
        self._witness.check()
        self._recorder.check()
        self._previews.check()
        self._onlooker.check()
        if self._microphone is not None:
            self._microphone.check()
        self._book.listen()
        by = self._wall.set_by()
        if by is not None:
            self._tell(ClockSet(by_s=by.total_seconds()))
        return self.health()

    def finish(self) -> tuple[int, int]:
        """Finish what is struck, then end; gives how many balls were kept and lost.

        Raises:
            RuntimeError: If a thread died of a mistake of ours.
        """
        self._ear.stop()
        self._witness.stop()
        self._onlooker.stop()
        self._ticket = None
        self._recorder.finish()
        self._previews.stop()
        if self._microphone is not None:
            self._microphone.stop()
        for source in self.sources:
            source.stop()
        self.inbox.leave()
        return self._recorder.kept, self._recorder.lost

    def came_up(self, source: Source, life: Life) -> None:
        """A camera is there."""
        self._tell(SourceUp(view=source.setting.view, got=life.got))

    def went_down(self, source: Source, why: StationError) -> None:
        """A camera is gone."""
        self._hearing.lost(source.setting.view)
        self._tell(SourceDown(view=source.setting.view, why=why.what, try_next=why.try_next))

    def sounded(self, source: Source, life: Life, block: SoundBlock) -> None:
        """A camera sent sound."""
        self._hearing.take(source.setting.view, life, block)

    def _heard(self, sounded: Sounded) -> None:
        ticket = self._ticket
        if ticket is not None:
            self._tell(Heard(candidate=sounded.by_host()))
            self._witness.take(sounded, ticket)

    def _keep_heard(self, candidate: Candidate, confirmed: Confirmed, ticket: str) -> None:
        at = candidate.at_host_ns, candidate.u_ns
        self._keep(at, ticket, Trigger.SOUND, (candidate, confirmed))

    def _swung(self, at_ns: int) -> None:
        """Somebody swung; of a ball that was heard it is kept already."""
        ticket = self._ticket
        if ticket is not None and abs(at_ns - self._kept_ns) > _ONE_SWING_NS:
            self._keep((at_ns, _MOTION_U_NS), ticket, Trigger.MOTION)

    def _keep(
        self,
        at: tuple[int, int],
        ticket: str,
        trigger: Trigger,
        heard: tuple[Candidate, Confirmed] | tuple[None, None] = (None, None),
    ) -> None:
        at_ns, u_ns = at
        self._kept_ns = at_ns
        strike = Strike(
            id=SwingId(new_id()),
            at_host_ns=at_ns,
            u_ns=u_ns,
            struck_at=self._wall.at(at_ns),
            trigger=trigger,
            ticket=ticket,
            windows=self.windows,
            candidate=heard[0],
            confirmed=heard[1],
        )
        self._recorder.keep(strike, self._parts(strike))

    def _parts(self, strike: Strike) -> Sequence[Part]:
        lives = [(s.setting, s.life_at(strike.at_host_ns)) for s in self.sources]
        return [
            Part(setting, life, strike, self._hearing.sound_for(life))
            for setting, life in lives
            if life is not None
        ]
