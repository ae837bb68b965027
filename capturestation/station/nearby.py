"""Lends one file to one phone on the same network, once, for ten minutes at most.

Owns the only door: an address with a token that nobody guesses, open to nothing but this file, on
the network's own address and not on every one. It is off unless asked for, and shuts by itself:
once the file was taken whole, or when its time is over. Nothing of who asks is kept or logged.
"""

from __future__ import annotations

import logging
import secrets
import socket
import sys
import threading
import time
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BufferedIOBase
from pathlib import Path
from socketserver import TCPServer
from types import TracebackType
from typing import BinaryIO, Self
from urllib.parse import quote

from capturestation.errors import NotFoundError, OutputError

LONGEST_S = 600.0
"""Enough for a phone that has to be found first; a door that stands open is forgotten."""
_TOKEN_BYTES = 18
_LOOK_S = 0.2
_PIECE_BYTES = 1 << 16
_PATIENCE_S = 20.0
# A phone that says or takes nothing for so long is gone.
_JOIN_S = 5.0
_KINDS = {".mp4": "video/mp4", ".pdf": "application/pdf", ".html": "text/html; charset=utf-8"}
_NOBODY = ("192.0.2.1", 9)
# An address for documentation (RFC 5737): nothing is sent to it, the system only says which of its
# own it would use.
log = logging.getLogger(__name__)


class Nearby:
    """Lends a file; close it, or use it in a `with` block.

    Args:
        file: What is lent; it stays as it is.
        host: Own address to be reached at; the network's unless given.
        longest_s: How long it stands open.
        clock: Counts seconds.

    Attributes:
        address: What the phone opens.

    Raises:
        NotFoundError: If there is no such file.
        OutputError: If there is no network, or the system refuses the door.
    """

    def __init__(
        self,
        file: Path,
        *,
        host: str | None = None,
        longest_s: float = LONGEST_S,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if not file.is_file():
            raise NotFoundError(
                f"{file.name} is not there any more.", try_next="Make it again.", subject=file.name
            )
        self.file = file
        self._clock = clock
        self._token = secrets.token_urlsafe(_TOKEN_BYTES)
        self._until_s = clock() + longest_s
        self._taking = threading.Lock()
        self._taken = threading.Event()
        self._shut, self._closed = threading.Event(), threading.Event()
        self._server = _server(host or own_address(), self)
        name, port = self._server.server_address[:2]
        self.address = f"http://{name!s}:{port}/{self._token}"
        self._thread = threading.Thread(target=self._run, name="nearby", daemon=True)
        self._thread.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def is_taken(self) -> bool:
        """Whether the file was taken whole."""
        return self._taken.is_set()

    @property
    def is_open(self) -> bool:
        """Whether it can still be taken."""
        return not (self._taken.is_set() or self._shut.is_set()) and self.left_s > 0

    @property
    def left_s(self) -> float:
        """Seconds until it shuts by itself."""
        return max(self._until_s - self._clock(), 0.0)

    def close(self) -> None:
        """Shut the door at once; a second time does nothing."""
        self._closed.set()
        self._shut.set()
        self._thread.join(_JOIN_S)

    def wait(self, longest_s: float) -> bool:
        """Wait so long until the door is shut; whether it is."""
        self._thread.join(longest_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            while self.is_open:
                self._server.handle_request()
        finally:
            self._shut.set()
            self._server.server_close()

    def fits(self, path: str) -> bool:
        """Whether an address is the one that was lent, sign for sign."""
        asked = path.encode("utf-8", "surrogateescape")
        return secrets.compare_digest(asked, f"/{self._token}".encode())

    def hand_over(self, asking: BaseHTTPRequestHandler, *, whole: bool) -> None:
        """Give the file to who asks with the token; to one at a time, and to nobody after that."""
        if not self._taking.acquire(blocking=False):
            _refuse(asking, HTTPStatus.CONFLICT)
            return
        try:
            if not self.is_open:
                _refuse(asking, HTTPStatus.GONE)
                return
            with self.file.open("rb") as source:
                _say_head(asking, self.file)
                if whole and self._sent(source, asking.wfile):
                    self._taken.set()
        except OSError as error:
            # The phone left, or the file was taken away: it may be asked for again.
            log.info("lending was broken off: %s", type(error).__name__)
            asking.close_connection = True
        finally:
            self._taking.release()

    def _sent(self, source: BinaryIO, to: BufferedIOBase) -> bool:
        """Send all of it; whether all went, and nobody shut the door meanwhile."""
        while piece := source.read(_PIECE_BYTES):
            if self._closed.is_set():
                return False
            to.write(piece)
        to.flush()
        return True


def own_address() -> str:
    """The address by which this computer is reached on its network.

    Raises:
        OutputError: If it is on none.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(_NOBODY)
            found = str(probe.getsockname()[0])
    except OSError:
        found = ""
    if not found or found.startswith("127.") or found == "0.0.0.0":
        raise OutputError(
            "This computer is on no network, so no phone nearby can reach it.",
            try_next="Join the network that the phone is on, or save the files in a folder.",
        )
    return found


class _Door(ThreadingHTTPServer):
    """Asks no name server for its own name, and keeps quiet about who broke off."""

    daemon_threads = True
    timeout = _LOOK_S

    def server_bind(self) -> None:
        """Take the address."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = str(self.server_address[0]), self.server_address[1]

    def handle_error(self, request: object, client_address: object) -> None:  # noqa: ARG002
        """A phone that leaves is no fault."""
        log.info("a request broke off: %s", type(sys.exception()).__name__)


def _server(host: str, door: Nearby) -> ThreadingHTTPServer:
    class Asked(BaseHTTPRequestHandler):
        """One request: the one file by its whole address, or nothing."""

        timeout = _PATIENCE_S
        server_version, sys_version = "", ""

        def do_GET(self) -> None:
            self._answer(whole=True)

        def do_HEAD(self) -> None:
            self._answer(whole=False)

        def _answer(self, *, whole: bool) -> None:
            if door.fits(self.path):
                door.hand_over(self, whole=whole)
            else:
                _refuse(self, HTTPStatus.NOT_FOUND)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's
            """Keep nothing of who asked for what."""

    try:
        server = _Door((host, 0), Asked)
    except OSError as error:
        raise OutputError(
            f"The file can't be lent on this network: {error.strerror or error}.",
            try_next="Save it in a folder instead.",
        ) from error
    return server


def _say_head(asking: BaseHTTPRequestHandler, file: Path) -> None:
    asking.send_response(HTTPStatus.OK)
    asking.send_header("Content-Type", _KINDS.get(file.suffix, "application/octet-stream"))
    asking.send_header("Content-Length", str(file.stat().st_size))
    asking.send_header("Content-Disposition", f"attachment; filename*=UTF-8''{quote(file.name)}")
    asking.send_header("Cache-Control", "no-store")
    asking.send_header("X-Content-Type-Options", "nosniff")
    asking.end_headers()


def _refuse(asking: BaseHTTPRequestHandler, status: HTTPStatus) -> None:
    asking.send_response(status)
    asking.send_header("Content-Length", "0")
    asking.end_headers()
