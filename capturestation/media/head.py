"""What a decoder must know of a stream, as bytes that outlive the stream.

Owns the trick: a file of one packet in memory, whose stream is the model for remuxing and decoding
later and in other threads, when the camera is long gone. Called by the live sources.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction

import av
from av.audio.stream import AudioStream
from av.video.stream import VideoStream

from capturestation.media._store import packet_of

_FORM = "nut"
# It takes any coding, and keeps what stands outside its packets.
_UNIT = Fraction(1, 1000)


def head_of(stream: VideoStream | AudioStream, first: bytes | memoryview) -> bytes:
    """The head of a stream, by its first packet that stands for itself."""
    held = io.BytesIO()
    with av.open(held, "w", format=_FORM) as container:
        model = container.add_stream_from_template(stream, opaque=True)
        packet = packet_of(first)
        packet.stream = model
        packet.pts = packet.dts = 0
        packet.time_base = _UNIT
        packet.is_keyframe = True
        container.mux(packet)
    return held.getvalue()


@contextmanager
def model_of(head: bytes) -> Iterator[VideoStream]:
    """The model stream of a head, as long as the block lasts."""
    with av.open(io.BytesIO(head), "r", format=_FORM) as container:
        yield container.streams.video[0]
