"""All that goes home: how long it takes to make, and how large the clip is.

The material is two swings of the invented session, 720 lines at 120 Hz from two cameras, with a
sensor's noise laid over them that the committed files are too small to hold, in a library as a
coach has it. Made are a clip of 20 s with all four pictures, the page and the web page, as the
command makes them. Moments are marked before, as after analysis; measures are not taken anew.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from capturestation.drawing.app import ensure_app
from capturestation.library import Library
from capturestation.records import Quiet, Swing
from capturestation.station.clips import ClipWish
from capturestation.station.demo import fill_with_session
from capturestation.station.going_home import HomeWish, TakenHome, take_home
from sample_sessions.session import SampleSession, load_session
from tests.bench.clip import with_noise
from tests.bench.report import Bar, BenchReport, Detail

CLIP_S = 20
SLOW = Fraction(1, 8)
TURNS = 2
CAMERA_CRF = 12
"""x264's quality of the recordings, which then take some 30 Mbit/s, about as much as a telephone's
own H.264 of 720 lines at 120 Hz. At better ones the noise that is laid over them takes four times
as much, which no camera writes and a decoder alone has its hands full with."""
LEAST_HELD = 9
"""Moments at which the clip stands at least, so that it is no shorter than asked."""


def run() -> BenchReport:
    """Make everything and measure."""
    ensure_app()
    with tempfile.TemporaryDirectory(prefix="bench-handout-") as name:
        folder = Path(name)
        with Library.open(folder / "library") as library:
            swings = fill_with_session(library, Quiet(), _two_swings())
            _make_grainy(library, swings, folder)
            rates = _mbit_s(library, swings)
            hold_s = _hold_s(library, folder)
            made_s, made = _in_turns(library, folder, hold_s)
        sizes_mb = {path.suffix[1:]: path.stat().st_size / 1e6 for path in made.files}
    details: dict[str, Detail] = {
        "recordings_mbit_s": rates,
        "clip": f"{float(made.clip.duration_s):.1f} s, {made.clip.frames} frames, "
        f"{len(made.clip.placements)} pictures",
        "made_s": [round(s, 2) for s in made_s],
        "sizes_mb": {kind: round(size, 2) for kind, size in sizes_mb.items()},
    }
    return BenchReport(
        bench="handout",
        bars=(
            Bar(name="made_s", value=max(made_s), unit="s", op="<=", bar=40),
            Bar(name="clip_mb", value=sizes_mb["mp4"], unit="MB", op="<=", bar=16),
        ),
        details=details,
    )


def _two_swings() -> SampleSession:
    """The own best, and the first ball of the last lesson."""
    session = load_session()
    first, *_, last = session.lessons
    best = tuple(swing for swing in first.swings if swing.starred)
    lessons = (replace(first, swings=best), replace(last, swings=last.swings[:1]))
    return replace(session, lessons=lessons)


def _make_grainy(library: Library, swings: Sequence[Swing], folder: Path) -> None:
    """Put a grainy twin in the place of each recording."""
    for swing in swings:
        for recording in swing.facts.recordings:
            kept = library.media_path(swing, recording.view)
            shutil.move(with_noise(kept, folder, crf=CAMERA_CRF), kept)


def _mbit_s(library: Library, swings: Sequence[Swing]) -> list[Detail]:
    """What the recordings take of a disk each second."""
    return [
        round(library.media_path(swing, one.view).stat().st_size * 8e3 / one.duration_ns, 1)
        for swing in swings
        for one in swing.facts.recordings
    ]


def _hold_s(library: Library, folder: Path) -> float:
    """How long it must stand at each moment for the clip to last as long as is asked."""
    short_s = float(_made(library, folder / "trial", 0.0).clip.duration_s)
    return max(CLIP_S - short_s, 0.0) / LEAST_HELD


def _in_turns(library: Library, folder: Path, hold_s: float) -> tuple[list[float], TakenHome]:
    made_s = []
    made = None
    for turn in range(TURNS):
        begun = time.perf_counter()
        made = _made(library, folder / f"home {turn}", hold_s)
        made_s.append(time.perf_counter() - begun)
    assert made is not None
    return made_s, made


def _made(library: Library, out: Path, hold_s: float) -> TakenHome:
    wish = HomeWish(
        clip=ClipWish(slow=SLOW, hold_s=hold_s, note="Feel the trail pocket move back first."),
        practise=("Ten slow ones with a stop at the top",),
        with_checks=True,
    )
    return take_home(library, "latest", None, wish, out, Quiet())
