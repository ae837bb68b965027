"""The demo from files to clip: how long it takes, and whether every field shows the right frame.

The wrong frames are counted on coded twins of the two compared swings: files with the same stamps
whose pictures say which frame they are, made into a clip by the very request of the demo. What each
frame must show is worked out here in exact fractions from the marks and the recordings' places.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from capturestation.drawing.app import ensure_app
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import Moment, Quiet, Swing, View
from capturestation.station import comparing
from capturestation.station.clips import ClipWish, request_for
from capturestation.station.finding import LATEST
from capturestation.station.handout import ClipReport, ClipRequest, ClipSide, make_clip
from capturestation.swing.marks import effective_marks
from sample_sessions.session import load_session
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.coded_media import Traits, read_code, write_coded_clip
from tests.helpers.exact_script import expected_now_ns, through_knots

CODED_SIZE = (320, 180)


def run() -> BenchReport:
    """Run the demo as its command, then read a coded twin of its clip back."""
    with tempfile.TemporaryDirectory(prefix="bench-demo-") as folder:
        out = Path(folder) / "demo"
        demo_s = _timed_demo(out)
        summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
        wrong, shown, contacts = _read_back(out, summary, Path(folder))
    return BenchReport(
        bench="demo",
        bars=(
            Bar(name="demo_s", value=demo_s, unit="s", op="<=", bar=150),
            Bar(name="clip_frames_wrong", value=wrong, unit="frames", op="<=", bar=0),
        ),
        details={
            "fields_read_back": shown,
            "clip_frames": summary["clip"]["frames"],
            "clip_mb": round(summary["clip"]["size_bytes"] / 1e6, 2),
            "compared_with": "exact fractions from the marks and places; the session's truth",
            "contact_error_ms_by_swing": contacts,
        },
    )


def _timed_demo(out: Path) -> float:
    begun = time.perf_counter()
    command = [sys.executable, "-m", "capturestation", "demo", "--out", str(out), "--json"]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def _read_back(
    out: Path, summary: Mapping[str, Mapping[str, object]], folder: Path
) -> tuple[int, int, list[Detail]]:
    with Library.open(out / "library") as library:
        comparison = comparing.compare(library, LATEST, None)
        request = request_for(library, comparison.now, comparison, ClipWish())
        swings = library.swings_of(comparison.now.book.student_id)
        coded = replace(
            request,
            now=_coded(request.now, folder / "now"),
            then=None if request.then is None else _coded(request.then, folder / "then"),
            cut_to_swing=False,
            keep_width=1.0,
        )
        ensure_app()
        report = make_clip(coded, folder / "coded.mp4", watch=Quiet())
    wrong, shown = _compare(report, coded, summary["clip"]["fields"])
    return wrong, shown, _contact_errors(swings)


def _coded(side: ClipSide, folder: Path) -> ClipSide:
    folder.mkdir()
    media = {}
    for view, path in side.media.items():
        with FrameReader(path) as reader:
            index = reader.index
        media[view] = folder / f"{view}.mp4"
        rate_hz = index.mean_rate_hz or Fraction(30)
        traits = Traits(pts=[int(pts) for pts in index.pts], time_base=index.time_base)
        write_coded_clip(
            media[view], frames=len(index), rate_hz=rate_hz, size=CODED_SIZE, traits=traits
        )
    return replace(side, media=media)


def _compare(report: ClipReport, request: ClipRequest, told: object) -> tuple[int, int]:
    """Count the fields that don't show, or don't say they show, the frame that is asked for."""
    assert isinstance(told, dict)
    wrong = shown = 0
    with FrameReader(report.path) as clip:
        pictures = [clip.frame_rgb(n) for n in range(len(clip))]
    for name in report.sources:
        cut = report.placements[name].target.cut
        wanted = _wanted(request, name)
        said = told[name]["source_frames"]
        wrong += abs(len(wanted) - len(pictures)) + abs(len(said) - len(pictures))
        for picture, frame, claim in zip(pictures, wanted, said, strict=False):
            shown += 1
            wrong += not frame == claim == read_code(picture[cut])
    return wrong, shown


def _wanted(request: ClipRequest, name: str) -> list[int]:
    which, _, view = name.partition(" ")
    assert request.then is not None
    now, then = (effective_marks(s.swing.book.marks) for s in (request.now, request.then))
    shared = {Moment.IMPACT: (0, 0)}
    for moment in Moment:
        a, b = now.get(moment), then.get(moment)
        if moment is not Moment.IMPACT and a and b and a.at_ns is not None and b.at_ns is not None:
            shared[moment] = (a.at_ns, b.at_ns)
    knots = sorted(shared.values())
    held = {m: mark.at_ns for m, mark in now.items() if mark.at_ns is not None}
    times = expected_now_ns(request, {**held, Moment.IMPACT: 0})
    side = request.now if which == "now" else request.then
    sync = side.swing.sync(View(view))
    assert sync is not None
    with FrameReader(side.media[View(view)]) as reader:
        stamps = [int(pts) * reader.index.time_base * 10**9 for pts in reader.index.pts]
    frames = []
    for at_ns in times:
        swing_ns = at_ns if which == "now" else through_knots(at_ns, knots)
        away = [abs(stamp - (swing_ns - sync.swing_minus_media_ns)) for stamp in stamps]
        frames.append(away.index(min(away)))
    return frames


def _contact_errors(swings: tuple[Swing, ...]) -> list[Detail]:
    """Found contact less true contact, by view; and what both views together are off."""
    errors: list[Detail] = []
    for kept, sample in zip(swings, load_session().swings, strict=True):
        row: dict[str, Detail] = {"swing": sample.name}
        for sync in kept.book.syncs:
            true_ns = sample.truth(sync.view).swing_minus_media_ns
            row[f"{sync.view}"] = round((true_ns - sync.swing_minus_media_ns) / 1e6, 2)
            row[f"{sync.view} u"] = round(sync.u_ns / 1e6, 2)
        errors.append(row)
    return errors
