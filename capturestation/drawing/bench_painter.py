"""Paints the fields of the Bench: captions and pictures.

Owns what stands on the screen beside the pictures, and where. It paints on any painter, so the
window, the bay's second screen and a saved picture look alike. Pictures come ready made; one that
was made for another zoom is bent to fit until the right one is there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import cast

import numpy as np
from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QTransform
from PyQt6.sip import voidptr

from capturestation.drawing.bench_captions import (
    CaptionPlace,
    FieldWords,
    caption_ways,
    least_width_px,
    paint_caption,
    written_alike,
)
from capturestation.drawing.bench_ink import BenchInk, Style, write
from capturestation.drawing.bench_place import FieldPlace, Framing, fit_of
from capturestation.drawing.grid import GAP, MARGIN, Cell, Grid, Rows, best_grid
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect, even
from capturestation.records import Box, FrameArray, View

_CAPTION_PX_AT_ONE = 26.7
# Letters of a caption where the grid's unit is one.
_LEAST_TYPE_PX = 4
_EASY_SHARE, _MUCH_LARGER = 0.7, 1.05
# Letters of captions may be smaller than others by so much for golfers that stand larger by so
# much.
_LEAST_CELL = (80, 180)
# Width and height of a cell where the grid's unit is one.
AfterPictures = Callable[[QPainter, Cell, FieldPlace], None]
"""Paints over one field's picture; clipped to the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchField:
    """One picture's place on the screen, its caption above.

    Args:
        cell: Which picture.
        place: Where it stands.
        caption: What stands above it.
    """

    cell: Cell
    place: FieldPlace
    caption: CaptionPlace


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldImage:
    """A picture as it was made, and the place it was made for."""

    image: QImage
    place: FieldPlace


def image_of(pixels: FrameArray) -> QImage:
    """A picture of `bench_layers` as Qt's, without copying; keep the array as long.

    Its rows may lie apart, but each in one piece.
    """
    height, width = pixels.shape[:2]
    # An address, which the stubs don't know: the buffer of rows that lie apart is none to Qt.
    seen = cast("bytes", voidptr(pixels.ctypes.data))
    return QImage(seen, width, height, pixels.strides[0], QImage.Format.Format_RGB32)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldsAsked:
    """What is to be laid out.

    Args:
        rows: Ways to arrange the cells, the preferred first.
        sizes: Nominal sizes of the pictures; a cell without one gets a usual shape.
        framings: What of each is looked at.
        boxes: What of a view has to be seen; a view without one shows its middle.
        words: What is written at each.
    """

    rows: Sequence[Rows]
    sizes: Mapping[Cell, tuple[int, int]]
    framings: Mapping[Cell, Framing] = field(default_factory=dict)
    boxes: Mapping[View, Box] = field(default_factory=dict)
    words: Mapping[Cell, FieldWords] = field(default_factory=dict)

    @property
    def cells(self) -> list[Cell]:
        """All cells."""
        return [cell for row in self.rows[0] for cell in row]

    def framing(self, cell: Cell) -> Framing:
        """What of a cell's picture is looked at."""
        return self.framings.get(cell, Framing())

    def picture(self, cell: Cell) -> Picture:
        """A cell's picture as it is turned."""
        known = [size for (_, view), size in self.sizes.items() if view is cell[1]]
        width, height = self.sizes.get(cell, known[0] if known else (16, 9))
        box = self.boxes.get(cell[1], middle())
        if self.framing(cell).turn_deg:
            box = middle()
        if self.framing(cell).is_sideways:
            width, height = height, width
        return Picture(width_px=width, height_px=height, box=box)


def bench_fields(asked: FieldsAsked, area: Rect, ink: BenchInk) -> tuple[BenchField, ...]:
    """Lay out the fields so that golfers stand as large as they can.

    Args:
        asked: What is to be laid out.
        area: Where the fields may stand; they reach its edges.
        ink: Its type decides how high captions are.

    Returns:
        The fields; none where the area is too small for any.
    """
    found = _grid(asked, area, ink.body_px)
    if found is None:
        return ()
    type_px, grid = found
    tops = [spot.caption.top for spot in grid.spots]
    feet = [spot.rect.bottom for spot in grid.spots]
    down = area.top + (area.height - (max(feet) - min(tops))) // 2 - min(tops)
    fields = []
    for spot in grid.spots:
        cell = (spot.side, spot.view)
        picture = asked.picture(cell)
        rect = _as_large_as_seen(replace(spot.rect, top=spot.rect.top + down), picture)
        size = asked.sizes.get(cell, (16, 9))
        place = FieldPlace(
            rect=rect,
            width_px=size[0],
            height_px=size[1],
            fit=fit_of(picture, rect),
            framing=asked.framing(cell),
        )
        over = replace(spot.caption, top=spot.caption.top + down, left=rect.left, width=rect.width)
        caption = CaptionPlace(rect=over, lines=grid.caption_lines, px=type_px)
        fields.append(BenchField(cell=cell, place=place, caption=caption))
    captions = written_alike([(field.caption, asked.words.get(field.cell)) for field in fields])
    return tuple(replace(field, caption=at) for field, at in zip(fields, captions, strict=True))


def _as_large_as_seen(rect: Rect, picture: Picture) -> Rect:
    """A field no larger than what is seen about its middle: no paper shows within it."""
    fit, box = fit_of(picture, rect), picture.box
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    wide = 2 * min(x, 1 - x) * picture.width_px * fit
    high = 2 * min(y, 1 - y) * picture.height_px * fit
    width = max(min(rect.width, round(wide)), 2)
    left = rect.left + (rect.width - width) // 2
    return replace(rect, left=left, width=width, height=max(min(rect.height, round(high)), 2))


def _grid(asked: FieldsAsked, area: Rect, body_px: int) -> tuple[int, Grid] | None:
    """Captions give way only where golfers stand much larger so, or where words would be cut.

    Days go first, then letters; those become very small only where nothing fits otherwise.
    """
    pictures: dict[View, Picture] = {}
    for cell in asked.cells:
        pictures.setdefault(cell[1], asked.picture(cell))
    found: tuple[int, Grid] | None = None
    found_whole = False
    for type_px in range(body_px, _LEAST_TYPE_PX - 1, -1):
        if found is not None and type_px < _EASY_SHARE * body_px:
            break
        unit = type_px / _CAPTION_PX_AT_ONE
        fitting = [way for way in asked.rows if _has_room(way, area, unit)]
        if not fitting:
            continue
        for with_days in (True, False):
            ways = caption_ways(asked.words.values(), type_px, unit, with_days=with_days)
            grid = best_grid(fitting, _without_margins(area, unit), pictures, unit, ways)
            is_whole = _is_whole(asked, grid, type_px)
            is_larger = found is None or grid.box_px > _MUCH_LARGER * found[1].box_px
            if is_whole > found_whole or (is_larger and is_whole == found_whole):
                found, found_whole = (type_px, grid), is_whole
    return found


def _is_whole(asked: FieldsAsked, grid: Grid, px: int) -> bool:
    """Whether no caption is cut short."""
    narrowest = min(spot.rect.width for spot in grid.spots)
    return grid.caption_lines < 3 or narrowest >= least_width_px(asked.words.values(), px)


def _without_margins(area: Rect, unit: float) -> Rect:
    """The grid leaves margins that the page about it has already."""
    gap, margin = even(GAP * unit), even(MARGIN * unit)
    return Rect(
        left=area.left - margin,
        top=area.top - even(gap / 2),
        width=area.width + 2 * margin,
        height=area.height + even(gap / 2) + gap,
    )


def _has_room(rows: Rows, area: Rect, unit: float) -> bool:
    """Whether the tallest captions and a little picture fit into every cell."""
    cell = area.width / len(rows[0]), area.height / len(rows)
    return cell[0] > _LEAST_CELL[0] * unit and cell[1] > _LEAST_CELL[1] * unit


def paint_field(
    painter: QPainter,
    field: BenchField,
    words: FieldWords,
    picture: FieldImage | None,
    ink: BenchInk,
    after_pictures: AfterPictures | None = None,
) -> None:
    """Paint one field whole."""
    paint_picture(painter, field, picture, ink, after_pictures)
    paint_caption(painter, field.caption, field.cell[0], words, ink)
    if words.missing:
        write(
            painter,
            field.place.rect,
            words.missing,
            Style(px=ink.body_px, colour=ink.soft, align=Qt.AlignmentFlag.AlignHCenter),
        )


def paint_picture(
    painter: QPainter,
    field: BenchField,
    picture: FieldImage | None,
    ink: BenchInk,
    after_pictures: AfterPictures | None = None,
) -> None:
    """Paint a field's picture alone, without a word: what the second screen shows."""
    rect = field.place.rect
    if picture is None:
        painter.fillRect(rect.left, rect.top, rect.width, rect.height, QColor(*ink.shade))
        return
    if picture.place == field.place:
        painter.drawImage(rect.left, rect.top, picture.image)
    else:
        _bent(painter, field.place, picture, ink)
    if after_pictures is not None:
        painter.save()
        painter.setClipRect(rect.left, rect.top, rect.width, rect.height)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        after_pictures(painter, field.cell, field.place)
        painter.restore()


def _bent(painter: QPainter, place: FieldPlace, picture: FieldImage, ink: BenchInk) -> None:
    rect = place.rect
    changed = place.array @ np.linalg.inv(picture.place.array)
    painter.save()
    painter.setClipRect(rect.left, rect.top, rect.width, rect.height)
    painter.fillRect(rect.left, rect.top, rect.width, rect.height, QColor(*ink.paper))
    painter.translate(rect.left, rect.top)
    a, b, left, c, d, top = (float(part) for part in changed[:2].ravel())
    painter.setTransform(QTransform(a, c, b, d, left, top), combine=True)
    painter.drawImage(QRectF(picture.image.rect()).topLeft(), picture.image)
    painter.restore()
