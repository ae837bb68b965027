"""What the station makes of a process that says nonsense, ends by itself, or can't be started."""

from __future__ import annotations

import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from capturestation.capture.messages import Bye, Configure, Hello, Lost, Struck
from capturestation.errors import OutputError
from capturestation.records import View
from capturestation.records.capture import CaptureSetting, SourceKind, SourceSetting
from capturestation.station.capture_client import CaptureClient, Interrupted, Told

CAMERA = SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address="tcp://bay.example:1")
PATIENCE_S = 30.0
_HELLO = 'print(\'{"say": "hello", "with": {"version": "1", "pid": 1}}\', flush=True)'
_STRUCK = """
import json, sys
sys.stdin.readline()
struck = {"id": "ball", "at_host_ns": 5, "struck_at": "2026-10-30T09:00:05+00:00",
          "trigger": "sound", "ticket": "whose"}
print("nonsense")
print(json.dumps({"say": "struck", "with": struck}), flush=True)
"""


def setting(inbox: Path) -> CaptureSetting:
    return CaptureSetting(inbox=str(inbox), sources=(CAMERA,))


def told_until_over(client: CaptureClient) -> list[Told]:
    """What is told until nothing is recorded any more."""
    told: list[Told] = []
    ends_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends_s:
        fact = client.next_fact(timeout_s=1.0)
        if fact is not None:
            told.append(fact)
        if isinstance(fact, Interrupted) and fact.for_good:
            return told
    msg = f"not over within {PATIENCE_S} s: {told[-3:]}"
    raise AssertionError(msg)


def test_a_process_that_ends_again_and_again_is_given_up(tmp_path: Path) -> None:
    with CaptureClient(setting(tmp_path), program=(sys.executable, "-c", _HELLO)) as client:
        told = told_until_over(client)

    hellos = [fact for fact in told if isinstance(fact, Hello)]
    assert len(hellos) == 5
    assert isinstance(told[-1], Interrupted)
    assert told[-1].said == "The recording ended again and again; it is given up."
    assert {fact.since for fact in told if isinstance(fact, Interrupted)} == {told[-1].since}


def test_a_ball_that_was_being_kept_is_said_to_be_lost_once(tmp_path: Path) -> None:
    with CaptureClient(setting(tmp_path), program=(sys.executable, "-c", _STRUCK)) as client:
        told = told_until_over(client)

    lost = [fact.id for fact in told if isinstance(fact, Lost)]
    assert lost
    assert set(lost) == {"ball"}
    assert len(lost) == len([fact for fact in told if isinstance(fact, Struck)])


_HEARD = """
import json, sys, time
sys.stdin.readline()
ago = time.perf_counter_ns() - 7_000_000_000
heard = {"at_host_ns": ago, "u_ns": 1, "snr_db": 30.0, "sharpness": 1.0, "peak": 0.5}
print(json.dumps({"say": "heard", "with": {"candidate": heard}}), flush=True)
if len(sys.argv) > 1:
    decided = {"at_host_ns": ago + 1_000_000, "why": "It lies."}
    print(json.dumps({"say": "ignored", "with": decided}), flush=True)
"""


@pytest.mark.parametrize("is_decided", [False, True])
def test_what_was_heard_and_not_decided_is_said_not_to_be_kept(
    is_decided: bool, tmp_path: Path
) -> None:
    program = (sys.executable, "-c", _HEARD, *(["decided"] if is_decided else []))
    begun = datetime.now().astimezone()
    with CaptureClient(setting(tmp_path), program=program) as client:
        told = told_until_over(client)

    first = next(fact for fact in told if isinstance(fact, Interrupted))
    assert (first.since < begun - timedelta(seconds=3)) is not is_decided


def test_a_program_that_is_not_there_is_said_at_once(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="can't be started"):
        CaptureClient(setting(tmp_path), program=(str(tmp_path / "nothing"),))


def test_the_cameras_are_chosen_once(tmp_path: Path) -> None:
    with CaptureClient(setting(tmp_path), program=(sys.executable, "-c", _HELLO)) as client:
        with pytest.raises(ValueError, match="when the client is made"):
            client.say(Configure(setting=setting(tmp_path)))
        client.say(Bye())
        told_until_over(client)

    assert client.facts() == []
