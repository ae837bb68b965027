"""Decoded frames to red, green and blue, by what each says of its own colours.

Owns the reading of matrix, range, transfer and gamut, and the usual guess where a file is silent:
BT.709 from `LARGE_HIGH_PX` lines (or `LARGE_WIDE_PX` columns) on, BT.601 below; limited range
unless the format itself is full. High-range and wide-gamut pictures go through `light`'s table.

Source: ITU-T H.273 tables 2 to 4, whose numbers the library uses.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.filter import Graph
from av.video.reformatter import ColorRange, Colorspace, Interpolation, VideoReformatter

from capturestation.errors import NotReadableError
from capturestation.media._upright import SQUARE, Turns, set_upright, stored_size
from capturestation.media.light import Gamut, Transfer, cube_text
from capturestation.records import FrameArray

LARGE_HIGH_PX = 720
LARGE_WIDE_PX = 1280
"""From here on players read untagged colours as BT.709, below as BT.601."""

_MATRICES = {
    1: Colorspace.ITU709,
    4: Colorspace.FCC,
    5: Colorspace.ITU601,
    6: Colorspace.ITU601,
    7: Colorspace.SMPTE240M,
    9: Colorspace.BT2020,
}
_NAMES = {1: "BT.709", 4: "FCC", 5: "BT.601", 6: "BT.601", 7: "SMPTE 240M", 9: "BT.2020"}
_UNSPECIFIED = 2
_DEEP = Interpolation.BILINEAR | Interpolation.FULL_CHR_H_INT
"""From ten bits the library's short way makes white 253; from eight it is right, and faster."""

_TRANSFERS = {16: Transfer.PQ, 18: Transfer.HLG}
_GAMUTS = {9: Gamut.BT2020, 12: Gamut.P3}


@dataclass(frozen=True, slots=True, kw_only=True)
class Coding:
    """How a picture's colours are coded.

    Args:
        matrix: The library's number for luma and colour differences; None for plain RGB or grey.
        name: The matrix in words: BT.709, BT.601, BT.2020, RGB ...
        guessed: Whether the file is silent and the matrix goes by the picture's size.
        full_range: Whether black is 0; else it is 16 of 255.
        bits: Of a channel.
        transfer: How codes stand for light.
        gamut: Which colours they mix.
    """

    matrix: Colorspace | None
    name: str
    guessed: bool
    full_range: bool
    bits: int
    transfer: Transfer
    gamut: Gamut

    @property
    def needs_table(self) -> bool:
        """Whether its light, not only its codes, must be converted."""
        return self.transfer is not Transfer.ORDINARY or self.gamut is not Gamut.BT709


def coding_of(frame: av.VideoFrame, path: Path) -> Coding:
    """How a frame's colours are coded, by its own tags, else by the usual guess.

    Raises:
        NotReadableError: If there is no rule for them.
    """
    form = frame.format
    plain = form.is_rgb or len(form.components) < 3
    gamut = _GAMUTS.get(frame.color_primaries, Gamut.BT709)
    code = 0 if plain else frame.colorspace
    guessed = not plain and code == _UNSPECIFIED
    if guessed:
        large = frame.height >= LARGE_HIGH_PX or frame.width >= LARGE_WIDE_PX
        code = 9 if gamut is Gamut.BT2020 else 1 if large else 6
    if not plain and code not in _MATRICES:
        raise NotReadableError(
            f"{path.name} codes its colours in a way that can't be shown right here (kind {code}).",
            try_next="Have the camera record ordinary video (BT.709), or convert the file to it.",
            subject=str(path),
        )
    jpeg = form.name.startswith("yuvj") or plain
    return Coding(
        matrix=None if plain else _MATRICES[code],
        name="RGB" if form.is_rgb else "grey" if plain else _NAMES[code],
        guessed=guessed,
        full_range=frame.color_range == ColorRange.JPEG
        or (jpeg and frame.color_range != ColorRange.MPEG),
        bits=max(part.bits for part in form.components),
        transfer=_TRANSFERS.get(frame.color_trc, Transfer.ORDINARY),
        gamut=gamut,
    )


class Converter:
    """Turns decoded frames into upright arrays; one for each thread.

    Two threads converting with one reformatter, or one frame, crash the process.

    Args:
        path: The file that the frames come from, for what it says when it can't.
        pixel_aspect: Width of a stored pixel over its height.
        upright: Whether the file is known to be stored as it is shown.
    """

    def __init__(
        self, path: Path, pixel_aspect: Fraction = SQUARE, *, upright: bool = False
    ) -> None:
        self.path = path
        self.pixel_aspect = pixel_aspect
        self.turns = Turns(upright=upright)
        self._in = VideoReformatter()
        self._out = VideoReformatter()
        self._tables: dict[tuple[int, int, Transfer, Gamut], _Table] = {}

    def rgb(self, frame: av.VideoFrame, box_px: tuple[int, int] | None = None) -> FrameArray:
        """A frame as shown, (H, W, 3) RGB, full range, read-only.

        Args:
            frame: As decoded.
            box_px: Long and short side that it is shrunk to fit, never enlarged; both sides come
                out even then, as coding asks for. Its own size unless given.

        Raises:
            NotReadableError: If there is no rule for its colours.
        """
        coding = coding_of(frame, self.path)
        width, height = self._fitted(frame, box_px)
        full = self._in.reformat(
            frame,
            width=width,
            height=height,
            format="gbrp10le" if coding.needs_table else "rgb24",
            src_colorspace=coding.matrix,
            src_color_range=ColorRange.JPEG if coding.full_range else ColorRange.MPEG,
            dst_color_range=ColorRange.JPEG,
            interpolation=_DEEP if coding.bits > 8 else Interpolation.BILINEAR,
            threads=1,
        )
        if coding.needs_table:
            through = self._table(full, coding).apply(full)
            full = self._out.reformat(through, format="rgb24", threads=1)
        return self._array(full, frame)

    def grey(self, frame: av.VideoFrame, width: int, height: int) -> FrameArray:
        """A frame's luma as shown, full range, read-only, scaled to a size as stored first.

        Luma as it is coded: of a high-range picture it is not what a screen shows.
        """
        full_range = coding_of(frame, self.path).full_range
        converted = self._in.reformat(
            frame,
            width=width,
            height=height,
            format="gray",
            src_color_range=ColorRange.JPEG if full_range else ColorRange.MPEG,
            dst_color_range=ColorRange.JPEG,
            threads=1,
        )
        return self._array(converted, frame)

    def _array(self, converted: av.VideoFrame, frame: av.VideoFrame) -> FrameArray:
        return set_upright(np.asarray(converted.to_ndarray(), np.uint8), self.turns.of(frame))

    def _fitted(self, frame: av.VideoFrame, box_px: tuple[int, int] | None) -> tuple[int, int]:
        width, height = stored_size(frame, self.pixel_aspect)
        if box_px is None:
            return width, height
        long_px, short_px = box_px
        scale = min(
            Fraction(1),
            Fraction(long_px, max(width, height)),
            Fraction(short_px, min(width, height)),
        )
        return _even(width * scale), _even(height * scale)

    def _table(self, full: av.VideoFrame, coding: Coding) -> _Table:
        key = (full.width, full.height, coding.transfer, coding.gamut)
        if key not in self._tables:
            self._tables[key] = _Table(*key)
        return self._tables[key]


class _Table:
    """A filter that sends every pixel through `light`'s table."""

    def __init__(self, width: int, height: int, transfer: Transfer, gamut: Gamut) -> None:
        self._graph = Graph()
        self._graph.threads = 1
        source = self._graph.add(
            "buffer",
            video_size=f"{width}x{height}",
            pix_fmt="gbrp10le",
            time_base="1/1",
            colorspace="gbr",
            range="full",
        )
        with tempfile.TemporaryDirectory() as folder:
            cube = Path(folder) / "table.cube"
            cube.write_text(cube_text(transfer, gamut), encoding="ascii")
            # Greys lie on an edge of the tetrahedra, so they stay grey.
            table = self._graph.add("lut3d", file=str(cube), interp="tetrahedral")
            sink = self._graph.add("buffersink")
            source.link_to(table)
            table.link_to(sink)
            self._graph.configure()

    def apply(self, frame: av.VideoFrame) -> av.VideoFrame:
        self._graph.vpush(frame)
        return self._graph.vpull()


def _even(side_px: Fraction) -> int:
    return max(2, 2 * round(side_px / 2))
