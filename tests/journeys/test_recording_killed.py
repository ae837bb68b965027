"""Recording processes and their station killed at any moment: no struck ball goes unsaid."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path

import pytest

from capturestation.folders import read_swing_facts
from capturestation.records import NS_PER_S
from capturestation.station.capture_client import CaptureClient
from tests.bench._recording_soak import Heard
from tests.helpers.bay_files import Pair
from tests.helpers.recorded_bay import PATIENCE_S, READY, Played, lead_ns

pytestmark = [pytest.mark.process, pytest.mark.slow]
PARENT = (sys.executable, "-m", "tests.helpers.parent_of_recording")
KILLS_EACH, STRIKES_EACH = 4, 10
FIRST_S, EVERY_S = 1.5, 2.3
_SECOND_LATER_S = 1.1
_KILL_EVERY_S = (5.1, 6.0)
# Five processes that die within twenty seconds are given up.


def killing_times(clients: list[CaptureClient]) -> list[tuple[float, CaptureClient]]:
    """When each is killed, seconds after the beginning."""
    dice = random.Random(5)
    return [
        (sum(dice.uniform(*_KILL_EVERY_S) for _ in range(number + 1)), client)
        for number in range(KILLS_EACH)
        for client in clients
    ]


def test_two_stations_on_one_inbox_are_killed_eight_times_and_no_ball_of_twenty_goes_unsaid(
    first_swing: Pair, tmp_path: Path
) -> None:
    begins_ns = time.perf_counter_ns() + 2 * lead_ns()
    stations = [
        Played(
            pair=first_swing,
            inbox=tmp_path / "inbox",
            impacts_s=[late_s + FIRST_S + EVERY_S * number for number in range(STRIKES_EACH)],
            begins_ns=begins_ns,
        )
        for late_s in (0.0, _SECOND_LATER_S)
    ]
    # What is lost with one process may be said by the other, which looks after the inbox too.
    kept_ns: list[int] = []
    known = [Heard(kept_ns=kept_ns) for _ in stations]
    known[1].lost = known[0].lost
    with ExitStack() as open_clients:
        clients = [open_clients.enter_context(CaptureClient(s.setting())) for s in stations]
        for client in clients:
            client.say(READY)
        kills = killing_times(clients)
        killed = 0
        over_s = stations[1].impacts_s[-1] + 2 * EVERY_S
        while (at_s := (time.perf_counter_ns() - begins_ns) / NS_PER_S) < over_s:
            for heard, client in zip(known, clients, strict=True):
                heard.take(client, 0.1)
            for due_s, client in [one for one in kills if one[0] <= at_s]:
                os.kill(client.pid, signal.SIGKILL)
                kills.remove((due_s, client))
                killed += 1
        unsaid = [
            heard.unknown(station.impacts_ns)
            for heard, station in zip(known, stations, strict=True)
        ]

    assert killed == 2 * KILLS_EACH
    assert unsaid == [[], []]
    assert len(kept_ns) >= STRIKES_EACH // 2
    assert list((tmp_path / "inbox").glob("*.partial")) == []


def test_a_station_that_is_killed_leaves_the_ball_that_was_struck(
    first_swing: Pair, tmp_path: Path
) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5])
    asked = tmp_path / "asked"
    asked.write_bytes(played.configure())
    with subprocess.Popen((*PARENT, str(asked)), stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        recording = int(parent.stdout.readline())
        said = iter(parent.stdout.readline, "")
        assert any(line.strip() == "Heard" for line in said)
        parent.kill()

    ends_s = time.monotonic() + PATIENCE_S
    while _runs(recording) and time.monotonic() < ends_s:
        time.sleep(0.05)
    [folder] = played.inbox.iterdir()
    assert not _runs(recording)
    assert len(read_swing_facts(folder).recordings) == 2


def _runs(pid: int) -> bool:
    """Whether a process is there that is no mere memory of one."""
    try:
        told = Path(f"/proc/{pid}/stat").read_text(encoding="ascii")
    except OSError:
        return False
    return told.rpartition(")")[2].split()[0] != "Z"
