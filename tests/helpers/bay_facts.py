"""A recording process that says what a test lets it say, and what such processes say."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

from capturestation.capture.messages import (
    Command,
    Doing,
    Kept,
    ReadyNow,
    SoundState,
    SourceUp,
    Struck,
)
from capturestation.errors import StationError
from capturestation.records import View
from capturestation.records.capture import (
    CaptureSetting,
    Got,
    Health,
    SoundHealth,
    SourceHealth,
    SourceState,
    Trigger,
)
from capturestation.station.capture_client import Told

GOT = Got(codec="mjpeg", width_px=1280, height_px=720, rate_hz=Fraction(120))
STRUCK_AT = datetime(2026, 10, 30, 15, 0, tzinfo=UTC)
BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


class SpokenClient:
    """Keeps what it is told; says what it is given.

    Args:
        setting: As a real one gets it.
        why: It can't be begun, for this reason.
    """

    def __init__(self, setting: CaptureSetting, why: StationError | None = None) -> None:
        if why is not None:
            raise why
        self.setting = setting
        self.heard: list[Command] = []
        self.unsaid: list[Told] = []
        self.last_words: list[Told] = []
        self.is_stopped = False

    def say(self, command: Command) -> None:
        """Keep it."""
        self.heard.append(command)

    def facts(self) -> list[Told]:
        """What it was given since."""
        said, self.unsaid = self.unsaid, []
        return said

    def stop(self) -> None:
        """End, and say the last words."""
        self.is_stopped = True
        self.unsaid += self.last_words


def up(view: View = View.FACE_ON, got: Got = GOT) -> SourceUp:
    """A camera sends."""
    return SourceUp(view=view, got=got)


HEARS = SoundState(hears=True, said="The microphone hears.")
READY = ReadyNow(ready=True, ticket="whose")


def struck(key: str, at: datetime = STRUCK_AT) -> Struck:
    """A ball is struck."""
    return Struck(id=key, at_host_ns=0, struck_at=at, trigger=Trigger.SOUND, ticket="whose")


def kept(key: str, inbox: Path = Path("inbox")) -> Kept:
    """It is kept."""
    return Kept(id=key, folder=str(inbox / key), size_mb=60.0, after_ms=80.0, missing=0)


WELL = SourceHealth(
    view=View.FACE_ON,
    state=SourceState.UP,
    rate_hz=120.0,
    asked_hz=120.0,
    missing=0,
    late_p95_ms=0.4,
    drift_ppm=12.0,
    ring_s=10.0,
    ring_mb=60.0,
    ring_full=False,
)
"""A camera that is well; others are made of it."""
SOUND = SoundHealth(state=SourceState.UP, peak=0.2, rms_db=-50.0, clipped=False, silent=False)


def doing(
    *sources: SourceHealth,
    sound: SoundHealth | None = SOUND,
    balls_left: int | None = 1000,
    free_mb: int = 60_000,
    phase_ns: int | None = 1_200_000,
) -> Doing:
    """How all is."""
    return Doing(
        health=Health(
            at_host_ns=0,
            sources=sources or (WELL, replace(WELL, view=View.DOWN_THE_LINE)),
            phase_ns=phase_ns,
            sound=sound,
            disk_free_mb=free_mb,
            balls_left=balls_left,
            memory_mb=300.0,
        )
    )
