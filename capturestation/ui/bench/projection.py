"""What the fields show now: their places, their newest pictures and their words.

Owns asking for pictures and taking them up. Apart from the widget, so that the second screen
shows the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from PyQt6.QtCore import QSize
from PyQt6.QtGui import QColor, QPainter

from capturestation.drawing.bench_captions import FieldWords
from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.bench_painter import (
    AfterPictures,
    BenchField,
    FieldImage,
    FieldsAsked,
    bench_fields,
    image_of,
    paint_picture,
)
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.rect import Rect
from capturestation.drawing.theme import time_words
from capturestation.errors import StationError
from capturestation.records import Box, FrameArray, View
from capturestation.station.bench.pictures import PictureRoom
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.station.bench.wishes import PictureWish, wishes_at
from capturestation.ui.texts import say

TICK_NS = 16_666_667
"""How often playing moves on: as often as most screens show."""
_AHEAD = 4
_ALIKE = 0.01
# Two pictures of one shape differ by less than this in width per height.
_MINUS = "\N{MINUS SIGN}"
_NO_CAPTION_PX = 4
# What is left of captions where nothing is written.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Held:
    """A picture on show: pixels must live as long as the image that looks at them."""

    wish: PictureWish
    pixels: FrameArray
    image: FieldImage


class Projection:
    """The fields of one screen.

    Args:
        state: What is to be seen.
        room: Makes the pictures.
    """

    def __init__(self, state: BenchState, room: PictureRoom) -> None:
        self.state = state
        self.room = room
        self.fields: tuple[BenchField, ...] = ()
        self._ink = BenchInk()
        self._wishes: dict[Cell, PictureWish] = {}
        self._held: dict[Cell, _Held] = {}
        state.opened.tell(self._held.clear)

    def lay_out(self, area: Rect, ink: BenchInk) -> None:
        """Place the fields in an area."""
        self._ink = ink
        self.fields = self._laid_out(area, ink)

    def _laid_out(self, area: Rect, ink: BenchInk) -> tuple[BenchField, ...]:
        cells = [cell for row in self.state.rows[0] for cell in row]
        if not cells or min(area.width, area.height) < 2:
            return ()
        sizes = {}
        for side, view in cells:
            seen = self.state.seen(side)
            if seen is not None and view in seen.frames:
                sizes[side, view] = seen.frames[view].size_px
        framings = {cell: self.state.framing(cell) for cell in cells}
        asked = FieldsAsked(
            rows=self.state.rows,
            sizes=sizes,
            framings=framings,
            boxes=self._boxes(sizes),
            words={cell: self.words(cell) for cell in cells},
        )
        return bench_fields(asked, area, ink)

    def _boxes(self, sizes: Mapping[Cell, tuple[int, int]]) -> dict[View, Box]:
        """Cut alike what is compared; where the two pictures' shapes differ, not at all."""
        boxes = {}
        for view, box in self.state.boxes.items():
            shapes = [width / height for (_, of), (width, height) in sizes.items() if of is view]
            if shapes and max(shapes) - min(shapes) < _ALIKE * min(shapes):
                boxes[view] = box
        return boxes

    @property
    def is_complete(self) -> bool:
        """Whether every field shows the picture that is wanted."""
        return bool(self._wishes) and all(
            cell in self._held and self._held[cell].wish == wish
            for cell, wish in self._wishes.items()
        )

    def ask(self) -> None:
        """Want the pictures of this position, before all others."""
        places = {field.cell: field.place for field in self.fields}
        self._wishes = wishes_at(self.state, places, self.state.transport.at_ns, self._ink.paper)
        self.room.ask(list(self._wishes.values()))

    def ask_ahead(self) -> None:
        """Want those too that will probably come next."""
        places = {field.cell: field.place for field in self.fields}
        wanted = list(self._wishes.values())
        transport = self.state.transport
        count = _AHEAD // 2 if transport.has_jumped else _AHEAD
        for at_ns in transport.ahead(count, TICK_NS):
            wanted += wishes_at(self.state, places, at_ns, self._ink.paper).values()
        self.room.ask(list(dict.fromkeys(wanted)))

    def take(self) -> bool:
        """Take up what is there by now; says whether a field shows another picture.

        Raises:
            StationError: If one can't be made; the others are taken up.
        """
        changed, trouble = False, None
        places = {field.cell: field.place for field in self.fields}
        for cell, wish in self._wishes.items():
            held = self._held.get(cell)
            if held is not None and held.wish == wish:
                continue
            try:
                pixels = self.room.ready(wish)
            except StationError as error:
                trouble = error
                continue
            if pixels is not None:
                image = FieldImage(image=image_of(pixels), place=places[cell])
                self._held[cell] = _Held(wish=wish, pixels=pixels, image=image)
                changed = True
        if trouble is not None:
            raise trouble
        return changed

    def image(self, cell: Cell) -> FieldImage | None:
        """The newest picture of a field."""
        held = self._held.get(cell)
        return None if held is None else held.image

    def shown_ordinals(self) -> dict[Cell, tuple[int, ...]]:
        """The numbers of the frames that stand in each field, the lower one first."""
        told = {}
        for cell, held in self._held.items():
            layers = (held.wish.base, held.wish.over)
            told[cell] = tuple(layer.ordinal for layer in layers if layer is not None)
        return told

    def shown_ns(self, cell: Cell) -> int | None:
        """When the frame that stands in a field was, its own swing's clock; None without one."""
        side, view = cell
        seen, held = self.state.seen(side), self._held.get(cell)
        for layer in () if held is None else (held.wish.base, held.wish.over):
            if layer is not None and layer.side is side and seen is not None:
                return int(seen.frames[view].times_ns[layer.ordinal])
        return None

    def words(self, cell: Cell) -> FieldWords:
        """What is written at a field."""
        side, view = cell
        seen = self.state.seen(side)
        if seen is None:
            return FieldWords(whose="", day="", view=str(view))
        missing = "" if view in seen.frames else say("bench.no_angle", view=view)
        # Where angles are shown one after the other, the word that changes them says which.
        from_where = "" if self.state.has_room_for_one else str(view)
        then = self.state.then
        if self.state.arrangement is not Arrangement.OVER or then is None:
            alone = () if missing else (self._time(side, view),)
            return FieldWords(
                whose=seen.word, day=seen.day, view=from_where, times=alone, missing=missing
            )
        other = ", ".join(word for word in (then.word, then.day) if word)
        times = [self._time(Side.NOW, view)] if view in seen.frames else []
        if view in then.frames:
            times.append(self._time(Side.THEN, view))
        else:
            other = say("bench.not_over", other=then.word, view=view)
        return FieldWords(
            whose=seen.word,
            day=seen.day,
            view=from_where,
            over=other,
            times=tuple(times),
            missing=missing,
        )

    def _time(self, side: Side, view: View) -> tuple[Side, str, str]:
        """The time of the frame that is really shown, not of the one that is wanted."""
        seen, shown = self.state.seen(side), self.state.shown((side, view))
        if seen is None or shown is None:
            return side, "", ""
        if shown.beyond:
            words = say("bench.starts_later" if shown.beyond < 0 else "bench.ended")
            return side, words, words
        at_ns = shown.at_ns
        key = (side if self.state.arrangement is Arrangement.BESIDE else Side.NOW, view)
        held = self._held.get(key)
        for layer in () if held is None else (held.wish.base, held.wish.over):
            if layer is not None and layer.side is side:
                at_ns = int(seen.frames[view].times_ns[layer.ordinal])
        long = time_words(at_ns, seen.zero_words)
        return side, long, f"{at_ns / 1e9:+.3f} s".replace("-", _MINUS)

    def paint_bare(
        self, painter: QPainter, size: QSize, ink: BenchInk, after: AfterPictures | None
    ) -> None:
        """Paint the pictures alone into a size, as large as they go.

        They are those of the window, bent to their new places: a second screen asks for none.
        """
        painter.fillRect(0, 0, size.width(), size.height(), QColor(*ink.paper))
        area = Rect(left=0, top=0, width=size.width(), height=size.height())
        for field in self._laid_out(area, replace(ink, body_px=_NO_CAPTION_PX)):
            paint_picture(painter, field, self.image(field.cell), ink, after)
