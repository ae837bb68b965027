"""What a file is: what its head says of it, what its stamps show, and what its first picture is.

A head may lie, so rates and counts come from the index of its packets and the head's claim stands
beside them. Refuses a file from which no picture can be had, with one sentence on why. Called by
intake.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
from av.container import InputContainer
from av.video.stream import VideoStream

from capturestation.errors import NotReadableError
from capturestation.media import _said
from capturestation.media._colour import coding_of
from capturestation.media._opening import (
    as_fraction,
    opened,
    pixel_aspect,
    sound_stream,
    video_stream,
)
from capturestation.media._pace import played_slower
from capturestation.media._upright import shown_size, turn_of
from capturestation.media.index import FrameIndex, index_frames
from capturestation.media.light import Transfer


@dataclass(frozen=True, slots=True, kw_only=True)
class MediaFacts:
    """What a video file is.

    Args:
        path: The file.
        container: Short name of the container family: mov, matroska, avi ...
        codec: Short name of the picture's coding: h264, hevc, mjpeg ...
        pixel_format: How pixels are stored, in the library's words.
        bits: Of a channel: 8, 10 ...
        colours: Matrix and range, such as "BT.709 limited".
        transfer: How codes stand for light: ordinary, PQ or HLG.
        width_px: Width as shown, after rotation, of square pixels.
        height_px: Height as shown.
        rotation_deg: Clockwise turn that shows it upright: 0, 90, 180 or 270.
        mirrored: Whether it is mirrored left to right before that turn.
        time_base: Unit of the picture's stamps.
        declared_rate_hz: Frames a second as the head claims; None where it does not say.
        mean_rate_hz: Frames a second as counted; None for a single frame.
        is_steady: Whether the frames come at a constant rate.
        played_slower: How much slower it plays than it was filmed, as its tags tell; 1 if not.
        has_sound: Whether there is a sound track.
        sound_rate_hz: Its sampling rate; None without sound.
        sound_codec: Short name of its coding; None without sound.
        tags: Tags of the file and of its picture.
        said: What a coach should know of how it is read, a sentence each.
    """

    path: Path
    container: str
    codec: str
    pixel_format: str
    bits: int
    colours: str
    transfer: Transfer
    width_px: int
    height_px: int
    rotation_deg: int
    mirrored: bool
    time_base: Fraction
    declared_rate_hz: Fraction | None
    mean_rate_hz: Fraction | None
    is_steady: bool
    played_slower: Fraction
    has_sound: bool
    sound_rate_hz: int | None
    sound_codec: str | None
    tags: dict[str, str]
    said: tuple[str, ...]


def probe(path: Path) -> MediaFacts:
    """Say what a file is.

    Raises:
        NotReadableError: If it is missing, empty, cut, not a video, holds no frame, or can't be
            shown right.
    """
    index = index_frames(path)
    with opened(path) as container:
        stream = video_stream(container, path)
        return _facts(container, stream, _first_frame(container, stream, path), index, path)


def _facts(
    container: InputContainer,
    stream: VideoStream,
    first: av.VideoFrame,
    index: FrameIndex,
    path: Path,
) -> MediaFacts:
    sound = sound_stream(container)
    coding, turn = coding_of(first, path), turn_of(first)
    width, height = shown_size(first, turn, pixel_aspect(stream))
    tags = {**stream.metadata, **container.metadata}
    return MediaFacts(
        path=path,
        container=container.format.name.split(",")[0],
        codec=stream.codec_context.name,
        pixel_format=first.format.name,
        bits=coding.bits,
        colours=f"{coding.name} {'full' if coding.full_range else 'limited'}",
        transfer=coding.transfer,
        width_px=width,
        height_px=height,
        rotation_deg=turn.clockwise_deg,
        mirrored=turn.mirrored,
        time_base=index.time_base,
        declared_rate_hz=as_fraction(stream.average_rate),
        mean_rate_hz=index.mean_rate_hz,
        is_steady=index.is_steady,
        played_slower=played_slower(tags, index),
        has_sound=sound is not None,
        sound_rate_hz=sound.codec_context.sample_rate if sound else None,
        sound_codec=sound.codec_context.name if sound else None,
        tags=tags,
        said=(
            *_said.of_tracks(container, stream),
            *_said.of_colours(coding),
            *_said.of_shape(turn, pixel_aspect(stream)),
            *_said.of_time(as_fraction(stream.average_rate), index, tags),
        ),
    )


def _first_frame(container: InputContainer, stream: VideoStream, path: Path) -> av.VideoFrame:
    for frame in container.decode(stream):
        return frame
    raise NotReadableError(
        f"{path.name} holds no picture.",
        try_next="Record it again, or copy it from the camera again.",
        subject=str(path),
    )
