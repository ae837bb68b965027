from __future__ import annotations

import gc
import random
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from tests.helpers.altered_media import damage_frame, drop_head, trim_by_edit_list
from tests.helpers.coded_media import Traits, read_code, write_coded_clip

RATE_HZ = Fraction(30)
PLAIN = Traits()
UNEVEN = [3000 * n + 700 * (n % 3) for n in range(48)]


@dataclass(frozen=True, kw_only=True)
class Case:
    """A file, and the number painted into its first shown frame."""

    name: str
    traits: Traits = PLAIN
    size: tuple[int, int] = (160, 96)
    trim_s: Fraction | None = None
    lost_keys: int = 0
    first_code: int = 0


CASES = {
    "plain": Case(name="a.mp4"),
    "open mp4": Case(name="a.mp4", traits=Traits(open_gop=True)),
    "open mkv": Case(name="a.mkv", traits=Traits(open_gop=True)),
    "deep mov": Case(name="a.mov", traits=Traits(b_frames=5, key_every=40)),
    "short mp4": Case(name="a.mp4", traits=Traits(key_every=2)),
    "short ts": Case(name="a.ts", traits=Traits(key_every=3)),
    "intra": Case(name="a.mp4", traits=Traits(key_every=1, b_frames=0)),
    "mjpeg avi": Case(name="a.avi", traits=Traits(codec="mjpeg", pixel_format="yuvj420p")),
    "uneven": Case(name="a.mp4", traits=Traits(pts=UNEVEN, time_base=Fraction(1, 90_000))),
    "trimmed": Case(name="a.mp4", trim_s=Fraction(7, 30), first_code=7),
    "trimmed between": Case(name="a.mp4", trim_s=Fraction(39, 60), first_code=20),
    "trimmed open": Case(
        name="a.mov", traits=Traits(open_gop=True), trim_s=Fraction(13, 30), first_code=13
    ),
    "head lost": Case(name="a.mkv", traits=Traits(open_gop=True), lost_keys=1, first_code=12),
    "quarter turn": Case(name="a.mp4", traits=Traits(rotation_deg=90), size=(96, 160)),
    "half turn": Case(name="a.mp4", traits=Traits(rotation_deg=180)),
    "mirrored": Case(name="a.mp4", traits=Traits(mirrored=True)),
    "mirrored quarter": Case(
        name="a.mov", traits=Traits(mirrored=True, rotation_deg=90), size=(96, 160)
    ),
    "mirrored half": Case(name="a.mp4", traits=Traits(mirrored=True, rotation_deg=180)),
    "mirrored three quarter": Case(
        name="a.mkv", traits=Traits(mirrored=True, rotation_deg=270), size=(96, 160)
    ),
    "hevc": Case(name="a.mov", traits=Traits(codec="libx265")),
    "hevc 10 bit": Case(
        name="a.mp4", traits=Traits(codec="libx265", pixel_format="yuv420p10le", key_every=30)
    ),
    "10 bit": Case(name="a.mkv", traits=Traits(pixel_format="yuv420p10le")),
    "vp9": Case(name="a.webm", traits=Traits(codec="libvpx-vp9")),
    "three quarter turn": Case(name="a.mov", traits=Traits(rotation_deg=270), size=(96, 160)),
}


@pytest.fixture(params=list(CASES.values()), ids=list(CASES))
def case(request: pytest.FixtureRequest) -> Case:
    assert isinstance(request.param, Case)
    return request.param


@pytest.fixture
def path(case: Case, tmp_path: Path) -> Path:
    made = write_coded_clip(
        tmp_path / case.name, frames=48, rate_hz=RATE_HZ, size=case.size, traits=case.traits
    )
    if case.trim_s is not None:
        trim_by_edit_list(made, start_s=case.trim_s, long_s=Fraction(48, 30) - case.trim_s)
    if case.lost_keys:
        drop_head(made, made.with_name(f"cut_{case.name}"), key=case.lost_keys)
        return made.with_name(f"cut_{case.name}")
    return made


class TestAnyFile:
    def test_frames_asked_in_any_order_are_exactly_those(self, case: Case, path: Path) -> None:
        with FrameReader(path, cache_mb=0) as reader:
            order = list(range(len(reader)))
            random.Random(7).shuffle(order)
            wrong = [n for n in order if read_code(reader.frame_rgb(n)) != case.first_code + n]

        assert len(order) == 48 - case.first_code
        assert wrong == []

    def test_stepping_back_gives_each_frame_once(self, case: Case, path: Path) -> None:
        with FrameReader(path) as reader:
            back = [read_code(reader.frame_grey(n)) for n in reversed(range(len(reader)))]

        assert back == list(reversed(range(case.first_code, 48)))

    def test_a_scan_gives_its_stretch_in_order(self, case: Case, path: Path) -> None:
        with FrameReader(path) as reader:
            stop = len(reader) - 1
            codes = [read_code(frame) for frame in reader.iter_grey(5, stop, width_px=80)]

        assert codes == list(range(case.first_code + 5, case.first_code + stop))

    def test_a_frame_is_upright_whole_and_read_only(self, case: Case, path: Path) -> None:
        width, height = case.size
        with FrameReader(path) as reader:
            colour, grey = reader.frame_rgb(3), reader.frame_grey(3)
            small = next(iter(reader.iter_grey(3, 4, width_px=width // 2)))

        assert colour.shape == (height, width, 3)
        assert grey.shape == (height, width)
        assert small.shape == (height // 2, width // 2)
        for frame in (colour, grey, small):
            assert frame.dtype == np.uint8
            assert frame.flags.c_contiguous
            assert not frame.flags.writeable


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    return write_coded_clip(tmp_path / "swing.mp4", frames=48, rate_hz=RATE_HZ)


def test_grey_runs_from_black_to_white_like_colour(clip: Path) -> None:
    with FrameReader(clip) as reader:
        grey = reader.frame_grey(0).astype(float)
        colour = reader.frame_rgb(0).astype(float).mean(axis=2)

    strip = slice(3, 12)
    assert np.abs(grey[strip] - colour[strip]).max() <= 4


def test_the_frame_nearest_in_time_is_found(clip: Path) -> None:
    with FrameReader(clip) as reader:
        assert read_code(reader.frame_rgb(reader.at(1_000_000_000))) == 30
        assert reader.at(-1) == 0
        assert reader.at(10**12) == 47


def test_a_frame_handed_out_stays_as_it_was(clip: Path) -> None:
    with FrameReader(clip, cache_mb=0) as reader:
        first = reader.frame_rgb(0)
        before = first.copy()
        for number in range(1, 48):
            reader.frame_rgb(number)

    assert np.array_equal(first, before)


def test_what_is_kept_stays_within_its_room(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=40, rate_hz=RATE_HZ, size=(640, 360))
    with FrameReader(path, cache_mb=2) as reader:
        for number in range(40):
            reader.frame_rgb(number)
        kept_bytes, kept = reader._kept_bytes, len(reader._kept)

    assert kept_bytes <= 2 << 20
    assert kept >= 4


@pytest.mark.parametrize(("key_every", "first"), [(1, 30), (12, 24)])
@pytest.mark.parametrize("name", ["a.mp4", "a.mkv"])
def test_a_frame_costs_no_more_than_its_group_of_pictures(
    tmp_path: Path, name: str, key_every: int, first: int
) -> None:
    traits = Traits(key_every=key_every, b_frames=0)
    path = write_coded_clip(tmp_path / name, frames=48, rate_hz=RATE_HZ, traits=traits)

    with FrameReader(path) as reader:
        reader.frame_rgb(30)
        decoded = sorted(reader._kept)

    assert decoded == list(range(first, 31))


@pytest.mark.parametrize("ordinal", [-1, 48])
def test_a_number_outside_is_our_own_mistake(clip: Path, ordinal: int) -> None:
    with FrameReader(clip) as reader:
        with pytest.raises(IndexError, match=f"frame {ordinal} of 48"):
            reader.frame_rgb(ordinal)
        with pytest.raises(IndexError, match="of 48"):
            reader.iter_grey(ordinal, ordinal + 2, width_px=40)

        assert read_code(reader.frame_rgb(1)) == 1


def test_a_damaged_frame_is_named_and_the_rest_still_opens(clip: Path) -> None:
    damage_frame(clip, 12)
    with FrameReader(clip) as reader:
        with pytest.raises(NotReadableError, match=r"swing\.mp4 is damaged: frame 12 \(0\.400 s\)"):
            reader.frame_rgb(12)

        assert read_code(reader.frame_rgb(11)) == 11
        assert read_code(reader.frame_rgb(24)) == 24


def test_a_scan_stops_at_the_damaged_frame_and_names_it(clip: Path) -> None:
    damage_frame(clip, 24)
    seen: list[int] = []

    def scan(reader: FrameReader) -> None:
        seen.extend(read_code(frame) for frame in reader.iter_grey(0, 48, width_px=160))

    with (
        FrameReader(clip) as reader,
        pytest.raises(NotReadableError, match=r"swing\.mp4 is damaged: frame 24 \(0\.800 s\)"),
    ):
        scan(reader)

    assert seen == list(range(24))


def test_a_scan_and_single_frames_do_not_disturb_each_other(clip: Path) -> None:
    with FrameReader(clip, cache_mb=0) as reader:
        pairs = [
            (read_code(frame), read_code(reader.frame_rgb(47 - number)))
            for number, frame in enumerate(reader.iter_grey(0, 48, width_px=80))
        ]

    assert pairs == [(number, 47 - number) for number in range(48)]


def test_threads_may_share_a_reader(clip: Path) -> None:
    with FrameReader(clip) as reader, ThreadPoolExecutor(4) as threads:
        order = [n % 48 for n in range(0, 480, 7)]
        codes = list(threads.map(lambda n: read_code(reader.frame_rgb(n)), order))

    assert codes == order


def test_an_empty_scan_has_no_frames(clip: Path) -> None:
    with FrameReader(clip) as reader:
        assert list(reader.iter_grey(5, 5, width_px=40)) == []


def test_a_file_that_goes_away_after_opening_is_named(clip: Path) -> None:
    with FrameReader(clip) as reader:
        clip.unlink()
        with pytest.raises(NotReadableError, match=r"swing\.mp4 is not there"):
            next(reader.iter_grey(0, 5, width_px=40))

        assert read_code(reader.frame_rgb(3)) == 3


def test_a_frame_that_is_not_kept_is_freed_at_once(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=48, rate_hz=RATE_HZ)
    gc.collect()
    gc.disable()

    try:
        with FrameReader(path, cache_mb=0) as reader:
            for number in (*range(20), *reversed(range(20))):
                reader.frame_rgb(number)
                reader.frame_grey(number)
            held = sum(isinstance(thing, av.VideoFrame) for thing in gc.get_objects())
    finally:
        gc.enable()

    assert held <= 4


@pytest.mark.parametrize("rotation_deg", [0, 90])
def test_jpegs_opened_small_look_like_whole_ones_made_small(
    tmp_path: Path, rotation_deg: int
) -> None:
    traits = Traits(codec="mjpeg", pixel_format="yuvj420p", b_frames=0, rotation_deg=rotation_deg)
    path = write_coded_clip(
        tmp_path / "a.mp4", frames=9, rate_hz=Fraction(60), size=(320, 192), traits=traits
    )

    with FrameReader(path) as reader:
        whole = [reader.frame_grey(n).astype(np.float64) for n in range(2, 9)]
        small = list(reader.iter_grey(2, 9, width_px=whole[0].shape[1] // 4))

    shrunk = [w.reshape(w.shape[0] // 4, 4, w.shape[1] // 4, 4).mean(axis=(1, 3)) for w in whole]
    assert [s.shape for s in small] == [s.shape for s in shrunk]
    assert max(float(np.abs(a - b).mean()) for a, b in zip(small, shrunk, strict=True)) < 2.0
    assert [read_code(picture) for picture in small] == list(range(2, 9))
