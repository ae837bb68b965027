"""Two cameras on TCP for the capture benchmark, apart so that only the recording is measured.

`python -m tests.bench._capture_sender FOLDER RATE WIDTH HEIGHT` makes five seconds of JPEGs, each
with its number in a comment that no picture shows, prints two ports as JSON, and sends to whoever
connects: the first camera with sound. A golfer's move and a strike come three seconds into every
five, and the ball is gone from then until another is teed; two louder bangs come while it lies.
"""

from __future__ import annotations

import io
import json
import socket
import sys
import threading
import time
import zlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np

from capturestation.records import FrameArray, SoundArray
from tests.helpers.coded_media import click

CYCLE_S = 5
STRIKE_S = 3.0
TEED_S = 3.9
BANGS_S = (0.5, 4.6)
SOUND_HZ = 48_000
_SOUND_BLOCK = 480
_SWING_S = 1.4
_QUALITY = 80
_GRAIN = 6
_BALL_AT = (0.86, 0.8)
_BALL_SHARE = 0.0036
# A ball's radius where a picture is six metres wide.
_HEAD_SHARE = 0.012
_HEAD_WIDTHS_A_S = 7.5
# A club head of 7 cm at 45 m/s; it comes and goes through the picture's lower right.
_HEAD_FROM_S, _HEAD_UNTIL_S = -0.03, 0.02
_FINE_BITS = 4


def jpegs(size: tuple[int, int], rate_hz: int, seed: int) -> list[bytes]:
    """Five seconds of pictures as a camera codes them, about 50 kB each at 720 lines."""
    width, height = size
    rng = np.random.default_rng(seed)
    grain = rng.integers(0, _GRAIN, (height, width, 1), dtype=np.uint8)
    small = rng.integers(60, 150, (9, 16, 3)).astype(np.uint8)
    room = (cv2.resize(small, size, interpolation=cv2.INTER_CUBIC) + grain).astype(np.uint8)
    coded = []
    for number in range(CYCLE_S * rate_hz):
        picture = _moved(room, number / rate_hz)
        done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
        assert done
        comment = b"\xff\xfe\x00\x06%04x" % number
        coded.append(data[:2].tobytes() + comment + data[2:].tobytes())
    return coded


def _moved(room: FrameArray, at_s: float) -> FrameArray:
    picture = room.copy()
    height, width = room.shape[:2]
    share = (at_s - STRIKE_S + 1.0) / _SWING_S
    if 0 <= share <= 1:
        left = round(width * (0.2 + 0.5 * share))
        cv2.rectangle(picture, (left, height // 2), (left + width // 12, height), (220,) * 3, -1)
    if not STRIKE_S <= at_s < TEED_S:
        _dot(picture, _BALL_AT, _BALL_SHARE, 235)
    since_s = at_s - STRIKE_S
    if _HEAD_FROM_S <= since_s <= _HEAD_UNTIL_S:
        at = (_BALL_AT[0] + _HEAD_WIDTHS_A_S * since_s, _BALL_AT[1] - 0.01)
        _dot(picture, at, _HEAD_SHARE, 30)
    return picture


def _dot(picture: FrameArray, at: tuple[float, float], share: float, grey: int) -> None:
    """Out of the golfer's way, to a sixteenth of a pixel."""
    height, width = picture.shape[:2]
    x, y = round(at[0] * width * 2**_FINE_BITS), round(at[1] * height * 2**_FINE_BITS)
    radius = round(share * width * 2**_FINE_BITS)
    cv2.circle(picture, (x, y), radius, (grey,) * 3, -1, cv2.LINE_AA, _FINE_BITS)


def sound_cycle() -> SoundArray:
    """Five seconds of a room with a strike, and two bangs."""
    room = np.random.default_rng(5).normal(0, 0.001, CYCLE_S * SOUND_HZ).astype(np.float32)
    for at_s in (STRIKE_S, *BANGS_S):
        strength = 0.4 if at_s == STRIKE_S else 0.7
        room += click(at_s=at_s, long_s=CYCLE_S, strength=strength)
    return room


class Camera:
    """Sends one camera's cycle over and over, from a common beginning.

    Args:
        pictures: The cycle.
        rate_hz: Frames a second.
        size: Width and height.
        sound: Its sound; None without.
    """

    def __init__(
        self,
        pictures: list[bytes],
        rate_hz: int,
        size: tuple[int, int],
        sound: SoundArray | None,
    ) -> None:
        self._pictures = pictures
        self._rate_hz = rate_hz
        self._size = size
        self._sound = None if sound is None else (sound * 32767).astype(np.int16)
        self.server = socket.create_server(("127.0.0.1", 0))

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self.server.getsockname()[1])

    def serve(self) -> None:
        """Send to one after the other."""
        while True:
            peer, _ = self.server.accept()
            peer.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 1 << 22)
            with peer:
                try:
                    self._send(peer.sendall)
                except (OSError, av.FFmpegError):
                    continue  # The reader has gone.

    def _send(self, put: Callable[[bytes], None]) -> None:
        held = _Through(put)
        with av.open(held, "w", format="nut", options={"max_interleave_delta": "1"}) as target:
            video = target.add_mux_stream(
                "mjpeg", rate=self._rate_hz, width=self._size[0], height=self._size[1]
            )
            video.time_base = Fraction(1, 90_000)
            audio = None
            if self._sound is not None:
                audio = target.add_stream("pcm_s16le", rate=SOUND_HZ, layout="mono")
            number = block = 0
            begun = time.perf_counter()
            while True:
                due_s = number / self._rate_hz
                time.sleep(max(0.0, due_s - (time.perf_counter() - begun)))
                packet = av.Packet(self._pictures[number % len(self._pictures)])
                packet.stream = video
                packet.pts = packet.dts = number * 90_000 // self._rate_hz
                packet.time_base = Fraction(1, 90_000)
                packet.is_keyframe = True
                target.mux(packet)
                number += 1
                while audio is not None and (block + 1) * _SOUND_BLOCK <= number / self._rate_hz * (
                    SOUND_HZ
                ):
                    target.mux(audio.encode(self._block(block)))
                    block += 1

    def _block(self, block: int) -> av.AudioFrame:
        assert self._sound is not None
        first = block * _SOUND_BLOCK % len(self._sound)
        part = self._sound[np.newaxis, first : first + _SOUND_BLOCK]
        frame = av.AudioFrame.from_ndarray(part, format="s16", layout="mono")
        frame.sample_rate = SOUND_HZ
        frame.time_base = Fraction(1, SOUND_HZ)
        frame.pts = block * _SOUND_BLOCK
        return frame


class _Through(io.RawIOBase):
    """A file that is a socket."""

    def __init__(self, put: Callable[[bytes], None]) -> None:
        self._put = put

    def write(self, data: bytes) -> int:  # type: ignore[override]
        self._put(bytes(data))
        return len(data)

    def writable(self) -> bool:
        return True


def main() -> None:
    """Make, say where, and send until ended."""
    folder, rate_hz = Path(sys.argv[1]), int(sys.argv[2])
    size = int(sys.argv[3]), int(sys.argv[4])
    cycles = [jpegs(size, rate_hz, seed) for seed in (1, 2)]
    sound = sound_cycle()
    cameras = [
        Camera(cycle, rate_hz, size, sound if n == 0 else None) for n, cycle in enumerate(cycles)
    ]
    for number, cycle in enumerate(cycles):
        hashes = [hash_of(data) for data in cycle]
        (folder / f"{number}.json").write_text(json.dumps(hashes), encoding="utf-8")
    for camera in cameras:
        threading.Thread(target=camera.serve, daemon=True).start()
    sys.stdout.write(json.dumps([camera.port for camera in cameras]) + "\n")
    sys.stdout.flush()
    sys.stdin.read()


def hash_of(data: bytes) -> int:
    """What a picture is known by again."""
    return zlib.crc32(data)


if __name__ == "__main__":
    main()
