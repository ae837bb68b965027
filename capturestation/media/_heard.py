"""The sound of a live stream: packets into blocks, few of them.

Owns the stamps of a stream's sound. What isn't coded at all is read as it lies in the packet; what
follows on without a gap becomes one block, since each block is turned to by several. Called by the
live sources.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

import av
import numpy as np
from av.audio.stream import AudioStream

from capturestation.media._opening import as_fraction
from capturestation.media.packets import SoundBlock
from capturestation.media.sound import SCALES, mono
from capturestation.records import NS_PER_S, SoundArray

_PLAIN = {"pcm_s16le": ("<i2", "s16"), "pcm_s16be": (">i2", "s16"), "pcm_f32le": ("<f4", "flt")}
"""Codings that are none: how the numbers lie, and the form that they stand for."""
_SAME_NS = 2
# Stamps are rounded to nanoseconds.

Came = tuple["av.Packet[av.stream.Stream]", int]
"""A packet and when it came."""


class StreamSound:
    """Reads one stream's sound.

    Args:
        stream: The stream.
    """

    def __init__(self, stream: AudioStream) -> None:
        context = stream.codec_context
        self._plain = _PLAIN.get(context.name)
        self._channels = context.layout.nb_channels
        self.rate_hz = context.sample_rate
        self._unit = as_fraction(stream.time_base)

    def blocks(self, came: Sequence[Came]) -> Iterator[SoundBlock]:
        """The sound of packets, in order; a gap begins another block."""
        run: list[SoundBlock] = []
        for block in self._each(came):
            if run and not _follows(run[-1], block):
                yield _joined(run)
                run = []
            run.append(block)
        if run:
            yield _joined(run)

    def _each(self, came: Sequence[Came]) -> Iterator[SoundBlock]:
        for packet, host_ns in came:
            if self._plain is not None and self._unit is not None:
                samples = self._as_it_lies(packet)
                yield _block(samples, self.rate_hz, (packet.pts, self._unit), host_ns)
                continue
            for frame in packet.decode():
                if isinstance(frame, av.AudioFrame):
                    stamp = frame.pts, as_fraction(frame.time_base)
                    yield _block(mono(frame), frame.sample_rate, stamp, host_ns)

    def _as_it_lies(self, packet: av.Packet[av.stream.Stream]) -> SoundArray:
        assert self._plain is not None
        kind, form = self._plain
        zero, one = SCALES.get(form, (0.0, 1.0))
        whole = len(memoryview(packet)) // (np.dtype(kind).itemsize * self._channels)
        raw = np.frombuffer(memoryview(packet), kind, whole * self._channels)
        if self._channels > 1:
            raw = raw.reshape(-1, self._channels).mean(axis=1)
        return np.asarray((raw - zero) / one, np.float32)


def _block(
    samples: SoundArray, rate_hz: int, stamp: tuple[int | None, Fraction | None], host_ns: int
) -> SoundBlock:
    pts, unit = stamp
    device_ns = host_ns - len(samples) * NS_PER_S // rate_hz
    if pts is not None and unit is not None:
        # Whole numbers: fractions take ten times as long.
        top, bottom = pts * NS_PER_S * unit.numerator, unit.denominator
        device_ns = (2 * top + bottom) // (2 * bottom)
    return SoundBlock(host_ns=host_ns, device_ns=device_ns, rate_hz=rate_hz, samples=samples)


def _follows(last: SoundBlock, block: SoundBlock) -> bool:
    gap_ns = block.device_ns - last.end_device_ns
    return block.rate_hz == last.rate_hz and abs(gap_ns) <= _SAME_NS


def _joined(run: Sequence[SoundBlock]) -> SoundBlock:
    if len(run) == 1:
        return run[0]
    return SoundBlock(
        host_ns=run[-1].host_ns,
        device_ns=run[0].device_ns,
        rate_hz=run[0].rate_hz,
        samples=np.concatenate([block.samples for block in run]),
    )
