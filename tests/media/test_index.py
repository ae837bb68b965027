from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import NotReadableError
from capturestation.media.index import FrameIndex, index_frames
from capturestation.records import IntArray, MediaTime
from tests.helpers.altered_media import drop_head, trim_by_edit_list
from tests.helpers.coded_media import Traits, write_coded_clip

RATE_HZ = Fraction(30)


def shown_by_decoding(path: Path) -> list[int]:
    """The stamps of every frame that a decoder hands out for the whole file."""
    with av.open(str(path)) as container:
        return [frame.pts for frame in container.decode(video=0) if frame.pts is not None]


def packets_in(path: Path) -> int:
    with av.open(str(path)) as container:
        return sum(packet.size > 0 for packet in container.demux(video=0))


def index_of(pts: IntArray, time_base: Fraction = Fraction(1, 1000)) -> FrameIndex:
    return FrameIndex(
        pts=pts,
        time_base=time_base,
        durations=np.ones_like(pts),
        is_key=np.ones(len(pts), np.bool_),
        key_pts=pts,
        key_dts=pts,
    )


@pytest.mark.parametrize("suffix", [".mp4", ".mov", ".mkv", ".ts"])
@pytest.mark.parametrize(
    "traits",
    [
        Traits(),
        Traits(open_gop=True),
        Traits(b_frames=4, key_every=30),
        Traits(key_every=2),
        Traits(key_every=1, b_frames=0),
        Traits(codec="mjpeg", pixel_format="yuvj420p"),
    ],
    ids=["plain", "open", "deep", "short", "intra", "mjpeg"],
)
def test_packets_alone_tell_what_a_full_decode_shows(
    tmp_path: Path, suffix: str, traits: Traits
) -> None:
    if traits.codec == "mjpeg" and suffix == ".ts":
        suffix = ".avi"
    path = write_coded_clip(tmp_path / f"a{suffix}", frames=40, rate_hz=RATE_HZ, traits=traits)

    index = index_frames(path)

    assert index.pts.tolist() == shown_by_decoding(path)
    assert len(index) == 40


@given(
    pts=st.lists(st.integers(-(2**40), 2**40), min_size=1, max_size=9, unique=True).map(sorted),
    unit=st.fractions(
        min_value=Fraction(1, 10**9), max_value=Fraction(1, 1000), max_denominator=10**9
    ),
)
def test_times_are_those_of_each_stamp_by_itself(pts: list[int], unit: Fraction) -> None:
    index = index_of(np.array(pts, np.int64), unit)

    assert index.times_ns.tolist() == [MediaTime(pts=one, time_base=unit).ns for one in pts]


@pytest.mark.parametrize("open_gop", [False, True])
def test_a_trimmed_file_of_ninety_packets_shows_seventy_eight_frames(
    tmp_path: Path, open_gop: bool
) -> None:
    traits = Traits(key_every=30, open_gop=open_gop)
    path = write_coded_clip(tmp_path / "a.mp4", frames=90, rate_hz=RATE_HZ, traits=traits)
    trim_by_edit_list(path, start_s=Fraction(12, 30), long_s=Fraction(78, 30))

    index = index_frames(path)

    assert packets_in(path) == 90
    assert len(index) == 78
    assert index.pts.tolist() == shown_by_decoding(path)
    assert index.times_ns[0] == 0


def test_a_file_trimmed_at_both_ends_shows_the_middle(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=90, rate_hz=RATE_HZ)
    trim_by_edit_list(path, start_s=Fraction(41, 60), long_s=Fraction(1))

    index = index_frames(path)

    assert index.pts.tolist() == shown_by_decoding(path)
    assert len(index) == 30


def test_frames_that_lean_on_a_lost_key_frame_are_not_counted(tmp_path: Path) -> None:
    whole = write_coded_clip(
        tmp_path / "whole.mkv", frames=60, rate_hz=RATE_HZ, traits=Traits(open_gop=True)
    )
    drop_head(whole, tmp_path / "cut.mkv", key=1)

    index = index_frames(tmp_path / "cut.mkv")

    assert index.pts.tolist() == shown_by_decoding(tmp_path / "cut.mkv")
    assert packets_in(tmp_path / "cut.mkv") > len(index)
    assert index.is_key[0]


def test_uneven_stamps_give_each_frame_its_own_duration(tmp_path: Path) -> None:
    pts = [0, 3003, 6000, 15_000, 15_750]
    traits = Traits(pts=pts, time_base=Fraction(1, 90_000), b_frames=0)
    path = write_coded_clip(tmp_path / "a.mp4", frames=5, rate_hz=RATE_HZ, traits=traits)

    index = index_frames(path)

    assert [int(p) * index.time_base for p in index.pts] == [Fraction(p, 90_000) for p in pts]
    assert index.durations[:-1].tolist() == np.diff(index.pts).tolist()
    assert index.mean_rate_hz == Fraction(4 * 90_000, 15_750)


def test_a_late_start_stays_late(tmp_path: Path) -> None:
    traits = Traits(pts=[9000 + 3000 * n for n in range(6)], time_base=Fraction(1, 90_000))
    path = write_coded_clip(tmp_path / "a.mkv", frames=6, rate_hz=RATE_HZ, traits=traits)

    index = index_frames(path)

    assert index.times_ns[0] == 100_000_000
    assert index.pts.tolist() == shown_by_decoding(path)


def test_a_single_frame_has_no_rate(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=1, rate_hz=RATE_HZ)

    index = index_frames(path)

    assert index.mean_rate_hz is None
    assert index.duration_ns == round(Fraction(10**9, 30))


def test_a_container_without_the_order_of_frames_is_refused(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.avi", frames=20, rate_hz=RATE_HZ)

    with pytest.raises(NotReadableError, match=r"a\.avi does not say when its frames are shown"):
        index_frames(path)


@given(
    pts=st.lists(st.integers(-(10**6), 10**6), min_size=1, unique=True).map(sorted),
    at_ns=st.integers(-(2 * 10**12), 2 * 10**12),
)
def test_no_other_frame_is_nearer_in_time(pts: list[int], at_ns: int) -> None:
    index = index_of(np.array(pts, np.int64))

    found = index.at(at_ns)

    off_ns = np.abs(index.times_ns - at_ns)
    assert off_ns[found] == off_ns.min()
    assert found == int(np.argmin(off_ns))


def test_times_are_rounded_once_and_exactly() -> None:
    index = index_of(np.array([0, 1, 2, 30_000], np.int64), Fraction(1001, 30_000))

    assert index.times_ns.tolist() == [0, 33_366_667, 66_733_333, 1_001_000_000_000]


@pytest.mark.parametrize("pts", [[], [3, 3], [3, 2]])
def test_stamps_that_do_not_rise_are_our_own_mistake(pts: list[int]) -> None:
    with pytest.raises(ValueError, match=r"frames|rise"):
        index_of(np.array(pts, np.int64))


def test_an_index_cant_be_changed(tmp_path: Path) -> None:
    index = index_of(np.array([0, 5], np.int64))

    with pytest.raises(ValueError, match="read-only"):
        index.pts[0] = 3

    assert index.pts.tolist() == [0, 5]
