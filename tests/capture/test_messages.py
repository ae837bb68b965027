"""What both sides say to each other survives the line, and a line that is none is answered."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from capturestation.capture.messages import (
    Bye,
    ChangeWindows,
    ClockSet,
    Command,
    Configure,
    Doing,
    Drop,
    Fact,
    Gone,
    Heard,
    Hello,
    Ignored,
    KeepNow,
    Kept,
    LookAt,
    LookReady,
    Lost,
    Pause,
    Preview,
    Ready,
    ReadyNow,
    Refused,
    SoundState,
    SourceDown,
    SourceUp,
    Struck,
    command_of,
    fact_of,
    to_line,
)
from capturestation.errors import BadInputError
from capturestation.records import View
from capturestation.records.capture import (
    Candidate,
    CaptureSetting,
    Confirmed,
    Got,
    Health,
    MicrophoneSetting,
    SoundHealth,
    SourceHealth,
    SourceKind,
    SourceSetting,
    SourceState,
    Trigger,
    Verdict,
    Windows,
)

WHEN = datetime(2026, 10, 30, 9, 0, 5, 250_000, tzinfo=UTC)
CAMERA = SourceSetting(
    view=View.FACE_ON,
    kind=SourceKind.STREAM,
    address="rtsp://bay.example/one",
    rate_hz=Fraction(240),
    rotation_deg=90,
)
SETTING = CaptureSetting(inbox="in box", sources=(CAMERA,), microphone=MicrophoneSetting())
CANDIDATE = Candidate(at_host_ns=5, u_ns=2, snr_db=30.5, sharpness=0.8, peak=0.4)
HEALTH = Health(
    at_host_ns=9,
    sources=(
        SourceHealth(
            view=View.FACE_ON,
            state=SourceState.UP,
            rate_hz=119.9,
            asked_hz=120.0,
            missing=0,
            late_p95_ms=1.5,
            drift_ppm=-3.0,
            ring_s=9.0,
            ring_mb=80.0,
            ring_full=False,
        ),
    ),
    phase_ns=None,
    sound=SoundHealth(state=SourceState.UP, peak=0.1, rms_db=-60.0, clipped=False, silent=False),
    disk_free_mb=1000,
    balls_left=20,
    memory_mb=90.0,
)
COMMANDS: list[Command] = [
    Configure(setting=SETTING),
    Ready(ticket="whose"),
    Pause(),
    KeepNow(back_ns=3),
    ChangeWindows(windows=Windows(keeps_talk=True)),
    Drop(id="one"),
    Bye(),
]
FACTS: list[Fact] = [
    Hello(version="1", pid=3),
    ReadyNow(ready=True, ticket="whose"),
    SourceUp(view=View.FACE_ON, got=Got(codec="mjpeg", width_px=160, height_px=96)),
    SourceDown(view=View.EXTRA, why="It is gone.", try_next="Plug it in."),
    SoundState(hears=True, said="Listening."),
    ClockSet(by_s=-3600.0),
    Heard(candidate=CANDIDATE),
    Ignored(at_host_ns=5, why="Nothing moves."),
    Struck(
        id="one",
        at_host_ns=5,
        struck_at=WHEN,
        trigger=Trigger.SOUND,
        ticket="whose",
        confirmed=Confirmed(verdict=Verdict.LEFT, said="It left."),
    ),
    LookReady(id="one", looks=(LookAt(view=View.FACE_ON, file="look.mp4", impact_media_ns=7),)),
    Kept(id="one", folder="in box/one", size_mb=3.5, after_ms=200.0, missing=0, said=("So.",)),
    Lost(struck_at=WHEN, why="No room.", try_next="Make some."),
    Doing(health=HEALTH),
    Preview(view=View.FACE_ON, at_host_ns=1, rotation_deg=90, jpeg="AA=="),
    Refused(what="Not now.", try_next="Later."),
    Gone(kept=3, lost=1),
]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: type(c).__name__)
def test_a_command_comes_out_as_it_went_in(command: Command) -> None:
    line = to_line(command)

    assert command_of(line) == command
    assert line.count("\n") == 1


@pytest.mark.parametrize("fact", FACTS, ids=lambda f: type(f).__name__)
def test_a_fact_comes_out_as_it_went_in(fact: Fact) -> None:
    assert fact_of(to_line(fact)) == fact


@pytest.mark.parametrize(
    "line",
    [
        "",
        "no json",
        "[]",
        "3",
        '{"say": 5}',
        '{"say": "sing", "with": {}}',
        '{"say": "ready", "with": {"ticket": 5}}',
        '{"say": "ready", "with": null}',
        '{"say": "drop", "with": {"id": "a", "more": 1}}',
        "[" * 100_000,
        json.dumps({"say": "drop", "with": {"id": "x" * 2_000_000}}),
    ],
    ids=range(11),
)
def test_a_line_that_is_none_is_refused_without_repeating_it(line: str) -> None:
    with pytest.raises(BadInputError, match=f"A line of {len(line)} signs"):
        command_of(line)
