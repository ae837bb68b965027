"""Strikes of club on ball in a sound: where each begins, how sure, which is the strike.

Owns the search through a whole sound and the ranking. The fine pick is `timing.onset`'s. Refuses to
know cameras, distances or pictures: times are arrivals at the microphone, on the sound's own clock.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capturestation.errors import BadInputError
from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.timing.onset import AFTER_S, BEFORE_S, pick_onset

BAND_HZ = (2_000.0, 8_000.0)
# Club heads ring at 2-5 kHz (Russell and Kerrian, 171st ASA meeting, 2016); voices, steps and nets
# have most of theirs lower.
_EDGE_HZ = 1_000.0
# Steeper edges would smear a loud strike into the quiet before it, and hide how quiet that was.
LOWEST_RATE_HZ = 8_000
BIN_S = 0.001
FLOOR_BINS = 60
GAP_BINS = 3
JUMP = 3.0
# 5 dB over two milliseconds: 24 independent values of a steady noise do that once in minutes.
GROUP_BINS = 15
LIKENESS_S = 0.016
"""Sound needed after the coarse place to tell what the burst is like."""
_LOOKED_AT = 24
_SHARP = 0.35
_VAGUE_S = 0.001
# A strike's beginning is known to a fraction of this; a syllable's isn't.
_THUD_S = (0.004, 0.22)
# From a wall's first echo on; the net is heard 55 ms after a driver at 3 m, 160 after a pitch.
_STRIKE_DB = 8.0
_SAME_NS = 1_000_000
# One burst found twice: no second thing sounds within the millisecond.


@dataclass(frozen=True, slots=True, kw_only=True)
class Onset:
    """One burst that may be the strike.

    Args:
        arrival_ns: First contact as heard at the microphone, the sound's own clock.
        u_ns: Standard uncertainty of it.
        snr_db: Band RMS (2-8 kHz) of the 10 ms after over that of the 20 ms before.
        peak: Largest absolute sample of the 10 ms after, 0..1.
        sharpness: Share of the band's energy of 12 ms that comes in the first 4 ms, 0..1.
        score: What the ranking goes by; higher is more like a strike.
        after_ns: Arrival of the strike whose net thud this probably is; None if it is none.
    """

    arrival_ns: int
    u_ns: int
    snr_db: float
    peak: float
    sharpness: float
    score: float
    after_ns: int | None = None


def find_strikes(
    samples: SoundArray,
    rate_hz: int,
    start_ns: int,
    *,
    most: int = 5,
    window: tuple[int, int] | None = None,
) -> tuple[Onset, ...]:
    """Find the bursts of a sound that begin as suddenly as a strike, best first.

    A net thuds 55-160 ms after the ball was struck and often louder, so of such a pair the earlier
    one ranks first if it is sharp.

    Args:
        samples: (n,) mono.
        rate_hz: Samples a second, 8,000 or more.
        start_ns: Time of the first sample on the sound's own clock.
        most: No more than so many.
        window: Only bursts that begin from the first to before the second time.

    Returns:
        The bursts; empty where nothing stands out of the room's noise.

    Raises:
        BadInputError: If the rate is too low to hold any of a strike's band.
        ValueError: If the samples are not one row.
    """
    if samples.ndim != 1:
        msg = f"samples must be (n,), got {samples.shape}"
        raise ValueError(msg)
    if rate_hz < LOWEST_RATE_HZ:
        raise BadInputError(
            f"A sound of {rate_hz} samples a second can't show a strike.",
            try_next=f"Record sound at {LOWEST_RATE_HZ} samples a second or more.",
            subject=str(rate_hz),
        )
    if not samples.any():
        return ()
    sound = samples.astype(np.float64)
    banded = only_band(sound, rate_hz)
    looked_at, asked = _stretches(window, start_ns, rate_hz, len(sound))
    places = _coarse(banded, rate_hz, looked_at, asked)
    found = [onset_near(sound, banded, rate_hz, start_ns, *place) for place in places]
    if window is not None:
        found = [onset for onset in found if window[0] <= onset.arrival_ns < window[1]]
    return tuple(sorted(_without_thuds(found), key=lambda onset: -onset.score)[:most])


def only_band(samples: FloatArray, rate_hz: int) -> FloatArray:
    """The 2-8 kHz part of a sound (less where the rate holds less), unshifted in time."""
    # Beyond both ends the sound is mirrored, or the jump from its end to its start would click.
    beyond = min(rate_hz // 50, len(samples) - 1)
    whole = np.pad(samples, beyond, mode="reflect", reflect_type="odd")
    hz = np.fft.rfftfreq(len(whole), 1 / rate_hz)
    top = min(BAND_HZ[1], 0.46 * rate_hz)
    rise = np.clip((hz - BAND_HZ[0]) / _EDGE_HZ + 0.5, 0, 1)
    fall = np.clip((top - hz) / _EDGE_HZ + 0.5, 0, 1)
    keep = (0.5 - 0.5 * np.cos(np.pi * rise)) * (0.5 - 0.5 * np.cos(np.pi * fall))
    kept: FloatArray = np.fft.irfft(np.fft.rfft(whole) * keep, len(whole))
    return kept[beyond : beyond + len(samples)]


_Stretch = tuple[int, int]


def _stretches(
    window: tuple[int, int] | None, start_ns: int, rate_hz: int, samples: int
) -> tuple[_Stretch, _Stretch | None]:
    """Samples of interest, with what may have caused a thud in the window; and the window's own."""
    if window is None:
        return (0, samples), None
    first, last = (round((edge - start_ns) * rate_hz / NS_PER_S) for edge in window)
    reach, ring = round(_THUD_S[1] * rate_hz), round(AFTER_S * rate_hz)
    return (first - reach, last + ring), (max(first, 0), min(last, samples))


def _coarse(
    banded: FloatArray, rate_hz: int, inside: _Stretch, asked: _Stretch | None
) -> list[tuple[int, int]]:
    """Samples at which a burst is surely under way, and before which it can't begin.

    Only the loudest jumps. Where the picture says that a strike must be, the greatest jump there is
    one of them, however small: in talk, a soft strike is no louder than a syllable.
    """
    size = round(BIN_S * rate_hz)
    jump, soon = _jumps(banded, size)
    if not len(jump):
        return []
    at = (np.arange(len(jump)) + 2) * size
    starts = [n for n in _groups(jump, soon) if inside[0] <= at[n] <= inside[1]]
    loudest = sorted(starts, key=lambda start: -jump[start])[:_LOOKED_AT]
    places = [(int(at[start]), 0) for start in loudest]
    if asked is not None:
        own = np.flatnonzero((at >= asked[0] + size) & (at <= asked[1] + 2 * size))
        if len(own):
            best = own[np.argmax(jump[own] * np.sqrt(soon[own]))]
            places.append((int(at[best]), asked[0]))
    return sorted(places)


def _jumps(banded: FloatArray, size: int) -> tuple[FloatArray, FloatArray]:
    """How much louder two bins are than the room and than just before; and how loud they are."""
    bins = len(banded) // size
    history = FLOOR_BINS + GAP_BINS
    if bins <= GAP_BINS:
        return np.zeros(0), np.zeros(0)
    power = np.mean(banded[: bins * size].reshape(bins, size) ** 2, axis=1)
    early = np.pad(power, (history, 0), mode="reflect" if bins > history else "edge")
    views = np.lib.stride_tricks.sliding_window_view(early, FLOOR_BINS)[:bins]
    floor = np.median(views, axis=1) + 1e-7 * power.max() + 1e-14
    # The share of the loudest keeps a silent file's rounding noise from being a room.
    recent = np.pad(power, (GAP_BINS, 0), mode="edge")
    before = np.lib.stride_tricks.sliding_window_view(recent, GAP_BINS)[:bins].mean(axis=1)
    soon = (power + np.append(power[1:], power[-1])) / 2
    return soon / np.maximum(floor, before), soon


def _groups(jump: FloatArray, power: FloatArray) -> list[int]:
    """One bin for each burst: the greatest jump of those that follow each other closely."""
    over = np.flatnonzero(jump > JUMP)
    starts: list[int] = []
    while len(over):
        inside = over[over < over[0] + GROUP_BINS]
        best = int(inside[np.argmax(jump[inside] * np.sqrt(power[inside]))])
        starts.append(best)
        over = over[over >= best + GROUP_BINS]
    return starts


def onset_near(
    sound: FloatArray,
    banded: FloatArray,
    rate_hz: int,
    start_ns: int,
    coarse: int,
    earliest: int = 0,
) -> Onset:
    """Pick the beginning of a burst noticed at sample `coarse`, and how like a strike it is.

    Args:
        sound: (n,) with at least `BEFORE_S` before the place and `LIKENESS_S` after it.
        banded: Its 2-8 kHz part, (n,).
        rate_hz: Samples a second.
        start_ns: Time of the first sample.
        coarse: Where the burst is surely under way.
        earliest: Sample before which it can't begin.
    """
    first = max(0, coarse - round(BEFORE_S * rate_hz))
    stretch = sound[first : coarse + round(AFTER_S * rate_hz)]
    pick = pick_onset(stretch, rate_hz, coarse - first, earliest=max(earliest - first, 0))
    at = first + round(pick.at_sample)
    snr_db, sharpness = _likeness(banded, at, rate_hz)
    return Onset(
        arrival_ns=start_ns + round((first + pick.at_sample) * NS_PER_S / rate_hz),
        u_ns=round(pick.u_samples * NS_PER_S / rate_hz),
        snr_db=snr_db,
        peak=float(np.abs(sound[at : at + rate_hz // 100]).max(initial=0.0)),
        sharpness=sharpness,
        score=snr_db * min(sharpness / _SHARP, 1.0) / (1.0 + pick.u_samples / rate_hz / _VAGUE_S),
    )


def _likeness(banded: FloatArray, at: int, rate_hz: int) -> tuple[float, float]:
    """Signal to noise in dB, and the share of energy that comes at once."""
    power = banded**2
    tiny = 1e-9 * float(power.max()) + 1e-20
    quiet = power[max(0, at - rate_hz // 50) : max(at - rate_hz // 1000, 1)]
    before = float(np.mean(quiet)) + tiny
    after = float(np.mean(power[at : at + rate_hz // 100])) + tiny
    soon = float(np.sum(power[at : at + round(0.004 * rate_hz)]))
    whole = float(np.sum(power[at : at + round(0.012 * rate_hz)])) + tiny
    return 10 * float(np.log10(after / before)), soon / whole


def _without_thuds(found: list[Onset]) -> list[Onset]:
    """Rank below its strike each burst that comes as late after one as a net's thud does."""
    kept: list[Onset] = []
    for onset in sorted(found, key=lambda one: one.arrival_ns):
        if kept and onset.arrival_ns - kept[-1].arrival_ns < _SAME_NS:
            continue
        strikes = [
            one
            for one in kept
            if one.after_ns is None
            and _THUD_S[0] * NS_PER_S <= onset.arrival_ns - one.arrival_ns <= _THUD_S[1] * NS_PER_S
            and one.snr_db >= _STRIKE_DB
            and one.sharpness >= _SHARP
        ]
        if not strikes:
            kept.append(onset)
            continue
        strike = max(strikes, key=lambda one: one.score)
        below = min(onset.score, strike.score - 1.0)
        kept.append(replace(onset, score=below, after_ns=strike.arrival_ns))
    return kept
