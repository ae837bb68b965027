"""The invented session's last lesson as it is recorded: two replayed cameras, a process of its own.

Owns when each ball of it is struck and what is known of the cameras. What a coach adds afterwards
(stars, notes, what the ball did) is added afterwards here too.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.capture.messages import Kept, Lost, Pause, Ready
from capturestation.folders import read_document, remove_folder
from capturestation.library import Library
from capturestation.media.index import index_frames
from capturestation.records import NS_PER_S, Lesson, Part, Swing, View, Watch
from capturestation.records.capture import (
    CaptureNote,
    CaptureSetting,
    Replay,
    ReplayPiece,
    SourceKind,
    SourceSetting,
    Windows,
)
from capturestation.station.capture_client import CaptureClient, Interrupted
from capturestation.station.taking_in import CAPTURE_FILE, Ticket, take_in, ticket_text
from sample_sessions.session import SampleSession, SampleSwing

_BEGINS_S = 5.0
"""A process is there within half a second; a busy computer may need some."""
_FIRST_S = 2.5
_EVERY_S = 4.5
"""A clip is three seconds long; between two the next one's first picture stands."""
_PATIENCE_S = 15.0
_LISTEN_S = 0.1


class RecordedLesson:
    """A lesson that is being recorded beside other work.

    Args:
        library: Its inbox takes the balls.
        session: The invented session.
        lesson: The lesson in the library.
        swings: What is struck in it, in this order.
    """

    def __init__(
        self,
        library: Library,
        session: SampleSession,
        lesson: Lesson,
        swings: Sequence[SampleSwing],
    ) -> None:
        self._library = library
        self._swings = tuple(swings)
        self._begins_ns = time.perf_counter_ns() + round(_BEGINS_S * NS_PER_S)
        self._folders: list[Path] = []
        self._settled = 0
        self._is_over = False
        ticket = Ticket(lesson=lesson.id, club=swings[0].club, kind=swings[0].kind)
        self._client = CaptureClient(self._setting(session))
        self._client.say(Ready(ticket=ticket_text(ticket)))

    def _setting(self, session: SampleSession) -> CaptureSetting:
        away = timedelta(seconds=_BEGINS_S + _FIRST_S)
        return CaptureSetting(
            inbox=str(self._library.inbox),
            sources=tuple(self._camera(session, view) for view in session.camera_names),
            windows=self._windows(session),
            preview_px=0,
            as_of=self._swings[0].struck_at - away,
        )

    def _camera(self, session: SampleSession, view: View) -> SourceSetting:
        pieces = tuple(
            ReplayPiece(file=str(swing.clip(view)), at_s=at_s - _contact_ns(swing, view) / NS_PER_S)
            for swing, at_s in zip(self._swings, self._times_s, strict=True)
        )
        return SourceSetting(
            view=view,
            kind=SourceKind.REPLAY,
            camera=session.camera_names[view],
            microphone_m=self._swings[0].mic_distance_m(view),
            replay=Replay(pieces=pieces, begins_host_ns=self._begins_ns),
        )

    @property
    def _times_s(self) -> list[float]:
        return [_FIRST_S + _EVERY_S * number for number in range(len(self._swings))]

    def _windows(self, session: SampleSession) -> Windows:
        """As much of each ball as there is of it."""
        before = after = 0
        for swing in self._swings:
            for view in session.camera_names:
                contact_ns = _contact_ns(swing, view)
                before = max(before, contact_ns)
                after = max(after, index_frames(swing.clip(view)).duration_ns - contact_ns)
        return Windows(before_ns=before, after_ns=after, keeps_talk=True)

    def listen(self, watch: Watch) -> None:
        """Wait until every ball is kept or lost, but not for ever.

        Raises:
            CancelledError: If the watch stops it.
        """
        last_ns = self._begins_ns + round((self._times_s[-1] + _PATIENCE_S) * NS_PER_S)
        while self._settled < len(self._swings) and not self._is_over:
            done = (time.perf_counter_ns() - self._begins_ns) / (last_ns - self._begins_ns)
            watch.report(min(max(done, 0.0), 1.0), "recording today's balls")
            if time.perf_counter_ns() > last_ns:
                return
            self._hear()
            time.sleep(_LISTEN_S)

    def _hear(self) -> None:
        for fact in self._client.facts():
            if isinstance(fact, Kept):
                self._take(fact)
            self._settled += isinstance(fact, Kept | Lost)
            self._is_over |= isinstance(fact, Interrupted) and fact.for_good

    def _take(self, kept: Kept) -> None:
        """One that this computer was too busy to record whole is taken in from its files."""
        folder = Path(kept.folder)
        if kept.said or kept.missing:
            remove_folder(folder)
        else:
            self._folders.append(folder)

    def taken_in(self, watch: Watch) -> dict[int, Swing]:
        """The swings that were kept, by their place in the lesson, with what the coach adds.

        Raises:
            StationError: If one can't be taken in.
            CancelledError: If the watch stops it.
        """
        self._client.say(Pause())
        self._client.stop()
        self._hear()
        found: dict[int, Swing] = {}
        for number, folder in enumerate(self._folders):
            part = Part(watch, number / len(self._folders), (number + 1) / len(self._folders))
            place = self._place(folder)
            if place in found:
                remove_folder(folder)
                continue
            swing = take_in(self._library, folder, part)
            found[place] = self._told_more(swing, self._swings[place])
        return found

    def _place(self, folder: Path) -> int:
        """Which of the lesson's balls it is, by when it was struck."""
        note = read_document(folder / CAPTURE_FILE, "capture", CaptureNote)
        since_s = (note.impact_host_ns - self._begins_ns) / NS_PER_S - _FIRST_S
        return min(max(round(since_s / _EVERY_S), 0), len(self._swings) - 1)

    def _told_more(self, swing: Swing, sample: SampleSwing) -> Swing:
        return self._library.change_book(
            swing.id,
            lambda book: replace(
                book, starred=sample.starred, ball=sample.ball, notes=sample.notes
            ),
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._client.stop()


def _contact_ns(swing: SampleSwing, view: View) -> int:
    """When the strike is heard in that file."""
    heard_ns = swing.truth(view).contact_sound_media_ns
    assert heard_ns is not None
    return heard_ns
