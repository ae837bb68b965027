"""Decoded frames to pieces of a clip without a step through RGB.

Owns the chain of filters: upright, square pixels, cut, scaled, BT.709 limited. High-range and wide
colours go the longer way through RGB. Called by the frame reader.
"""

from __future__ import annotations

from dataclasses import dataclass

import av
import numpy as np
from av.filter import Graph
from av.video.reformatter import Colorspace

from capturestation.media._colour import Coding, Converter, coding_of
from capturestation.media._upright import Turn, shown_size
from capturestation.media.canvas import Cut, planar
from capturestation.records import FrameArray

_MATRICES = {
    Colorspace.ITU709: "bt709",
    Colorspace.ITU601: "smpte170m",
    Colorspace.FCC: "fcc",
    Colorspace.SMPTE240M: "smpte240m",
    Colorspace.BT2020: "bt2020nc",
}
"""What the filters call them."""

_TURNS = {90: ("clock",), 180: ("clock", "clock"), 270: ("cclock",)}


class Cutter:
    """Cuts pieces out of frames; one for each thread.

    Args:
        converter: The same thread's, for frames that have to go through RGB.
    """

    def __init__(self, converter: Converter) -> None:
        self._converter = converter
        self._chains: dict[_Chain, Graph] = {}

    def planar(self, frame: av.VideoFrame, cut: Cut) -> FrameArray:
        """A piece of a frame as shown, planar, as `media.canvas` describes it.

        Raises:
            NotReadableError: If there is no rule for its colours.
            ValueError: If the piece reaches over the frame's edge.
        """
        coding, turn = coding_of(frame, self._converter.path), self._converter.turns.of(frame)
        shown = shown_size(frame, turn, self._converter.pixel_aspect)
        if cut.left + cut.width > shown[0] or cut.top + cut.height > shown[1]:
            msg = f"{cut} is over the edge of {shown[0]}x{shown[1]}"
            raise ValueError(msg)
        if coding.needs_table or coding.matrix is None:
            whole = self._converter.rgb(frame)
            piece = whole[cut.top : cut.top + cut.height, cut.left : cut.left + cut.width]
            return planar(piece, (cut.to_width, cut.to_height))
        chain = _Chain(
            size=(frame.width, frame.height),
            form=frame.format.name,
            coding=coding,
            turn=turn,
            shown=shown,
            cut=cut,
        )
        graph = self._chains.get(chain)
        if graph is None:
            graph = self._chains[chain] = _built(chain)
        graph.vpush(frame)
        return np.asarray(graph.vpull().to_ndarray(), np.uint8)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chain:
    """Everything that a chain of filters depends on."""

    size: tuple[int, int]
    form: str
    coding: Coding
    turn: Turn
    shown: tuple[int, int]
    cut: Cut

    def steps(self) -> list[tuple[str, dict[str, str]]]:
        """The filters and their settings, first to last."""
        cut, steps = self.cut, list[tuple[str, dict[str, str]]]()
        if self.turn.mirrored:
            steps.append(("hflip", {}))
        steps += [("transpose", {"dir": way}) for way in _TURNS.get(self.turn.clockwise_deg, ())]
        upright = tuple(reversed(self.size)) if self.turn.sideways else self.size
        if upright != self.shown:
            steps.append(("scale", {"w": str(self.shown[0]), "h": str(self.shown[1])}))
        place = {"x": str(cut.left), "y": str(cut.top)}
        size = {"w": str(cut.width), "h": str(cut.height)}
        # Exact: the filter else moves an odd place by a pixel for the sake of the colour planes.
        steps.append(("crop", {**size, **place, "exact": "1"}))
        scaled = {"w": str(cut.to_width), "h": str(cut.to_height), "flags": "bicubic"}
        colours = {"out_color_matrix": "bt709", "out_range": "limited"}
        return [*steps, ("scale", {**scaled, **colours}), ("format", {"pix_fmts": "yuv420p"})]


def _built(chain: _Chain) -> Graph:
    graph = Graph()
    graph.threads = 1
    assert chain.coding.matrix is not None
    last = graph.add(
        "buffer",
        video_size=f"{chain.size[0]}x{chain.size[1]}",
        pix_fmt=chain.form,
        time_base="1/1",
        colorspace=_MATRICES[chain.coding.matrix],
        range="full" if chain.coding.full_range else "limited",
    )
    for name, settings in [*chain.steps(), ("buffersink", {})]:
        step = graph.add(name, **settings)
        last.link_to(step)
        last = step
    graph.configure()
    return graph
