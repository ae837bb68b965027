"""Opening a swing of two 240 Hz recordings to look at, as a screen does, and stepping through it.

The recordings are those of the frames' benchmark. Opened is opened and shown: both angles at
impact. Over the recordings themselves, while their copies are made behind it, and over the copies.
Memory is what this process has more while it steps than before it opened anything.
"""

from __future__ import annotations

import random
import resource
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from capturestation.library import Library
from capturestation.records import Quiet, Student, StudentId, SwingId, View, new_id
from capturestation.station import intake, people
from capturestation.station.cache import Cache, cache_of
from capturestation.station.looking import Looking, OpenSwing
from tests.bench.frames import FRAMES, RATE_HZ, SIZE, VARYING, Scene, is_wrong, written
from tests.bench.report import Bar, BenchReport

TIMES = 20
STEPS = 300
_CONTACT_NS = 2_000_000_000


def run() -> BenchReport:
    """Make a swing, open it in each state, and step through it."""
    with tempfile.TemporaryDirectory(prefix="bench-looking-") as name:
        folder = Path(name)
        with Library.open(folder / "library") as library:
            key = _taken_in(library, folder)
            cache = cache_of(library, folder / "caches")
            before_mb = _resident_mb()
            full = Cache(cache.root, least_free_bytes=1 << 62)
            with Looking(library, full) as looking:
                original_ms = _opened(looking, key)
            with Looking(library, cache) as looking:
                looking.prepare(key)
                meanwhile_ms = _opened(looking, key)
                looking._maker._worker.submit(int).result()
                copy_ms = _opened(looking, key)
                with looking.open(key) as swing:
                    assert all(angle.is_copy for angle in swing.angles.values())
                    steps_ms, wrong, fullest_mb = _stepped(swing)
    return BenchReport(
        bench="looking",
        bars=(
            Bar(name="open_copies_p95_ms", value=_p95(copy_ms), unit="ms", op="<=", bar=500),
            Bar(name="frame_p95_ms", value=_p95(steps_ms), unit="ms", op="<=", bar=5),
            Bar(name="memory_mb", value=fullest_mb - before_mb, unit="MB", op="<=", bar=500),
            Bar(name="wrong_frames", value=wrong, unit="frames", op="<=", bar=0),
        ),
        details={
            "material": f"two of {SIZE[0]}x{SIZE[1]}, {FRAMES} frames, {RATE_HZ} Hz, groups of 1 s",
            "open_copies": _words(copy_ms),
            "open_originals": _words(original_ms),
            "open_originals_while_copies_are_made": _words(meanwhile_ms),
            "frame": _words(steps_ms),
        },
    )


def _taken_in(library: Library, folder: Path) -> SwingId:
    files = {
        View.FACE_ON: written(folder / "a.mp4", Scene(), None),
        View.DOWN_THE_LINE: written(folder / "b.mp4", Scene(seed=4), VARYING),
    }
    student = library.add_student(Student(id=StudentId(new_id()), name="Bench", birth_year=1980))
    lesson = people.add_lesson(library, student.id)
    request = intake.IntakeRequest(
        student=student.id,
        files=files,
        club="7 iron",
        lesson=lesson.id,
        struck_at=datetime(2026, 10, 30, tzinfo=UTC),
        contacts_ns=dict.fromkeys(files, _CONTACT_NS),
    )
    return intake.add_swing(library, request, Quiet()).id


def _opened(looking: Looking, key: SwingId) -> list[float]:
    def once() -> None:
        with looking.open(key) as swing:
            for angle in swing.angles.values():
                angle.frame_rgb(angle.at(0))

    return [_took_ms(once) for _ in range(TIMES)]


def _stepped(swing: OpenSwing) -> tuple[list[float], int, float]:
    rng = random.Random(7)
    back = range(FRAMES - 1, FRAMES - 1 - STEPS, -1)
    took, wrong, fullest_mb = [], 0, 0.0
    for number in (*rng.sample(range(FRAMES), STEPS), *back):
        for angle in swing.angles.values():
            begun = time.perf_counter()
            frame = angle.frame_rgb(number)
            took.append((time.perf_counter() - begun) * 1e3)
            wrong += is_wrong(frame, number)
        fullest_mb = max(fullest_mb, _resident_mb())
    return took, wrong, fullest_mb


def _took_ms(act: Callable[[], None]) -> float:
    begun = time.perf_counter()
    act()
    return (time.perf_counter() - begun) * 1e3


def _p95(took_ms: list[float]) -> float:
    return float(np.percentile(took_ms, 95))


def _words(took_ms: list[float]) -> str:
    return f"median {np.median(took_ms):.1f} ms, p95 {_p95(took_ms):.1f} ms"


def _resident_mb() -> float:
    """What this process has in memory now; where the system does not tell, its fullest so far."""
    pages = Path("/proc/self/statm")
    if not pages.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return int(pages.read_text().split()[1]) * resource.getpagesize() / 2**20
