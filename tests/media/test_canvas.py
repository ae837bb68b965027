from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.media.canvas import Canvas, Cut, planar, planes
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray
from tests.helpers.coded_media import Traits, read_code, write_coded_clip
from tests.helpers.patch_media import Coded, patches, write_patches

RATE_HZ = Fraction(30)
COLOURS = ((0.78, 0.16, 0.16), (0.2, 0.55, 0.2), (0.15, 0.25, 0.7), (0.5,) * 3)
WHOLE = Cut(left=0, top=0, width=160, height=96, to_width=160, to_height=96)


def flat(colour: tuple[int, int, int], width: int, height: int) -> FrameArray:
    return np.full((height, width, 3), colour, np.uint8)


def as_rgb(picture: FrameArray, folder: Path) -> FrameArray:
    """What a planar picture is once it is encoded and read back."""
    rows, width = picture.shape
    path = folder / "back.mp4"
    with ClipWriter(
        path, width=width, height=rows * 2 // 3, rate_hz=RATE_HZ, crf=2, overwrite=True
    ) as clip:
        clip.write_planar(picture)
    with FrameReader(path) as reader:
        return reader.frame_rgb(0)


def test_a_colour_in_planar_form_has_the_standards_codes() -> None:
    # ITU-R BT.709-6, 3.4: red of 100 % is 63, 102, 240; white 235, 128, 128.
    for colour, codes in (((255, 0, 0), (63, 102, 240)), ((255, 255, 255), (235, 128, 128))):
        found = [int(part[0, 0]) for part in planes(planar(flat(colour, 8, 8)))]

        assert np.abs(np.array(found) - codes).max() <= 1


def test_what_is_put_stands_in_its_place_and_nothing_else_changes(tmp_path: Path) -> None:
    canvas = Canvas(flat((200, 40, 40), 64, 32))

    canvas.put(8, 4, planar(flat((40, 200, 40), 16, 12)))
    canvas.put(40, 10, canvas.planar(flat((40, 40, 200), 20, 20)))

    back = as_rgb(canvas.picture(), tmp_path).astype(int)
    expected = flat((200, 40, 40), 64, 32).astype(int)
    expected[4:16, 8:24] = (40, 200, 40)
    expected[10:30, 40:60] = (40, 40, 200)
    edges = np.zeros((32, 64), bool)
    for top, bottom, left, right in ((4, 16, 8, 24), (10, 30, 40, 60)):
        edges[top - 2 : bottom + 2, left - 2 : right + 2] = True
        edges[top + 2 : bottom - 2, left + 2 : right - 2] = False
    assert np.abs(back - expected)[~edges].max() <= 6


def test_a_picture_handed_on_stays_as_it_was() -> None:
    canvas = Canvas(flat((90, 90, 90), 8, 8))
    before = canvas.picture()
    kept = before.copy()

    canvas.put(0, 0, planar(flat((255, 255, 255), 8, 8)))

    assert np.array_equal(before, kept)
    assert not before.flags.writeable
    assert not np.array_equal(canvas.picture(), kept)


@pytest.mark.parametrize(
    ("left", "top", "words"), [(1, 0, "even"), (0, 3, "even"), (-2, 0, "even"), (6, 0, "edge")]
)
def test_a_place_that_does_not_fit_is_our_own_mistake(left: int, top: int, words: str) -> None:
    canvas = Canvas(flat((90, 90, 90), 8, 8))
    before = canvas.picture()

    with pytest.raises(ValueError, match=words):
        canvas.put(left, top, planar(flat((255, 255, 255), 4, 4)))

    assert np.array_equal(canvas.picture(), before)


def test_odd_sizes_are_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="even sizes"):
        planar(flat((1, 2, 3), 7, 8))
    with pytest.raises(ValueError, match="even sizes"):
        Cut(left=0, top=0, width=9, height=9, to_width=9, to_height=8)
    with pytest.raises(ValueError, match="inside"):
        Cut(left=-1, top=0, width=9, height=9, to_width=8, to_height=8)


CASES = {
    "601": Coded(weights="BT.601", matrix=6, range_tag=1),
    "709": Coded(matrix=1, range_tag=1),
    "709 full": Coded(full=True, matrix=1, range_tag=2),
    "yuvj": Coded(weights="BT.601", full=True, pixel_format="yuvj420p", matrix=6, range_tag=2),
    "untagged": Coded(weights="BT.601"),
    "10 bit": Coded(pixel_format="yuv420p10le", bits=10, matrix=1, range_tag=1),
    "2020 weights": Coded(
        weights="BT.2020",
        codec="libx265",
        pixel_format="yuv420p10le",
        bits=10,
        matrix=9,
        range_tag=1,
        primaries=1,
        transfer=1,
    ),
}


@pytest.mark.parametrize("coded", CASES.values(), ids=list(CASES))
def test_a_piece_keeps_its_colours_whatever_the_file_codes(coded: Coded, tmp_path: Path) -> None:
    path = write_patches(tmp_path / "a.mp4", coded, COLOURS)
    cut = Cut(left=0, top=20, width=192, height=60, to_width=128, to_height=40)

    with FrameReader(path) as reader:
        piece = reader.frame_planar(1, cut)

    back = patches(as_rgb(piece, tmp_path), len(COLOURS))
    assert np.abs(back - 255 * np.array(COLOURS)).max() <= 6


def test_a_piece_of_a_high_range_is_what_the_whole_shows(tmp_path: Path) -> None:
    bright = Coded(
        weights="BT.2020",
        codec="libx265",
        pixel_format="yuv420p10le",
        bits=10,
        matrix=9,
        range_tag=1,
        primaries=9,
        transfer=18,
    )
    path = write_patches(tmp_path / "a.mp4", bright, ((0.5, 0.4, 0.35), (0.75,) * 3))
    cut = Cut(left=0, top=0, width=192, height=96, to_width=96, to_height=48)

    with FrameReader(path) as reader:
        piece, whole = reader.frame_planar(1, cut), reader.frame_rgb(1)

    off = patches(as_rgb(piece, tmp_path), 2) - patches(whole, 2)
    assert np.abs(off).max() <= 6


TURNS = [
    Traits(),
    Traits(rotation_deg=90),
    Traits(rotation_deg=180),
    Traits(rotation_deg=270),
    Traits(mirrored=True),
    Traits(mirrored=True, rotation_deg=90),
    Traits(codec="mjpeg", pixel_format="yuvj420p"),
]


@pytest.mark.parametrize("traits", TURNS, ids=str)
@pytest.mark.parametrize("place", [(0, 0, 160, 96), (40, 16, 80, 64)])
def test_a_piece_is_cut_from_the_upright_picture(
    traits: Traits, place: tuple[int, int, int, int], tmp_path: Path
) -> None:
    size = (96, 160) if traits.rotation_deg % 180 else (160, 96)
    left, top, width, height = place if size[0] == 160 else (place[1], place[0], *place[:1:-1])
    suffix = "avi" if traits.codec == "mjpeg" else "mov"
    path = write_coded_clip(
        tmp_path / f"a.{suffix}", frames=12, rate_hz=RATE_HZ, size=size, traits=traits
    )
    cut = Cut(left=left, top=top, width=width, height=height, to_width=width, to_height=height)

    with FrameReader(path) as reader:
        assert reader.size_px == size
        piece, whole = reader.frame_planar(7, cut), reader.frame_rgb(7)

    shown = whole[top : top + height, left : left + width].astype(int)
    off = np.abs(as_rgb(piece, tmp_path).astype(int) - shown)
    assert off.mean() <= 3
    if width * height == size[0] * size[1]:
        assert read_code(as_rgb(piece, tmp_path)) == 7


def test_a_piece_of_wide_pixels_is_stretched_first(tmp_path: Path) -> None:
    traits = Traits(pixel_aspect=Fraction(4, 3))
    path = write_coded_clip(tmp_path / "a.mp4", frames=9, rate_hz=RATE_HZ, traits=traits)
    cut = Cut(left=0, top=0, width=213, height=96, to_width=212, to_height=96)

    with FrameReader(path) as reader:
        assert reader.size_px == (213, 96)
        assert read_code(as_rgb(reader.frame_planar(5, cut), tmp_path)) == 5


def test_a_piece_over_the_edge_is_our_own_mistake(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=9, rate_hz=RATE_HZ)
    over = Cut(left=100, top=0, width=80, height=96, to_width=80, to_height=96)

    with FrameReader(path) as reader:
        with pytest.raises(ValueError, match="over the edge of 160x96"):
            reader.frame_planar(1, over)

        assert reader.frame_planar(1, WHOLE).shape == (144, 160)


def test_a_planar_picture_of_the_wrong_size_is_not_written(tmp_path: Path) -> None:
    with ClipWriter(tmp_path / "a.mp4", width=64, height=32, rate_hz=RATE_HZ) as clip:
        with pytest.raises(ValueError, match=r"\(48, 64\) uint8, got \(48, 60\)"):
            clip.write_planar(np.zeros((48, 60), np.uint8))

        assert clip.frames == 0
        clip.write_planar(np.full((48, 64), 128, np.uint8))
