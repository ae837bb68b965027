"""What of each picture a clip has to show: the golfer and the club, as far as the swing reaches.

Owns the scan of the shown stretch of every recording, all at once, and that both swings of one
view are cut alike, so that they are seen from the same place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import field_name
from capturestation.drawing.placing import Picture, middle
from capturestation.media.frames import FrameReader
from capturestation.records import Box, View, Watch, around
from capturestation.station.clip_request import ClipRequest
from capturestation.station.crew import Belt, Crew
from capturestation.tracking.motion import WIDTH_PX
from capturestation.tracking.reach import Reach

_EACH = 24
# Pictures between two looks whether the job was stopped.
_ALIKE = 0.01
# Two pictures of one shape differ by less than this in width per height.


@dataclass(frozen=True, slots=True, kw_only=True)
class Framing:
    """What has to be seen.

    Args:
        boxes: By the field's name; a field in which no swing was seen is left out.
        pictures: By view, for the layout to choose what stands beside what.
    """

    boxes: Mapping[str, Box]
    pictures: Mapping[View, Picture]


def frame_swings(request: ClipRequest, readers: Mapping[str, FrameReader], watch: Watch) -> Framing:
    """Find what each field has to show.

    Args:
        request: What the clip shows.
        readers: Open recordings by the field's name, placed on the swing's clock.
        watch: Is told how far it is, and may stop it.

    Raises:
        NotReadableError: If a recording can't be read.
        CancelledError: If it was stopped.
    """
    boxes = _scanned(request, readers, watch) if request.cut_to_swing else {}
    cells = request.cells
    for view in dict.fromkeys(view for _, view in cells):
        names = [field_name(side, view) for side in Side if field_name(side, view) in readers]
        both = around(boxes[name] for name in names if name in boxes)
        if both is not None and _are_alike(request, view):
            boxes |= dict.fromkeys(names, both)
    pictures = {}
    for side, view in sorted(cells, key=lambda cell: cell[0] is Side.THEN):
        recording = request.side(side).swing.recording(view)
        if recording is not None and view not in pictures:
            box = boxes.get(field_name(side, view), middle(request.keep_width))
            pictures[view] = Picture(
                width_px=recording.width_px, height_px=recording.height_px, box=box
            )
    return Framing(boxes=boxes, pictures=pictures)


def _are_alike(request: ClipRequest, view: View) -> bool:
    """Whether the two swings' pictures have one shape, or there is only one."""
    sides = [side for side in (request.now, request.then) if side is not None]
    found = [side.swing.recording(view) for side in sides]
    shapes = [one.width_px / one.height_px for one in found if one is not None]
    return max(shapes) - min(shapes) < _ALIKE * min(shapes)


def _scanned(
    request: ClipRequest, readers: Mapping[str, FrameReader], watch: Watch
) -> dict[str, Box]:
    spans = {name: _shown(request, name, reader) for name, reader in readers.items()}
    reaches = {name: Reach() for name in readers}
    total, seen = sum(stop - start for start, stop in spans.values()), 0
    words = "looking how far the swing reaches"
    watch.report(0.0, words)
    with Crew("clip") as crew:
        ticks: Belt[int] = crew.belt(len(readers))
        for name, reader in readers.items():
            greys = reader.iter_grey(*spans[name], width_px=WIDTH_PX)
            crew.start(f"scan {name}", _Scan(reaches[name], greys, ticks).run)
        while seen < total:
            seen += ticks.get()
            watch.report(seen / total, words)
    face_on = {field_name(side, View.FACE_ON) for side in Side}
    found = {name: reach.box(evenly=name in face_on) for name, reach in reaches.items()}
    return {name: box for name, box in found.items() if box is not None}


def _shown(request: ClipRequest, name: str, reader: FrameReader) -> tuple[int, int]:
    """The recording's frames that the clip shows, first and one past the last."""
    ends = np.array([request.start_ns, request.stop_ns], dtype=np.int64)
    for side, view in request.cells:
        if field_name(side, view) == name:
            sync = request.side(side).swing.sync(view)
            if sync is not None:
                at = request.time_map.then_from_now(ends) if side is Side.THEN else ends
                first, last = (reader.at(sync.to_media(int(t))) for t in at)
                return first, last + 1
    raise KeyError(name)


@dataclass(frozen=True, slots=True)
class _Scan:
    """One recording's look-through, which says every few pictures how many it has seen."""

    reach: Reach
    greys: Iterator[np.ndarray[tuple[int, ...], np.dtype[np.uint8]]]
    ticks: Belt[int]

    def run(self) -> None:
        since = 0
        for grey in self.greys:
            self.reach.see(grey)
            since += 1
            if since == _EACH:
                self.ticks.put(since)
                since = 0
        self.ticks.put(since)
