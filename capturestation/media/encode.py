"""Pictures and sound in, one MP4 file out, or nothing at all.

Owns H.264 and AAC encoding: BT.709 limited range written and tagged, exact stamps, sound in step,
a partial file that becomes the real one only when it is whole. Refuses to replace a file unasked.
Called by whoever hands out a clip and by the renderer of the sample swings.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import KW_ONLY, dataclass, field
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc, VideoReformatter
from av.video.stream import VideoStream

from capturestation.errors import OutputError
from capturestation.folders import flush_folder
from capturestation.media._mapping import writing
from capturestation.records import FrameArray, SoundArray

SOUND_BIT_RATE = 128_000
"""Enough that a click stays a click; mono speech needs half of it."""


@dataclass(slots=True)
class ClipWriter:
    """Writes one MP4; leaving the `with` block by an exception leaves no file.

    Colours are converted to, and tagged, BT.709 limited range: players guess the matrix of an
    untagged file from its size and shift reds by a dozen levels. A file is written beside its
    final place under a hidden partial name, flushed to the disk and renamed, so nobody ever sees
    half a clip.

    Args:
        path: The file to make; its folder must be there.
        width: Width in pixels, even.
        height: Height in pixels, even.
        rate_hz: Frames a second; frame n is stamped n / rate_hz unless told otherwise.
        crf: x264's constant quality, 0 (lossless) to 51.
        preset: x264's trade of speed for size.
        sound_rate_hz: Sampling rate of the sound to come; None for a silent clip.
        overwrite: Whether a file already there may be replaced.
        tags: Tags for the file that MP4 knows: title, comment, artist, date ... Nothing else is
            told: no place, device, tool or folder.
        time_base: Unit of `pts` for frames of varying rate; 1 / rate_hz unless given.
        key_every: Frames from one key frame to the next; x264's own choice unless given. 1 makes
            every frame open at once.
        tune: What x264 is to care for, such as "fastdecode"; nothing special unless given.

    Raises:
        OutputError: On entering, if the file is there already or the folder refuses it; later, if
            the disk is full. Nothing is left behind then.

    Example:
        with ClipWriter(path, width=160, height=96, rate_hz=Fraction(30)) as clip:
            clip.write_rgb(frame_rgb)
    """

    path: Path
    _: KW_ONLY
    width: int
    height: int
    rate_hz: Fraction
    crf: int = 20
    preset: str = "veryfast"
    sound_rate_hz: int | None = None
    overwrite: bool = False
    tags: dict[str, str] | None = None
    time_base: Fraction | None = None
    key_every: int | None = None
    tune: str | None = None
    frames: int = field(default=0, init=False)
    _last_pts: int | None = field(default=None, init=False)
    _container: OutputContainer | None = field(default=None, init=False)
    _video: VideoStream | None = field(default=None, init=False)
    _sound: _SoundTrack | None = field(default=None, init=False)
    # One for this writer: a reformatter, or a frame, shared by two threads crashes the process.
    _reformatter: VideoReformatter = field(default_factory=VideoReformatter, init=False)

    def __post_init__(self) -> None:
        if self.width % 2 or self.height % 2 or self.width <= 0 or self.height <= 0:
            msg = f"H.264 with shared colour needs even sizes, got {self.width}x{self.height}"
            raise ValueError(msg)
        if self.rate_hz <= 0:
            msg = f"rate_hz must be above 0, got {self.rate_hz}"
            raise ValueError(msg)

    @property
    def partial(self) -> Path:
        """Where the clip grows until it is whole."""
        return self.path.with_name(f".{self.path.name}.partial")

    def __enter__(self) -> Self:
        self._refuse_to_replace()
        try:
            with writing(self.path):
                self._open()
        except BaseException:
            self._throw_away()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is not None:
            self._throw_away()
            return
        try:
            with writing(self.path):
                self._finish()
        except BaseException:
            self._throw_away()
            raise

    def write_rgb(self, frame_rgb: FrameArray, pts: int | None = None) -> None:
        """Add the next picture.

        Args:
            frame_rgb: The picture, (height, width, 3), RGB, full range.
            pts: Its stamp in `time_base`, above the one before; the frame's number unless given.

        Raises:
            OutputError: If the disk is full.
        """
        if frame_rgb.shape != (self.height, self.width, 3) or frame_rgb.dtype != np.uint8:
            msg = (
                f"frames are ({self.height}, {self.width}, 3) uint8, "
                f"got {frame_rgb.shape} {frame_rgb.dtype}"
            )
            raise ValueError(msg)
        self._write(self._limited(frame_rgb), pts)

    def write_planar(self, picture: FrameArray, pts: int | None = None) -> None:
        """Add the next picture, already in the form that is encoded.

        Args:
            picture: (height * 3 / 2, width) uint8, planar as `media.canvas` describes it; it must
                not be changed afterwards.
            pts: As in `write_rgb`.

        Raises:
            OutputError: If the disk is full.
        """
        if picture.shape != (self.height * 3 // 2, self.width) or picture.dtype != np.uint8:
            msg = (
                f"planar pictures are ({self.height * 3 // 2}, {self.width}) uint8, "
                f"got {picture.shape} {picture.dtype}"
            )
            raise ValueError(msg)
        self._write(av.VideoFrame.from_numpy_buffer(picture, format="yuv420p"), pts)

    def _write(self, frame: av.VideoFrame, pts: int | None) -> None:
        stamp = self.frames if pts is None else pts
        if self._last_pts is not None and stamp <= self._last_pts:
            msg = f"stamps must rise: {stamp} after {self._last_pts}"
            raise ValueError(msg)
        container, video = self._opened()
        frame.pts, frame.time_base = stamp, self._unit
        with writing(self.path):
            container.mux(video.encode(frame))
        self._last_pts = stamp
        self.frames += 1

    def write_sound(self, sound: SoundArray) -> None:
        """Add the next stretch of sound; the first sample ever is at time 0.

        Args:
            sound: Mono samples, (n,) float32, -1..1 (beyond is clipped), any length.

        Raises:
            OutputError: If the disk is full.
        """
        container, _ = self._opened()
        if self._sound is None:
            msg = "this clip was opened without sound_rate_hz"
            raise ValueError(msg)
        if sound.ndim != 1:
            msg = f"sound is mono (n,), got {sound.shape}"
            raise ValueError(msg)
        with writing(self.path):
            container.mux(self._sound.encode(sound))

    def _opened(self) -> tuple[OutputContainer, VideoStream]:
        if self._container is None or self._video is None:
            msg = "the clip is written inside a `with` block"
            raise ValueError(msg)
        return self._container, self._video

    def _open(self) -> None:
        # MP4 by name: the partial file's own ending would choose nothing.
        self._container = av.open(
            str(self.partial),
            "w",
            format="mp4",
            # The index in front lets a phone start to play before the whole file is there.
            # Bit-exact keeps the names and versions of the tools out of the file.
            container_options={"movflags": "+faststart", "fflags": "+bitexact"},
        )
        self._container.metadata.update(self.tags or {})
        options = {"crf": str(self.crf), "preset": self.preset}
        if self.key_every is not None:
            options["g"] = str(self.key_every)
        if self.tune is not None:
            options["tune"] = self.tune
        if self.time_base is not None:
            # With uneven stamps, frames out of order would make the file's length wrong and
            # players would drop its last frames.
            options["bf"] = "0"
        video = self._container.add_stream("libx264", rate=self.rate_hz, options=options)
        video.width, video.height, video.pix_fmt = self.width, self.height, "yuv420p"
        context = video.codec_context
        context.time_base = self._unit
        context.colorspace = int(Colorspace.ITU709)
        context.color_range = int(ColorRange.MPEG)
        context.color_primaries = int(ColorPrimaries.BT709)
        context.color_trc = int(ColorTrc.BT709)
        self._video = video
        if self.sound_rate_hz is not None:
            self._sound = _SoundTrack(self._container, self.sound_rate_hz)
        self._container.start_encoding()

    @property
    def _unit(self) -> Fraction:
        return self.time_base or 1 / self.rate_hz

    def _limited(self, frame_rgb: FrameArray) -> av.VideoFrame:
        full = av.VideoFrame.from_ndarray(np.ascontiguousarray(frame_rgb), format="rgb24")
        return self._reformatter.reformat(
            full,
            format="yuv420p",
            dst_colorspace=Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
            threads=1,
        )

    def _finish(self) -> None:
        if self.frames == 0:
            raise OutputError(
                f"{self.path.name} would hold no picture.",
                try_next="Choose a stretch that holds at least one frame.",
                subject=str(self.path),
            )
        container, video = self._opened()
        if self._sound is not None:
            container.mux(self._sound.flush())
        container.mux(video.encode(None))
        container.close()
        self._container = None
        _to_disk(self.partial)
        self._refuse_to_replace()
        self.partial.replace(self.path)
        # The clip is whole and has its name: a folder that may not be flushed makes it no failure.
        with suppress(OSError):
            flush_folder(self.path.parent)

    def _refuse_to_replace(self) -> None:
        if not self.overwrite:
            refuse_taken(self.path)

    def _throw_away(self) -> None:
        if self._container is not None:
            # The file goes anyway; the first failure is the one to tell.
            with suppress(av.FFmpegError, OSError):
                self._container.close()
            self._container = None
        with suppress(OSError):
            self.partial.unlink()


class _SoundTrack:
    """Cuts sound into the encoder's frames and stamps them."""

    def __init__(self, container: OutputContainer, rate_hz: int) -> None:
        stream = container.add_stream("aac", rate=rate_hz, bit_rate=SOUND_BIT_RATE, layout="mono")
        self.stream: AudioStream = stream
        self.rate_hz = rate_hz
        self.waiting = np.zeros(0, np.float32)
        self.written = 0

    def encode(self, sound: SoundArray) -> list[av.Packet[AudioStream]]:
        """The packets of every whole frame so far."""
        self.waiting = np.concatenate([self.waiting, sound.astype(np.float32, copy=False)])
        size = self.stream.codec_context.frame_size
        whole = len(self.waiting) // size * size
        ready, self.waiting = self.waiting[:whole], self.waiting[whole:]
        return [packet for part in ready.reshape(-1, size) for packet in self._encode(part)]

    def flush(self) -> list[av.Packet[AudioStream]]:
        """The packets of what is left."""
        rest = self._encode(self.waiting) if len(self.waiting) else []
        self.waiting = self.waiting[:0]
        return [*rest, *self.stream.encode(None)]

    def _encode(self, part: SoundArray) -> list[av.Packet[AudioStream]]:
        clipped = np.clip(part, -1.0, 1.0)[np.newaxis]
        frame = av.AudioFrame.from_ndarray(clipped, format="fltp", layout="mono")
        frame.sample_rate = self.rate_hz
        frame.time_base = Fraction(1, self.rate_hz)
        frame.pts = self.written
        self.written += len(part)
        return self.stream.encode(frame)


def refuse_taken(path: Path) -> None:
    """Refuse a place that is taken, before any work is done for it.

    Raises:
        OutputError: If a file or folder is there.
    """
    if path.exists():
        raise OutputError(
            f"{path.name} is already there.",
            try_next="Choose another name, or ask for it to be replaced.",
            subject=str(path),
        )


def _to_disk(path: Path) -> None:
    """Wait until a file's bytes are on the disk and not only on the way."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
