"""What a file is, from its head and its first picture.

Refuses a file from which no picture can be had, with one sentence on why. Called by intake, which
takes counts and true rates from the frame index instead: a head may lie.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
from av.container import InputContainer
from av.video.stream import VideoStream

from capturestation.errors import NotReadableError
from capturestation.media._decoding import clockwise_deg
from capturestation.media._opening import as_fraction, opened, refuse_cut, time_base, video_stream


@dataclass(frozen=True, slots=True, kw_only=True)
class MediaFacts:
    """What a video file says of itself.

    Args:
        path: The file.
        container: Short name of the container family: mov, matroska, avi ...
        codec: Short name of the picture's coding: h264, hevc, mjpeg ...
        pixel_format: How pixels are stored, in the library's words.
        width_px: Width as shown, after rotation.
        height_px: Height as shown, after rotation.
        rotation_deg: Clockwise turn that shows it upright: 0, 90, 180 or 270.
        time_base: Unit of the picture's stamps.
        mean_rate_hz: Frames a second as the head claims; None where it does not say.
        has_sound: Whether there is a sound track.
        sound_rate_hz: Its sampling rate; None without sound.
        sound_codec: Short name of its coding; None without sound.
        tags: Tags of the file and of its picture; cameras tell slow motion here.
    """

    path: Path
    container: str
    codec: str
    pixel_format: str
    width_px: int
    height_px: int
    rotation_deg: int
    time_base: Fraction
    mean_rate_hz: Fraction | None
    has_sound: bool
    sound_rate_hz: int | None
    sound_codec: str | None
    tags: dict[str, str]


def probe(path: Path) -> MediaFacts:
    """Say what a file is.

    Raises:
        NotReadableError: If it is missing, empty, cut, not a video, or holds no frame.
    """
    with opened(path) as container:
        stream = video_stream(container, path)
        refuse_cut(stream, path)
        first = _first_frame(container, stream, path)
        turn = clockwise_deg(first)
        sideways = turn in {90, 270}
        sound = container.streams.audio[0] if container.streams.audio else None
        return MediaFacts(
            path=path,
            container=container.format.name.split(",")[0],
            codec=stream.codec_context.name,
            pixel_format=first.format.name,
            width_px=first.height if sideways else first.width,
            height_px=first.width if sideways else first.height,
            rotation_deg=turn,
            time_base=time_base(stream, path),
            mean_rate_hz=as_fraction(stream.average_rate),
            has_sound=sound is not None,
            sound_rate_hz=sound.codec_context.sample_rate if sound else None,
            sound_codec=sound.codec_context.name if sound else None,
            tags={**stream.metadata, **container.metadata},
        )


def _first_frame(container: InputContainer, stream: VideoStream, path: Path) -> av.VideoFrame:
    for frame in container.decode(stream):
        return frame
    raise NotReadableError(
        f"{path.name} holds no picture.",
        try_next="Record it again, or copy it from the camera again.",
        subject=str(path),
    )
