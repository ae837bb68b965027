"""Two small cameras that a recording process can be given: files at their pace, impact known."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from pathlib import Path

from capturestation.capture.messages import (
    Configure,
    Doing,
    Fact,
    Kept,
    Lost,
    Ready,
    fact_of,
    to_line,
)
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import (
    CaptureSetting,
    Replay,
    ReplayPiece,
    SourceKind,
    SourceSetting,
    Spell,
    Windows,
)
from capturestation.station.capture_client import CaptureClient, Told
from tests.helpers.bay_files import CONTACT_S, Pair

WINDOWS = Windows(before_ns=1_200_000_000, after_ns=600_000_000, sound_ns=500_000_000)
SECOND_BEGUN_S = 0.2
"""The second camera's file begins so much later."""
COMMAND = (sys.executable, "-m", "capturestation.capture")
PATIENCE_S = 30.0
READY = Ready(ticket="whose")
_SHORTEST_LEAD_S = 1.0
_LEAD = 2.5
# So many times what a process needs to start: beside others it needs longer, now and then.


@cache
def lead_ns() -> int:
    """How long before a replay begins its process is to be started, on this computer and now."""
    begun_s = time.perf_counter()
    subprocess.run(COMMAND, stdin=subprocess.DEVNULL, capture_output=True, check=True, timeout=60)
    took_s = time.perf_counter() - begun_s
    return round(max(_SHORTEST_LEAD_S, _LEAD * took_s) * NS_PER_S)


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """How the two files are played.

    Args:
        pair: The files.
        inbox: Where balls are kept.
        impacts_s: When a ball is struck, after the beginning.
        begins_ns: The beginning, host clock.
        unplugged: When the second camera is not there.
        stalled: When nothing of the second camera comes; it comes afterwards.
        asked_hz: Frames a second that the second camera is asked for.
        previews: Whether small pictures are sent.
        windows: How much is kept.
    """

    pair: Pair
    inbox: Path
    impacts_s: Sequence[float]
    begins_ns: int = field(default_factory=lambda: time.perf_counter_ns() + lead_ns())
    unplugged: tuple[Spell, ...] = ()
    stalled: tuple[Spell, ...] = ()
    asked_hz: Fraction | None = None
    previews: bool = False
    windows: Windows = WINDOWS

    @property
    def impacts_ns(self) -> list[int]:
        """When each ball is struck, host clock."""
        return [self.begins_ns + round(at * NS_PER_S) for at in self.impacts_s]

    def setting(self) -> CaptureSetting:
        """What the recording process is given."""
        first = self._camera(View.FACE_ON, self.pair.face_on, 0.0)
        second = self._camera(View.DOWN_THE_LINE, self.pair.down_the_line, SECOND_BEGUN_S)
        assert second.replay is not None
        faulty = replace(second.replay, unplugged=self.unplugged, stalls=self.stalled)
        return CaptureSetting(
            inbox=str(self.inbox),
            sources=(first, replace(second, replay=faulty, rate_hz=self.asked_hz)),
            windows=self.windows,
            preview_px=80 if self.previews else 0,
        )

    def _camera(self, view: View, file: Path, late_s: float) -> SourceSetting:
        pieces = tuple(
            ReplayPiece(file=str(file), at_s=at - CONTACT_S + late_s) for at in self.impacts_s
        )
        return SourceSetting(
            view=view,
            kind=SourceKind.REPLAY,
            camera=f"small {view}",
            replay=Replay(pieces=pieces, begins_host_ns=self.begins_ns),
        )

    def configure(self) -> bytes:
        """That as a line."""
        return to_line(Configure(setting=self.setting())).encode()


def facts_until(lines: Callable[[], bytes], done: Callable[[Fact], bool]) -> list[Fact]:
    """Read facts up to the one that is waited for.

    Raises:
        AssertionError: If the lines end, or it takes too long.
    """
    facts: list[Fact] = []
    ends_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends_s:
        line = lines()
        assert line, f"the lines ended after {facts[-3:]}"
        facts.append(fact_of(line.decode()))
        if done(facts[-1]):
            return facts
    msg = f"not said within {PATIENCE_S} s: {facts[-5:]}"
    raise AssertionError(msg)


@contextmanager
def client_of(
    played: Played, *, ready: Ready = READY, program: Sequence[str] = COMMAND
) -> Iterator[CaptureClient]:
    """Keep its balls; ends when the block does."""
    with CaptureClient(played.setting(), program=program) as client:
        client.say(ready)
        yield client


def told_until(client: CaptureClient, done: Callable[[Told], bool]) -> list[Told]:
    """What is told up to what is waited for."""
    told: list[Told] = []
    ends_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends_s:
        fact = client.next_fact(timeout_s=1.0)
        if fact is not None:
            told.append(fact)
            if done(fact):
                return told
    said = [fact for fact in told if not isinstance(fact, Doing)]
    msg = f"not told within {PATIENCE_S} s: {said}"
    raise AssertionError(msg)


def settled(fact: Told) -> bool:
    """Whether a ball is kept or lost."""
    return isinstance(fact, Kept | Lost)
