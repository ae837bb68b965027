"""Opening any frame of a 240 Hz recording: how long it takes, and whether it is the right one.

The material is made here: 720 lines, 4 s, moving detail under sensor noise, in groups of one
second as phones write them; once at a constant rate and once at a varying one. Every picture says
its number. Frames are opened as the screen opens them, over the working copy, conversion to RGB
included, and beside it by cv2, which seeks in the original. Whatever is worse of the two files
counts.
"""

from __future__ import annotations

import random
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np

from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.working_copy import make_copy, open_frames, why_copy
from capturestation.records import FrameArray, Quiet
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.coded_media import Traits, read_code, write_coded_clip

SIZE = (1280, 720)
FRAMES = 960
RATE_HZ = Fraction(240)
UNIT = Fraction(1, 240_000)
VARYING = [1000 * n + 700 * max(0, n - 400) + (0, 330, -270, 90)[n % 4] for n in range(FRAMES)]
"""As a phone does it: 240 a second, then fewer as the light fades, and never even."""

WAYS = ("random", "minus1", "plus1")
STEPS = 120
CV2_STEPS = 60

Opener = Callable[[int], FrameArray]


@dataclass(frozen=True, kw_only=True)
class Times:
    """What opening took, and how often it was another frame."""

    took_ms: dict[str, list[float]] = field(default_factory=dict)
    wrong: int = 0

    def median_ms(self, way: str) -> float:
        return float(np.median(self.took_ms[way]))

    def p95_ms(self, way: str) -> float:
        return float(np.percentile(self.took_ms[way], 95))

    def plain(self) -> Detail:
        """Median and 95th percentile of each way, and the wrong frames."""
        told: dict[str, Detail] = {
            way: f"median {self.median_ms(way):.2f} ms, p95 {self.p95_ms(way):.2f} ms"
            for way in self.took_ms
        }
        return {**told, "wrong": self.wrong, "of": sum(len(t) for t in self.took_ms.values())}


def run() -> BenchReport:
    """Make both files and their copies, and open frames in three ways."""
    with tempfile.TemporaryDirectory(prefix="bench-frames-") as name:
        folder = Path(name)
        scene = Scene()
        constant = written(folder / "constant.mp4", scene, None)
        varying = written(folder / "varying.mp4", scene, VARYING)
        seen = {path.stem: _measured(path, folder / "copies") for path in (constant, varying)}
    return BenchReport(
        bench="frames",
        bars=_bars(list(seen.values())),
        details={
            "material": f"{SIZE[0]}x{SIZE[1]}, {FRAMES} frames, {RATE_HZ} Hz, H.264, groups of 1 s",
            "compared_with": f"cv2 {cv2.__version__}: CAP_PROP_POS_FRAMES and read, the original",
            **{
                name: {kind: times.plain() for kind, times in one.items()}
                for name, one in seen.items()
            },
        },
    )


def _bars(seen: list[dict[str, Times]]) -> tuple[Bar, ...]:
    p95_ms = {way: max(one["ours"].p95_ms(way) for one in seen) for way in WAYS}
    faster = {
        way: min(one["cv2"].median_ms(way) / one["ours"].median_ms(way) for one in seen)
        for way in WAYS[:2]
    }
    wrong = sum(one["ours"].wrong + one["original"].wrong for one in seen)
    return (
        *(Bar(name=f"{w}_p95_ms", value=ms, unit="ms", op="<=", bar=5) for w, ms in p95_ms.items()),
        *(
            Bar(name=f"{w}_vs_cv2", value=n, unit="times", op=">=", bar=10)
            for w, n in faster.items()
        ),
        Bar(name="wrong_frames", value=wrong, unit="frames", op="<=", bar=0),
    )


class Scene:
    """Coarse and fine detail that moves, under noise that never repeats within eight frames."""

    def __init__(self, seed: int = 3) -> None:
        rng = np.random.default_rng(seed)
        width, height = SIZE
        coarse = np.kron(
            rng.integers(40, 210, (height // 40, width // 20, 3)), np.ones((40, 20, 1))
        )
        fine = cv2.GaussianBlur(rng.normal(0, 25, (height, width)), (0, 0), 1.2)
        self.wide = np.concatenate([coarse[:, :width] + fine[..., np.newaxis]] * 2, axis=1)
        self.wide = self.wide.astype(np.int16)
        self.noise = [rng.normal(0, 2, (height, width, 1)).astype(np.int16) for _ in range(8)]

    def picture(self, number: int) -> FrameArray:
        """Frame `number`: the detail moves three pixels a frame."""
        left = number * 3 % SIZE[0]
        part = self.wide[:, left : left + SIZE[0]] + self.noise[number % 8]
        return np.asarray(np.clip(part, 0, 255), np.uint8)


def written(path: Path, scene: Scene, pts: list[int] | None) -> Path:
    traits = Traits(
        key_every=int(RATE_HZ),
        b_frames=0 if pts else 2,
        pts=pts,
        time_base=UNIT if pts else None,
    )
    return write_coded_clip(
        path, frames=FRAMES, rate_hz=RATE_HZ, size=SIZE, traits=traits, picture=scene.picture
    )


def _measured(path: Path, copies: Path) -> dict[str, Times]:
    assert why_copy(probe(path), index_frames(path)), "such a file is to have a working copy"
    make_copy(path, copies, watch=Quiet())
    with open_frames(path, copies) as reader:
        ours = _timed(reader.frame_rgb, STEPS)
    with FrameReader(path) as reader:
        original = _timed(reader.frame_rgb, CV2_STEPS)
    capture = cv2.VideoCapture(str(path))
    theirs = _timed(lambda number: _by_cv2(capture, number), CV2_STEPS)
    capture.release()
    return {"ours": ours, "original": original, "cv2": theirs}


def _timed(opened: Opener, steps: int) -> Times:
    took: dict[str, list[float]] = {}
    wrong = 0
    for way, numbers in _ways(steps).items():
        took[way] = []
        for number in numbers:
            begun = time.perf_counter()
            frame = opened(number)
            took[way].append((time.perf_counter() - begun) * 1e3)
            wrong += is_wrong(frame, number)
    return Times(took_ms=took, wrong=wrong)


def _ways(steps: int) -> dict[str, list[int]]:
    rng = random.Random(5)
    jumps = [0, FRAMES - 1, *rng.sample(range(1, FRAMES - 1), steps - 2)]
    rng.shuffle(jumps)
    return {
        "random": jumps,
        "minus1": list(range(FRAMES - 1, FRAMES - 1 - steps, -1)),
        "plus1": list(range(FRAMES // 2, FRAMES // 2 + steps)),
    }


def _by_cv2(capture: cv2.VideoCapture, number: int) -> FrameArray:
    capture.set(cv2.CAP_PROP_POS_FRAMES, number)
    there, frame = capture.read()
    return np.asarray(frame, np.uint8) if there else np.zeros((*reversed(SIZE), 3), np.uint8)


def is_wrong(frame: FrameArray, number: int) -> bool:
    try:
        return read_code(frame) != number
    except ValueError:
        return True
