"""First contact in the sound: 240 invented strikes in real backgrounds, exact truth.

Seeds and backgrounds are others than those on which settings were chosen. Truth is contact; what is
measured is the arrival found less the distance at the speed of sound. From 12 dB on a strike is
looked for within +-60 ms of the picture's contact, as for a camera whose delay nobody knows yet; at
6-12 dB in the picture's window of a camera whose delay is known to 1 ms, at 240 frames a second.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.media.encode import ClipWriter
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay
from capturestation.timing.heard import Shutter, listen_window
from capturestation.timing.strike import find_strikes
from tests.bench._strikes import SECONDS, Struck, struck
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.real_sounds import FOR_BENCHES, RATE_HZ

SEED = 20_261
EACH = 80
GROUPS = {"20-35 dB": (20.0, 35.0), "12-20 dB": (12.0, 20.0), "6-12 dB": (6.0, 12.0)}
FRAME_NS = round(NS_PER_S / 240)
SHUTTER = Shutter(frame_ns=FRAME_NS, exposure_ns=500_000, readout_ns=0)
KNOWN = KnownDelay(delay_ns=0, u_ns=1_000_000, strikes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What was found of each strike: error and its claim in ms, NaN where nothing was found.

    Args:
        error_ms: (n,).
        u_ms: (n,).
        first: How many were ranked first without any picture.
    """

    error_ms: FloatArray
    u_ms: FloatArray
    first: int = 0

    @property
    def found(self) -> FloatArray:
        """Errors of those found within one frame at 240 frames a second."""
        return self.error_ms[np.abs(self.error_ms) * 1e6 <= FRAME_NS]

    def quantile(self, share: float) -> float:
        """Of the absolute errors of those found."""
        return float(np.quantile(np.abs(self.found), share))

    @property
    def rms_ms(self) -> float:
        """Of those found."""
        return float(np.sqrt(np.mean(self.found**2)))

    @property
    def found_pct(self) -> float:
        """Share found within one frame."""
        return 100.0 * len(self.found) / len(self.error_ms)


def run() -> BenchReport:
    """Measure all groups, and the loudest once more through AAC in MP4."""
    scenes = {
        name: list(struck(SEED + place, EACH, span, FOR_BENCHES))
        for place, (name, span) in enumerate(GROUPS.items())
    }
    heard = {name: _listen(group, None) for name, group in scenes.items()}
    near = _listen(scenes["6-12 dB"], KNOWN)
    with tempfile.TemporaryDirectory() as folder:
        coded = _listen(scenes["20-35 dB"], None, Path(folder))
    high, middle = heard["20-35 dB"], heard["12-20 dB"]
    coverage = _coverage([high, middle, near])
    bars = (
        Bar(name="pcm_20db_rms_ms", value=high.rms_ms, unit="ms", op="<=", bar=0.10),
        Bar(name="pcm_20db_p99_ms", value=high.quantile(0.99), unit="ms", op="<=", bar=0.31),
        Bar(name="pcm_12db_rms_ms", value=middle.rms_ms, unit="ms", op="<=", bar=0.25),
        Bar(name="pcm_6db_found_pct", value=near.found_pct, unit="%", op=">=", bar=95.0),
        Bar(name="aac_20db_p95_ms", value=coded.quantile(0.95), unit="ms", op="<=", bar=0.5),
        Bar(name="u_coverage_low_pct", value=coverage, unit="%", op=">=", bar=92.0),
        Bar(name="u_coverage_high_pct", value=coverage, unit="%", op="<=", bar=98.0),
    )
    shown = {**heard, "6-12 dB, delay known": near, "20-35 dB, AAC 128k": coded}
    return BenchReport(bench="impact", bars=bars, details=_details(shown))


def _details(shown: dict[str, Heard]) -> dict[str, Detail]:
    details: dict[str, Detail] = {
        "published": "sync through the audio band over radio: RMS 0.10 ms, max 0.31 ms (Barros et "
        "al., J Biomech 39(4):776-780, 2006)",
        "backgrounds": list(FOR_BENCHES),
        "strikes": "invented: no registry package carries a recorded golf strike",
    }
    for name, one in shown.items():
        details[name] = {
            "strikes": len(one.error_ms),
            "found_pct": round(one.found_pct, 1),
            "ranked_first_without_picture_pct": round(100 * one.first / len(one.error_ms), 1),
            "mean_ms": round(float(one.found.mean()), 4),
            "rms_ms": round(one.rms_ms, 4),
            "p95_ms": round(one.quantile(0.95), 4),
            "max_ms": round(one.quantile(1.0), 4),
            "median_u_ms": round(float(np.nanmedian(one.u_ms)), 4),
            "within_2u_pct": round(_coverage([one]), 1),
        }
    return details


def _coverage(groups: Sequence[Heard]) -> float:
    """Share of the found whose error is no more than two of their own u."""
    error = np.concatenate([one.error_ms for one in groups])
    u = np.concatenate([one.u_ms for one in groups])
    found = np.abs(error) * 1e6 <= FRAME_NS
    return 100.0 * float(np.mean(np.abs(error[found]) <= 2 * u[found]))


def _listen(
    scenes: Sequence[Struck], known: KnownDelay | None, folder: Path | None = None
) -> Heard:
    rng = np.random.default_rng(SEED)
    error, u = np.full(len(scenes), np.nan), np.full(len(scenes), np.nan)
    first = 0
    for n, scene in enumerate(scenes):
        samples, rate_hz, start_ns = _sound(scene, n, folder)
        contact_ns = round(scene.contact_s * NS_PER_S)
        microphone = Microphone(distance_m=scene.distance_m, temperature_c=scene.air_c)
        last_ns = contact_ns - round(rng.uniform(0, 1) * FRAME_NS)
        ball = BallBracket(
            last_with_ns=last_ns, first_without_ns=last_ns + FRAME_NS, confidence=1.0
        )
        window = listen_window(ball, SHUTTER, microphone, known)
        alone = find_strikes(samples, rate_hz, start_ns, most=1)
        arrival_ns = contact_ns + microphone.travel_ns
        first += bool(alone) and abs(alone[0].arrival_ns - arrival_ns) <= FRAME_NS
        best = find_strikes(samples, rate_hz, start_ns, most=1, window=window)
        if best:
            error[n] = (best[0].arrival_ns - microphone.travel_ns - contact_ns) / 1e6
            u[n] = best[0].u_ns / 1e6
    return Heard(error_ms=error, u_ms=u, first=first)


def _sound(scene: Struck, number: int, folder: Path | None) -> tuple[SoundArray, int, int]:
    """As it is, or written as AAC into an MP4 and read back."""
    if folder is None:
        return scene.samples, RATE_HZ, 0
    path = folder / f"{number}.mp4"
    with ClipWriter(
        path, width=32, height=32, rate_hz=Fraction(30), sound_rate_hz=RATE_HZ
    ) as writer:
        for _ in range(round(SECONDS * 30)):
            writer.write_rgb(np.zeros((32, 32, 3), dtype=np.uint8))
        writer.write_sound(scene.samples)
    sound = read_sound(path)
    return sound.samples, sound.rate_hz, sound.start_ns
