"""Recording for long and killed often: each ball of known time is kept or said to be lost."""

from __future__ import annotations

import os
import random
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

from capturestation.capture.messages import Doing, Kept, Lost, Ready
from capturestation.folders import read_document
from capturestation.records import NS_PER_S
from capturestation.records.capture import CaptureNote
from capturestation.station.capture_client import CaptureClient, Interrupted, Resumed
from tests.bench.report import Bar, Detail
from tests.helpers.bay_files import Pair, bay_pair
from tests.helpers.recorded_bay import Played

KILLS = 50
STRIKES = 300
EVERY_S = 4.0
FIRST_S = 3.0
SEED = 20_261_125
_NEAR_NS = NS_PER_S // 10
_SETTLING_S = 12.0
_WARM = 60
# Doings after which memory counts: rings are full, every decoder has its buffers.
Soaked = tuple[Bar, dict[str, Detail]]


@dataclass(slots=True, kw_only=True)
class Heard:
    """What was told."""

    kept_ns: list[int] = field(default_factory=list)
    lost: list[datetime] = field(default_factory=list)
    gaps: list[tuple[datetime, datetime]] = field(default_factory=list)
    memory_mb: list[float] = field(default_factory=list)

    def take(self, client: CaptureClient, for_s: float) -> None:
        """Listen for so long."""
        ends_s = time.monotonic() + for_s
        while (left_s := ends_s - time.monotonic()) > 0:
            match client.next_fact(timeout_s=left_s):
                case Kept() as kept:
                    note = read_document(Path(kept.folder) / "capture.json", "capture", CaptureNote)
                    self.kept_ns.append(note.impact_host_ns)
                    shutil.rmtree(kept.folder)
                case Lost() as lost:
                    self.lost.append(lost.struck_at)
                case Resumed() as resumed:
                    self.gaps.append((resumed.since, resumed.until))
                case Interrupted(for_good=True) as over:
                    raise RuntimeError(over.said)
                case Doing() as doing:
                    self.memory_mb.append(doing.health.memory_mb)
                case _:
                    pass

    def unknown(self, impacts_ns: Sequence[int]) -> list[int]:
        """Balls that are neither kept nor said to be lost."""
        return [at for at in impacts_ns if not self._is_known(at)]

    def _is_known(self, at_ns: int) -> bool:
        if any(abs(at_ns - kept) < _NEAR_NS for kept in self.kept_ns):
            return True
        ago = timedelta(microseconds=(time.perf_counter_ns() - at_ns) / 1000)
        at = datetime.now().astimezone() - ago
        near = timedelta(seconds=0.2)
        return any(abs(at - lost) < near for lost in self.lost) or any(
            since <= at <= until + near for since, until in self.gaps
        )


@contextmanager
def recording(strikes: int) -> Iterator[tuple[Played, CaptureClient]]:
    """So many balls, one every four seconds, being recorded."""
    with tempfile.TemporaryDirectory(prefix="soak ") as above:
        pair: Pair = bay_pair(Path(above), "soak")
        times = [FIRST_S + EVERY_S * number for number in range(strikes)]
        played = Played(pair=pair, inbox=Path(above) / "inbox", impacts_s=times, previews=True)
        with CaptureClient(played.setting()) as client:
            client.say(Ready(ticket="soak"))
            yield played, client


def kills_50() -> Soaked:
    """Kill the recording fifty times, at any moment between two balls."""
    dice = random.Random(SEED)
    heard = Heard()
    killed: list[Detail] = []
    # A client gives up where five processes die within twenty seconds; so do we not ask for that.
    with recording(round((KILLS + 1) * 6.5 / EVERY_S)) as (played, client):
        heard.take(client, FIRST_S)
        for _ in range(KILLS):
            heard.take(client, dice.uniform(5.0, 8.0))
            os.kill(client.pid, signal.SIGKILL)
            killed.append(round((time.perf_counter_ns() - played.begins_ns) / NS_PER_S, 2))
        heard.take(client, _SETTLING_S)
        over_ns = time.perf_counter_ns() - round(_SETTLING_S / 2 * NS_PER_S)
        struck = [at for at in played.impacts_ns if at < over_ns]
        lost = heard.unknown(struck)
    details: dict[str, Detail] = {
        "struck": len(struck),
        "kept": len(heard.kept_ns),
        "said_lost": len(heard.lost),
        "killed_at_s": killed,
        "neither_at_s": [round((at - played.begins_ns) / NS_PER_S, 2) for at in lost],
    }
    return Bar(name="kills_50_lost", value=len(lost), unit="balls", op="<=", bar=0), details


@cache
def _long() -> tuple[Heard, int, int]:
    heard = Heard()
    with recording(STRIKES) as (played, client):
        heard.take(client, FIRST_S + EVERY_S * STRIKES + _SETTLING_S)
        lost = len(heard.unknown(played.impacts_ns)) + len(heard.lost)
        extra = max(len(heard.kept_ns) - STRIKES, 0)
    return heard, lost, extra


def strikes_300() -> Soaked:
    """Record for twenty minutes, a ball every four seconds."""
    heard, lost, extra = _long()
    bar = Bar(name="strikes_300_lost", value=lost, unit="balls", op="<=", bar=0)
    return bar, {"kept": len(heard.kept_ns), "kept_too_many": extra}


def memory_growth() -> Soaked:
    """What memory grew by in these twenty minutes, once it was warm."""
    heard, _, _ = _long()
    warm = heard.memory_mb[_WARM:] or heard.memory_mb
    fifth = max(len(warm) // 5, 1)
    early, late = (sorted(part)[len(part) // 2] for part in (warm[:fifth], warm[-fifth:]))
    bar = Bar(name="memory_growth_20min_mb", value=late - early, unit="MB", op="<=", bar=20)
    return bar, {"early_mb": round(early, 1), "late_mb": round(late, 1)}
