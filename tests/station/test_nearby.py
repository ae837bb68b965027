"""One file for one phone, once, for a while: nothing else can be reached through that door."""

from __future__ import annotations

import http.client
import socket
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote, urlsplit

import cv2
import numpy as np
import pytest

from capturestation.drawing.code_square import code_square, code_words
from capturestation.errors import NotFoundError
from capturestation.records import FrameArray
from capturestation.station.nearby import LONGEST_S, Nearby

HERE = "127.0.0.1"
HELD = bytes(range(256)) * 4000


@pytest.fixture
def file(tmp_path: Path) -> Path:
    (tmp_path / "secret.txt").write_bytes(b"nobody's business")
    path = tmp_path / "2026-10-30 7 iron.mp4"
    path.write_bytes(HELD)
    return path


@pytest.fixture
def door(file: Path) -> Iterator[Nearby]:
    with Nearby(file, host=HERE) as opened:
        yield opened


def asked(door: Nearby, path: str | None = None, how: str = "GET") -> tuple[int, bytes]:
    """The status and the body; 0 where nobody listens."""
    parts = urlsplit(door.address)
    assert parts.hostname is not None
    link = http.client.HTTPConnection(parts.hostname, parts.port, timeout=20)
    try:
        link.request(how, path or parts.path)
        answer = link.getresponse()
        return answer.status, answer.read()
    except OSError:
        return 0, b""
    finally:
        link.close()


def test_the_file_is_taken_once_and_then_the_door_shuts_by_itself(door: Nearby) -> None:
    first = asked(door)

    assert first == (200, HELD)
    assert door.wait(20)
    assert door.is_taken
    assert not door.is_open
    assert asked(door)[0] in (0, 410)


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/secret.txt",
        "{token}/",
        "{token}/secret.txt",
        "{token}/../secret.txt",
        "{token}/%2e%2e/secret.txt",
        "{token}/..%2fsecret.txt",
        "{token}?x=1",
        "{token}/{name}",
        "/../../../../etc/passwd",
        "/wrong-token/{name}",
        "{short}",
        "{token}%00",
    ],
)
def test_nothing_but_the_whole_address_opens_it(door: Nearby, path: str) -> None:
    token, name = urlsplit(door.address).path[1:], quote(door.file.name)

    status, body = asked(door, path.format(token=f"/{token}", name=name, short=f"/{token[:-1]}"))

    assert (status, body) == (404, b"")
    assert door.is_open
    assert asked(door) == (200, HELD)


@pytest.mark.parametrize("how", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_it_can_only_be_read(door: Nearby, file: Path, how: str) -> None:
    status, _ = asked(door, how=how)

    assert status == 501
    assert file.read_bytes() == HELD
    assert door.is_open


def test_asking_how_large_it_is_takes_nothing(door: Nearby) -> None:
    assert asked(door, how="HEAD") == (200, b"")
    assert door.is_open
    assert asked(door) == (200, HELD)


def test_an_expired_token_opens_nothing(file: Path) -> None:
    now = [0.0]
    with Nearby(file, host=HERE, clock=lambda: now[0]) as door:
        assert door.left_s == LONGEST_S == 600
        now[0] = LONGEST_S - 1
        assert door.is_open

        now[0] = LONGEST_S

        assert asked(door)[0] in (0, 410)
        assert door.wait(20)
        assert asked(door) == (0, b"")
        assert not door.is_taken


def test_closed_by_hand_nobody_listens_any_more(file: Path) -> None:
    door = Nearby(file, host=HERE)

    door.close()
    door.close()

    assert asked(door) == (0, b"")
    assert not door.is_open
    assert not door.is_taken


def test_each_door_has_its_own_token_and_a_token_of_another_opens_nothing(file: Path) -> None:
    with Nearby(file, host=HERE) as one, Nearby(file, host=HERE) as other:
        assert urlsplit(one.address).path != urlsplit(other.address).path
        assert asked(other, urlsplit(one.address).path)[0] == 404


def test_a_phone_that_leaves_half_way_takes_nothing_and_may_come_again(tmp_path: Path) -> None:
    large = tmp_path / "large.mp4"
    large.write_bytes(bytes(30_000_000))
    with Nearby(large, host=HERE) as door:
        parts = urlsplit(door.address)
        with socket.create_connection((HERE, parts.port or 0), timeout=20) as link:
            link.sendall(f"GET {parts.path} HTTP/1.0\r\n\r\n".encode())
            assert link.recv(100).startswith(b"HTTP/1.0 200")

        # Until the door has noticed, it gives to nobody else.
        status, body = asked(door)
        while status == 409:
            threading.Event().wait(0.05)
            status, body = asked(door)

        assert (status, len(body)) == (200, 30_000_000)


def test_only_one_is_given_to_at_a_time(tmp_path: Path) -> None:
    large = tmp_path / "large.mp4"
    large.write_bytes(bytes(30_000_000))
    with Nearby(large, host=HERE) as door:
        parts = urlsplit(door.address)
        with socket.create_connection((HERE, parts.port or 0), timeout=20) as link:
            link.sendall(f"GET {parts.path} HTTP/1.0\r\n\r\n".encode())
            assert link.recv(100)

            assert asked(door) == (409, b"")


def test_what_says_nothing_sensible_harms_nothing(door: Nearby) -> None:
    port = urlsplit(door.address).port or 0
    for words in (b"\x00\xff\xfe\r\n\r\n", b"GET\r\n\r\n", b""):
        with socket.create_connection((HERE, port), timeout=20) as link, suppress(OSError):
            link.sendall(words)

    assert asked(door) == (200, HELD)


def test_a_file_that_is_not_there_is_refused_and_one_that_goes_is_not_given(file: Path) -> None:
    with pytest.raises(NotFoundError):
        Nearby(file.with_name("gone.mp4"), host=HERE)

    with Nearby(file, host=HERE) as door:
        file.unlink()
        assert asked(door)[0] != 200
        assert not door.is_taken


def test_its_answers_name_no_program_and_ask_to_be_kept_nowhere(door: Nearby) -> None:
    parts = urlsplit(door.address)
    link = http.client.HTTPConnection(HERE, parts.port, timeout=20)
    link.request("HEAD", parts.path)
    answer = link.getresponse()
    link.close()

    assert (answer.getheader("Server") or "").strip() == ""
    assert answer.getheader("Cache-Control") == "no-store"
    assert answer.getheader("Content-Type") == "video/mp4"


def looks_at(square: FrameArray) -> Iterator[FrameArray]:
    """The square as a camera gets to see it: it is held there until one look is read.

    OpenCV's reader alone doesn't find one square in a hundred and fifty in a single look.
    """
    yield square
    soft = np.asarray(cv2.GaussianBlur(square, (0, 0), 2.0), dtype=np.uint8)
    yield soft
    yield np.asarray(cv2.resize(soft, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), np.uint8)
    middle = (square.shape[1] / 2, square.shape[0] / 2)
    for angle_deg in (-9.0, 7.0):
        turn = cv2.getRotationMatrix2D(middle, angle_deg, 0.8)
        size = (square.shape[1], square.shape[0])
        white = (255.0, 255.0, 255.0)
        yield np.asarray(cv2.warpAffine(soft, turn, size, borderValue=white), dtype=np.uint8)


def test_a_camera_reads_the_square(door: Nearby) -> None:
    square = code_square(door.address, 600)

    read = {cv2.QRCodeDetector().detectAndDecode(look)[0] for look in looks_at(square)}

    assert read - {""} == {door.address}
    assert square.shape[0] == square.shape[1] <= 600


def test_the_square_of_a_terminal_has_a_line_for_each_two_modules() -> None:
    lines = code_words("http://127.0.0.1:1/x").splitlines()

    assert len({len(line) for line in lines}) == 1
    assert len(lines) == (len(lines[0]) + 1) // 2
    assert set("".join(lines)) <= set("█▀▄ ")


def test_a_square_too_small_for_its_modules_is_refused() -> None:
    with pytest.raises(ValueError, match="modules"):
        code_square("http://127.0.0.1:1/x", 20)
