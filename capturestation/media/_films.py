"""Files of a replay, in memory, laid on one endless line of time.

Owns what comes when, without any fault and without waiting. Between two files, and after the last,
the first picture of the next (or last) one stands still, as a golfer at the ball does, and a quiet
room is heard.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np

from capturestation.errors import BadInputError, NoSoundError
from capturestation.media._opening import as_fraction, opened, video_stream
from capturestation.media.head import head_of
from capturestation.media.packets import Packet, SoundBlock
from capturestation.media.sound import Sound, read_sound
from capturestation.records import NS_PER_S, SoundArray
from capturestation.records.capture import Got, ReplayPiece

UNIT = Fraction(1, 90_000)
"""As streams count."""
_BLOCK_NS = 10_000_000
_ROOM = 0.0005
# -66 dB: a quiet room, so that a digital nothing stays what it is, a fault.


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """One file: its coded pictures with their times, and its sound.

    Args:
        got: What it is.
        head: What a decoder must know.
        shown_ns: When each packet is shown, file's clock.
        due_ns: When each is due at the decoder, rising.
        keys: Whether each stands for itself.
        data: Bytes of each.
        frame_ns: From one picture to the next.
        sound: None without.
    """

    got: Got
    head: bytes
    shown_ns: tuple[int, ...]
    due_ns: tuple[int, ...]
    keys: tuple[bool, ...]
    data: tuple[bytes, ...]
    frame_ns: int
    sound: Sound | None

    @property
    def end_ns(self) -> int:
        """When its last picture is over."""
        return max(self.shown_ns) + self.frame_ns


@cache
def read_film(path: Path) -> Film:
    """A file in memory; the same file is read once.

    Raises:
        NotReadableError: If it is no usable video.
    """
    with opened(path) as container:
        stream = video_stream(container, path)
        packets = [p for p in container.demux(stream) if p.size]
        unit = as_fraction(stream.time_base) or UNIT
        shown = tuple(_ns(p.pts, unit) for p in packets)
        data = tuple(bytes(p) for p in packets)
        context = stream.codec_context
        got = Got(
            codec=context.name,
            width_px=context.width,
            height_px=context.height,
            rate_hz=as_fraction(stream.average_rate),
        )
        head = head_of(stream, data[0])
    gaps = np.diff(sorted(shown))
    return Film(
        got=got,
        head=head,
        shown_ns=shown,
        due_ns=tuple(_ns(p.dts, unit) for p in packets),
        keys=tuple(p.is_keyframe for p in packets),
        data=data,
        frame_ns=round(float(np.median(gaps))) if len(gaps) else NS_PER_S // 30,
        sound=_sound_of(path),
    )


def _ns(stamp: int | None, unit: Fraction) -> int:
    return round((stamp or 0) * unit * NS_PER_S)


def _sound_of(path: Path) -> Sound | None:
    try:
        return read_sound(path)
    except NoSoundError:
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """Something that comes at a time of the camera's clock."""

    at_ns: int
    number: int
    packet: Packet | None = None
    block: SoundBlock | None = None


class Line:
    """All that a replay sends, in order, without end.

    Args:
        pieces: Files and when they are due, seconds.

    Raises:
        NotReadableError: If a file is no usable video.
        BadInputError: If files overlap or are not of one kind.
    """

    def __init__(self, pieces: Sequence[ReplayPiece]) -> None:
        self.films = [(round(p.at_s * NS_PER_S), read_film(Path(p.file))) for p in pieces]
        self.first = self.films[0][1]
        self._reorder_ns = max(-min(film.due_ns) for _, film in self.films)
        self._refuse_unlike()

    def _refuse_unlike(self) -> None:
        end_ns = 0
        for due_ns, film in self.films:
            if due_ns < end_ns:
                raise BadInputError(
                    "Two files of a replay overlap.", try_next="Begin the later one later."
                )
            end_ns = due_ns + film.end_ns
            if (film.got.codec, film.got.width_px) != (self.got.codec, self.got.width_px):
                raise BadInputError(
                    "The files of a replay are not of one kind.",
                    try_next="Replay files of one camera at one setting.",
                )

    @property
    def got(self) -> Got:
        """What it sends, but for sound."""
        return self.first.got

    @property
    def sound_rate_hz(self) -> int | None:
        """Samples a second; None if no file has sound."""
        rates = [film.sound.rate_hz for _, film in self.films if film.sound is not None]
        return rates[0] if rates else None

    def begin(self, *, from_ns: int, has_sound: bool) -> Iterator[Due]:
        """What is due from a time of the camera's clock on."""
        pictures = (due for due in self._pictures(from_ns) if due.at_ns >= from_ns)
        if not has_sound or self.sound_rate_hz is None:
            return pictures
        return heapq.merge(pictures, self._sounds(from_ns), key=lambda due: due.at_ns)

    def _pictures(self, from_ns: int) -> Iterator[Due]:
        number, at_ns = 0, 0
        for due_ns, film in self.films:
            # None so near to the film that it would stand in its first picture's place.
            for still_ns in range(at_ns, due_ns - film.frame_ns // 2, film.frame_ns):
                if still_ns >= from_ns:
                    yield self._still(film, still_ns, number)
                number += 1
            for place in range(len(film.data)):
                shown = due_ns + film.shown_ns[place]
                yield self._due(film, place, shown, due_ns + film.due_ns[place], number)
                number += 1
            at_ns = due_ns + film.end_ns
        film = self.films[-1][1]
        skipped = max(from_ns - at_ns, 0) // film.frame_ns
        number, at_ns = number + skipped, at_ns + skipped * film.frame_ns
        while True:
            yield self._still(film, at_ns, number)
            number, at_ns = number + 1, at_ns + film.frame_ns

    def _still(self, film: Film, shown_ns: int, number: int) -> Due:
        return self._due(film, 0, shown_ns, shown_ns - self._reorder_ns, number)

    def _due(self, film: Film, place: int, shown_ns: int, due_ns: int, number: int) -> Due:
        packet = Packet(
            host_ns=0,
            pts=round(shown_ns * UNIT.denominator / NS_PER_S),
            dts=round(due_ns * UNIT.denominator / NS_PER_S),
            duration=0,
            time_base=UNIT,
            is_key=film.keys[place],
            data=film.data[place],
        )
        return Due(at_ns=due_ns + self._reorder_ns, number=number, packet=packet)

    def _sounds(self, from_ns: int) -> Iterator[Due]:
        rate_hz = self.sound_rate_hz or 1
        size = rate_hz * _BLOCK_NS // NS_PER_S
        room = np.random.default_rng(1).normal(0.0, _ROOM, rate_hz).astype(np.float32)
        number = -(-from_ns // _BLOCK_NS)
        while True:
            at_ns = number * _BLOCK_NS
            first = number * size
            samples = room.take(range(first, first + size), mode="wrap")
            self._lay_in(samples, first, rate_hz)
            block = SoundBlock(host_ns=0, device_ns=at_ns, rate_hz=rate_hz, samples=samples)
            yield Due(at_ns=at_ns + _BLOCK_NS, number=number, block=block)
            number += 1

    def _lay_in(self, samples: SoundArray, first: int, rate_hz: int) -> None:
        """Add the sound of the files, where there is any."""
        for due_ns, film in self.films:
            if film.sound is None:
                continue
            start = round((due_ns + film.sound.start_ns) * rate_hz / NS_PER_S)
            begin = max(start, first)
            end = min(start + len(film.sound.samples), first + len(samples))
            if begin < end:
                # Added to the room's, whose end or beginning would else be heard as a sound.
                own = film.sound.samples[begin - start : end - start]
                samples[begin - first : end - first] += own
