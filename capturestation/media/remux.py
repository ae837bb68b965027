"""Coded packets into an MP4 file as they are, pictures and sound on one clock.

Owns the container only: nothing is decoded, so writing costs what copying costs. Packets are
written as they come, so that little is left to do once the last one is there. The file's clock
begins with its first shown packet. Called by the recorder.
"""

from __future__ import annotations

import os
from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

import av
import numpy as np
from av.audio.stream import AudioStream

from capturestation.folders import remove_file
from capturestation.media._mapping import FOREIGN, writing
from capturestation.media._opening import as_fraction
from capturestation.media._store import packet_of
from capturestation.media.head import model_of
from capturestation.media.index import FrameIndex, index_frames
from capturestation.media.packets import Packet
from capturestation.records import NS_PER_S, SoundArray

_SOUND_FRAME = 4096
# What the lossless coder takes at a time.


class PacketFile:
    """One recording while it is written; leaving the block by an exception leaves no file.

    Sound is kept without loss: what a strike's beginning is known by, a lossy coder smears.

    Args:
        path: The file to make; its folder is there.
        head: What a decoder must know of the pictures.
        time_base: Unit of the packets' stamps.
        rotation_deg: Clockwise turn that shows the pictures upright.
        sound_rate_hz: Samples a second; None without sound.

    Raises:
        OutputError: On entering if the folder refuses it; later if the disk is full.
    """

    def __init__(
        self,
        path: Path,
        *,
        head: bytes,
        time_base: Fraction,
        rotation_deg: int = 0,
        sound_rate_hz: int | None = None,
    ) -> None:
        self.path = path
        self._unit = time_base
        self._pts: list[int] = []
        self._keys: list[bool] = []
        self._last_dts: int | None = None
        self._lasts = 0
        self._is_in_order = True
        self._file_unit: Fraction | None = None
        with writing(path):
            # Pictures are not kept waiting for a sound that comes at the end.
            self._container = av.open(
                f"file:{path}", "w", format="mp4", options={"max_interleave_delta": "1"}
            )
        try:
            self._begin(head, rotation_deg, sound_rate_hz)
        except BaseException:
            self.abandon()
            raise

    def _begin(self, head: bytes, rotation_deg: int, sound_rate_hz: int | None) -> None:
        with model_of(head) as model:
            self._video = self._container.add_stream_from_template(model, opaque=True)
        self._video.time_base = self._unit
        if rotation_deg:
            self._video.set_display_rotation(-rotation_deg)
        self._sound: AudioStream | None = None
        if sound_rate_hz is not None:
            self._sound = self._container.add_stream("alac", rate=sound_rate_hz, layout="mono")
            self._sound.codec_context.format = "s16p"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is not None:
            self.abandon()
            return
        try:
            with writing(self.path):
                # The container may count in another unit than what was asked.
                self._file_unit = as_fraction(self._video.time_base)
                self._container.close()
        except BaseException:
            self.abandon()
            raise

    def write(self, packet: Packet) -> bool:
        """Add the next packet; the first one stands for itself.

        Returns:
            Whether it is in the file: a damaged stream may send one twice, or one that would be
            shown before it is decoded, and no file holds such a packet.

        Raises:
            OutputError: If the disk is full.
        """
        if not self._pts and not packet.is_key:
            msg = "a file begins with a packet that stands for itself"
            raise ValueError(msg)
        if packet.time_base is not self._unit and packet.time_base != self._unit:
            msg = f"one file has one unit: {self._unit}, then {packet.time_base}"
            raise ValueError(msg)
        if packet.pts < packet.dts or (self._last_dts is not None and packet.dts <= self._last_dts):
            return False
        # The last one would else be shown for no time at all, which counts as not shown.
        since_last = 0 if self._last_dts is None else packet.dts - self._last_dts
        self._lasts = packet.duration or since_last
        self._pts.append(packet.pts)
        self._keys.append(packet.is_key)
        self._last_dts = packet.dts
        self._is_in_order &= packet.pts == packet.dts
        coded = packet_of(packet.data)
        coded.stream = self._video
        coded.pts = packet.pts - self._pts[0]
        coded.dts = packet.dts - self._pts[0]
        coded.duration = self._lasts
        coded.time_base = self._unit
        coded.is_keyframe = packet.is_key
        try:
            self._container.mux(coded)
        except FOREIGN:
            with writing(self.path):
                raise
        return True

    def index(self) -> FrameIndex:
        """Which frames the finished file shows.

        What was written in the order it is shown, in the file's own unit, tells that without
        reading the file again.

        Raises:
            NotReadableError: If it has to be read, and holds no picture.
        """
        if not self._is_in_order or self._file_unit != self._unit or not self._lasts:
            return index_frames(self.path)
        pts = np.array(self._pts, np.int64) - self._pts[0]
        keys = np.array(self._keys)
        return FrameIndex(
            pts=pts,
            time_base=self._unit,
            durations=np.append(np.diff(pts), self._lasts),
            is_key=keys,
            key_pts=pts[keys],
            key_dts=pts[keys],
        )

    def write_sound(self, sound: SoundArray, start_ns: int) -> None:
        """Add the sound; once.

        Args:
            sound: (n,) mono; beyond -1..1 is clipped.
            start_ns: When its first sample is, on the file's clock; what is before 0 is left out.

        Raises:
            OutputError: If the disk is full.
        """
        if self._sound is None:
            msg = "this file was begun without sound"
            raise ValueError(msg)
        rate_hz = self._sound.codec_context.sample_rate
        first = round(start_ns * rate_hz / NS_PER_S)
        kept = sound[max(0, -first) :]
        first = max(first, 0)
        whole = np.round(np.clip(kept, -1.0, 1.0) * 32767).astype(np.int16)
        with writing(self.path):
            for place in range(0, len(whole), _SOUND_FRAME):
                part = whole[np.newaxis, place : place + _SOUND_FRAME]
                frame = av.AudioFrame.from_ndarray(part, format="s16p", layout="mono")
                frame.sample_rate = rate_hz
                frame.time_base = Fraction(1, rate_hz)
                frame.pts = first + place
                self._container.mux(self._sound.encode(frame))
            self._container.mux(self._sound.encode(None))

    def flush(self) -> None:
        """Have what is written go to the disk already; the rest is then quickly done."""
        with writing(self.path):
            number = os.open(self.path, os.O_RDONLY)
            try:
                os.fdatasync(number)
            finally:
                os.close(number)

    def abandon(self) -> None:
        """Take away what is written."""
        with suppress(*FOREIGN):
            # A full disk refuses the last bytes too; the first cause is what counts.
            self._container.close()
        remove_file(self.path)
