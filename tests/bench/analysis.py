"""Analysing a swing of two 720p recordings of 480 frames: from files to measures.

The recordings are the invented session's, with their first picture held until there are 480; the
club is looked for too. A swing is analysed again and again for what memory does. With BENCH_QUICK
set that is done six times instead of sixty.
"""

from __future__ import annotations

import os
import resource
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from capturestation.library import Library
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.media.sound import read_sound
from capturestation.records import Quiet, Swing
from capturestation.station.analysing import Analyst
from capturestation.station.cache import Cache
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.station.models import body_model
from capturestation.station.people import add_student
from sample_sessions.session import load_session
from tests.bench.report import Bar, BenchReport

FRAMES, TIMES, QUICK = 480, 60, 6


def run() -> BenchReport:
    """Take a swing in, analyse it, then again and again."""
    model = body_model()
    with tempfile.TemporaryDirectory(prefix="analysis-") as above:
        folder = Path(above)
        with Library.open(folder / "library") as library:
            swing = _taken_in(library, folder)
            analyst = Analyst(library=library, cache=Cache(folder / "cache"), model=model)
            begun = time.perf_counter()
            (found,) = analyst.analyse([swing], Quiet())
            swing_s = time.perf_counter() - begun
            first_mb = _memory_mb()
            times = QUICK if os.environ.get("BENCH_QUICK") else TIMES
            for _ in range(times - 1):
                analyst.analyse([swing], Quiet(), again=True)
            growth_mb, whole_mb = _memory_mb() - first_mb, _memory_mb()
            # What takes the faster engine's place where that isn't installed.
            slower = replace(analyst, model=replace(model, engine="cv2"))
            begun = time.perf_counter()
            slower.analyse([swing], Quiet(), again=True)
            cv2_s = time.perf_counter() - begun
    measured = [r for r in found.swing.book.results if r.measured is not None]
    return BenchReport(
        bench="analysis",
        bars=(
            Bar(name="swing_s", value=swing_s, unit="s", op="<=", bar=10),
            Bar(name="memory_mb", value=whole_mb, unit="MB", op="<=", bar=1000),
            Bar(name="growth_60_swings_mb", value=growth_mb, unit="MB", op="<=", bar=50),
        ),
        details={
            "engine": model.engine,
            "frames": 2 * FRAMES,
            "measures": len(measured),
            "analysed_times": times,
            "cv2_dnn_swing_s": round(cv2_s, 2),
        },
    )


def _taken_in(library: Library, folder: Path) -> Swing:
    session = load_session()
    sample = session.swings[-1]
    files = {
        view: _held(sample.clip(view), folder / f"{view}.mp4") for view in session.camera_names
    }
    student = add_student(library, name="Bench", hand=session.student.hand, birth_year=1990)
    request = IntakeRequest(
        student=student.id, files=files, club=sample.club, kind=sample.kind,
        cameras=session.camera_names,
    )  # fmt: skip
    return add_swing(library, request, Quiet())


def _held(source: Path, target: Path) -> Path:
    """The file with its first picture held until there are enough."""
    sound = read_sound(source)
    with FrameReader(source) as reader:
        count, rate = len(reader), reader.index.mean_rate_hz
        assert rate is not None
        width, height = reader.size_px
        more = max(FRAMES - count, 0)
        with ClipWriter(
            target, width=width, height=height, rate_hz=rate, crf=23, preset="veryfast",
            sound_rate_hz=sound.rate_hz, key_every=12,
        ) as writer:  # fmt: skip
            for place, frame in enumerate(reader.iter_rgb(0, min(count, FRAMES))):
                for _ in range(1 + (more if place == 0 else 0)):
                    writer.write_rgb(frame)
            quiet = np.zeros(round(more / float(rate) * sound.rate_hz), np.float32)
            writer.write_sound(np.concatenate([quiet, sound.samples]))
    return target


def _memory_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
