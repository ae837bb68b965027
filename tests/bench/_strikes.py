"""Invented strikes in real backgrounds, with their exact times.

A strike rises within 0.1-0.6 ms to 2-4 damped modes (Russell and Kerrian 2016: strong ones from
2 kHz on; contact about 0.5 ms, USGA 2025), comes back from floor and walls, and is followed by the
net. Written apart from the sounds that unit tests use and from the sample sessions, so that no
detector is measured on the sound it was made with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from capturestation.records import FloatArray, SoundArray
from tests.helpers.real_sounds import RATE_HZ, backgrounds

SECONDS = 1.3
_FINER = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """One strike in a background.

    Args:
        samples: (n,) at 48 kHz.
        contact_s: First contact; the sound arrives `distance_m` later.
        distance_m: Ball to microphone.
        air_c: Temperature.
        snr_db: Band RMS (2-8 kHz) of the 10 ms after arrival over that of the 20 ms before.
        background: Name of the recording.
        rise_ms: How long the strike takes to rise.
    """

    samples: SoundArray
    contact_s: float
    distance_m: float
    air_c: float
    snr_db: float
    background: str
    rise_ms: float

    @property
    def arrival_s(self) -> float:
        """Contact and the way through the air, 343.2 m/s at 20 degrees (ISO 9613-1:1993)."""
        return self.contact_s + self.distance_m / (343.2 * sqrt((self.air_c + 273.15) / 293.15))


def struck(
    seed: int, count: int, snr_db: tuple[float, float], names: tuple[str, ...]
) -> Iterator[Struck]:
    """So many strikes, each in another background in turn."""
    rooms = backgrounds(names)
    for number in range(count):
        name = names[number % len(names)]
        yield _one(np.random.default_rng((seed, number)), rooms[name], name, snr_db)


def with_neighbour(
    rng: np.random.Generator, scene: Struck, after_s: float, louder_db: float
) -> Struck:
    """The same scene with another strike, so much after ours and so much louder."""
    dry = _strike(rng, scene.arrival_s + after_s, rng.uniform(0.1, 0.6))
    other = _with_room(rng, dry)
    at = round(scene.arrival_s * RATE_HZ)
    ours = np.abs(_band(scene.samples.astype(np.float64))[at : at + RATE_HZ // 100]).max()
    theirs = np.abs(_band(other)).max()
    total = scene.samples + 10 ** (louder_db / 20) * ours / theirs * other
    return replace(scene, samples=(total * (0.7 / np.abs(total).max())).astype(np.float32))


def _one(
    rng: np.random.Generator, recorded: FloatArray, name: str, snr_db: tuple[float, float]
) -> Struck:
    contact, distance, air = rng.uniform(0.55, 0.75), rng.uniform(0.4, 4.0), rng.uniform(5.0, 35.0)
    wanted, rise = rng.uniform(*snr_db), rng.uniform(0.1, 0.6)
    empty = Struck(
        samples=np.zeros(0, dtype=np.float32), contact_s=contact, distance_m=distance, air_c=air,
        snr_db=wanted, background=name, rise_ms=rise,
    )  # fmt: skip
    at_s = empty.arrival_s
    strike = _with_room(rng, _strike(rng, at_s, rise))
    late = rng.uniform(0.055, 0.16)
    thud = rng.uniform(0.3, 3.0) * _thud(rng, at_s + late)
    samples = _mixed(strike, thud, _heard(rng, recorded, at_s, wanted), at_s, wanted)
    return Struck(
        samples=samples, contact_s=contact, distance_m=distance, air_c=air, snr_db=wanted,
        background=name, rise_ms=rise,
    )  # fmt: skip


def _strike(rng: np.random.Generator, at_s: float, rise_ms: float) -> FloatArray:
    """Exactly nothing before `at_s`; made 16 times as fine, so it begins between two samples."""
    first = int(at_s * RATE_HZ) - 64
    fine = (np.arange(round(0.12 * RATE_HZ) * _FINER)) / (RATE_HZ * _FINER) + first / RATE_HZ - at_s
    after = np.maximum(fine, 0.0)
    rise = np.sin(np.pi / 2 * np.minimum(after * 1000 / rise_ms, 1.0)) ** 2
    ring = np.zeros_like(after)
    for _ in range(int(rng.integers(2, 5))):
        hz, decay = rng.uniform(2_000, 7_000), rng.uniform(0.0015, 0.010)
        ring += (
            rng.uniform(0.3, 1.0)
            * np.exp(-after / decay)
            * np.sin(2 * np.pi * hz * after + rng.uniform(0, 2 * np.pi))
        )
    push = np.where((after > 0) & (after < 0.0005), np.sin(np.pi * after / 0.0005), 0.0)
    fine_sound = rise * ring + rng.uniform(0.0, 0.6) * push
    spectrum = np.fft.rfft(fine_sound)
    hz_axis = np.fft.rfftfreq(len(fine_sound), 1 / (RATE_HZ * _FINER))
    spectrum *= np.clip((23_500 - hz_axis) / 2_500, 0, 1)
    heard = np.fft.irfft(spectrum, len(fine_sound))[::_FINER]
    return _placed(heard, first)


def _placed(part: FloatArray, first: int) -> FloatArray:
    whole = np.zeros(round(SECONDS * RATE_HZ))
    stop = min(first + len(part), len(whole))
    whole[first:stop] = part[: stop - first]
    return whole


def _with_room(rng: np.random.Generator, dry: FloatArray) -> FloatArray:
    """Floor, walls and ceiling, then what is left of all of them, dying away."""
    wet = dry.copy()
    for _ in range(int(rng.integers(3, 8))):
        late = int(rng.uniform(0.002, 0.040) * RATE_HZ)
        wet[late:] += rng.uniform(0.05, 0.4) * rng.choice((-1.0, 1.0)) * dry[:-late]
    tail = rng.normal(size=round(0.15 * RATE_HZ)) * np.exp(
        -np.arange(round(0.15 * RATE_HZ)) / RATE_HZ / rng.uniform(0.02, 0.06)
    )
    tail[: round(0.008 * RATE_HZ)] = 0.0
    size = len(dry) + len(tail)
    late_room = np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(tail, size), size)[: len(dry)]
    share = 0.15 * float(np.abs(dry).max()) / max(float(np.abs(late_room).max()), 1e-9)
    return np.asarray(wet + share * late_room, dtype=np.float64)


def _thud(rng: np.random.Generator, at_s: float) -> FloatArray:
    """The net: low, slower to rise than a strike, with cloth in it."""
    after = np.maximum(np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ - at_s, 0.0)
    swell = after / 0.004 * np.exp(1 - after / 0.004)
    low = sum(np.sin(2 * np.pi * rng.uniform(80, 900) * after) for _ in range(4))
    cloth = rng.normal(size=len(after)) * 0.3
    return np.asarray(swell * (low / 2 + cloth), dtype=np.float64)


def _heard(
    rng: np.random.Generator, recorded: FloatArray, at_s: float, snr_db: float
) -> FloatArray:
    """A stretch of the recording in which something is heard just before the strike.

    A place where the recording itself grows by more than half of what the strike is to stand out
    has no strike of that signal to noise.
    """
    long, at = round(SECONDS * RATE_HZ), round(at_s * RATE_HZ)
    soft = round(0.01 * RATE_HZ)
    ramp = np.linspace(0, 1, soft)
    ring = recorded.copy()
    # The end runs into the beginning, or the seam would click.
    ring[-soft:] = ring[-soft:] * (1 - ramp) + ring[:soft] * ramp
    ring = ring[soft:]
    loud = np.sqrt(np.mean(_band(ring) ** 2))
    for _ in range(200):
        some = np.resize(np.roll(ring, int(rng.integers(len(ring)))), long)
        banded = _band(some) ** 2
        before = np.mean(banded[at - RATE_HZ // 50 : at])
        after = np.mean(banded[at : at + RATE_HZ // 100])
        if before >= (0.1 * loud) ** 2 and after <= 0.5 * before * 10 ** (snr_db / 10):
            # Every microphone hisses a little.
            return np.asarray(some + 0.03 * loud * rng.normal(size=long), dtype=np.float64)
    msg = f"no place in this recording for a strike of {snr_db:.1f} dB"
    raise RuntimeError(msg)


def _band(samples: FloatArray) -> FloatArray:
    hz = np.fft.rfftfreq(len(samples), 1 / RATE_HZ)
    spectrum = np.fft.rfft(samples)
    spectrum[(hz < 2_000) | (hz > 8_000)] = 0
    return np.fft.irfft(spectrum, len(samples))


def _mixed(
    strike: FloatArray, thud: FloatArray, room: FloatArray, at_s: float, snr_db: float
) -> SoundArray:
    """So loud that the sum's own band RMS stands `snr_db` over the 20 ms before."""
    at, after = round(at_s * RATE_HZ), slice(round(at_s * RATE_HZ), round((at_s + 0.01) * RATE_HZ))
    before = np.mean(_band(room)[at - RATE_HZ // 50 : at] ** 2)
    noise, signal = _band(room)[after], _band(strike)[after]
    aim = before * 10 ** (snr_db / 10)
    # mean((noise + g * signal)^2) = aim
    a, b, c = np.mean(signal**2), 2 * np.mean(signal * noise), np.mean(noise**2) - aim
    root = sqrt(max(float(b * b - 4 * a * c), 0.0))
    gain = max((root - float(b)) / (2 * float(a)), sqrt(0.5 * float(before) / float(a)))
    size = gain * np.abs(strike).max()
    total = room + gain * strike + size * thud / max(np.abs(thud).max(), 1e-9)
    return np.asarray(total * (0.7 / np.abs(total).max()), dtype=np.float32)
