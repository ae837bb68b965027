"""Recording from two cameras over real sockets: what is kept, what it costs, how soon it is there.

MJPEG at 720 lines, 120 and 240 frames a second, and 1080 lines at 120; a strike every five seconds,
and two louder bangs between, while the ball lies. Every frame says which it is, so that missing
ones are counted in the files. The cameras' process is not counted, the recording's is. The last run
at 240 has a parent that computes in pure Python all the while. Beside them one ball of an H.264
camera over UDP that loses datagrams: no bar, what is said of it is shown.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import av
import numpy as np

from capturestation.capture.messages import Doing, Kept, LookReady, Lost, Preview, Ready, Struck
from capturestation.folders import read_swing_facts
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import (
    CaptureSetting,
    SourceKind,
    SourceSetting,
    SourceState,
)
from capturestation.station.capture_client import CaptureClient, Told
from tests.bench._capture_sender import CYCLE_S
from tests.bench._lossy_stream import lossy_udp
from tests.bench.report import Bar, BenchReport, Detail

SECONDS = 60
STRIKES = SECONDS // CYCLE_S
RING_SECONDS = 12
VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
HD, FULL_HD = (1280, 720), (1920, 1080)


@dataclass(slots=True, kw_only=True)
class Run:
    """What one run showed."""

    kept: int = 0
    false_kept: int = 0
    lost: int = 0
    missing: int = 0
    cpu_pct: float = 0.0
    previews: int = 0
    over_ring_mb: float = 0.0
    ready_s: list[float] = field(default_factory=list)
    visible_s: list[float] = field(default_factory=list)
    mb_each: list[float] = field(default_factory=list)
    struck: dict[str, Struck] = field(default_factory=dict)
    balls: list[Kept] = field(default_factory=list)

    def take(self, fact: Told | None) -> None:
        """Note what was told."""
        match fact:
            case Struck():
                self.struck[fact.id] = fact
            case LookReady():
                self.visible_s.append(_seen_after_s(fact, self.struck[fact.id]))
            case Kept():
                self.balls.append(fact)
            case Lost():
                self.lost += 1
            case Preview():
                self.previews += 1
            case Doing():
                ring_mb = sum(source.ring_mb for source in fact.health.sources)
                self.over_ring_mb = max(self.over_ring_mb, fact.health.memory_mb - ring_mb)
            case _:
                pass

    def plain(self) -> dict[str, Detail]:
        """For the report."""
        return {
            "strikes_kept": self.kept,
            "false_kept": self.false_kept,
            "lost": self.lost,
            "frames_missing": self.missing,
            "cpu_pct_of_a_core": round(self.cpu_pct, 1),
            "previews": self.previews,
            "memory_over_ring_mb": round(self.over_ring_mb, 1),
            "folder_ready_p95_s": round(p95(self.ready_s), 3),
            "replay_visible_p95_s": round(p95(self.visible_s), 3),
            "mb_a_ball": round(float(np.mean(self.mb_each or [0.0])), 1),
        }


def p95(values: list[float]) -> float:
    """The 95th percentile; far beyond any bar where there is nothing."""
    return float(np.quantile(values, 0.95)) if values else 999.0


def run() -> BenchReport:
    """All runs, one after the other."""
    with cameras(120, HD) as (ports, marks):
        at_120 = record(ports, marks)
    with cameras(240, HD) as (ports, marks):
        at_240 = record(ports, marks)
        busy = record(ports, marks, busy=True)
        ring_pct = ring_only(ports)
        copy_pct = plain_copy(ports)
    with cameras(120, FULL_HD) as (ports, marks):
        full = record(ports, marks)
    runs = {"720p120": at_120, "720p240": at_240, "720p240 busy parent": busy, "1080p120": full}
    bars = _bars(list(runs.values()), ring_pct, at_240)
    details: dict[str, Detail] = {name: one.plain() for name, one in runs.items()}
    details["h264 over lossy udp"] = lossy_udp()
    details["seconds_each"] = SECONDS
    details["strikes_each"] = STRIKES
    details["whole_cpu_is_of"] = "720p240, two cameras, sound, previews, writing"
    details["ffmpeg_copy_cpu_pct_per_camera_240"] = copy_pct
    if copy_pct:
        details["ring_to_ffmpeg_copy"] = round(ring_pct / copy_pct, 2)
    return BenchReport(bench="capture", bars=bars, details=details)


def _bars(runs: list[Run], ring_pct: float, at_240: Run) -> tuple[Bar, ...]:
    ready = [value for one in runs for value in one.ready_s]
    visible = [value for one in runs for value in one.visible_s]
    over_mb = max(one.over_ring_mb for one in runs)
    missing, wrong = (sum(v) for v in zip(*((r.missing, r.false_kept) for r in runs), strict=True))
    values = (
        ("strikes_kept", min(one.kept for one in runs), "balls", ">=", STRIKES),
        ("false_kept", wrong, "balls", "<=", 0),
        ("frames_missing", missing, "frames", "<=", 0),
        ("ring_cpu_pct_per_camera_240", ring_pct, "%", "<=", 5),
        ("whole_cpu_pct", at_240.cpu_pct, "%", "<=", 30),
        ("folder_ready_p95_s", p95(ready), "s", "<=", 0.6),
        ("replay_visible_p95_s", p95(visible), "s", "<=", 3),
        ("memory_over_ring_mb", over_mb, "MB", "<=", 150),
    )
    return tuple(
        Bar(name=name, value=value, unit=unit, op="<=" if op == "<=" else ">=", bar=bar)
        for name, value, unit, op, bar in values
    )


Marks = list[dict[int, int]]


@contextmanager
def cameras(rate_hz: int, size: tuple[int, int]) -> Iterator[tuple[list[int], Marks]]:
    """Two cameras that send; their ports, and which frame each picture is."""
    with tempfile.TemporaryDirectory(prefix="bench-capture-") as folder:
        command = [sys.executable, "-m", "tests.bench._capture_sender", folder]
        command += [str(rate_hz), *(str(side) for side in size)]
        with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as sender:
            assert sender.stdout is not None
            assert sender.stdin is not None
            ports = json.loads(sender.stdout.readline())
            hashes = [json.loads((Path(folder) / f"{n}.json").read_text()) for n in (0, 1)]
            try:
                yield ports, [{h: n for n, h in enumerate(each)} for each in hashes]
            finally:
                sender.stdin.close()
                sender.kill()


def setting_of(ports: list[int], inbox: Path, *, plain: bool = False) -> CaptureSetting:
    """Both cameras; plain is neither sound nor previews."""
    sources = tuple(
        SourceSetting(
            view=view,
            kind=SourceKind.STREAM,
            address=f"tcp://127.0.0.1:{port}",
            form="mjpeg",
            has_sound=not plain,
        )
        for view, port in zip(VIEWS, ports, strict=True)
    )
    return CaptureSetting(inbox=str(inbox), sources=sources, preview_px=0 if plain else 320)


def record(ports: list[int], marks: Marks, *, busy: bool = False) -> Run:
    """Record for a minute, then look at what is kept."""
    result = Run()
    with (
        tempfile.TemporaryDirectory(prefix="bench-inbox-") as folder,
        busily(busy),
        CaptureClient(setting_of(ports, Path(folder))) as client,
    ):
        _until_up(client)
        client.say(Ready(ticket="bench"))
        begun_s, cpu_s = time.perf_counter(), _cpu_s(client.pid)
        # A cycle more than is counted: the first strike may lack its four seconds before.
        while time.perf_counter() - begun_s < SECONDS + CYCLE_S:
            result.take(client.next_fact(timeout_s=0.2))
        spent_s = time.perf_counter() - begun_s
        result.cpu_pct = 100 * (_cpu_s(client.pid) - cpu_s) / spent_s
        # Afterwards: looking through what is kept would keep the replays waiting.
        for ball in result.balls:
            _look_into(ball, marks, result)
    return result


def _until_up(client: CaptureClient) -> None:
    while True:
        fact = client.next_fact(timeout_s=1.0)
        if isinstance(fact, Doing) and all(
            source.state is SourceState.UP and source.ring_s > 5 for source in fact.health.sources
        ):
            return


def _seen_after_s(look: LookReady, struck: Struck) -> float:
    """From impact until the frame at impact of both views is decoded."""
    for one in look.looks:
        with FrameReader(Path(one.file)) as reader:
            reader.frame_rgb(reader.index.at(one.impact_media_ns))
    return (time.perf_counter_ns() - struck.at_host_ns) / NS_PER_S


def _look_into(kept: Kept, marks: Marks, result: Run) -> None:
    """Whether it is a strike, and whether every frame of its seven seconds is there."""
    result.ready_s.append(kept.after_ms / 1000)
    result.mb_each.append(kept.size_mb)
    facts = read_swing_facts(Path(kept.folder))
    for recording in facts.recordings:
        numbers = _numbers(Path(kept.folder) / recording.file, marks[VIEWS.index(recording.view)])
        cycle = len(marks[0])
        steps = np.diff(numbers) % cycle
        result.missing += int(np.sum(steps - 1))
        if recording.view is VIEWS[0]:
            assert recording.rate_hz is not None
            at = numbers[len(numbers) * 4 // 7] / cycle * CYCLE_S
            is_strike = abs(at - 3.0) < 0.3
            result.kept += is_strike
            result.false_kept += not is_strike


def _numbers(path: Path, marks: dict[int, int]) -> list[int]:
    with av.open(str(path)) as container:
        return [marks[zlib.crc32(bytes(p))] for p in container.demux(video=0) if p.size]


def ring_only(ports: list[int]) -> float:
    """Share of a core for each camera while nothing but recording into memory is done."""
    with (
        tempfile.TemporaryDirectory(prefix="bench-inbox-") as folder,
        CaptureClient(setting_of(ports, Path(folder), plain=True)) as client,
    ):
        _until_up(client)
        begun_s, cpu_s = time.perf_counter(), _cpu_s(client.pid)
        while time.perf_counter() - begun_s < RING_SECONDS:
            client.next_fact(timeout_s=0.2)
        spent_s = time.perf_counter() - begun_s
        return 100 * (_cpu_s(client.pid) - cpu_s) / spent_s / len(ports)


def plain_copy(ports: list[int]) -> float | None:
    """The same share for the ffmpeg command that copies one camera to a file; None without it."""
    tool = shutil.which("ffmpeg")
    if tool is None:
        return None
    with tempfile.TemporaryDirectory(prefix="bench-copy-") as folder:
        source = ["-i", f"tcp://127.0.0.1:{ports[1]}", "-t", str(RING_SECONDS)]
        command = [tool, "-v", "error", *source, "-c", "copy", str(Path(folder) / "copy.nut")]
        with subprocess.Popen(command, stdin=subprocess.DEVNULL) as copying:
            time.sleep(RING_SECONDS / 3)
            begun_s, cpu_s = time.perf_counter(), _cpu_s(copying.pid)
            time.sleep(RING_SECONDS / 3)
            return 100 * (_cpu_s(copying.pid) - cpu_s) / (time.perf_counter() - begun_s)


def _cpu_s(pid: int) -> float:
    """What a process has computed so far, all its threads."""
    told = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / 100


@contextmanager
def busily(busy: bool) -> Iterator[None]:
    """Compute in pure Python beside, if asked to."""
    stop = threading.Event()

    def compute() -> None:
        total = 0
        while not stop.is_set():
            total = sum(number * number for number in range(20_000)) - total

    thread = threading.Thread(target=compute, daemon=True)
    if busy:
        thread.start()
    try:
        yield
    finally:
        stop.set()
