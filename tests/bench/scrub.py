"""Looking at a swing: from a key to the painted picture, dragging, opening, memory.

A window of 1920x1080 (offscreen), two views of 720 lines at 240 a second, the earlier swing laid
half-transparent over both, cut to where golfer and club are: four frames a picture. Times run from
the key's or the pointer's event until the window is painted with the right frames; then, outside
the time, the painted numbers are read back. Keys come as fast as a held one repeats. Beside it cv2
seeks the same four frames.
"""

from __future__ import annotations

import os
import random
import tempfile
import time
from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
from PyQt6.QtCore import Qt

from capturestation.library import Library
from capturestation.records import SwingId
from tests.bench._bench_window import BenchWindow
from tests.bench._coded_swings import FRAMES, RATE_HZ, SIZE, VIEWS, build
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.heartbeat import LONG_MS
from tests.helpers.seen_window import Stall

STEPS = 120
REPEAT_MS = 33
"""A held key comes about thirty times a second."""
OPENINGS = 200
SWINGS = 5
CV2_STEPS = 40
_BOOK = "tests.bench._book_rows"
# Whoever owns the Book measures it there: `run() -> Bar`.


def run() -> BenchReport:
    """Build the library, then use the window."""
    with tempfile.TemporaryDirectory(prefix="bench-scrub-") as name:
        folder, cache, ids = build(Path(name), SWINGS)
        window = BenchWindow(folder, cache)
        try:
            return _measured(window, ids)
        finally:
            window.close()


def _measured(window: BenchWindow, ids: list[SwingId]) -> BenchReport:
    window.open(ids[1])
    window.fit()
    window.pause(300)
    window.heart.forget()
    keys, wrong = _keys(window)
    fps, wrong_dragged = _dragged(window)
    opened = [window.open(ids[1 + n % (SWINGS - 1)]) for n in range(OPENINGS)]
    memory_mb = _resident_mb()
    stalls = window.heart.stalls
    worst = max(float(np.percentile(took, 95)) for took in keys.values())
    bars = [
        Bar(name="key_to_paint_p95_ms", value=worst, unit="ms", op="<=", bar=16),
        Bar(name="drag_fps", value=fps, unit="Hz", op=">=", bar=60),
        Bar(
            name="open_swing_p95_ms",
            value=float(np.percentile(opened, 95)) * 1e3,
            unit="ms",
            op="<=",
            bar=500,
        ),
        Bar(name="memory_after_200_swings_mb", value=memory_mb, unit="MB", op="<=", bar=600),
        Bar(name="wrong_frames", value=wrong + wrong_dragged, unit="frames", op="<=", bar=0),
    ]
    if find_spec(_BOOK):
        bars.append(import_module(_BOOK).run())
    details: dict[str, Detail] = {
        "material": f"{SIZE[0]}x{SIZE[1]}, {FRAMES} frames, {RATE_HZ} Hz, two views, earlier over",
        "key_to_paint_ms": {way: _told(took) for way, took in keys.items()},
        "open_swing_ms": _told([s * 1e3 for s in opened]),
        "longest_on_the_window_s_thread": _longest(stalls),
        "random_is": "a press on the bar at a random place",
        "numbers_read_back": 4 * (3 * STEPS + STEPS),
        f"cv2 {cv2.__version__}: four seeks and reads, ms": _told(_cv2_ms(window.library, ids)),
    }
    return BenchReport(bench="scrub", bars=tuple(bars), details=details)


def _keys(window: BenchWindow) -> tuple[dict[str, list[float]], int]:
    rng = random.Random(4)
    ways: dict[str, Callable[[], float]] = {
        "forward": lambda: window.key_ms(Qt.Key.Key_Right),
        "back": lambda: window.key_ms(Qt.Key.Key_Left),
        "random": lambda: window.press_ms(rng.uniform(0.02, 0.98)),
    }
    took: dict[str, list[float]] = {way: [] for way in ways}
    wrong = 0
    for way, press in ways.items():
        for _ in range(STEPS):
            took[way].append(press())
            wrong += window.wrong()
            window.pause(REPEAT_MS)
    return took, wrong


def _dragged(window: BenchWindow) -> tuple[float, int]:
    """There and back over most of the swing, faster in the middle, as a hand goes."""
    there = 0.5 - 0.4 * np.cos(np.linspace(0, 2 * np.pi, STEPS + 1))
    return window.drag_fps([float(share) for share in there])


def _cv2_ms(library: Library, ids: list[SwingId]) -> list[float]:
    """The same by the usual way: seek and read each of the four files."""
    swings = [library.swing(swing_id) for swing_id in ids[:2]]
    paths = [library.media_path(swing, view) for swing in swings for view in VIEWS]
    captures = [cv2.VideoCapture(str(path)) for path in paths]
    rng, took = random.Random(4), []
    for _ in range(CV2_STEPS):
        number, begun = rng.randrange(FRAMES), time.perf_counter()
        for capture in captures:
            capture.set(cv2.CAP_PROP_POS_FRAMES, number)
            capture.read()
        took.append((time.perf_counter() - begun) * 1e3)
    for capture in captures:
        capture.release()
    return took


def _told(took_ms: list[float]) -> str:
    median, p95, most = (float(np.percentile(took_ms, share)) for share in (50, 95, 100))
    return f"median {median:.1f}, p95 {p95:.1f}, most {most:.1f}"


def _longest(stalls: tuple[Stall, ...]) -> dict[str, Detail]:
    """The longest time for which the window's thread heard nothing, between any two beats."""
    told: dict[str, Detail] = {"ms": 0.0, "felt_from_ms": LONG_MS}
    if stalls:
        worst = stalls[0]
        told |= {"ms": worst.ms, "cpu_ms": worst.cpu_ms, "without_a_core_ms": worst.starved_ms}
        told["at"] = list(worst.where)
    told["longer_than_felt"] = sum(stall.ms > LONG_MS for stall in stalls)
    return told


def _resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
