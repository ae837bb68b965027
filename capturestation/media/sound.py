"""A file's sound on the same clock as its pictures.

Owns mixing to one channel, and where each sample stands: the encoder's lead-in, edit lists, gaps
and late starts are taken into account. Called by whoever looks for the strike or plays a clip.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.stream import Discard

from capturestation.errors import NoSoundError
from capturestation.media._mapping import FOREIGN, not_readable, undecodable
from capturestation.media._opening import as_fraction, opened, refuse_cut, sound_stream
from capturestation.records import NS_PER_S, FloatArray, SoundArray

GAP_S = Fraction(2, 1000)
"""Matroska rounds stamps to 1 ms, so a step is a gap only beyond twice that."""

SCALES = {"u8": (128.0, 128.0), "s16": (0.0, 32768.0), "s32": (0.0, 2147483648.0)}
"""Silence and full scale of whole-number samples."""
_KINDS = {form: np.dtype(kind) for form, kind in (("s16", "i2"), ("s32", "i4"), ("flt", "f4"))}
"""Forms of samples as the library calls them, and as numbers in memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sound:
    """One channel of sound.

    Args:
        samples: (n,) float32, -1..1, read-only.
        rate_hz: Sampling rate.
        start_ns: Time of sample 0, media clock.
    """

    samples: SoundArray
    rate_hz: int
    start_ns: int

    def __post_init__(self) -> None:
        if self.samples.ndim != 1 or self.rate_hz <= 0:
            msg = f"sound is (n,) at a rate above 0, got {self.samples.shape} at {self.rate_hz} Hz"
            raise ValueError(msg)
        self.samples.setflags(write=False)

    def __len__(self) -> int:
        return len(self.samples)

    @property
    def stop_ns(self) -> int:
        """The end of the last sample, media clock."""
        return self.start_ns + round(Fraction(len(self) * NS_PER_S, self.rate_hz))

    def between(self, start_ns: int, stop_ns: int) -> Sound:
        """The samples that begin from `start_ns` on and before `stop_ns`; no silence is made up.

        Example:
            >>> sound = Sound(samples=np.arange(4, dtype=np.float32), rate_hz=1000, start_ns=0)
            >>> part = sound.between(500_000, 2_000_001)
            >>> part.samples.tolist(), part.start_ns
            ([1.0, 2.0], 1000000)
        """
        first = min(max(self._first_from(start_ns), 0), len(self))
        last = min(max(self._first_from(stop_ns), first), len(self))
        shift = round(Fraction(first * NS_PER_S, self.rate_hz))
        return Sound(
            samples=self.samples[first:last], rate_hz=self.rate_hz, start_ns=self.start_ns + shift
        )

    def _first_from(self, at_ns: int) -> int:
        return -((self.start_ns - at_ns) * self.rate_hz // NS_PER_S)


def read_sound(path: Path) -> Sound:
    """Read the usual sound track, mixed to one channel; gaps become silence.

    Raises:
        NoSoundError: If the file has no sound track, or an empty one.
        NotReadableError: If it is missing, empty, cut, not a video, or its sound is of a kind that
            can't be decoded here.
    """
    with opened(path) as container:
        stream = sound_stream(container)
        if stream is None:
            raise undecodable(path) if container.streams.audio else _no_sound(path)
        refuse_cut(stream, path)
        rate_hz, pieces = _pieces(container, stream, path)
    if not pieces:
        raise _no_sound(path)
    return _joined(pieces, rate_hz)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    at_samples: Fraction
    samples: SoundArray


def _pieces(container: InputContainer, stream: AudioStream, path: Path) -> tuple[int, list[_Piece]]:
    for other in container.streams:
        other.discard = Discard.default if other.index == stream.index else Discard.all
    rate_hz, pieces, after = 0, [], Fraction(0)
    try:
        for frame in container.decode(stream):
            rate_hz = rate_hz or frame.sample_rate
            unit = as_fraction(frame.time_base)
            at = after if frame.pts is None or unit is None else frame.pts * unit * rate_hz
            pieces.append(_Piece(at_samples=at, samples=mono(frame)))
            after = at + frame.samples
    except FOREIGN as error:
        after_s = float(after / (rate_hz or 1))
        raise not_readable(path, error, where=f"its sound after {after_s:.3f} s") from error
    return rate_hz, pieces


def mono(frame: av.AudioFrame) -> SoundArray:
    """Its samples as one channel, (n,), -1..1."""
    form = frame.format.name.removesuffix("p")
    zero, one = SCALES.get(form, (0.0, 1.0))
    return np.asarray((_level(frame, form) - zero) / one, np.float32)


def _level(frame: av.AudioFrame, form: str) -> FloatArray:
    """The mean of all channels, in the form's own numbers, (n,)."""
    kind = _KINDS.get(form)
    if kind is not None and frame.layout.nb_channels == 1:
        # A stream that is listened to has a hundred frames a second: half the time of the other.
        return np.frombuffer(memoryview(frame.planes[0]), kind, frame.samples).astype(np.float64)
    raw = frame.to_ndarray()
    if not frame.format.is_planar:
        raw = raw.reshape(-1, frame.layout.nb_channels).T
    return np.asarray(raw.mean(axis=0), np.float64)


def _joined(pieces: list[_Piece], rate_hz: int) -> Sound:
    """Lay unbroken runs on one line; what lies between two of them is silence."""
    runs = _runs(pieces, GAP_S * rate_hz)
    places = [round(at - runs[0][0]) for at, _ in runs]
    line = np.zeros(max(p + len(run) for p, (_, run) in zip(places, runs, strict=True)), np.float32)
    for place, (_, run) in zip(places, runs, strict=True):
        seen = max(0, -place)
        line[max(0, place) : place + len(run)] = run[seen:]
    return Sound(samples=line, rate_hz=rate_hz, start_ns=round(runs[0][0] / rate_hz * NS_PER_S))


def _runs(pieces: list[_Piece], limit: Fraction) -> list[tuple[Fraction, SoundArray]]:
    """Where each unbroken run starts, in samples, and its samples.

    A run starts at the mean over its pieces' stamps, which evens out their rounding.
    """
    runs: list[list[_Piece]] = []
    due = Fraction(0)
    for piece in pieces:
        if not runs or abs(piece.at_samples - due) > limit:
            runs.append([])
            due = piece.at_samples
        runs[-1].append(piece)
        due += len(piece.samples)
    return [_run(parts) for parts in runs]


def _run(parts: list[_Piece]) -> tuple[Fraction, SoundArray]:
    before = [0, *np.cumsum([len(part.samples) for part in parts[:-1]]).tolist()]
    starts = [part.at_samples - offset for part, offset in zip(parts, before, strict=True)]
    mean = sum(starts, Fraction(0)) / len(starts)
    return mean, np.concatenate([part.samples for part in parts])


def _no_sound(path: Path) -> NoSoundError:
    return NoSoundError(
        f"{path.name} has no sound.",
        try_next="Place its zero by hand, or switch the camera's microphone on.",
        subject=str(path),
    )
