"""The clip that goes home: how fast it is made, sound, colours and size.

The material is two swings of the invented session, 720 lines at 120 Hz from two cameras, with a
sensor's noise laid over them that the committed files are too small to hold.
The clip is the product's own, 1080 lines, all four pictures, labels painted. Its time stands
against the ffmpeg command's for the comparable job, taken in turns. Sound and colour are read back
from clips of made recordings whose truth is known.
"""

from __future__ import annotations

import dataclasses
import os
import statistics
import tempfile
import time
from fractions import Fraction
from pathlib import Path

import numpy as np

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from capturestation.compare.playout import Pace
from capturestation.drawing.app import ensure_app
from capturestation.drawing.layout import LayoutName
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, FloatArray, FrameArray, Quiet, Recording, Swing, View
from capturestation.station.handout import ClipReport, ClipRequest, ClipSide, make_clip
from sample_sessions.session import SampleSwing, load_session
from tests.bench import _cli_clip
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.coded_media import click, onset_s, write_coded_clip
from tests.helpers.made_swings import made_swing, made_sync
from tests.helpers.patch_media import Coded, patches, write_patches

VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
SLOW = Fraction(1, 8)
START_NS, STOP_NS = -1_490_000_000, 990_000_000
"""Within all four recordings; at an eighth of its speed that is 20 s of clip."""

NOISE_LEVELS = 2.0

TURNS = 5
RATE_HZ = Fraction(120)
CONTACT_S = Fraction(1, 2)
COLOURS = ((0.78, 0.16, 0.16), (0.2, 0.55, 0.2), (0.15, 0.25, 0.7), (0.9, 0.75, 0.6), (0.5,) * 3)


def run() -> BenchReport:
    """Make the clips and measure."""
    ensure_app()
    with tempfile.TemporaryDirectory(prefix="bench-clip-") as name:
        folder = Path(name)
        request = _session_request(folder)
        ours_s, theirs_s, report = _in_turns(request, folder)
        offset_ms = _sound_offset_ms(folder)
        errors = _colour_errors(folder)
        size_mb = report.path.stat().st_size / 1e6
        their_mb = (folder / "theirs.mp4").stat().st_size / 1e6
    speed = statistics.median(theirs_s) / statistics.median(ours_s)
    details: dict[str, Detail] = {
        "clip": f"{report.layout.width_px}x{report.layout.height_px}, {report.frames} frames, "
        f"{float(report.duration_s):.1f} s, {len(report.placements)} pictures",
        "compared_with": _cli_clip.version(),
        "ours_s": [round(s, 2) for s in ours_s],
        "ffmpeg_s": [round(s, 2) for s in theirs_s],
        "ffmpeg_mb": round(their_mb, 2),
        "colour_error_by_reader": {reader: round(error, 2) for reader, error in errors.items()},
        "colour_reference": "ITU-R BT.709 codes of the recordings' patches",
    }
    return BenchReport(
        bench="clip",
        bars=(
            Bar(name="speed_vs_ffmpeg", value=speed, unit="times", op=">=", bar=0.9),
            Bar(name="sound_offset_ms", value=offset_ms, unit="ms", op="<=", bar=2),
            Bar(
                name="colour_error_levels",
                value=max(errors.values()),
                unit="levels",
                op="<=",
                bar=6,
            ),
            Bar(name="size_mb", value=size_mb, unit="MB", op="<=", bar=16),
        ),
        details=details,
    )


def _session_request(folder: Path) -> ClipRequest:
    session = load_session()
    return ClipRequest(
        now=_side(session.swing("today-1"), "today", folder),
        then=_side(session.swing("earlier-2-best"), "own best", folder),
        layout=LayoutName.ALL_FOUR,
        start_ns=START_NS,
        stop_ns=STOP_NS,
        pace=Pace(slow=SLOW),
        short_side_px=1080,
    )


def _side(sample: SampleSwing, word: str, folder: Path) -> ClipSide:
    media = {view: with_noise(sample.clip(view), folder) for view in VIEWS}
    syncs = tuple(made_sync(v, sample.truth(v).swing_minus_media_ns) for v in VIEWS)
    swing = _seen(made_swing(sample.name, syncs=syncs), (1280, 720))
    return ClipSide(swing=swing, media=media, word=word)


def with_noise(path: Path, folder: Path, *, crf: int = 18) -> Path:
    """A twin of a recording, grainy, in groups of a second; at the same stamps.

    Args:
        path: The recording.
        folder: Where the twin is written.
        crf: x264's quality: at 18 the encoder smooths most of the noise away, at 4 it stays.
    """
    rng = np.random.default_rng(11)
    grains = [rng.normal(0, NOISE_LEVELS, (720, 1280, 1)).astype(np.int16) for _ in range(7)]
    made = folder / path.name
    with FrameReader(path) as reader:
        index = reader.index
        with ClipWriter(
            made,
            width=1280,
            height=720,
            rate_hz=RATE_HZ,
            crf=crf,
            time_base=index.time_base,
            key_every=int(RATE_HZ),
        ) as writer:
            for number, picture in enumerate(reader.iter_rgb(0, len(reader))):
                grainy = np.clip(picture + grains[number % len(grains)], 0, 255)
                writer.write_rgb(grainy.astype(np.uint8), int(index.pts[number]))
    return made


def _seen(swing: Swing, size: tuple[int, int]) -> Swing:
    """The swing, its recordings told to be of that size."""
    recordings: list[Recording] = [
        dataclasses.replace(one, width_px=size[0], height_px=size[1])
        for one in swing.facts.recordings
    ]
    facts = dataclasses.replace(swing.facts, recordings=tuple(recordings))
    return dataclasses.replace(swing, facts=facts)


def _in_turns(request: ClipRequest, folder: Path) -> tuple[list[float], list[float], ClipReport]:
    """Seconds of each turn, ours and the command's, after one of each that warms the disk."""
    ours_s: list[float] = []
    theirs_s: list[float] = []
    _cli_clip.ffmpeg()
    report = make_clip(request, folder / "ours.mp4", watch=Quiet())
    _by_command(request, report, folder / "theirs.mp4")
    for _ in range(TURNS):
        begun = time.perf_counter()
        make_clip(request, folder / "ours.mp4", watch=Quiet(), overwrite=True)
        between = time.perf_counter()
        _by_command(request, report, folder / "theirs.mp4")
        ours_s.append(between - begun)
        theirs_s.append(time.perf_counter() - between)
    return ours_s, theirs_s, report


def _by_command(request: ClipRequest, report: ClipReport, out: Path) -> None:
    fields = {}
    for name, placement in report.placements.items():
        which, _, view = name.partition(" ")
        side = request.now if which == "now" else request.then
        assert side is not None
        sync = side.swing.sync(View(view))
        assert sync is not None
        fields[name] = _cli_clip.Field(
            path=side.media[View(view)],
            start_s=(request.start_ns - sync.swing_minus_media_ns) / NS_PER_S,
            long_s=(request.stop_ns - request.start_ns) / NS_PER_S,
            placement=placement,
            caption=f"{side.word}  {view}",
        )
    size = report.layout.width_px, report.layout.height_px
    _cli_clip.make(fields, out, size=size, slow=request.pace.slow, frames=report.frames)


def _alone(path: Path, name: str, size: tuple[int, int]) -> ClipSide:
    syncs = tuple(made_sync(view, -round(CONTACT_S * NS_PER_S)) for view in VIEWS)
    swing = _seen(made_swing(name, syncs=syncs), size)
    return ClipSide(swing=swing, media=dict.fromkeys(VIEWS, path), word="today")


def _sound_offset_ms(folder: Path) -> float:
    """How far the click is from the first bright frame, in a clip whose recording has both at once.

    At real speed, frame 12 of the clip is exactly at contact.
    """
    contact = int(CONTACT_S * RATE_HZ)
    dark, bright = (np.full((180, 320, 3), level, np.uint8) for level in (30, 230))

    def picture(number: int) -> FrameArray:
        return bright if number == contact else dark

    recording = write_coded_clip(
        folder / "flash.mp4",
        frames=int(RATE_HZ),
        rate_hz=RATE_HZ,
        size=(320, 180),
        sound=click(at_s=float(CONTACT_S), long_s=1.0),
        picture=picture,
    )
    request = ClipRequest(
        now=_alone(recording, "flash", (320, 180)),
        layout=LayoutName.BOTH_ANGLES,
        start_ns=-400_000_000,
        stop_ns=400_000_000,
        pace=Pace(slow=Fraction(1)),
        sound=True,
        short_side_px=360,
        keep_width=1.0,
    )
    report = make_clip(request, folder / "heard.mp4", watch=Quiet())
    place = report.placements["now face-on"]
    with FrameReader(report.path) as clip:
        light = [float(clip.frame_grey(n)[place.target.cut][60:].mean()) for n in range(len(clip))]
        flash_s = int(clip.index.times_ns[int(np.argmax(light))]) / NS_PER_S
    assert max(light) > 200, "the flash is not in the clip"
    sound = read_sound(report.path)
    heard_s = onset_s(sound.samples, start_s=sound.start_ns / NS_PER_S, rate_hz=sound.rate_hz)
    return abs(heard_s - flash_s) * 1e3


def _colour_errors(folder: Path) -> dict[str, float]:
    """How far patches are from their true colours in a clip, by our own reader and the command."""
    size = (640, 360)
    coded = Coded(matrix=1, range_tag=1, primaries=1, transfer=1, size=size)
    recording = write_patches(folder / "patches.mp4", coded, COLOURS)
    request = ClipRequest(
        now=_alone(recording, "patches", size),
        layout=LayoutName.BOTH_ANGLES,
        start_ns=-500_000_000,
        stop_ns=-300_000_000,
        pace=Pace(slow=Fraction(1)),
        short_side_px=720,
        keep_width=1.0,
    )
    report = make_clip(request, folder / "colours.mp4", watch=Quiet())
    place = report.placements["now face-on"]
    canvas = report.layout.width_px, report.layout.height_px
    with FrameReader(report.path) as clip:
        seen = {"own reader": clip.frame_rgb(2)[place.target.cut]}
    seen["ffmpeg"] = _cli_clip.decoded(report.path, 2, canvas)[place.target.cut]
    truth: FloatArray = 255 * np.array(COLOURS)
    return {
        reader: float(np.abs(patches(picture, len(COLOURS)) - truth).max())
        for reader, picture in seen.items()
    }
