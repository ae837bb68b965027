"""Strikes in a sound that is still going on: blocks in, candidates out, on the host's clock.

Owns the search of `timing.strike` in a form that never looks back further than a quarter of a
second: the same bins, jumps and groups, and at each burst the same fine pick on the same samples,
so that a burst gets the same time whether its sound is read from a file or heard live. Learns the
room's loudness slowly. Refuses to say which burst was our ball: the picture does.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from capturestation.errors import BadInputError
from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.records.capture import Candidate
from capturestation.timing.onset import BEFORE_S
from capturestation.timing.strike import (
    BAND_HZ,
    BIN_S,
    FLOOR_BINS,
    GAP_BINS,
    GROUP_BINS,
    JUMP,
    LIKENESS_S,
    LOWEST_RATE_HZ,
    Onset,
    only_band,
    onset_near,
)

_HOP_BINS = 10
_HISTORY = FLOOR_BINS + GAP_BINS
_KEPT_S = 0.25
_TAPS_S = 0.002
# As long as the file form's filter rings, whose edges are 1 kHz wide.
_LOWEST_MIDDLE = 19
# Of a hop's sixty-bin floors none is lower than the 20th lowest of the bins before the hop: where
# nothing stands out of that, one look spares ten medians.
_REMEMBERED = 128
_ROUGH_DB, _ROUGH_BEFORE, _ROUGH_AFTER = 5.0, 20, 10
# By whole milliseconds a burst may look fainter by some dB than by its exact beginning.
_GAP_NS = 20_000_000
_ANCHOR_S = 0.010
_LEAST_SNR_DB = 8.0
_LEAST_SHARP, _LEAST_SHARP_LOUD = 0.25, 0.12
# A strike with the whole room's echoes keeps more than that in its first third; a loud one that
# sets off the room's own noises as well, the lesser share.
_ROOM_S = 4.0
_MOST_AT_ONCE = 6.0
_QUIETEST = 1e-10
# A fan that starts is learnt within seconds, and a strike moves the room by a hundredth.
_OVER_ROOM_DB = 3.0
# A syllable after a breath jumps, but is no louder than talk is.
_SUDDEN = ((10.0, 0.4), (14.0, 0.25))
# Decibels and sharpness. What stands out so far and comes at once is heard in any room: a machine
# next door is no reason to lose a ball, and the picture has the last word.
_ROUGHLY_SUDDEN_DB = 8.0
_LOUDER = 2.0
# What is so much stronger than what it follows within milliseconds is looked at for itself.
_AGAIN_NS = 18_000_000
_AGAIN_LOUDER = 2.0
# Within the rattle of one thing only what is twice as loud is a thing of its own.
_FAIR_DB, _LOUD_DB = 12.0, 20.0


class Loudness(StrEnum):
    """How far a burst stands out of the room, in the steps in which its time is known."""

    FAINT = "faint"
    FAIR = "fair"
    LOUD = "loud"


def loudness(candidate: Candidate) -> Loudness:
    """Class of a candidate: from 20 dB on loud, from 12 dB on fair.

    Example:
        >>> heard = Candidate(at_host_ns=0, u_ns=1, snr_db=15.0, sharpness=0.7, peak=0.2)
        >>> str(loudness(heard))
        'fair'
    """
    if candidate.snr_db >= _LOUD_DB:
        return Loudness.LOUD
    return Loudness.FAIR if candidate.snr_db >= _FAIR_DB else Loudness.FAINT


@dataclass(frozen=True, slots=True)
class _Anchor:
    """Host time of one sample, counted from where listening began."""

    sample: int
    host_ns: int


class StreamingListener:
    """Hears strikes in blocks of any length that follow each other.

    What it answers doesn't depend on how the sound is cut into blocks. Memory is bounded: a quarter
    of a second of sound. The first 63 ms only teach it the room.
    """

    def __init__(self) -> None:
        self._rate_hz = 0
        self.forget()

    def forget(self) -> None:
        """Begin anew: what comes next does not follow on what came."""
        self._begun = 0
        self._sound: FloatArray = np.zeros(0)
        self._filled = 0
        self._ended = 0
        self._end_ns: int | None = None
        self._anchors: deque[_Anchor] = deque()
        self._bins = 0
        self._power: FloatArray = np.zeros(0)
        self._over: deque[tuple[int, float]] = deque()
        self._next_bin = 0
        self._hidden = 0, 0.0
        self._room = 0.0
        self._told: Onset | None = None

    @property
    def room_db(self) -> float | None:
        """The room's learnt band level, dB under full scale; None before any was heard."""
        return 10 * float(np.log10(self._room)) if self._room > 0 else None

    def hear(self, samples: SoundArray, rate_hz: int, start_host_ns: int) -> tuple[Candidate, ...]:
        """Take the next block.

        Args:
            samples: (n,) mono, any length.
            rate_hz: Samples a second.
            start_host_ns: When its first sample was taken.

        Returns:
            What may be a strike, as soon as it is known, some 30 ms after it; oldest first.

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
        self._follow_on(rate_hz, start_host_ns)
        found: list[Candidate] = []
        step = _HOP_BINS * self._size
        for first in range(0, len(samples), step):
            piece = samples[first : first + step]
            self._take(piece, start_host_ns + first * NS_PER_S // rate_hz)
            found += self._hops()
        self._end_ns = start_host_ns + len(samples) * NS_PER_S // rate_hz
        return tuple(found)

    def _follow_on(self, rate_hz: int, start_ns: int) -> None:
        """Start over where the sound has a hole or another rate."""
        gap_ns = 0 if self._end_ns is None else abs(start_ns - self._end_ns)
        if rate_hz == self._rate_hz and gap_ns <= _GAP_NS and len(self._sound):
            return
        self.forget()
        self._rate_hz = rate_hz
        self._size = round(BIN_S * rate_hz)
        self._taps = _band_taps(rate_hz)
        self._sound = np.zeros(2 * round(_KEPT_S * rate_hz))
        self._power = np.zeros(_REMEMBERED)

    def _take(self, piece: SoundArray, start_ns: int) -> None:
        """Append to the sound kept; drop the older half where it is full."""
        if self._filled + len(piece) > len(self._sound):
            keep = len(self._sound) // 2
            dropped = self._filled - keep
            self._sound[:keep] = self._sound[dropped : self._filled]
            self._filled, self._begun = keep, self._begun + dropped
            while len(self._anchors) > 1 and self._anchors[1].sample <= self._begun:
                self._anchors.popleft()
        if not self._anchors or self._ended - self._anchors[-1].sample >= _ANCHOR_S * self._rate_hz:
            self._anchors.append(_Anchor(self._ended, start_ns))
        self._sound[self._filled : self._filled + len(piece)] = piece
        self._filled += len(piece)
        self._ended += len(piece)

    def _hops(self) -> list[Candidate]:
        """Go through what is complete by now, ten bins at a time."""
        found: list[Candidate] = []
        reach = len(self._taps) // 2
        while (self._bins + _HOP_BINS) * self._size + reach <= self._ended:
            self._one_hop(reach)
            found += self._settled()
        return found

    def _one_hop(self, reach: int) -> None:
        first = self._bins * self._size - self._begun
        last = first + _HOP_BINS * self._size
        heard = self._sound[max(first - reach, 0) : last + reach]
        if first < reach:
            heard = np.concatenate([2 * heard[0] - heard[reach - first : 0 : -1], heard])
        banded = np.convolve(heard, self._taps, mode="valid").reshape(_HOP_BINS, self._size)
        power = np.einsum("ij,ij->i", banded, banded) / self._size
        if self._bins == 0:
            self._power[:] = np.resize(power, _REMEMBERED)
        self._power[:-_HOP_BINS] = self._power[_HOP_BINS:]
        self._power[-_HOP_BINS:] = power
        self._bins += _HOP_BINS
        self._learn(float(power.mean()))
        self._mark_jumps()

    def _learn(self, level: float) -> None:
        if self._room == 0.0:
            self._room = max(level, _QUIETEST)
        level = max(min(level, _MOST_AT_ONCE * self._room), _QUIETEST)
        self._room += (level - self._room) * _HOP_BINS * BIN_S / _ROOM_S

    def _mark_jumps(self) -> None:
        """Note each bin that is suddenly louder; the newest has to wait for the one after it."""
        power = self._power
        if self._bins <= _HISTORY:
            return
        soon = (power[-_HOP_BINS - 1 : -1] + power[-_HOP_BINS:]) / 2
        early = power[-_HISTORY - _HOP_BINS - 1 : -_HOP_BINS - 1]
        if soon.max() <= JUMP * np.partition(early, _LOWEST_MIDDLE)[_LOWEST_MIDDLE]:
            return
        end = len(power) - 1
        faint = 1e-7 * float(power.max()) + 1e-14
        for n, loud in enumerate(soon):
            at = end - _HOP_BINS + n
            floor = float(np.median(power[at - _HISTORY : at - GAP_BINS])) + faint
            jump = float(loud) / max(floor, float(power[at - GAP_BINS : at].mean()))
            if jump > JUMP:
                self._over.append((self._bins - _HOP_BINS - 1 + n, jump * float(np.sqrt(loud))))

    def _settled(self) -> list[Candidate]:
        """Candidates of groups of bins to which nothing can be added any more."""
        found = []
        while self._over:
            self._drop_done()
            if not self._over:
                break
            opened = self._over[0][0]
            group = [one for one in self._over if one[0] < opened + GROUP_BINS]
            best = max(group, key=lambda one: one[1])[0]
            coarse = (best + 2) * self._size
            # Ahead of what is complete: both the group and the sound that tells its likeness.
            wanted = max((opened + GROUP_BINS + 1) * self._size, coarse + self._size + self._after)
            if wanted > self._bins * self._size:
                break
            near = {one[0] for one in group if abs(one[0] - best) <= 1}
            told = self._heard(coarse, near) if self._is_worth_a_look(best) else []
            self._next_bin = best + (GROUP_BINS if told else 1)
            self._hidden = best + GROUP_BINS, _LOUDER * self._level(best)
            found += told
        return found

    def _drop_done(self) -> None:
        """Let go of what was looked at; behind what is no strike only something louder is."""
        until, least = self._hidden
        while self._over and (
            self._over[0][0] < self._next_bin
            or (self._over[0][0] < until and self._level(self._over[0][0]) <= least)
        ):
            self._over.popleft()

    def _level(self, at: int) -> float:
        return float(self._power[len(self._power) - (self._bins - at)])

    def _is_worth_a_look(self, best: int) -> bool:
        """Whether, by whole bins, it stands out enough: the fine pick takes milliseconds."""
        at = len(self._power) - (self._bins - best)
        before = float(self._power[at - _ROUGH_BEFORE : at].mean()) + 1e-14
        after = float(self._power[at : at + _ROUGH_AFTER].mean())
        loud = max(after, float(self._power[at : at + 2].mean()) / 2)
        least = _ROUGH_DB if loud > self._room else _ROUGHLY_SUDDEN_DB
        return loud > 10 ** (least / 10) * before

    @property
    def _after(self) -> int:
        return round(LIKENESS_S * self._rate_hz)

    def _best_of(self, near: set[int], banded: FloatArray, first: int) -> int:
        """Which of neighbouring bins jumps most, by the very band that a file is looked at with.

        Where two jump nearly alike, the ear's own shorter filter would take the other one, and the
        room is learnt from another millisecond then.
        """

        def score(at: int) -> float:
            edges = (np.arange(at - GAP_BINS, at + 3)) * self._size - first
            parts = [banded[a:b] for a, b in pairwise(edges.tolist())]
            power = np.array([float(np.mean(part**2)) for part in parts])
            soon = float(power[-2:].mean())
            end = len(self._power) - (self._bins - at)
            floor = float(np.median(self._power[end - _HISTORY : end - GAP_BINS]))
            least = max(floor, float(power[:-2].mean()), 1e-14)
            return float(soon**1.5 / least)

        return max(sorted(near), key=score)

    def _heard(self, coarse: int, near: set[int]) -> list[Candidate]:
        """The burst as a candidate, if it may be a strike."""
        first = max(coarse - round(BEFORE_S * self._rate_hz) - self._size, self._begun)
        end = coarse + self._size + self._after
        stretch = self._sound[first - self._begun : end - self._begun]
        start_ns = self._host_ns(first)
        banded = only_band(stretch, self._rate_hz)
        coarse = (self._best_of(near, banded, first) + 2) * self._size
        onset = onset_near(stretch, banded, self._rate_hz, start_ns, coarse - first)
        at = coarse - first
        over_room = float(np.mean(banded[at - self._size : at + 5 * self._size] ** 2)) / self._room
        least_sharp = _LEAST_SHARP_LOUD if onset.snr_db >= _LOUD_DB else _LEAST_SHARP
        if onset.snr_db < _LEAST_SNR_DB or onset.sharpness < least_sharp:
            return []
        is_sudden = any(onset.snr_db >= db and onset.sharpness >= s for db, s in _SUDDEN)
        if not is_sudden and over_room < 10 ** (_OVER_ROOM_DB / 10):
            return []
        if self._again(onset):
            return []
        self._told = onset
        return [
            Candidate(
                at_host_ns=onset.arrival_ns,
                u_ns=onset.u_ns,
                snr_db=onset.snr_db,
                sharpness=onset.sharpness,
                peak=onset.peak,
            )
        ]

    def _again(self, onset: Onset) -> bool:
        told = self._told
        if told is None or onset.arrival_ns - told.arrival_ns >= _AGAIN_NS:
            return False
        return onset.peak < _AGAIN_LOUDER * told.peak

    def _host_ns(self, sample: int) -> int:
        anchor = next((a for a in reversed(self._anchors) if a.sample <= sample), self._anchors[0])
        return anchor.host_ns + (sample - anchor.sample) * NS_PER_S // self._rate_hz


def _band_taps(rate_hz: int) -> FloatArray:
    """A filter for the band that looks as far ahead as back, (odd,)."""
    half = round(_TAPS_S * rate_hz / 2)
    t = np.arange(-half, half + 1) / rate_hz
    low, high = BAND_HZ[0], min(BAND_HZ[1], 0.46 * rate_hz)
    ideal = (2 * high * np.sinc(2 * high * t) - 2 * low * np.sinc(2 * low * t)) / rate_hz
    taps: FloatArray = ideal * np.hanning(len(t) + 2)[1:-1]
    return taps
