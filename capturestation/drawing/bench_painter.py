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

from capturestation.drawing.bench_ink import BenchInk, Style, line_px, metrics_of, write
from capturestation.drawing.bench_place import FieldPlace, Framing, fit_of
from capturestation.drawing.grid import Cell, Grid, Rows, Side, Spot, best_grid
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect, stacked
from capturestation.records import FrameArray, View

_CAPTION_PX_AT_ONE = 26.7
# Letters of a caption where the grid's unit is one.
_RULE_PX = 5
_LEAST_TYPE_PX = 4
_LEAST_CELL = (80, 180)
# Width and height of a cell where the grid's unit is one.
AfterPictures = Callable[[QPainter, Cell, FieldPlace], None]
"""Paints over one field's picture; clipped to the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchField:
    """One picture's place on the screen: caption above, its time below.

    Args:
        cell: Which picture.
        place: Where it stands.
        caption: The rows above it.
        caption_lines: How many.
        footer: The row below it.
        type_px: Letters of the caption.
    """

    cell: Cell
    place: FieldPlace
    caption: Rect
    caption_lines: int
    footer: Rect
    type_px: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldWords:
    """What is written at a picture.

    Args:
        whose: Such as "today".
        day: When it was struck.
        view: Such as "face-on".
        over: What lies over it, such as "under own best, 18 Sep 2026"; empty where nothing does.
        times: Whose frame it shows, and its time; then the same for less room.
        missing: Why there is no picture; empty where there is one.
    """

    whose: str
    day: str
    view: str
    over: str = ""
    times: tuple[tuple[Side, str, str], ...] = ()
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

    Returns:
        The fields; none where the area is too small for any.
    """
    pictures = {cell: _picture(cell, sizes, framings) for row in rows[0] for cell in row}
    by_view: dict[View, Picture] = {}
    for (_, view), picture in pictures.items():
        by_view.setdefault(view, picture)
    found = _grid(rows, area, by_view, ink.body_px)
    if found is None:
        return ()
    type_px, grid = found
    down = max(area.height - grid.height_px, 0) // 2
    fields = []
    for spot in grid.spots:
        cell = (spot.side, spot.view)
        above, rect, below = _cell_rows(spot, down, pictures[cell], min(ink.note_px, type_px))
        width_px, height_px = sizes.get(cell, (16, 9))
        place = FieldPlace(
            rect=rect,
            width_px=width_px,
            height_px=height_px,
            fit=fit_of(pictures[cell], rect),
            framing=framings.get(cell, Framing()),
        )
        fields.append(
            BenchField(
                cell=cell,
                place=place,
                caption=above,
                caption_lines=grid.caption_lines,
                footer=below,
                type_px=type_px,
            )
        )
    return tuple(fields)


def _cell_rows(spot: Spot, down: int, picture: Picture, note_px: int) -> tuple[Rect, Rect, Rect]:
    """Caption, picture and time of a cell, below each other, so far down."""
    footer_px = line_px(note_px)
    height = max(spot.rect.height - footer_px, 2)
    rect = _as_wide_as_seen(replace(spot.rect, top=spot.rect.top + down, height=height), picture)
    across = {"left": rect.left, "width": rect.width}
    above = replace(spot.caption, top=spot.caption.top + down, **across)
    return above, rect, replace(rect, top=rect.bottom, height=footer_px)


def _as_wide_as_seen(rect: Rect, picture: Picture) -> Rect:
    """A field no wider than its whole picture, so that the rule above ends where that does."""
    width = min(rect.width, round(fit_of(picture, rect) * picture.width_px))
    return replace(rect, left=rect.left + (rect.width - width) // 2, width=max(width, 2))


def _grid(
    rows: Sequence[Rows], area: Rect, pictures: Mapping[View, Picture], body_px: int
) -> tuple[int, Grid] | None:
    """Captions give way where they would leave less than half of the room to the pictures."""
    found = None
    for type_px in range(body_px, _LEAST_TYPE_PX - 1, -1):
        unit = type_px / _CAPTION_PX_AT_ONE
        fitting = [way for way in rows if _has_room(way, area, unit)]
        if not fitting:
            continue
        grid = best_grid(fitting, area, pictures, unit)
        found = type_px, grid
        rows_px = {spot.rect.top: spot.rect.height - line_px(type_px) for spot in grid.spots}
        if 2 * sum(rows_px.values()) >= area.height:
            break
    return found


def _has_room(rows: Rows, area: Rect, unit: float) -> bool:
    """Whether the tallest captions and a little picture fit into every cell."""
    cell = area.width / len(rows[0]), area.height / len(rows)
    return cell[0] > _LEAST_CELL[0] * unit and cell[1] > _LEAST_CELL[1] * unit


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
    _times(painter, field, words, ink)


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
    box, side, px = field.caption, field.cell[0], field.type_px
    text = replace(box, height=box.height - _RULE_PX)
    bold, soft = Style(px=px, colour=ink.ink, bold=True), Style(px=px, colour=ink.soft)
    over = (words.over, replace(soft, colour=ink.then))
    dated = (", ".join(word for word in (words.whose, words.day) if word), bold)
    view = (words.view, soft)
    if field.caption_lines == 1:
        lines = [[dated, view, over]]
    elif field.caption_lines == 2:
        lines = [[dated, over], [view]]
    else:
        days = [(words.day if words.whose else "", soft), over]
        lines = [[(words.whose or words.day, bold)], days, [view]]
    for row, parts in zip(stacked(text, len(lines)), lines, strict=True):
        _run(painter, row, parts)
    top = box.bottom - _RULE_PX
    half = box.width // 2 if words.over else box.width
    painter.fillRect(box.left, top, half, _RULE_PX, QColor(*ink.side(side)))
    if words.over:
        painter.fillRect(box.left + half, top, box.width - half, _RULE_PX, QColor(*ink.then))


def _run(painter: QPainter, row: Rect, parts: Sequence[tuple[str, Style]]) -> None:
    """Words in several styles on one line."""
    left = row.left
    for words, style in parts:
        if words and left < row.right:
            rest = replace(row, left=left, width=row.right - left)
            left += write(painter, rest, words, style) + round(0.7 * style.px)


def _times(painter: QPainter, field: BenchField, words: FieldWords, ink: BenchInk) -> None:
    px = min(ink.note_px, field.type_px)
    style = Style(px=px, colour=ink.soft)
    styles = [
        style if len(words.times) == 1 else replace(style, colour=ink.side(side))
        for side, _, _ in words.times
    ]
    parts = [(long, style) for (_, long, _), style in zip(words.times, styles, strict=True)]
    if _run_px(parts) > field.footer.width:
        parts = [(short, style) for (_, _, short), style in zip(words.times, styles, strict=True)]
    _run(painter, field.footer, parts)


def _run_px(parts: Sequence[tuple[str, Style]]) -> int:
    widths = [
        metrics_of(style.px, bold=style.bold).horizontalAdvance(words) for words, style in parts
    ]
    return sum(widths) + sum(round(0.7 * style.px) for _, style in parts[1:])
