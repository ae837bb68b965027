"""Paints the fields of the Bench: captions, pictures and their times.

Owns what stands on the screen beside the pictures, and where. It paints on any painter, so the
window, the bay's second screen and a saved picture look alike. Pictures come ready made; one that
was made for another zoom is bent to fit until the right one is there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QTransform

from capturestation.drawing.bench_ink import BenchInk, Style, line_px, write
from capturestation.drawing.bench_place import FieldPlace, Framing, fit_of
from capturestation.drawing.grid import Cell, Rows, Side, best_grid
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect, stacked
from capturestation.records import FrameArray, View

_CAPTION_PX_AT_ONE = 26.7
# Letters of a caption where the grid's unit is one.
_RULE_PX = 5
AfterPictures = Callable[[QPainter, Cell, FieldPlace], None]
"""Paints over one field's picture; clipped to the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchField:
    """One picture's place on the screen: caption above, its time below."""

    cell: Cell
    place: FieldPlace
    caption: Rect
    caption_lines: int
    footer: Rect


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldWords:
    """What is written at a picture.

    Args:
        whose: Such as "today".
        day: When it was struck.
        view: Such as "face-on".
        over: What lies over it, such as "under own best, 18 Sep 2026"; empty where nothing does.
        times: The time of each frame that it shows, and whose.
        missing: Why there is no picture; empty where there is one.
    """

    whose: str
    day: str
    view: str
    over: str = ""
    times: tuple[tuple[Side, str], ...] = ()
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldImage:
    """A picture as it was made, and the place it was made for."""

    image: QImage
    place: FieldPlace


def image_of(pixels: FrameArray) -> QImage:
    """A picture of `bench_layers` as Qt's, without copying; keep the array as long."""
    height, width = pixels.shape[:2]
    # Any buffer will do; the stubs know only bytes.
    seen = cast("bytes", pixels.data)
    return QImage(seen, width, height, 4 * width, QImage.Format.Format_RGB32)


def bench_fields(
    rows: Sequence[Rows],
    area: Rect,
    sizes: Mapping[Cell, tuple[int, int]],
    framings: Mapping[Cell, Framing],
    ink: BenchInk,
) -> tuple[BenchField, ...]:
    """Lay out the fields so that golfers stand as large as they can.

    Args:
        rows: Ways to arrange the cells, the preferred first.
        area: Where they may stand.
        sizes: Nominal sizes of the pictures; a cell without one gets a usual shape.
        framings: What of each is looked at.
        ink: Its type decides how high captions are.
    """
    pictures = {cell: _picture(cell, sizes, framings) for row in rows[0] for cell in row}
    by_view: dict[View, Picture] = {}
    for (_, view), picture in pictures.items():
        by_view.setdefault(view, picture)
    grid = best_grid(rows, area, by_view, ink.body_px / _CAPTION_PX_AT_ONE)
    footer_px = line_px(ink.body_px)
    spare = max(area.height - grid.height_px, 0) // 2
    fields = []
    for spot in grid.spots:
        cell = (spot.side, spot.view)
        rect = replace(
            spot.rect,
            top=spot.rect.top + spare,
            height=max(spot.rect.height - footer_px, 2),
        )
        size = sizes.get(cell, (16, 9))
        place = FieldPlace(
            rect=rect,
            width_px=size[0],
            height_px=size[1],
            fit=fit_of(pictures[cell], rect),
            framing=framings.get(cell, Framing()),
        )
        caption = replace(spot.caption, top=spot.caption.top + spare)
        footer = replace(rect, top=rect.bottom, height=footer_px)
        fields.append(
            BenchField(
                cell=cell,
                place=place,
                caption=caption,
                caption_lines=grid.caption_lines,
                footer=footer,
            )
        )
    return tuple(fields)


def _picture(
    cell: Cell, sizes: Mapping[Cell, tuple[int, int]], framings: Mapping[Cell, Framing]
) -> Picture:
    known = [size for (_, view), size in sizes.items() if view is cell[1]]
    width, height = sizes.get(cell, known[0] if known else (16, 9))
    if framings.get(cell, Framing()).is_sideways:
        width, height = height, width
    return Picture(width_px=width, height_px=height, box=middle())


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
    _caption(painter, field, words, ink)
    if words.missing:
        write(
            painter,
            field.place.rect,
            words.missing,
            Style(px=ink.body_px, colour=ink.soft, align=Qt.AlignmentFlag.AlignHCenter),
        )
    _times(painter, field.footer, words, ink)


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


def _caption(painter: QPainter, field: BenchField, words: FieldWords, ink: BenchInk) -> None:
    box, side = field.caption, field.cell[0]
    text = replace(box, height=box.height - _RULE_PX)
    dated = ", ".join(word for word in (words.whose, words.day) if word)
    if field.caption_lines == 1:
        lines = [dated]
    elif field.caption_lines == 2:
        lines = [dated, words.view]
    else:
        lines = [words.whose or words.day, words.day if words.whose else "", words.view]
    px = ink.body_px
    for number, (row, line) in enumerate(zip(stacked(text, len(lines)), lines, strict=True)):
        bold = number == 0
        used = write(
            painter, row, line, Style(px=px, colour=ink.ink if bold else ink.soft, bold=bold)
        )
        if bold and words.over:
            _beside(painter, row, used + px // 2, words.over, ink)
    if field.caption_lines == 1:
        right = Qt.AlignmentFlag.AlignRight
        write(painter, text, words.view, Style(px=px, colour=ink.soft, align=right))
    top = box.bottom - _RULE_PX
    half = box.width // 2 if words.over else box.width
    painter.fillRect(box.left, top, half, _RULE_PX, QColor(*ink.side(side)))
    if words.over:
        painter.fillRect(box.left + half, top, box.width - half, _RULE_PX, QColor(*ink.then))


def _beside(painter: QPainter, row: Rect, used_px: int, words: str, ink: BenchInk) -> None:
    rest = replace(row, left=row.left + used_px, width=max(row.width - used_px, 0))
    write(painter, rest, words, Style(px=ink.body_px, colour=ink.then))


def _times(painter: QPainter, footer: Rect, words: FieldWords, ink: BenchInk) -> None:
    left = footer.left
    for side, time in words.times:
        rest = replace(footer, left=left, width=max(footer.right - left, 0))
        colour = ink.soft if len(words.times) == 1 else ink.side(side)
        left += write(painter, rest, time, Style(px=ink.note_px, colour=colour)) + ink.note_px
