"""Colours by their tags, against the arithmetic of ITU-R BT.601, BT.709, BT.2020 and BT.2100."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from capturestation.media.light import Gamut, Transfer, to_ordinary
from capturestation.media.probe import probe
from capturestation.records import FloatArray
from tests.helpers.patch_media import Coded, patches, write_patches

COLOURS = (
    (0.0, 0.0, 0.0),
    (1.0, 1.0, 1.0),
    (0.5, 0.5, 0.5),
    (0.78, 0.16, 0.16),
    (0.2, 0.55, 0.2),
    (0.15, 0.25, 0.7),
)
LEVELS = 4
"""Codes are rounded to 8 bits twice, by half a level of luma and up to 1.9 of a colour."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """A file's name and coding, and what the probe is to say of it."""

    name: str
    coded: Coded
    says: str


CASES = {
    "601 limited": Case(
        name="a.mp4",
        coded=Coded(weights="BT.601", matrix=6, range_tag=1),
        says="BT.601 limited",
    ),
    "709 limited": Case(
        name="a.mov", coded=Coded(matrix=1, range_tag=1, primaries=1), says="BT.709 limited"
    ),
    "709 full": Case(
        name="a.mp4", coded=Coded(full=True, matrix=1, range_tag=2), says="BT.709 full"
    ),
    "601 full, yuvj": Case(
        name="a.mkv",
        coded=Coded(weights="BT.601", full=True, pixel_format="yuvj420p", matrix=6, range_tag=2),
        says="BT.601 full",
    ),
    "mjpeg": Case(
        name="a.avi",
        coded=Coded(
            weights="BT.601", full=True, codec="mjpeg", pixel_format="yuvj420p", range_tag=2
        ),
        says="BT.601 full",
    ),
    "transport stream": Case(
        name="a.ts", coded=Coded(matrix=1, range_tag=1), says="BT.709 limited"
    ),
    "untagged, small": Case(name="a.mp4", coded=Coded(weights="BT.601"), says="BT.601 limited"),
    "untagged, 720 high": Case(name="a.mp4", coded=Coded(size=(192, 720)), says="BT.709 limited"),
    "10 bit 709": Case(
        name="a.mp4",
        coded=Coded(pixel_format="yuv420p10le", bits=10, matrix=1, range_tag=1),
        says="BT.709 limited",
    ),
    "10 bit hevc, 2020 weights": Case(
        name="a.mp4",
        coded=Coded(
            weights="BT.2020",
            codec="libx265",
            pixel_format="yuv420p10le",
            bits=10,
            matrix=9,
            range_tag=1,
            primaries=1,
            transfer=1,
        ),
        says="BT.2020 limited",
    ),
    "10 bit hevc full": Case(
        name="a.mov",
        coded=Coded(
            full=True,
            codec="libx265",
            pixel_format="yuv420p10le",
            bits=10,
            matrix=1,
            range_tag=2,
        ),
        says="BT.709 full",
    ),
}


def shown(path: Path) -> FloatArray:
    with FrameReader(path) as reader:
        return patches(reader.frame_rgb(1), len(COLOURS))


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
def test_colours_are_what_the_standard_says(case: Case, tmp_path: Path) -> None:
    path = write_patches(tmp_path / case.name, case.coded, COLOURS)

    facts = probe(path)

    assert np.abs(shown(path) - 255 * np.array(COLOURS)).max() <= LEVELS
    assert facts.colours == case.says
    assert facts.bits == case.coded.bits
    assert any("doesn't say how its colours" in said for said in facts.said) == (
        case.coded.matrix == 2 and case.coded.codec != "mjpeg"
    )


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
def test_grey_is_the_luma_at_full_range(case: Case, tmp_path: Path) -> None:
    path = write_patches(tmp_path / case.name, case.coded, COLOURS)
    levels = np.array([0.0, 1.0, 0.5]) * 255

    with FrameReader(path) as reader:
        grey = patches(np.repeat(reader.frame_grey(1)[..., np.newaxis], 3, axis=2), len(COLOURS))

    assert np.abs(grey[:3, 0] - levels).max() <= 2


def high_range(transfer: Transfer) -> Coded:
    return Coded(
        weights="BT.2020",
        codec="libx265",
        pixel_format="yuv420p10le",
        bits=10,
        matrix=9,
        range_tag=1,
        primaries=9,
        transfer=16 if transfer is Transfer.PQ else 18,
    )


@pytest.mark.parametrize("transfer", [Transfer.PQ, Transfer.HLG])
def test_a_high_range_is_shown_by_the_standards_formulas(
    transfer: Transfer, tmp_path: Path
) -> None:
    colours = ((0.0,) * 3, (0.38,) * 3, (0.58,) * 3, (0.75,) * 3, (0.5, 0.4, 0.35), (0.3, 0.4, 0.3))
    path = write_patches(tmp_path / "bright.mov", high_range(transfer), colours)

    facts = probe(path)

    expected = 255 * to_ordinary(np.array(colours), transfer, Gamut.BT2020)
    assert np.abs(shown(path) - expected).max() <= LEVELS
    assert facts.transfer is transfer
    assert facts.said == (
        f"It is filmed in high dynamic range ({transfer}); it is shown in the ordinary range, "
        "with its brightest parts drawn in.",
    )


def test_brighter_stays_brighter_up_to_the_peak(tmp_path: Path) -> None:
    steps = tuple((0.4 + 0.06 * n,) * 3 for n in range(6))
    path = write_patches(tmp_path / "bright.mov", high_range(Transfer.PQ), steps)

    levels = shown(path)

    assert np.all(np.diff(levels[:, 1]) > 3)
    assert np.abs(np.ptp(levels, axis=1)).max() <= 2
    assert levels.max() >= 253


def test_a_wide_gamut_is_brought_into_the_ordinary_one(tmp_path: Path) -> None:
    wide = Coded(
        weights="BT.2020",
        codec="libx265",
        pixel_format="yuv420p10le",
        bits=10,
        matrix=9,
        range_tag=1,
        primaries=9,
        transfer=14,
    )
    colours = (
        (0.0,) * 3,
        (1.0,) * 3,
        (0.5,) * 3,
        (0.6, 0.5, 0.45),
        (0.4, 0.5, 0.4),
        (0.4, 0.4, 0.5),
    )
    path = write_patches(tmp_path / "wide.mp4", wide, colours)
    # BT.2087-0: light of BT.2020 to light of BT.709; a screen's power is 2.4 (BT.1886).
    matrix = np.array(
        [[1.6605, -0.5876, -0.0728], [-0.1246, 1.1329, -0.0083], [-0.0182, -0.1006, 1.1187]]
    )
    light = np.clip(np.array(colours) ** 2.4 @ matrix.T, 0, 1)

    levels = shown(path)

    assert np.abs(levels - 255 * light ** (1 / 2.4)).max() <= LEVELS
    assert "Its colours (BT.2020) are wider" in probe(path).said[0]


@pytest.mark.parametrize("matrix", [8, 10])
def test_colours_of_an_unknown_kind_are_refused(matrix: int, tmp_path: Path) -> None:
    path = write_patches(tmp_path / "odd.mp4", Coded(matrix=matrix, range_tag=1), COLOURS)

    with pytest.raises(NotReadableError, match=r"odd\.mp4 codes its colours"):
        probe(path)
    with FrameReader(path) as reader, pytest.raises(NotReadableError, match=r"BT\.709"):
        reader.frame_rgb(0)
