"""Packets into a file as they are: every frame, its time, its turn and its sound read back."""

from __future__ import annotations

import resource
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import OutputError
from capturestation.media._films import UNIT, Line
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.packets import Packet
from capturestation.media.probe import probe
from capturestation.media.remux import PacketFile
from capturestation.media.sound import read_sound
from capturestation.records.capture import ReplayPiece
from tests.helpers.coded_media import Traits, click, onset_s, read_code, write_coded_clip
from tests.helpers.live_servers import h264_film, jpeg_film

MS = 1_000_000


def packets_of(film: Path, first: int = 0) -> tuple[bytes, list[Packet]]:
    """Head and packets of a film, as a replay sends them, from the n-th on."""
    line = Line([ReplayPiece(file=str(film))])
    count = len(line.first.data)
    due = [d.packet for d in islice(line.begin(from_ns=0, has_sound=False), count)]
    return line.first.head, [packet for packet in due if packet is not None][first:]


def written(path: Path, head: bytes, packets: list[Packet], *, rotation_deg: int = 0) -> Path:
    unit = packets[0].time_base
    with PacketFile(path, head=head, time_base=unit, rotation_deg=rotation_deg) as file:
        for packet in packets:
            file.write(packet)
    return path


def codes(path: Path) -> list[int]:
    with FrameReader(path) as reader:
        return [read_code(reader.frame_rgb(n)) for n in range(len(reader))]


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One second of H.264 whose frames say which they are."""
    return h264_film(tmp_path_factory.mktemp("film") / "film.mp4", frames=60)


def test_every_frame_of_a_cut_is_kept_with_its_time(film: Path, tmp_path: Path) -> None:
    head, packets = packets_of(film, first=15)

    path = written(tmp_path / "cut.mp4", head, packets)

    facts = probe(path)
    assert codes(path) == list(range(15, 60))
    assert facts.mean_rate_hz == 60
    assert facts.is_steady
    assert facts.time_base == Fraction(1, 90_000)
    assert facts.said == probe(film).said


def test_frames_out_of_order_come_back_in_theirs(tmp_path: Path) -> None:
    film = write_coded_clip(
        tmp_path / "film.mp4", frames=36, rate_hz=Fraction(60), traits=Traits(b_frames=2)
    )
    head, packets = packets_of(film)

    path = written(tmp_path / "cut.mp4", head, packets)

    with FrameReader(path) as reader:
        assert len(reader) == 36
        assert reader.index.is_steady
    assert codes(path) == list(range(36))


@pytest.mark.parametrize(
    ("traits", "unit"),
    [
        (Traits(codec="mjpeg", pixel_format="yuvj420p"), Fraction(1, 90_000)),
        (Traits(codec="mjpeg", pixel_format="yuvj420p"), Fraction(1, 1000)),
        (Traits(codec="mjpeg", pixel_format="yuvj420p"), Fraction(1, 1_000_000)),
        (Traits(b_frames=0, key_every=15), Fraction(1, 90_000)),
        (Traits(b_frames=2, key_every=15), Fraction(1, 90_000)),
    ],
    ids=["jpeg", "coarse", "arrival", "h264", "out of order"],
)
def test_which_frames_a_file_shows_is_known_without_reading_it(
    tmp_path: Path, traits: Traits, unit: Fraction
) -> None:
    film = write_coded_clip(tmp_path / "film.mkv", frames=36, rate_hz=Fraction(60), traits=traits)
    head, packets = packets_of(film)
    counted = [
        replace(
            p,
            time_base=unit,
            pts=round(p.pts * UNIT / unit),
            dts=round(p.dts * UNIT / unit),
        )
        for p in packets
    ]

    with PacketFile(tmp_path / "cut.mp4", head=head, time_base=unit) as file:
        for packet in counted:
            file.write(packet)
    told = file.index()

    read = index_frames(tmp_path / "cut.mp4")
    assert (told.time_base, told.hidden) == (read.time_base, read.hidden)
    for one, other in (
        (told.pts, read.pts),
        (told.durations, read.durations),
        (told.is_key, read.is_key),
        (told.key_pts, read.key_pts),
        (told.key_dts, read.key_dts),
    ):
        assert one.tolist() == other.tolist()


def test_jpegs_are_kept_as_they_are(tmp_path: Path) -> None:
    head, packets = packets_of(jpeg_film(tmp_path / "film.mkv", frames=20))

    path = written(tmp_path / "cut.mp4", head, packets)

    assert codes(path) == list(range(20))
    assert probe(path).codec == "mjpeg"
    assert path.read_bytes().count(packets[3].data) >= 1


def test_a_camera_on_its_side_is_shown_upright(film: Path, tmp_path: Path) -> None:
    head, packets = packets_of(film)

    path = written(tmp_path / "cut.mp4", head, packets, rotation_deg=90)

    facts = probe(path)
    assert (facts.rotation_deg, facts.width_px, facts.height_px) == (90, 96, 160)


def test_sound_round_the_strike_only_stands_at_its_time_and_loses_nothing(
    film: Path, tmp_path: Path
) -> None:
    head, packets = packets_of(film)
    whole = click(at_s=0.2, long_s=0.4, strength=0.7) + np.float32(0.25)

    with PacketFile(
        tmp_path / "cut.mp4", head=head, time_base=packets[0].time_base, sound_rate_hz=48_000
    ) as file:
        for packet in packets:
            file.write(packet)
        file.write_sound(whole, start_ns=300 * MS)

    sound = read_sound(tmp_path / "cut.mp4")
    assert sound.start_ns == 300 * MS
    assert np.abs(sound.samples - whole).max() < 1 / 16_000
    assert codes(tmp_path / "cut.mp4") == list(range(60))
    heard = onset_s(sound.samples - 0.25, start_s=0.3, rate_hz=48_000)
    assert heard == pytest.approx(0.5, abs=0.0002)


def test_sound_from_before_the_first_picture_is_left_out(film: Path, tmp_path: Path) -> None:
    head, packets = packets_of(film)

    with PacketFile(
        tmp_path / "cut.mp4", head=head, time_base=packets[0].time_base, sound_rate_hz=48_000
    ) as file:
        for packet in packets:
            file.write(packet)
        file.write_sound(click(at_s=0.3, long_s=0.6), start_ns=-100 * MS)

    sound = read_sound(tmp_path / "cut.mp4")
    assert onset_s(sound.samples, start_s=sound.start_ns / 1e9, rate_hz=48_000) == pytest.approx(
        0.2, abs=0.0002
    )


def test_most_of_a_file_is_on_its_way_before_it_is_closed(tmp_path: Path) -> None:
    head, packets = packets_of(jpeg_film(tmp_path / "film.mkv", frames=60))
    path = tmp_path / "cut.mp4"

    with PacketFile(path, head=head, time_base=packets[0].time_base, sound_rate_hz=48_000) as file:
        for packet in packets:
            file.write(packet)
        file.flush()
        early_bytes = path.stat().st_size
        file.write_sound(click(at_s=0.3, long_s=0.6), start_ns=0)

    assert early_bytes >= sum(p.size_bytes for p in packets) - 70_000


@contextmanager
def no_room_above(size_bytes: int) -> Iterator[None]:
    """Let no file grow beyond so much, as a full disk does."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size_bytes, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)


def test_a_disk_without_room_is_said_and_leaves_nothing(tmp_path: Path) -> None:
    head, packets = packets_of(jpeg_film(tmp_path / "film.mkv", frames=60))

    with no_room_above(20_000), pytest.raises(OutputError):
        written(tmp_path / "cut.mp4", head, packets * 3)

    assert not (tmp_path / "cut.mp4").exists()


def test_a_file_begins_with_a_picture_that_stands_for_itself(film: Path, tmp_path: Path) -> None:
    head, packets = packets_of(film, first=1)

    with pytest.raises(ValueError, match="stands for itself"):
        written(tmp_path / "cut.mp4", head, packets)

    assert not (tmp_path / "cut.mp4").exists()
