"""The sound round a strike, from blocks in memory, on the clock of a recording."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.capture.ring import Ring
from capturestation.media.packets import SoundBlock
from capturestation.records import NS_PER_S, SoundArray
from capturestation.records.capture import ClockFit

_GAP_NS = 5_000_000
# Stamps of blocks are rounded to a millisecond or jitter by some: a step of more is a real gap.
_REACH_NS = 2 * NS_PER_S
# Blocks are found by when they came, which may be later than what they hold.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SoundCut:
    """A stretch of sound.

    Args:
        samples: (n,) mono; gaps are silence.
        rate_hz: Samples a second.
        start_device_ns: Its first sample, the clock of the source that it is from.
    """

    samples: SoundArray
    rate_hz: int
    start_device_ns: int


def cut_sound(ring: Ring[SoundBlock], fit: ClockFit, span_ns: tuple[int, int]) -> SoundCut | None:
    """The sound of a time, as far as it is there; None if nothing is.

    Args:
        ring: Blocks of one source.
        fit: Its clock.
        span_ns: From and until, host clock.
    """
    early, late = (fit.device_ns(edge) for edge in span_ns)
    blocks = [
        block
        for block in ring.since(span_ns[0] - _REACH_NS)
        if block.end_device_ns > early and block.device_ns < late
    ]
    if not blocks:
        return None
    rate_hz = blocks[-1].rate_hz
    blocks = [block for block in blocks if block.rate_hz == rate_hz]
    runs = _runs(blocks)
    start_ns = runs[0][0]
    places = [round((at - start_ns) * rate_hz / NS_PER_S) for at, _ in runs]
    line = np.zeros(max(p + len(s) for p, (_, s) in zip(places, runs, strict=True)), np.float32)
    for place, (_, samples) in zip(places, runs, strict=True):
        line[place : place + len(samples)] = samples
    first = max(round((early - start_ns) * rate_hz / NS_PER_S), 0)
    last = max(round((late - start_ns) * rate_hz / NS_PER_S), first)
    kept = line[first:last]
    if not len(kept):
        return None
    at_ns = start_ns + round(first * NS_PER_S / rate_hz)
    return SoundCut(samples=kept, rate_hz=rate_hz, start_device_ns=at_ns)


def _runs(blocks: Sequence[SoundBlock]) -> list[tuple[int, SoundArray]]:
    """Blocks that follow each other, joined; a run begins at the mean over its blocks' stamps."""
    runs: list[list[SoundBlock]] = []
    due_ns = 0
    for block in blocks:
        if not runs or abs(block.device_ns - due_ns) > _GAP_NS:
            runs.append([])
            due_ns = block.device_ns
        runs[-1].append(block)
        due_ns += len(block.samples) * NS_PER_S // block.rate_hz
    return [_joined(run) for run in runs]


def _joined(run: list[SoundBlock]) -> tuple[int, SoundArray]:
    rate_hz = run[0].rate_hz
    before = np.cumsum([0, *(len(block.samples) for block in run[:-1])])
    starts = [
        block.device_ns - int(samples) * NS_PER_S // rate_hz
        for block, samples in zip(run, before, strict=True)
    ]
    return round(sum(starts) / len(starts)), np.concatenate([block.samples for block in run])
