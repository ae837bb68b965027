"""Finished files slowed down for good, as phones and editors leave them."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from scipy.signal import resample_poly

from capturestation.media.sound import Sound, read_sound
from capturestation.records import SoundArray


class Left(StrEnum):
    """What became of the sound."""

    STRETCHED = "stretched with the picture"
    SILENT = "silence"
    NONE = "no sound track"
    AMBIENCE = "one steady noise"
    ENDS = "as it was at both ends, silent between"


def slowed(source: Path, target: Path, times: int, left: Left, *, tag: str = "") -> Path:
    """Write a file whose every frame stands so many times as long, packets as they were.

    Args:
        source: Any MP4 with a sound.
        target: The file to make.
        times: How many times slower.
        left: What becomes of the sound.
        tag: Frames a second as filmed, as phones write it; none unless given.
    """
    options = {"movflags": "use_metadata_tags"}
    with av.open(str(source)) as old, av.open(str(target), "w", options=options) as new:
        if tag:
            new.metadata["com.example.capture.fps"] = tag
        stream = old.streams.video[0]
        copy = new.add_stream_from_template(stream)
        sound = None if left is Left.NONE else new.add_stream("aac", rate=48_000, layout="mono")
        if sound is not None:
            samples = _sound(read_sound(source), times, left)
            frame = av.AudioFrame.from_ndarray(samples[None], format="fltp", layout="mono")
            frame.sample_rate, frame.time_base, frame.pts = 48_000, Fraction(1, 48_000), 0
            for packet in (*sound.encode(frame), *sound.encode(None)):
                new.mux(packet)
        for packet in old.demux(stream):
            if packet.pts is not None and packet.dts is not None:
                packet.pts, packet.dts = packet.pts * times, packet.dts * times
                packet.duration = (packet.duration or 0) * times
                packet.stream = copy
                new.mux(packet)
    return target


def _sound(old: Sound, times: int, left: Left) -> SoundArray:
    long = len(old) * times
    if left is Left.STRETCHED:
        stretched = resample_poly(old.samples.astype(np.float64), times, 1)
        return np.asarray(stretched, dtype=np.float32)
    total = np.zeros(long, dtype=np.float32)
    if left is Left.AMBIENCE:
        total += np.random.default_rng(5).normal(0, 0.01, long).astype(np.float32)
    if left is Left.ENDS:
        part = len(old) // 3
        total[:part], total[-part:] = old.samples[:part], old.samples[-part:]
    return total
