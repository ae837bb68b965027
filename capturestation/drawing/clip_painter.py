"""Paints a clip's frames: pictures in their fields, captions, and the strip of time.

Owns what stands on a clip. What never changes is painted once; words are painted again only
when they change; pictures are copied in. Called by the hand-out and by the screen alike.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPainter

from capturestation.drawing import theme
from capturestation.drawing.layout import (
    KEEP_WIDTH,
    Field,
    Layout,
    Placement,
    Rect,
    Side,
    column,
    even,
    halves,
    place,
)
from capturestation.drawing.sheet import (
    Ink,
    Line,
    Sheet,
    fill,
    fitting_px,
    lines_on_paper,
    scaled,
    text_width,
    write,
)
from capturestation.drawing.strip import Tick, draw_marker, paint_bar, phase_words
from capturestation.drawing.theme import Size
from capturestation.records import FrameArray, Moment

SIDE_COLOUR = {Side.NOW: theme.BLUE, Side.THEN: theme.VERMILLION}
_RULE_SHARE = 1 / 120
# The coloured rule under a caption, of the canvas's shorter side.


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """What stands above a picture.

    Args:
        whose: Such as "today 30 Oct 2026".
        view: Such as "face-on".
        missing: What stands in the field while it has no picture.
    """

    whose: str
    view: str
    missing: str = "no picture from here in this swing"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipLabels:
    """All words of a clip that don't change while it plays.

    Args:
        captions: By the field's name.
        ticks: Today's moments, in order of time.
        start_ns: Left end of the bar, swing clock.
        stop_ns: Right end of the bar.
        zero: What zero is, in words.
        now_word: What today's swing is called.
        then_word: What the earlier swing is called.
    """

    captions: Mapping[str, Caption]
    ticks: tuple[Tick, ...]
    start_ns: int
    stop_ns: int
    zero: str = "impact"
    now_word: str = "today"
    then_word: str = "own best"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipState:
    """What one frame of a clip shows.

    Args:
        now_ns: Today's swing time.
        then_ns: The earlier swing's own time where it is another one; None where it isn't.
        held: The moment that the clip stands at.
        notes: A remark inside a picture, by the field's name.
    """

    now_ns: int
    then_ns: int | None = None
    held: Moment | None = None
    notes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """A picture already cut and scaled for its field."""

    pixels: FrameArray
    placement: Placement


class ClipPainter:
    """Paints the frames of one clip.

    Args:
        layout: Where everything stands.
        labels: The words that don't change.
        keep_width: Least share of a picture's width to show; 1 shows it whole.
        about_x: Where the golfer stands, share of the picture's width, by field; middle if absent.

    Raises:
        RuntimeError: If `ensure_app` was not called.
        KeyError: If a field has no caption.
    """

    def __init__(
        self,
        layout: Layout,
        labels: ClipLabels,
        *,
        keep_width: float = KEEP_WIDTH,
        about_x: Mapping[str, float] | None = None,
    ) -> None:
        self.layout = layout
        self.labels = labels
        self._keep_width = keep_width
        self._about_x = dict(about_x or {})
        self._base = self._paint_base()
        self._kept: dict[str, tuple[tuple[Line, ...], FrameArray]] = {}

    def place(self, name: str, frame_rgb: FrameArray) -> Placed:
        """Cut and scale a picture for its field; safe on any thread, so work can be shared out.

        Args:
            name: The field.
            frame_rgb: Shape (H, W, 3).
        """
        placement = self.placement(name, frame_rgb.shape[1], frame_rgb.shape[0])
        return Placed(pixels=scaled(frame_rgb, placement), placement=placement)

    def placement(self, name: str, width_px: int, height_px: int) -> Placement:
        """How pictures of that size stand in that field."""
        return place(
            width_px,
            height_px,
            self.layout.field(name).rect,
            keep_width=self._keep_width,
            about_x=self._about_x.get(name, 0.5),
        )

    def paint(self, pictures: Mapping[str, FrameArray | Placed], state: ClipState) -> FrameArray:
        """Paint one frame.

        Args:
            pictures: By the field's name; a field that isn't named says that it has none.
            state: What it shows.

        Returns:
            A fresh canvas, (H, W, 3) RGB.
        """
        canvas = self._base.copy()
        for spot in self.layout.fields:
            shown = self._put_picture(canvas, spot, pictures.get(spot.name))
            self._put_note(canvas, spot.name, shown, state.notes.get(spot.name, ""))
        self._put_title(canvas, state)
        self._put_readout(canvas, state)
        at = column(self.layout.strip.bar, state.now_ns, *self._ends)
        draw_marker(canvas, self.layout.strip.bar, at)
        return canvas

    @property
    def _ends(self) -> tuple[int, int]:
        return self.labels.start_ns, self.labels.stop_ns

    def _px(self, size: Size) -> int:
        return theme.type_px(size, self.layout.short_side_px)

    def _paint_base(self) -> FrameArray:
        sheet = Sheet(self.layout.width_px, self.layout.height_px)
        caption_px = self._caption_px()
        with sheet.painter() as painter:
            for spot in self.layout.fields:
                fill(painter, spot.rect, theme.PAPER_SHADE)
                self._write_caption(painter, spot, caption_px)
            paint_bar(painter, self.layout, self.labels.ticks, *self._ends)
        return sheet.pixels()

    def _caption_px(self) -> int:
        """One size for all captions of a clip: the one at which the longest fits."""
        ink = Ink(px=self._px(Size.CAPTION), bold=True)
        width_px = min(spot.caption.width for spot in self.layout.fields)
        captions = [self.labels.captions[spot.name] for spot in self.layout.fields]
        if self._has_two_lines(self.layout.fields[0]):
            return fitting_px((c.whose for c in captions), ink, width_px)
        return fitting_px((f"{c.whose}  {c.view}" for c in captions), ink, width_px)

    def _has_two_lines(self, spot: Field) -> bool:
        return spot.caption.height > 2 * self._px(Size.CAPTION)

    def _write_caption(self, painter: QPainter, spot: Field, px: int) -> None:
        """Whose and from where, on one line if that fits, over a rule in the side's colour."""
        caption, box = self.labels.captions[spot.name], spot.caption
        rule = max(even(_RULE_SHARE * self.layout.short_side_px), 2)
        text = Rect(left=box.left, top=box.top, width=box.width, height=box.height - rule)
        whose = Ink(px=px, bold=True)
        view = Ink(px=px, colour=theme.INK_SOFT, align=Qt.AlignmentFlag.AlignRight)
        if self._has_two_lines(spot):
            upper, lower = halves(text)
            write(painter, upper, caption.whose, whose)
            write(painter, lower, caption.view, replace(view, align=Qt.AlignmentFlag.AlignLeft))
        else:
            write(painter, text, caption.whose, whose)
            write(painter, text, caption.view, view)
        line = Rect(left=box.left, top=box.bottom - rule, width=box.width, height=rule)
        fill(painter, line, SIDE_COLOUR[spot.side])

    def _put_picture(
        self, canvas: FrameArray, spot: Field, picture: FrameArray | Placed | None
    ) -> Rect:
        """Put a picture in its field; returns where it stands."""
        if picture is None:
            self._put_missing(canvas, spot)
            return spot.rect
        if not isinstance(picture, Placed):
            picture = self.place(spot.name, picture)
        target = picture.placement.target
        canvas[target.cut] = picture.pixels
        return target

    def _put_missing(self, canvas: FrameArray, spot: Field) -> None:
        words = self.labels.captions[spot.name].missing
        ink = Ink(
            px=self._px(Size.WORD), colour=theme.INK_SOFT, align=Qt.AlignmentFlag.AlignHCenter
        )
        line = Line(words=words, ink=ink)
        middle = Rect(
            left=spot.rect.left,
            top=spot.rect.top + even((spot.rect.height - 2 * ink.px) / 2),
            width=spot.rect.width,
            height=2 * ink.px,
        )
        self._put_lines(canvas, spot.name, middle, (line,), theme.PAPER_SHADE)

    def _put_note(self, canvas: FrameArray, name: str, shown: Rect, words: str) -> None:
        """A remark on a slip of paper in the picture's lower left corner."""
        if not words:
            return
        ink = Ink(px=self._px(Size.WORD), align=Qt.AlignmentFlag.AlignHCenter)
        height = even(1.6 * ink.px)
        slip = Rect(
            left=shown.left,
            top=shown.bottom - height,
            width=min(even(text_width(words, ink) + ink.px), shown.width),
            height=height,
        )
        self._put_lines(canvas, f"note {name}", slip, (Line(words=words, ink=ink),))

    def _put_title(self, canvas: FrameArray, state: ClipState) -> None:
        if state.held is not None:
            line = Line(words=str(state.held), ink=Ink(px=self._px(Size.TITLE), bold=True))
        else:
            words = phase_words(self.labels.ticks, state.now_ns)
            line = Line(words=words, ink=Ink(px=self._px(Size.READOUT), colour=theme.INK_SOFT))
        self._put_lines(canvas, "title", self.layout.strip.title, (line,))

    def _put_readout(self, canvas: FrameArray, state: ClipState) -> None:
        """One time in large type, or each swing's own where the two differ."""
        zero = self.labels.zero
        align = (
            Qt.AlignmentFlag.AlignLeft
            if self.layout.name.is_upright
            else Qt.AlignmentFlag.AlignRight
        )
        now = theme.time_words(state.now_ns, zero)
        if state.then_ns is None:
            ink = Ink(px=self._px(Size.READOUT), align=align)
            lines: tuple[Line, ...] = (Line(words=now, ink=ink),)
        else:
            then = theme.time_words(state.then_ns, zero)
            ink = Ink(px=self._px(Size.CAPTION), align=align)
            lines = (
                Line(words=f"{self.labels.then_word}: {then}", ink=ink),
                Line(words=f"{self.labels.now_word}: {now}", ink=replace(ink, bold=True)),
            )
        self._put_lines(canvas, "readout", self.layout.strip.readout, lines)

    def _put_lines(
        self,
        canvas: FrameArray,
        key: str,
        rect: Rect,
        lines: tuple[Line, ...],
        paper: theme.Colour = theme.PAPER,
    ) -> None:
        """Put words on the canvas; paint them only if they aren't the ones painted last."""
        kept = self._kept.get(key)
        if kept is None or kept[0] != lines:
            kept = (lines, lines_on_paper(rect.width, rect.height, lines, paper))
            self._kept[key] = kept
        canvas[rect.cut] = kept[1]
