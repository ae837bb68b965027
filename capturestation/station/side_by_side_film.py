"""One short film that holds every angle of both swings, for the page that plays them.

Owns where each picture stands in it and which time each of its frames shows. In one film nothing
can run apart: then and now, face-on and down-the-line are one frame. Nothing is painted on it:
what is drawn comes beside it, so that a page can show and hide it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import field_name
from capturestation.drawing.placing import Picture, Placement, middle
from capturestation.drawing.rect import Rect, even
from capturestation.drawing.sketches import field_of, sketch_png
from capturestation.media.canvas import Canvas, Cut
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, FrameArray, IntArray, View, Watch
from capturestation.station.clip_request import ClipRequest
from capturestation.station.crew import Belt, Crew
from capturestation.station.stills import Sights, of_side
from capturestation.timing.frames import nearest_frame

MOST_HZ = Fraction(120)
"""Pictures of a second of the swing: a step is fine enough to see the club move, and a phone
holds the film."""
SLOWED = Fraction(1, 2)
"""The film's own speed: players may go four times slower and twice as fast, and not much more."""
HIGH_PX = 480
_CRF = 24
_KEY_EVERY = 8
# A step back decodes that many pictures at most.
_ROOM = 8
_FINER, _SCALE_PX = 2, 720
# A screen shows the film larger than it is; strokes suit a picture of so many lines.
_GROUND = (0xE7, 0xE2, 0xD7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Where one picture stands in the film.

    Args:
        side: Whose.
        view: From where.
        rect: Its place.
        cut: What of the recording is shown.
    """

    side: Side
    view: View
    rect: Rect
    cut: Cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Film:
    """A film that was made, or is to be.

    Args:
        width_px: Its width.
        height_px: Its height.
        cells: Its pictures.
        rate_hz: Frames of the file in a second.
        times_ns: When each frame is, today's swing clock, shape (n,), evenly apart.
    """

    width_px: int
    height_px: int
    cells: tuple[Cell, ...]
    rate_hz: Fraction
    times_ns: IntArray

    @property
    def slowed(self) -> Fraction:
        """How fast it plays by itself: 1/2 is half as fast as the swing."""
        step_s = Fraction(int(self.times_ns[1] - self.times_ns[0]), NS_PER_S)
        return (step_s * self.rate_hz).limit_denominator(1000)


def plan_film(sights: Sights) -> Film:
    """Decide where everything stands and when each frame is.

    Args:
        sights: Both swings, open, with what has to be seen.
    """
    cells, top, width = [], 0, 2
    for view in sights.request.views:
        left, high = 0, 0
        for side in sights.sides:
            cut = _cut(sights, side, view)
            if cut is None:
                continue
            rect = Rect(left=left, top=top, width=cut.to_width, height=cut.to_height)
            cells.append(Cell(side=side, view=view, rect=rect, cut=cut))
            left, high = rect.right, max(high, rect.height)
        top, width = top + high, max(width, left)
    hz = min(_rate(sights.request), MOST_HZ)
    return Film(
        width_px=width,
        height_px=top,
        cells=tuple(cells),
        rate_hz=hz * SLOWED,
        times_ns=_times(sights.request, hz),
    )


def _rate(request: ClipRequest) -> Fraction:
    """Frames a second of today's fastest recording."""
    rates = [r.rate_hz for r in request.now.swing.facts.recordings if r.rate_hz]
    return max(rates, default=MOST_HZ)


def _times(request: ClipRequest, hz: Fraction) -> IntArray:
    """Evenly apart, with one of them at zero, so that impact is a frame of the film."""
    step_ns = round(NS_PER_S / hz)
    first, last = -(-request.start_ns // step_ns), request.stop_ns // step_ns
    return np.arange(first, max(last, first + 1) + 1, dtype=np.int64) * step_ns


def _cut(sights: Sights, side: Side, view: View) -> Cut | None:
    name = field_name(side, view)
    reader = sights.readers.get(name)
    if reader is None:
        return None
    width_px, height_px = reader.size_px
    box = sights.framing.boxes.get(name, middle())
    picture = Picture(width_px=width_px, height_px=height_px, box=box)
    across, down = (round(size) for size in picture.box_px)
    left, top = round(box.left * width_px), round(box.top * height_px)
    across, down = min(across, width_px - left), min(down, height_px - top)
    high = even(min(HIGH_PX, down))
    return Cut(
        left=left,
        top=top,
        width=across,
        height=down,
        to_width=max(even(high * across / down), 2),
        to_height=max(high, 2),
    )


def drawn_on_film(sights: Sights, film: Film) -> dict[View, bytes]:
    """What is drawn on today's pictures, by view, as PNGs that fit them, finer than the film."""
    found = {}
    for cell in film.cells:
        drawings = [one for one in sights.request.now.drawings if one.view is cell.view]
        if cell.side is Side.NOW and drawings:
            placement = _finer(cell)
            size_px = sights.readers[field_name(cell.side, cell.view)].size_px
            scale = placement.target.height / _SCALE_PX
            found[cell.view] = sketch_png(drawings, field_of(placement, size_px, scale))
    return found


def _finer(cell: Cell) -> Placement:
    cut = cell.cut
    return Placement(
        source=Rect(left=cut.left, top=cut.top, width=cut.width, height=cut.height),
        target=Rect(left=0, top=0, width=_FINER * cut.to_width, height=_FINER * cut.to_height),
        width_share=1.0,
        height_share=1.0,
    )


def write_film(sights: Sights, film: Film, out: Path, watch: Watch) -> None:
    """Decode, put together and encode, each in a thread of its own.

    Raises:
        NotReadableError: If a recording can't be read.
        OutputError: If it can't be written; nothing was left.
        CancelledError: If it was stopped; nothing was left.
    """
    canvas = Canvas(np.full((film.height_px, film.width_px, 3), _GROUND, np.uint8))
    writer = ClipWriter(
        out,
        width=film.width_px,
        height=film.height_px,
        rate_hz=film.rate_hz,
        crf=_CRF,
        key_every=_KEY_EVERY,
        # Frames in the order in which they are shown: a page reckons with their numbers.
        time_base=1 / film.rate_hz,
    )
    count = len(film.times_ns)
    with writer, Crew("film") as crew:
        belts: Mapping[int, Belt[FrameArray]] = {
            n: crew.belt(_ROOM) for n in range(len(film.cells))
        }
        for number, cell in enumerate(film.cells):
            crew.start(f"read {number}", _Reading(sights, film, cell, belts[number]).run)
        wholes: Belt[FrameArray] = crew.belt(_ROOM)
        crew.start("write", lambda: _write(writer, wholes, count))
        for frame in range(count):
            for number, cell in enumerate(film.cells):
                canvas.put(cell.rect.left, cell.rect.top, belts[number].get())
            wholes.put(canvas.picture())
            watch.report((frame + 1) / count, "making the film of the web page")


def _write(writer: ClipWriter, wholes: Belt[FrameArray], count: int) -> None:
    for _ in range(count):
        writer.write_planar(wholes.get())


@dataclass(frozen=True, slots=True)
class _Reading:
    """One recording's pictures in the order of the film."""

    sights: Sights
    film: Film
    cell: Cell
    belt: Belt[FrameArray]

    def run(self) -> None:
        reader = self.sights.readers[field_name(self.cell.side, self.cell.view)]
        last, picture = -1, None
        for ordinal in frames_of(self.sights, self.film, self.cell, reader).tolist():
            if picture is None or ordinal != last:
                picture, last = reader.frame_planar(ordinal, self.cell.cut), ordinal
            self.belt.put(picture)


def frames_of(sights: Sights, film: Film, cell: Cell, reader: FrameReader) -> IntArray:
    """The recording's frame in each frame of the film, shape (n,)."""
    sync = sights.request.side(cell.side).swing.sync(cell.view)
    if sync is None:
        raise KeyError(cell.view)
    at_ns = of_side(sights.request, cell.side, film.times_ns)
    return nearest_frame(reader.index.times_ns, sync.to_media(at_ns))
