"""A look at packets in memory shows the right pictures, upright and small."""

from __future__ import annotations

import io
from itertools import islice
from pathlib import Path

import av
import numpy as np
import pytest

from capturestation.media._films import Line
from capturestation.media.glance import Glance
from capturestation.media.packets import Packet
from capturestation.records.capture import ReplayPiece
from tests.helpers.coded_media import read_code
from tests.helpers.live_servers import h264_film, jpeg_film

KINDS = ["mjpeg", "h264"]


def packets_of(kind: str, folder: Path) -> tuple[bytes, list[Packet]]:
    film = (
        jpeg_film(folder / "film.mkv", frames=30)
        if kind == "mjpeg"
        else h264_film(folder / "film.mp4", frames=30)
    )
    line = Line([ReplayPiece(file=str(film))])
    due = [d.packet for d in islice(line.begin(from_ns=0, has_sound=False), 30)]
    return line.first.head, [packet for packet in due if packet is not None]


@pytest.mark.parametrize("kind", KINDS)
def test_every_picture_is_seen_with_its_stamp(kind: str, tmp_path: Path) -> None:
    head, packets = packets_of(kind, tmp_path)

    seen = Glance(head, long_px=160).greys(packets)

    assert [stamp for stamp, _ in seen] == [p.pts for p in packets]
    rgb = [np.repeat(grey[:, :, np.newaxis], 3, axis=2) for _, grey in seen]
    assert [read_code(picture) for picture in rgb] == list(range(30))


@pytest.mark.parametrize("kind", KINDS)
def test_a_small_look_is_small_and_upright(kind: str, tmp_path: Path) -> None:
    head, packets = packets_of(kind, tmp_path)

    plain = Glance(head, long_px=80).greys(packets[:1])[0][1]
    turned = Glance(head, long_px=80, rotation_deg=90).greys(packets[:1])[0][1]

    assert plain.shape == (48, 80)
    assert np.array_equal(turned, np.rot90(plain, 3))


@pytest.mark.parametrize("kind", KINDS)
def test_a_preview_is_a_small_jpeg(kind: str, tmp_path: Path) -> None:
    head, packets = packets_of(kind, tmp_path)

    jpeg = Glance(head, long_px=80).jpeg(packets[0])

    with av.open(io.BytesIO(jpeg), "r") as container:
        frame = next(container.decode(video=0))
    assert (frame.width, frame.height) == (80, 48)


def test_a_packet_that_was_cut_is_passed_over(tmp_path: Path) -> None:
    head, packets = packets_of("mjpeg", tmp_path)
    cut = Packet(
        host_ns=0, pts=9, dts=9, duration=0, time_base=packets[0].time_base, is_key=True, data=b"x"
    )

    glance = Glance(head, long_px=80)

    assert len(glance.greys([packets[0], cut, packets[1]])) == 2
    assert glance.jpeg(cut) == b""
    assert glance.jpeg(packets[0]) != b""
