from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import CancelledError, OutputError
from capturestation.media import encode
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.sound import read_sound
from capturestation.records import FrameArray
from tests.helpers.coded_media import click, onset_s, paint_code, plain_scene, read_code
from tests.helpers.small_disk import files_up_to

MakeClip = Callable[..., ClipWriter]


@pytest.fixture
def make_clip(tmp_path: Path) -> MakeClip:
    def make(name: str = "clip.mp4", **traits: object) -> ClipWriter:
        settings = {"width": 160, "height": 96, "rate_hz": Fraction(30)} | traits
        return ClipWriter(tmp_path / name, **settings)  # type: ignore[arg-type]

    return make


def flat(colour: tuple[int, int, int], *, width: int = 160, height: int = 96) -> FrameArray:
    return np.full((height, width, 3), colour, np.uint8)


def coded(number: int) -> FrameArray:
    return paint_code(plain_scene(number), number)


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize("rate", ["24000/1001", "25", "30", "60000/1001", "120", "240"])
def test_frame_n_is_stamped_n_over_the_rate_exactly(make_clip: MakeClip, rate: str) -> None:
    rate_hz = Fraction(rate)
    with make_clip(rate_hz=rate_hz) as clip:
        for number in range(40):
            clip.write_rgb(coded(number))

    with FrameReader(clip.path) as reader:
        stamps = [int(pts) * reader.index.time_base for pts in reader.index.pts]
        codes = [read_code(reader.frame_rgb(n)) for n in range(40)]

    assert stamps == [number / rate_hz for number in range(40)]
    assert codes == list(range(40))
    assert reader.index.mean_rate_hz == rate_hz


def test_uneven_stamps_are_kept_exactly_and_the_last_frame_is_shown(make_clip: MakeClip) -> None:
    pts = [0, 3003, 6000, 15000, 15750, 40000, 43000]
    with make_clip(time_base=Fraction(1, 90_000)) as clip:
        for number, stamp in enumerate(pts):
            clip.write_rgb(coded(number), pts=stamp)

    with FrameReader(clip.path) as reader:
        stamps = [int(stamp) * reader.index.time_base for stamp in reader.index.pts]
        codes = [read_code(frame) for frame in reader.iter_grey(0, len(reader), width_px=160)]

        last = int(reader.index.durations[-1]) * reader.index.time_base

    assert stamps == [Fraction(stamp, 90_000) for stamp in pts]
    assert last == Fraction(1, 30)
    assert codes == list(range(len(pts)))


@pytest.mark.parametrize("size", [(160, 96), (1280, 720)])
@pytest.mark.parametrize(
    "colour", [(200, 40, 40), (40, 160, 60), (30, 60, 200), (255, 255, 255), (0, 0, 0)]
)
def test_a_colour_comes_back_within_six_levels(
    make_clip: MakeClip, size: tuple[int, int], colour: tuple[int, int, int]
) -> None:
    width, height = size
    with make_clip(width=width, height=height) as clip:
        clip.write_rgb(flat(colour, width=width, height=height))

    with FrameReader(clip.path) as reader:
        off = np.abs(reader.frame_rgb(0).astype(int) - colour).max()

    assert off <= 6


def test_the_file_says_bt709_limited_range(make_clip: MakeClip) -> None:
    with make_clip() as clip:
        clip.write_rgb(flat((200, 40, 40)))

    data = clip.path.read_bytes()
    colour_box = data[data.index(b"colrnclx") + 8 :][:7]

    # ISO 23091-2 code 1 is BT.709, for primaries, transfer and matrix; the last bit is full range.
    assert colour_box == bytes([0, 1, 0, 1, 0, 1, 0])


def test_the_index_stands_before_the_pictures(make_clip: MakeClip) -> None:
    with make_clip() as clip:
        clip.write_rgb(coded(0))

    data = clip.path.read_bytes()

    assert data.index(b"moov") < data.index(b"mdat")


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_a_click_stays_within_two_milliseconds_of_its_flash(
    make_clip: MakeClip, rate_hz: int
) -> None:
    flash = 36
    with make_clip(rate_hz=Fraction(60), sound_rate_hz=rate_hz) as clip:
        for number in range(90):
            clip.write_rgb(flat((255, 255, 255) if number == flash else (20, 20, 20)))
        clip.write_sound(click(at_s=flash / 60, long_s=1.5, rate_hz=rate_hz))

    with FrameReader(clip.path) as reader:
        light = [frame.mean() for frame in reader.iter_grey(0, 90, width_px=40)]
        flash_s = reader.index.times_ns[int(np.argmax(light))] / 1e9
    sound = read_sound(clip.path)
    click_s = onset_s(sound.samples, start_s=sound.start_ns / 1e9, rate_hz=sound.rate_hz)

    assert abs(click_s - flash_s) <= 0.002


def test_sound_may_come_in_pieces_of_any_length(make_clip: MakeClip) -> None:
    whole = click(at_s=0.3, long_s=0.5)
    with make_clip("whole.mp4", sound_rate_hz=48_000) as one:
        one.write_rgb(coded(0))
        one.write_sound(whole)
    with make_clip("pieces.mp4", sound_rate_hz=48_000) as many:
        many.write_rgb(coded(0))
        for piece in np.split(whole, [1, 700, 701, 5000, 12_345]):
            many.write_sound(piece)

    assert np.array_equal(read_sound(one.path).samples, read_sound(many.path).samples)


def test_the_file_tells_its_title_and_nothing_of_its_making(
    make_clip: MakeClip, tmp_path: Path
) -> None:
    with make_clip(tags={"title": "Seven iron"}) as clip:
        clip.write_rgb(coded(0))

    tags = probe(clip.path).tags
    data = clip.path.read_bytes()

    brands = {"major_brand", "minor_version", "compatible_brands", "handler_name", "language"}
    assert set(tags) - brands == {"title"}
    assert tags["title"] == "Seven iron"
    assert str(tmp_path).encode() not in data
    assert b"Lavf" not in data
    made_at = data[data.index(b"mvhd") + 8 :][:4]
    assert made_at == bytes(4)


def test_every_frame_can_be_a_key_frame(make_clip: MakeClip) -> None:
    with make_clip(key_every=1) as clip:
        for number in range(5):
            clip.write_rgb(coded(number))

    assert index_frames(clip.path).is_key.all()


def test_nobody_sees_half_a_clip(make_clip: MakeClip, tmp_path: Path) -> None:
    with make_clip() as clip:
        clip.write_rgb(coded(0))
        while_writing = names(tmp_path)

    assert while_writing == [".clip.mp4.partial"]
    assert names(tmp_path) == ["clip.mp4"]


@pytest.mark.parametrize("error", [CancelledError(), KeyError("bug"), KeyboardInterrupt()])
def test_any_exception_leaves_the_folder_as_it_was(
    make_clip: MakeClip, tmp_path: Path, error: BaseException
) -> None:
    (tmp_path / "clip.mp4").write_bytes(b"an older clip")

    def fail_midway() -> None:
        with make_clip(overwrite=True) as clip:
            clip.write_rgb(coded(0))
            raise error

    with pytest.raises(type(error)):
        fail_midway()

    assert names(tmp_path) == ["clip.mp4"]
    assert (tmp_path / "clip.mp4").read_bytes() == b"an older clip"


def test_a_file_that_is_there_is_not_replaced_unasked(make_clip: MakeClip, tmp_path: Path) -> None:
    (tmp_path / "clip.mp4").write_bytes(b"an older clip")

    with pytest.raises(OutputError, match=r"clip\.mp4 is already there"), make_clip():
        pytest.fail("it must not open")

    assert (tmp_path / "clip.mp4").read_bytes() == b"an older clip"
    assert names(tmp_path) == ["clip.mp4"]


def test_a_file_that_came_meanwhile_is_not_replaced(make_clip: MakeClip, tmp_path: Path) -> None:
    clip = make_clip().__enter__()
    clip.write_rgb(coded(0))
    clip.path.write_bytes(b"someone else's")

    with pytest.raises(OutputError, match="already there"):
        clip.__exit__(None, None, None)

    assert clip.path.read_bytes() == b"someone else's"
    assert names(tmp_path) == ["clip.mp4"]


def test_a_folder_that_can_not_be_flushed_makes_a_whole_clip_no_failure(
    make_clip: MakeClip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(folder: Path) -> None:
        raise OSError(errno.EIO, f"{folder} is not flushed")

    monkeypatch.setattr(encode, "flush_folder", refused)

    with make_clip() as clip:
        clip.write_rgb(coded(0))

    assert names(tmp_path) == [clip.path.name]


def test_a_file_is_replaced_when_asked(make_clip: MakeClip, tmp_path: Path) -> None:
    (tmp_path / "clip.mp4").write_bytes(b"an older clip")

    with make_clip(overwrite=True) as clip:
        clip.write_rgb(coded(9))

    with FrameReader(clip.path) as reader:
        assert read_code(reader.frame_rgb(0)) == 9


@pytest.mark.parametrize("name", ["nowhere/clip.mp4", "file/clip.mp4"])
def test_a_folder_that_takes_no_file_is_named(
    make_clip: MakeClip, tmp_path: Path, name: str
) -> None:
    (tmp_path / "file").write_bytes(b"a file")

    with pytest.raises(OutputError, match=r"clip\.mp4 can't be written: its folder"):
        make_clip(name).__enter__()

    assert names(tmp_path) == ["file"]


@pytest.fixture
def small_disk() -> Iterator[None]:
    with files_up_to(40_000):
        yield


@pytest.mark.usefixtures("small_disk")
def test_a_disk_that_takes_no_more_leaves_nothing(make_clip: MakeClip, tmp_path: Path) -> None:
    noise = np.random.default_rng(1)

    def write_noise() -> None:
        with make_clip(sound_rate_hz=48_000) as clip:
            for _ in range(60):
                clip.write_rgb(noise.integers(0, 255, (96, 160, 3)).astype(np.uint8))

    with pytest.raises(OutputError, match=r"clip\.mp4 can't be written") as caught:
        write_noise()

    assert isinstance(caught.value.__cause__, OSError)
    assert names(tmp_path) == []


def test_a_disk_that_is_full_at_the_last_moment_leaves_nothing(
    make_clip: MakeClip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(OutputError, match="the disk is full"), make_clip() as clip:
        clip.write_rgb(coded(0))

    assert names(tmp_path) == []


def test_a_clip_without_a_picture_is_not_made(make_clip: MakeClip, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="would hold no picture"), make_clip():
        pass

    assert names(tmp_path) == []


def test_odd_sizes_are_our_own_mistake(make_clip: MakeClip) -> None:
    with pytest.raises(ValueError, match="161x96"):
        make_clip(width=161)


def test_pictures_and_sound_of_the_wrong_shape_are_our_own_mistake(make_clip: MakeClip) -> None:
    with make_clip(sound_rate_hz=48_000) as clip:
        clip.write_rgb(coded(0))
        with pytest.raises(ValueError, match=r"\(96, 160, 3\) uint8, got \(90, 160, 3\)"):
            clip.write_rgb(coded(0)[:90])
        with pytest.raises(ValueError, match="stamps must rise: 0 after 0"):
            clip.write_rgb(coded(0), pts=0)
        with pytest.raises(ValueError, match="mono"):
            clip.write_sound(np.zeros((2, 100), np.float32))

    assert len(index_frames(clip.path)) == 1


def test_two_threads_write_two_clips_at_once(make_clip: MakeClip) -> None:
    def write(name: str, first: int) -> Path:
        with make_clip(name) as clip:
            for number in range(first, first + 60):
                clip.write_rgb(coded(number))
        return clip.path

    with ThreadPoolExecutor(2) as threads:
        paths = list(threads.map(write, ["a.mp4", "b.mp4"], [0, 1000]))

    for path, first in zip(paths, [0, 1000], strict=True):
        with FrameReader(path) as reader:
            codes = [read_code(frame) for frame in reader.iter_grey(0, 60, width_px=160)]
        assert codes == list(range(first, first + 60))


def test_a_left_over_partial_file_is_no_obstacle(make_clip: MakeClip, tmp_path: Path) -> None:
    (tmp_path / ".clip.mp4.partial").write_bytes(b"from a crash" * 10_000)

    with make_clip() as clip:
        clip.write_rgb(coded(4))

    assert names(tmp_path) == ["clip.mp4"]
    assert len(index_frames(clip.path)) == 1
