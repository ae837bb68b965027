"""Invented strikes, thuds and rooms whose exact times are known.

A strike is a half-sine push of club on ball (0.40-0.55 ms) that rings a handful of modes of the
club head; it is computed on a grid eight times finer than the sound, so that it may begin anywhere
between two samples. Nothing here is shared with the code under test.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray, SoundArray

RATE_HZ = 48_000
_FINER = 8
BAND_HZ = (2_000.0, 8_000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A sound and the truth about it.

    Args:
        samples: (n,) float32.
        strike_ns: First contact as heard at the microphone, on the sound's own clock.
        snr_db: Band RMS of 10 ms after contact over that of 20 ms before, as mixed.
    """

    samples: SoundArray
    strike_ns: int
    snr_db: float


def ring(
    rng: np.random.Generator,
    at_s: float,
    seconds: float,
    *,
    modes_hz: tuple[float, float] = (2_000.0, 7_500.0),
    decay_s: tuple[float, float] = (0.002, 0.012),
    push_s: tuple[float, float] = (0.00040, 0.00055),
    rise_s: float = 0.0,
) -> FloatArray:
    """A struck thing's sound that begins exactly at `at_s`, (n,), peak 1.

    Args:
        rng: Decides the modes.
        at_s: When it begins.
        seconds: Length of the whole.
        modes_hz: Lowest and highest mode.
        decay_s: Shortest and longest time in which a mode dies to 1/e.
        push_s: Shortest and longest push.
        rise_s: How long the modes take to their full size, beside the push.
    """
    fine_hz = RATE_HZ * _FINER
    t = np.arange(round(0.08 * fine_hz)) / fine_hz
    start = at_s * fine_hz
    whole = int(start // _FINER) * _FINER
    late = (start - whole) / fine_hz
    modes = _modes(rng, t, modes_hz, decay_s)
    if rise_s:
        modes *= np.sin(np.pi / 2 * np.minimum(t / rise_s, 1.0)) ** 2
    push_length = rng.uniform(*push_s)
    since = t - late
    push = np.where((since >= 0) & (since < push_length), np.sin(np.pi * since / push_length), 0.0)
    size = 2 * len(t)
    spectrum = np.fft.rfft(modes, size) * np.fft.rfft(push, size)
    hz = np.fft.rfftfreq(size, 1 / fine_hz)
    spectrum *= np.clip((23_000 - hz) / 4_000, 0, 1)
    heard = np.fft.irfft(spectrum, size)[: len(t) : _FINER]
    heard /= np.abs(heard).max()
    return _placed(heard, whole // _FINER, round(seconds * RATE_HZ))


def _modes(
    rng: np.random.Generator, t: FloatArray, hz: tuple[float, float], decay: tuple[float, float]
) -> FloatArray:
    total = np.zeros_like(t)
    for _ in range(int(rng.integers(4, 9))):
        frequency = rng.uniform(*hz)
        damping = rng.uniform(*decay)
        total += rng.uniform(0.3, 1.0) * np.exp(-t / damping) * np.sin(2 * np.pi * frequency * t)
    return total


def _placed(part: FloatArray, first: int, n: int) -> FloatArray:
    whole = np.zeros(n)
    last = min(first + len(part), n)
    whole[first:last] = part[: last - first]
    return whole


def echoes(rng: np.random.Generator, dry: FloatArray, count: int = 6) -> FloatArray:
    """The dry sound and what floor, walls and net send back, each weaker than the dry one."""
    wet = dry.copy()
    for _ in range(count):
        delay = int(rng.uniform(0.0008, 0.03) * RATE_HZ)
        wet[delay:] += rng.uniform(0.05, 0.45) * rng.choice((-1.0, 1.0)) * dry[:-delay]
    return wet


def room(rng: np.random.Generator, seconds: float, kind: str) -> FloatArray:
    """A background of unit band RMS: `hiss`, `fan` (falling spectrum, hum) or `talk` (waxing)."""
    n = round(seconds * RATE_HZ)
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    spectrum = np.fft.rfft(rng.standard_normal(n))
    if kind != "hiss":
        spectrum /= np.maximum(hz, 40.0) ** (0.5 if kind == "fan" else 1.0)
    noise = np.fft.irfft(spectrum, n)
    t = np.arange(n) / RATE_HZ
    if kind == "fan":
        noise += 8 * noise.std() * np.sin(2 * np.pi * 100 * t)
    if kind == "talk":
        noise *= 1.0 + 0.8 * np.sin(2 * np.pi * rng.uniform(3, 6) * t + rng.uniform(0, 6))
    return noise / band_rms(noise)


def band(samples: FloatArray) -> FloatArray:
    """Only 2-8 kHz, by the Fourier transform."""
    hz = np.fft.rfftfreq(len(samples), 1 / RATE_HZ)
    spectrum = np.fft.rfft(samples)
    spectrum[(hz < BAND_HZ[0]) | (hz > BAND_HZ[1])] = 0
    return np.fft.irfft(spectrum, len(samples))


def band_rms(samples: FloatArray) -> float:
    """Root mean square of what lies in 2-8 kHz."""
    return float(np.sqrt(np.mean(band(samples) ** 2)))


def strike_scene(
    seed: int, *, snr_db: float, kind: str = "fan", at_s: float | None = None, wet: bool = True
) -> Scene:
    """One strike in a room, mixed to the asked signal to noise."""
    rng = np.random.default_rng(seed)
    seconds = 1.2
    at = rng.uniform(0.55, 0.65) if at_s is None else at_s
    strike = ring(rng, at, seconds)
    if wet:
        strike = echoes(rng, strike)
    noise = room(rng, seconds, kind)
    return mixed(strike, noise, at, snr_db)


def mixed(strike: FloatArray, noise: FloatArray, at_s: float, snr_db: float) -> Scene:
    """Scale the strike so that it stands `snr_db` over the noise just before it."""
    at = round(at_s * RATE_HZ)
    before = np.sqrt(np.mean(band(noise)[at - RATE_HZ // 50 : at] ** 2))
    after_noise = np.mean(band(noise)[at : at + RATE_HZ // 100] ** 2)
    after = np.mean(band(strike)[at : at + RATE_HZ // 100] ** 2)
    gain = np.sqrt(max((before * 10 ** (snr_db / 20)) ** 2 - after_noise, before**2 * 1e-3) / after)
    total = noise + gain * strike
    total *= 0.5 / np.abs(total).max()
    return Scene(samples=total.astype(np.float32), strike_ns=round(at_s * 1e9), snr_db=snr_db)
