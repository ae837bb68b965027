"""Cameras on real sockets: JPEG parts over HTTP, MPEG-TS over TCP and UDP; each frame says which.

They send at the pace of their stamps, from a thread of the test's own process.
"""

from __future__ import annotations

import io
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import av

from capturestation.media._films import read_film
from capturestation.records import SoundArray
from tests.helpers.coded_media import Traits, write_coded_clip

RATE_HZ = Fraction(60)
_TS_PACKET = 188
_DATAGRAM = 7 * _TS_PACKET


def jpeg_film(path: Path, *, frames: int = 60, sound: SoundArray | None = None) -> Path:
    """A file whose pictures are JPEGs, each standing for itself."""
    traits = Traits(codec="mjpeg", pixel_format="yuvj420p", b_frames=0, sound_codec="flac")
    return write_coded_clip(path, frames=frames, rate_hz=RATE_HZ, sound=sound, traits=traits)


def h264_film(
    path: Path, *, frames: int = 120, key_every: int = 15, sound: SoundArray | None = None
) -> Path:
    """A file as a network camera codes: one key frame every quarter second, none out of order."""
    traits = Traits(b_frames=0, key_every=key_every)
    return write_coded_clip(path, frames=frames, rate_hz=RATE_HZ, sound=sound, traits=traits)


class _Parts(BaseHTTPRequestHandler):
    """Sends the film's JPEGs over and over, each with its length before it."""

    film: Path
    going: threading.Event

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "multipart/x-mixed-replace; boundary=frame")
        self.end_headers()
        pictures = read_film(self.film).data
        due = time.perf_counter()
        number = 0
        try:
            while self.going.is_set():
                jpeg = pictures[number % len(pictures)]
                said = b"--frame\r\nContent-Type: image/jpeg\r\nContent-Length: %d\r\n\r\n"
                self.wfile.write(said % len(jpeg) + jpeg + b"\r\n")
                number += 1
                due += float(1 / RATE_HZ)
                time.sleep(max(0.0, due - time.perf_counter()))
        except OSError:
            return  # The reader has gone.

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - as it is called
        """Say nothing."""


@contextmanager
def http_camera(film: Path) -> Iterator[str]:
    """Serve a JPEG film over HTTP; gives the URL."""
    going = threading.Event()
    going.set()
    handler = type("Parts", (_Parts,), {"film": film, "going": going})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        going.clear()
        server.shutdown()
        thread.join()
        server.server_close()


@cache
def transport_stream(film: Path) -> tuple[tuple[float, bytes], ...]:
    """A film as MPEG-TS: bytes, and when each piece is due."""
    held = io.BytesIO()
    pieces: list[tuple[float, bytes]] = []
    with av.open(str(film)) as source, av.open(held, "w", format="mpegts") as target:
        pairs = {s.index: target.add_stream_from_template(s, opaque=True) for s in source.streams}
        for packet in source.demux():
            if packet.dts is None or packet.pts is None:
                continue
            due_s = float(packet.dts * packet.time_base)
            packet.stream = pairs[packet.stream_index]
            target.mux(packet)
            pieces.append((due_s, _taken(held)))
    pieces.append((pieces[-1][0], _taken(held)))
    return tuple(piece for piece in pieces if piece[1])


def _taken(held: io.BytesIO) -> bytes:
    data = held.getvalue()
    held.seek(0)
    held.truncate()
    return data


def _send(film: Path, put: object, stop: threading.Event) -> None:
    assert callable(put)
    begun = time.perf_counter()
    for due_s, data in transport_stream(film):
        if stop.wait(max(0.0, due_s - (time.perf_counter() - begun))):
            return
        try:
            put(data)
        except OSError:
            return


@contextmanager
def tcp_camera(film: Path) -> Iterator[str]:
    """Send a film once to whoever connects; gives the URL."""
    stop = threading.Event()
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(10)

    def serve() -> None:
        try:
            peer, _ = server.accept()
        except OSError:
            return
        with peer:
            _send(film, peer.sendall, stop)

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        yield f"tcp://127.0.0.1:{server.getsockname()[1]}"
    finally:
        stop.set()
        server.close()
        thread.join()


@contextmanager
def udp_camera(film: Path, *, lose_every: int = 0) -> Iterator[str]:
    """Send a film once, in datagrams, of which every so many-th never comes."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    sender = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    stop = threading.Event()
    count = 0

    def put(data: bytes) -> None:
        nonlocal count
        for first in range(0, len(data), _DATAGRAM):
            count += 1
            if not lose_every or count % lose_every:
                sender.sendto(data[first : first + _DATAGRAM], ("127.0.0.1", port))

    thread = threading.Thread(target=_send, args=(film, put, stop))
    thread.start()
    try:
        yield f"udp://127.0.0.1:{port}"
    finally:
        stop.set()
        thread.join()
        sender.close()
