"""What the detector makes of struck scenes: error, its claim, and how even the claims are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.media.encode import ClipWriter
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, BoolArray, FloatArray, SoundArray
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay
from capturestation.timing.heard import Shutter, listen_window
from capturestation.timing.strike import find_strikes
from tests.bench._strikes import SECONDS, Struck
from tests.bench.report import Detail
from tests.helpers.real_sounds import RATE_HZ

FRAME_NS = round(NS_PER_S / 240)
SHUTTER = Shutter(frame_ns=FRAME_NS, exposure_ns=500_000, readout_ns=0)
KNOWN = KnownDelay(delay_ns=0, u_ns=1_000_000, strikes=5)
RISES_MS = ((0.1, 0.27), (0.27, 0.43), (0.43, 0.6))
"""Sudden, middling and slow strikes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What was found of each strike: error and its claim in ms, NaN where nothing was found.

    Args:
        error_ms: (n,).
        u_ms: (n,).
        rise_ms: (n,) how long each took to rise, in truth.
        first: How many were ranked first without any picture.
    """

    error_ms: FloatArray
    u_ms: FloatArray
    rise_ms: FloatArray
    first: int = 0

    @property
    def found(self) -> FloatArray:
        """Errors of those found within one frame at 240 frames a second."""
        return self.error_ms[self.near]

    @property
    def near(self) -> BoolArray:
        """Which were found within that frame."""
        inside: BoolArray = np.abs(self.error_ms) * 1e6 <= FRAME_NS
        return inside

    def quantile(self, share: float) -> float:
        """Of the absolute errors of those found."""
        return float(np.quantile(np.abs(self.found), share))

    @property
    def rms_ms(self) -> float:
        """Of those found."""
        return float(np.sqrt(np.mean(self.found**2)))

    @property
    def u_rms_ms(self) -> float:
        """Of the claims of those found."""
        return float(np.sqrt(np.mean(self.u_ms[self.near] ** 2)))

    @property
    def found_pct(self) -> float:
        """Share found within one frame."""
        return 100.0 * len(self.found) / len(self.error_ms)

    def rising(self, span_ms: tuple[float, float]) -> Heard:
        """Only those whose rise lies in the span."""
        return self._only((self.rise_ms >= span_ms[0]) & (self.rise_ms < span_ms[1]))

    def every(self, step: int, first: int) -> Heard:
        """Only each so-manieth."""
        return self._only(np.arange(len(self.error_ms)) % step == first)

    def _only(self, some: BoolArray) -> Heard:
        return Heard(error_ms=self.error_ms[some], u_ms=self.u_ms[some], rise_ms=self.rise_ms[some])


def listen(
    scenes: Sequence[Struck], known: KnownDelay | None, seed: int, folder: Path | None = None
) -> Heard:
    """Look for each strike where a picture of the ball leaving says that it must be.

    Args:
        scenes: The strikes.
        known: The camera's own delay; None as for a camera never seen before.
        seed: Decides where between two frames contact lies.
        folder: Where to write the sound as AAC in MP4 first; None takes it as it is.
    """
    rng = np.random.default_rng(seed)
    error, u = np.full(len(scenes), np.nan), np.full(len(scenes), np.nan)
    first = 0
    for n, scene in enumerate(scenes):
        samples, rate_hz, start_ns = _sound(scene, n, folder)
        contact_ns = round(scene.contact_s * NS_PER_S)
        microphone = microphone_of(scene)
        window = listen_window(bracket_of(scene, rng), SHUTTER, microphone, known)
        alone = find_strikes(samples, rate_hz, start_ns, most=1)
        arrival_ns = contact_ns + microphone.travel_ns
        first += bool(alone) and abs(alone[0].arrival_ns - arrival_ns) <= FRAME_NS
        best = find_strikes(samples, rate_hz, start_ns, most=1, window=window)
        if best:
            error[n] = (best[0].arrival_ns - microphone.travel_ns - contact_ns) / 1e6
            u[n] = best[0].u_ns / 1e6
    rises = np.array([scene.rise_ms for scene in scenes])
    return Heard(error_ms=error, u_ms=u, rise_ms=rises, first=first)


def microphone_of(scene: Struck) -> Microphone:
    """Where the scene's sound was taken."""
    return Microphone(distance_m=scene.distance_m, temperature_c=scene.air_c)


def bracket_of(scene: Struck, rng: np.random.Generator) -> BallBracket:
    """The two frames between which the ball is seen leaving."""
    last_ns = round(scene.contact_s * NS_PER_S) - round(rng.uniform(0, 1) * FRAME_NS)
    return BallBracket(last_with_ns=last_ns, first_without_ns=last_ns + FRAME_NS, confidence=1.0)


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


def coverage_pct(groups: Sequence[Heard]) -> float:
    """Share of the found whose error is no more than two of their own u."""
    error = np.concatenate([one.found for one in groups])
    u = np.concatenate([one.u_ms[one.near] for one in groups])
    return 100.0 * float(np.mean(np.abs(error) <= 2 * u))


def by_class(groups: dict[str, Heard]) -> dict[str, Detail]:
    """Coverage of each group, of each rise over all groups, and of each of both."""
    table: dict[str, Detail] = {}
    for name, one in groups.items():
        table[name] = round(coverage_pct([one]), 1)
    for span in RISES_MS:
        words = f"rise {span[0]}-{span[1]} ms"
        table[words] = round(coverage_pct([g.rising(span) for g in groups.values()]), 1)
        for name, one in groups.items():
            table[f"{name}, {words}"] = round(coverage_pct([one.rising(span)]), 1)
    return table
