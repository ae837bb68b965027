"""Cameras and streams while they send: opened, compared with what was asked, stamped on arrival.

Owns what happens between a device or socket and a stamped packet. Pictures are never decoded here;
only a camera that sends raw pictures has each of them coded once, by itself. Sound is decoded at
once, since it has to be listened to. Called by the recording process, one thread for each source.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from fractions import Fraction
from types import TracebackType
from typing import Self

import av
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.video.stream import VideoStream

from capturestation.media import _reach
from capturestation.media._heard import Came, StreamSound
from capturestation.media._intra import Intra, jpeg_head
from capturestation.media._locks import held
from capturestation.media._mapping import FOREIGN
from capturestation.media._opening import as_fraction, sound_stream
from capturestation.media._replay import Clock, ReplayLive, Wait
from capturestation.media._store import Store
from capturestation.media.head import head_of
from capturestation.media.packets import Live, Packet, SoundBlock
from capturestation.records.capture import Got, SourceKind, SourceSetting

_ARRIVAL = Fraction(1, 1_000_000)
# Where arrival is all that is known, it is counted in microseconds.
_HANDED_ON_NS = 32_000_000
# Each packet is stamped as it comes, but at a high rate several are handed on at a time: turning to
# each by itself takes twice the work. At 30 a second each comes after that.


def _slept(for_s: float) -> bool:
    time.sleep(for_s)
    return False


def open_live(
    setting: SourceSetting, *, clock: Clock = time.perf_counter_ns, wait: Wait = _slept
) -> Live:
    """Open a camera and wait for its first picture.

    Args:
        setting: Which, and what is asked of it.
        clock: The host's clock.
        wait: How a replay waits; answers whether somebody wants an end.

    Raises:
        BadInputError: If there is no such way to reach a camera.
        NotReadableError: If it is not there, or sends no picture.
    """
    if setting.kind is SourceKind.REPLAY:
        return ReplayLive(setting, clock=clock, wait=wait)
    return AvLive(setting, clock=clock)


class AvLive:
    """A device or a stream.

    Args:
        setting: Which, and what is asked of it.
        clock: The host's clock.
    """

    def __init__(self, setting: SourceSetting, *, clock: Clock) -> None:
        self._setting = setting
        self._clock = clock
        self._store = Store()
        address, form, options = _reach.target_of(setting)
        try:
            self._container: InputContainer = av.open(
                address,
                "r",
                format=form,
                options=options,
                timeout=(_reach.OPEN_S, _reach.QUIET_S),
                metadata_errors="replace",
            )
        except (*FOREIGN, ValueError) as error:
            raise _reach.broken(setting, error, opening=True) from error
        try:
            self._begin()
        except BaseException:
            self.close()
            raise

    def _begin(self) -> None:
        """Read up to the first picture that stands for itself, and say what is given."""
        if not self._container.streams.video:
            raise _reach.broken(self._setting, None, opening=True)
        self._video: VideoStream = self._container.streams.video[0]
        wanted = self._setting.has_sound
        self._audio: AudioStream | None = sound_stream(self._container) if wanted else None
        self._sound = None if self._audio is None else StreamSound(self._audio)
        self._own_clock = self._container.format.name != "mpjpeg"
        # Asked once: each asking makes a fraction anew, two hundred times a second.
        self._unit = as_fraction(self._video.time_base)
        raw = self._video.codec_context.name == "rawvideo"
        self._intra = Intra(self._video) if raw else None
        self._incoming = self._arrivals()
        first = self._first_key()
        self.head = jpeg_head(first.data) if self._intra else head_of(self._video, first.data)
        context = self._video.codec_context
        codec = "mjpeg" if self._intra else context.name
        loose, loose_said = held(self._setting)
        self.got = Got(
            codec=codec,
            width_px=context.width,
            height_px=context.height,
            rate_hz=as_fraction(self._video.average_rate) if self._own_clock else None,
            sound_rate_hz=None if self._sound is None else self._sound.rate_hz,
            own_clock=self._own_clock,
            said=_reach.differences(self._setting, context.width, context.height, codec),
            loose=loose,
            loose_said=loose_said,
        )
        self._first: Packet | None = first

    def _first_key(self) -> Packet:
        for item in self._incoming:
            if isinstance(item, Packet) and item.is_key:
                return item
        raise _reach.broken(self._setting, None, opening=True)

    def __iter__(self) -> Iterator[Packet | SoundBlock]:
        if self._first is not None:
            first, self._first = self._first, None
            yield first
        yield from self._incoming

    def _arrivals(self) -> Iterator[Packet | SoundBlock]:
        try:
            yield from self._handed_on()
        except FOREIGN as error:
            raise _reach.broken(self._setting, error, opening=False) from error
        raise _reach.broken(self._setting, None, opening=False)

    def _handed_on(self) -> Iterator[Packet | SoundBlock]:
        """What comes, a little at a time; what came before it broke off as well."""
        streams = [s for s in (self._video, self._audio) if s is not None]
        came: list[Came] = []
        handed_ns = 0
        try:
            for packet in self._container.demux(streams):
                host_ns = self._clock()
                if packet.size:
                    came.append((packet, host_ns))
                if host_ns - handed_ns >= _HANDED_ON_NS:
                    handed_ns = host_ns
                    yield from self._taken(came)
        except FOREIGN:
            yield from self._taken(came)
            raise
        yield from self._taken(came)

    def _taken(self, came: list[Came]) -> Iterator[Packet | SoundBlock]:
        """What came since the last time, which is none of the list's any more."""
        taken = came.copy()
        came.clear()
        heard: list[Came] = []
        for packet, host_ns in taken:
            if packet.stream_index == self._video.index:
                yield self._picture(packet, host_ns)
            else:
                heard.append((packet, host_ns))
        if self._sound is not None:
            yield from self._sound.blocks(heard)

    def _picture(self, packet: av.Packet[av.stream.Stream], host_ns: int) -> Packet:
        unit, stamp, due = self._unit, packet.pts, packet.dts
        data, is_key = self._data(packet), packet.is_keyframe or self._intra is not None
        if stamp is None:
            stamp = due
        if stamp is None or unit is None or not self._own_clock:
            stamp, unit, due, lasts = host_ns // 1000, _ARRIVAL, host_ns // 1000, 0
        else:
            due = stamp if due is None else due
            lasts = packet.duration or 0
        return Packet(
            host_ns=host_ns,
            pts=stamp,
            dts=due,
            duration=lasts,
            time_base=unit,
            is_key=is_key,
            data=data,
            is_damaged=packet.is_corrupt,
        )

    def _data(self, packet: av.Packet[av.stream.Stream]) -> memoryview:
        """Its bytes, coded if they are a raw picture."""
        if self._intra is None:
            return self._store.put(memoryview(packet))
        return self._store.put(memoryview(self._intra.coded(bytes(packet))))

    def close(self) -> None:
        """Let go of it."""
        self._container.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
