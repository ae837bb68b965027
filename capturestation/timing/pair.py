"""One strike in two recordings: how much later the second has it, by the likeness of the sounds.

Owns the second way of laying two sounds on each other. The first is the difference of both onsets;
the two ways err for different reasons (a noise before the strike moves an onset, an echo that one
microphone hears louder moves a likeness), so that each checks the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.timing.strike import BAND_HZ, Onset, only_band

_BEFORE_S = 0.004
_AFTER_S = 0.012
# The direct sound and the first echoes; later the room answers each microphone differently.
_REACH_S = 0.008
_FLOOR_NS = 60_000
# Two microphones never hear the same echoes.
_FLATTEN = 0.7
# 1 would make every frequency count alike, the room's noise too.
_SMOOTH_S = 0.0004
AGREE_U = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lag:
    """How much later the second recording has the strike, both on their own clocks.

    Args:
        b_minus_a_ns: By the likeness of waves and of loudness, their mean.
        u_ns: Standard uncertainty of it.
        likeness: 0..1, of the two sounds' loudness over time at that lag.
    """

    b_minus_a_ns: int
    u_ns: int
    likeness: float


def sound_lag(
    a: SoundArray, b: SoundArray, rate_hz: int, a_at: tuple[int, Onset], b_at: tuple[int, Onset]
) -> Lag:
    """Lay two sounds of one strike on each other.

    Generalised cross-correlation with flattened spectrum says it by the waves, cross-correlation of
    loudness by the envelopes; half their difference goes into the error.

    Args:
        a: (n,) mono.
        b: (m,) mono, of the same rate.
        rate_hz: Samples a second.
        a_at: Time of the first sample of `a`, and the strike found in it.
        b_at: The same of `b`.

    Source:
        Knapp and Carter, The generalized correlation method for estimation of time delay, IEEE
        Trans. ASSP 24(4):320-327, 1976.
    """
    pieces, firsts = [], []
    for samples, (start_ns, onset) in ((a, a_at), (b, b_at)):
        at = round((onset.arrival_ns - start_ns) * rate_hz / NS_PER_S)
        piece, first = _cut(only_band(samples.astype(np.float64), rate_hz), at, rate_hz)
        pieces.append(piece)
        firsts.append(start_ns + round(first * NS_PER_S / rate_hz))
    reach = round(_REACH_S * rate_hz)
    waves, _ = _best(_waves(pieces[0], pieces[1], rate_hz), reach)
    loud, likeness = _best(_loudness(pieces[0], pieces[1], rate_hz), reach)
    apart_ns = firsts[1] - firsts[0]
    to_ns = NS_PER_S / rate_hz
    return Lag(
        b_minus_a_ns=apart_ns + round((waves + loud) / 2 * to_ns),
        u_ns=round(hypot(_FLOOR_NS, (waves - loud) / 2 * to_ns)),
        likeness=float(np.clip(likeness, 0.0, 1.0)),
    )


def agree(a: Onset, b: Onset, lag: Lag) -> bool:
    """Whether both ways say the same, within three of their errors together."""
    apart_ns = abs(b.arrival_ns - a.arrival_ns - lag.b_minus_a_ns)
    return apart_ns <= AGREE_U * hypot(a.u_ns, b.u_ns, lag.u_ns)


def _cut(banded: FloatArray, at: int, rate_hz: int) -> tuple[FloatArray, int]:
    """The strike with as much of silence around it as it may be moved, and where that begins."""
    before, after = round(_BEFORE_S * rate_hz), round(_AFTER_S * rate_hz)
    first = at - before
    piece = np.zeros(before + after)
    low, high = max(first, 0), min(at + after, len(banded))
    piece[low - first : high - first] = banded[low:high]
    # Soft ends, or the cut itself would be what is alike.
    soft = before // 2
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(soft) / soft)
    piece[:soft] *= ramp
    piece[-soft:] *= ramp[::-1]
    return piece, first


def _waves(a: FloatArray, b: FloatArray, rate_hz: int) -> FloatArray:
    """Correlation by lag of b after a, from -len to len - 1, every frequency about alike."""
    size = 2 * len(a)
    cross = np.fft.rfft(b, size) * np.conj(np.fft.rfft(a, size))
    hz = np.fft.rfftfreq(size, 1 / rate_hz)
    inside = (hz >= BAND_HZ[0]) & (hz <= min(BAND_HZ[1], 0.46 * rate_hz))
    flat = np.where(inside, cross / np.maximum(np.abs(cross), 1e-12) ** _FLATTEN, 0)
    finest = np.fft.irfft(flat, size)
    # The envelope of the correlation: its waves' own tops lie a third of a millisecond apart.
    turned = np.fft.fft(finest)
    turned[1 : size // 2] *= 2
    turned[size // 2 + 1 :] = 0
    return np.fft.fftshift(np.abs(np.fft.ifft(turned)))


def _loudness(a: FloatArray, b: FloatArray, rate_hz: int) -> FloatArray:
    long = round(_SMOOTH_S * rate_hz)
    window = np.hanning(2 * long + 1)
    window /= window.sum()
    loud = [np.sqrt(np.convolve(piece**2, window, mode="same")) for piece in (a, b)]
    loud = [one - one.mean() for one in loud]
    size = 2 * len(a)
    cross = np.fft.irfft(np.fft.rfft(loud[1], size) * np.conj(np.fft.rfft(loud[0], size)), size)
    norm = float(np.sqrt(np.sum(loud[0] ** 2) * np.sum(loud[1] ** 2)))
    return np.fft.fftshift(cross) / max(norm, 1e-12)


def _best(by_lag: FloatArray, reach: int) -> tuple[float, float]:
    """The lag in samples at the greatest value, between samples by a parabola; and that value."""
    middle = len(by_lag) // 2
    place = middle - reach + int(np.argmax(by_lag[middle - reach : middle + reach + 1]))
    early, at, late = (float(v) for v in by_lag[place - 1 : place + 2])
    bend = early - 2 * at + late
    off = 0.5 * (early - late) / bend if bend < 0 else 0.0
    return place - middle + off, at
