"""Paints both sides of the page that a student takes home, and makes a PDF of them.

Owns where everything stands on the paper. Words that are too many are set smaller, and the last
of them left out with their number told, so that it never grows a third side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PyQt6.QtCore import QBuffer, QIODevice, QMarginsF, QPointF, QRectF, QSizeF, Qt
from PyQt6.QtGui import (
    QColor,
    QFontMetricsF,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from capturestation.drawing import theme
from capturestation.drawing.app import has_app
from capturestation.drawing.home_page import (
    HomePage,
    Passage,
    Still,
    StillBlock,
    StillRow,
    WeeksDrawn,
)
from capturestation.drawing.sheet import Ink, fitting_px, wrapped
from capturestation.drawing.weeks_chart import LEGEND, ChartSize, paint_chart
from capturestation.records import FrameArray

DOTS_PER_INCH = 600
MARGIN_MM = 14.0
_GAP_MM = 2.0
_LEADING = 1.34
_TITLE_MM, _DAY_MM, _CAPTION_MM, _MOMENT_MM, _FOOT_MM = 7.6, 4.2, 3.1, 3.6, 2.9
_WORK_MM = (6.4, 3.4)
# Largest and smallest letters of what is to work on: it is read from across a room.
_WORK_ROOM_MM = 52.0
_WORDS_MM = (4.2, 2.8)
_SMALL = 0.82
_HEADING_MM = 3.9
_STEP_MM = 0.2
_CHART_MM, _CHART_LETTERS_MM = 46.0, 2.7
_LEAST_LINES = 1
# Of each passage that stay when words have to go.
_BY_SIDE = {True: theme.BLUE, False: theme.VERMILLION}
_WHITE = (0xFF, 0xFF, 0xFF)


def home_pdf(page: HomePage, size_mm: tuple[float, float]) -> bytes:
    """The page as a PDF of two sides.

    Args:
        page: What stands on it.
        size_mm: The paper's width and height.

    Raises:
        RuntimeError: If `ensure_app` was not called.
    """
    if not has_app():
        msg = "ensure_app() must be called before painting"
        raise RuntimeError(msg)
    kept = QBuffer()
    kept.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(kept)
    writer.setResolution(DOTS_PER_INCH)
    writer.setTitle(f"{page.title}, {page.day}")
    writer.setCreator("")
    size = QPageSize(QSizeF(*size_mm), QPageSize.Unit.Millimeter)
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    painter = QPainter(writer)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    paper = _Paper(painter=painter, size_mm=size_mm)
    _paint_pictures(paper, page)
    writer.newPage()
    _paint_words(paper, page)
    painter.end()
    return kept.data().data()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paper:
    """A painter that counts in millimetres."""

    painter: QPainter
    size_mm: tuple[float, float]

    @property
    def left(self) -> float:
        return MARGIN_MM

    @property
    def width(self) -> float:
        return self.size_mm[0] - 2 * MARGIN_MM

    @property
    def bottom(self) -> float:
        return self.size_mm[1] - MARGIN_MM

    def fill(self, box: tuple[float, float, float, float], colour: theme.Colour) -> None:
        self.painter.fillRect(QRectF(*map(_dots, box)), QColor(*colour))

    def line(self, at_mm: tuple[float, float], text: str, ink: Ink, width_mm: float) -> None:
        """One line from its upper left corner, or its upper right one; cut short to fit."""
        font = theme.font(ink.px, bold=ink.bold)
        metrics = QFontMetricsF(font)
        text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, _dots(width_mm) + 1.0)
        left, top = map(_dots, at_mm)
        if ink.align == Qt.AlignmentFlag.AlignRight:
            left += _dots(width_mm) - metrics.horizontalAdvance(text)
        if ink.align == Qt.AlignmentFlag.AlignHCenter:
            left += (_dots(width_mm) - metrics.horizontalAdvance(text)) / 2
        self.painter.setFont(font)
        self.painter.setPen(QColor(*ink.colour))
        self.painter.drawText(QPointF(left, top + metrics.ascent()), text)

    def picture(self, box: tuple[float, float, float, float], pixels: FrameArray) -> None:
        rgb = np.ascontiguousarray(pixels)
        height, width = rgb.shape[:2]
        image = QImage(rgb.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888)
        self.painter.drawImage(QRectF(*map(_dots, box)), image)


def _dots(mm: float) -> float:
    return mm * DOTS_PER_INCH / 25.4


def _ink(
    mm: float,
    *,
    bold: bool = False,
    colour: theme.Colour = theme.INK,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> Ink:
    return Ink(px=round(_dots(mm)), bold=bold, colour=colour, align=align)


def _paint_pictures(paper: _Paper, page: HomePage) -> None:
    top = _head(paper, page)
    top = _paint_work(paper, page.work, top + 3.0)
    bottom = paper.bottom
    if page.under:
        soft = _ink(_FOOT_MM, colour=theme.INK_SOFT)
        bottom -= _FOOT_MM * _LEADING
        paper.line((paper.left, bottom), page.under, soft, paper.width)
    rows = sum(len(block.rows) for block in page.blocks)
    heads = sum(_MOMENT_MM * _LEADING + 1.0 for _ in page.blocks)
    row_head = _CAPTION_MM * _LEADING + 0.6
    room = bottom - top - heads - rows * (row_head + _GAP_MM)
    highest = [
        max(_fitted(still, _each(paper, block), room)[1] for still in row.stills)
        for block in page.blocks
        for row in block.rows
    ]
    heights = iter(_shared(highest, room))
    for block in page.blocks:
        top = _paint_block(paper, block, top, [next(heights) for _ in block.rows])


def _shared(highest: Sequence[float], room: float) -> list[float]:
    """Heights for rows in a room: what one can't use, because it is too wide, others get.

    Example:
        >>> _shared([30.0, 90.0, 90.0], 120.0)
        [30.0, 45.0, 45.0]
    """
    heights = [0.0] * len(highest)
    waiting = sorted(range(len(highest)), key=lambda n: highest[n])
    for place, row in enumerate(waiting):
        heights[row] = min(highest[row], room / (len(waiting) - place))
        room -= heights[row]
    return heights


def _each(paper: _Paper, block: StillBlock) -> float:
    """How wide a column is."""
    columns = len(block.moments)
    return (paper.width - (columns - 1) * _GAP_MM) / columns


def _head(paper: _Paper, page: HomePage) -> float:
    """Title, day and name over a rule; returns where it ends."""
    day = _ink(_DAY_MM, colour=theme.INK_SOFT, align=Qt.AlignmentFlag.AlignRight)
    told = page.day if not page.whose else f"{page.whose} · {page.day}"
    half = 0.55 * paper.width
    paper.line((paper.left, MARGIN_MM), page.title, _ink(_TITLE_MM, bold=True), half)
    top = MARGIN_MM + 0.34 * _TITLE_MM
    paper.line((paper.left + half, top), told, day, paper.width - half)
    rule = MARGIN_MM + _TITLE_MM * _LEADING
    paper.fill((paper.left, rule, paper.width, 0.9), theme.BLUE)
    return rule + 0.9


def _paint_work(paper: _Paper, passages: Sequence[Passage], top: float) -> float:
    """What to work on, as large as its room allows."""
    mm, least = _WORK_MM
    while mm > least and _all_high(passages, mm, paper.width, bold=True) > _WORK_ROOM_MM:
        mm -= _STEP_MM
    for passage in passages:
        top = _paint_passage(paper, passage, (top, mm), bold=True)
    return top


def _paint_block(paper: _Paper, block: StillBlock, top: float, heights: Sequence[float]) -> float:
    each = _each(paper, block)
    name = _ink(_MOMENT_MM, bold=True, align=Qt.AlignmentFlag.AlignHCenter)
    name = replace(name, px=fitting_px(block.moments, name, round(_dots(each))))
    lefts = [paper.left + column * (each + _GAP_MM) for column in range(len(block.moments))]
    for left, moment in zip(lefts, block.moments, strict=True):
        paper.line((left, top), moment, name, each)
    top += _MOMENT_MM * _LEADING + 1.0
    for row, high in zip(block.rows, heights, strict=True):
        top = _paint_row(paper, row, (top, high), lefts, each)
    return top


def _paint_row(
    paper: _Paper, row: StillRow, place: tuple[float, float], lefts: Sequence[float], each: float
) -> float:
    """One swing from one angle: its caption beside its colour's mark, its pictures below."""
    top, high = place
    colour = _BY_SIDE[row.is_now]
    paper.fill((paper.left, top + 0.5, 3.0, _CAPTION_MM), colour)
    caption = _ink(_CAPTION_MM, bold=row.is_now)
    paper.line((paper.left + 4.2, top), row.caption, caption, paper.width - 4.2)
    top += _CAPTION_MM * _LEADING + 0.6
    sizes = [_fitted(still, each, high) for still in row.stills]
    tallest = max((down for _, down in sizes), default=0.0)
    for left, still, (across, down) in zip(lefts, row.stills, sizes, strict=True):
        middle = left + (each - across) / 2
        if still.pixels is not None:
            paper.picture((middle, top, across, down), still.pixels)
        else:
            paper.fill((left, top, each, high), theme.PAPER_SHADE)
            words = _ink(_FOOT_MM, colour=theme.INK_SOFT, align=Qt.AlignmentFlag.AlignHCenter)
            paper.line((left, top + high / 2 - _FOOT_MM), still.missing, words, each)
            tallest = high
    return top + tallest + _GAP_MM


def _fitted(still: Still, each: float, high: float) -> tuple[float, float]:
    if still.pixels is None:
        return each, high
    rows, columns = still.pixels.shape[:2]
    scale = min(each / columns, high / rows)
    return columns * scale, rows * scale


def _paint_words(paper: _Paper, page: HomePage) -> None:
    top = _head(paper, page) + 3.0
    if page.weeks is not None:
        top = _paint_weeks(paper, page.weeks, top)
    room = paper.bottom - top
    mm, least = _WORDS_MM
    passages = list(page.words)
    while _all_high(passages, mm, paper.width) > room and mm > least:
        mm -= _STEP_MM
    while _all_high(passages, mm, paper.width) > room and _shorten(passages):
        pass
    for passage in passages:
        top = _paint_passage(paper, passage, (top, mm))


def _paint_weeks(paper: _Paper, weeks: WeeksDrawn, top: float) -> float:
    """The heading, the chart, what is what in it, and what it says; returns where they end."""
    heading = _ink(_HEADING_MM, bold=True, colour=theme.BLUE)
    paper.line((paper.left, top), weeks.heading, heading, paper.width)
    top += _HEADING_MM * _LEADING
    painter = paper.painter
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(_dots(paper.left), _dots(top))
    size = ChartSize(
        width=_dots(paper.width), height=_dots(_CHART_MM), letters=_dots(_CHART_LETTERS_MM)
    )
    paint_chart(painter, weeks.course, size)
    painter.restore()
    top += _CHART_MM
    legend = _ink(_CHART_LETTERS_MM, colour=theme.INK_SOFT)
    paper.line((paper.left, top), LEGEND, legend, paper.width)
    top += _CHART_LETTERS_MM * _LEADING + 1.0
    said = Passage(heading="", lines=weeks.lines, small=True)
    return _paint_passage(paper, said, (top, _WORDS_MM[0]))


def _all_high(passages: Sequence[Passage], mm: float, width: float, *, bold: bool = False) -> float:
    return sum(_high(passage, mm, width, bold=bold) for passage in passages)


def _shorten(passages: list[Passage]) -> bool:
    """Take one line from the longest passage and tell how many are left out."""
    longest = max(range(len(passages)), key=lambda n: len(passages[n].lines))
    passage = passages[longest]
    kept = [line for line in passage.lines if not line.startswith(_LEFT_OUT)]
    gone = sum(int(line.split()[1]) for line in passage.lines if line.startswith(_LEFT_OUT))
    if len(kept) <= _LEAST_LINES:
        return False
    lines = (*kept[:-1], f"{_LEFT_OUT}{gone + 1} more.")
    passages[longest] = replace(passage, lines=lines)
    return True


_LEFT_OUT = "And "


def _high(passage: Passage, mm: float, width: float, *, bold: bool) -> float:
    size = mm * _SMALL if passage.small else mm
    lines = sum(len(_set(line, passage, (size, width), bold=bold)) for line in passage.lines)
    heading = _HEADING_MM * _LEADING if passage.heading else 0.0
    return heading + lines * size * _LEADING + 3.2


def _set(line: str, passage: Passage, room: tuple[float, float], *, bold: bool) -> tuple[str, ...]:
    """The lines that a sentence takes at a size; words too long for one are left to be cut."""
    mm, width = room
    ink = _ink(mm, bold=bold)
    mark = 1.1 * mm if passage.marked else 0.0
    return wrapped(line, ink, round(_dots(width - mark)))


def _paint_passage(
    paper: _Paper, passage: Passage, place: tuple[float, float], *, bold: bool = False
) -> float:
    top, mm = place
    if passage.small:
        mm *= _SMALL
    if passage.heading:
        soft = _ink(_HEADING_MM, bold=True, colour=theme.BLUE)
        paper.line((paper.left, top), passage.heading, soft, paper.width)
        top += _HEADING_MM * _LEADING
    ink = _ink(mm, bold=bold)
    mark = 1.1 * mm if passage.marked else 0.0
    for sentence in passage.lines:
        if passage.marked:
            side = 0.3 * mm
            paper.fill((paper.left + 0.2 * mm, top + 0.5 * mm, side, side), theme.INK_SOFT)
        for line in _set(sentence, passage, (mm, paper.width), bold=bold):
            paper.line((paper.left + mark, top), line, ink, paper.width - mark)
            top += mm * _LEADING
    return top + 3.2
