"""Raw pictures of a camera coded once, each by itself, in the thread that reads them.

A raw 720p picture is 1.8 MB: a second of them at 60 a second fills 110 MB of memory and of disk.
"""

from __future__ import annotations

import io
from fractions import Fraction

import av
from av.video.codeccontext import VideoCodecContext
from av.video.reformatter import VideoReformatter
from av.video.stream import VideoStream

from capturestation.media.head import head_of

_FORM = "yuvj422p"
# What cameras send raw has half the colours across: nothing is lost there.
_FINE = {"qmin": "2", "qmax": "4"}
# Of 2 to 31, where nobody sees a difference.


class Intra:
    """Codes raw pictures as JPEG.

    Args:
        stream: What the camera sends.
    """

    def __init__(self, stream: VideoStream) -> None:
        self._raw = stream.codec_context
        self._reformatter = VideoReformatter()
        self._stamp = 0
        coder = av.CodecContext.create("mjpeg", "w")
        assert isinstance(coder, VideoCodecContext)
        coder.width, coder.height = self._raw.width, self._raw.height
        coder.pix_fmt = _FORM
        coder.time_base = Fraction(1, 30)
        coder.bit_rate = 80 * coder.width * coder.height
        coder.options = dict(_FINE)
        self._coder = coder

    def coded(self, data: bytes) -> bytes:
        """One raw picture as JPEG."""
        [frame] = self._raw.decode(av.Packet(data))
        full = self._reformatter.reformat(frame, format=_FORM)
        full.pts = self._stamp
        self._stamp += 1
        return b"".join(bytes(part) for part in self._coder.encode(full))


def jpeg_head(jpeg: bytes | memoryview) -> bytes:
    """The head of a stream of such pictures."""
    with av.open(io.BytesIO(jpeg), "r", format="mjpeg") as container:
        return head_of(container.streams.video[0], jpeg)
