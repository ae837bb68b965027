"""Paints a clip's frames: pictures in their fields, captions, and the strip of time.

Owns what stands on a clip. What never changes is painted once; words are painted again only
when they change; pictures are copied in. Called by the hand-out and by the screen alike.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from PyQt6.QtCore import Qt

from capturestation.drawing import theme
from capturestation.drawing.clip_captions import Caption, captions_px, write_caption
from capturestation.drawing.layout import Field, Layout, column
from capturestation.drawing.placing import KEEP_WIDTH, Picture, Placement, middle, place
from capturestation.drawing.rect import Rect, even
from capturestation.drawing.sheet import (
    Ink,
    Line,
    Sheet,
    fill,
    fitting_px,
    lines_on_paper,
    scaled,
    text_width,
    wrapped,
)
from capturestation.drawing.strip import Tick, draw_marker, paint_bar, phase_words
from capturestation.drawing.theme import Size
from capturestation.records import NS_PER_S, Box, FrameArray, Moment

_TITLE_SHARE, _ROW_SHARE = 0.76, 0.8
_LEAST_TITLE = 0.3
# The title's row grows with the room left over; the longest name decides how large it is written.
# Letters of the held moment's name and of a time, of their row's height.


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
        mark: What stands on each picture, all the time; nothing where it is empty.
    """

    captions: Mapping[str, Caption]
    ticks: tuple[Tick, ...]
    start_ns: int
    stop_ns: int
    zero: str = "impact"
    now_word: str = "today"
    then_word: str = "own best"
    mark: str = ""


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """Something painted, and where it goes; the same object as long as nothing of it changes."""

    rect: Rect
    pixels: FrameArray


class ClipPainter:
    """Paints the frames of one clip.

    Args:
        layout: Where everything stands.
        labels: The words that don't change.
        boxes: What of a picture has to be seen whole, by the field's name.
        keep_width: Least share of the width to show of a picture that isn't in `boxes`.

    Raises:
        RuntimeError: If `ensure_app` was not called.
        KeyError: If a field has no caption.
    """

    def __init__(
        self,
        layout: Layout,
        labels: ClipLabels,
        *,
        boxes: Mapping[str, Box] | None = None,
        keep_width: float = KEEP_WIDTH,
    ) -> None:
        self.layout = layout
        self.labels = labels
        self._boxes = dict(boxes or {})
        self._middle = middle(keep_width)
        self._base = self._paint_base()
        self._base.setflags(write=False)
        self._kept: dict[str, tuple[object, Patch]] = {}
        self._row_px: dict[tuple[str, ...], int] = {}

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
        box = self._boxes.get(name, self._middle)
        picture = Picture(width_px=width_px, height_px=height_px, box=box)
        return place(picture, self.layout.field(name).rect)

    def paint(self, pictures: Mapping[str, FrameArray | Placed], state: ClipState) -> FrameArray:
        """Paint one frame.

        Args:
            pictures: By the field's name; a field that isn't named says that it has none.
            state: What it shows.

        Returns:
            A fresh canvas, (H, W, 3) RGB.
        """
        canvas = self._base.copy()
        shown = {
            name: picture if isinstance(picture, Placed) else self.place(name, picture)
            for name, picture in pictures.items()
        }
        for picture in shown.values():
            canvas[picture.placement.target.cut] = picture.pixels
        targets = {name: picture.placement.target for name, picture in shown.items()}
        for patch in self.patches(targets, state):
            canvas[patch.rect.cut] = patch.pixels
        return canvas

    @property
    def base(self) -> FrameArray:
        """What never changes, (H, W, 3) RGB, read-only."""
        return self._base

    def patches(self, shown: Mapping[str, Rect], state: ClipState) -> list[Patch]:
        """Everything that goes over the base and the pictures, in that order.

        Whoever composes a frame in another form than RGB converts a patch once and copies it in
        as long as it is the same.

        Args:
            shown: Where each field's picture stands; a field that isn't named says it has none.
            state: What the frame shows.
        """
        found = []
        for spot in self.layout.fields:
            if spot.name not in shown:
                found.append(self._missing(spot))
            elif self.labels.mark:
                # Ball and feet are below.
                mark = self._note(f"mark {spot.name}", shown[spot.name], self.labels.mark, top=True)
                found.append(mark)
            words = state.notes.get(spot.name, "")
            if words:
                found.append(self._note(spot.name, shown.get(spot.name, spot.rect), words))
        return [*found, self._title(state), self._readout(state), self._bar(state)]

    @property
    def _ends(self) -> tuple[int, int]:
        return self.labels.start_ns, self.labels.stop_ns

    def _px(self, size: Size) -> int:
        return theme.type_px(size, self.layout.short_side_px)

    def _paint_base(self) -> FrameArray:
        sheet = Sheet(self.layout.width_px, self.layout.height_px)
        caption_px = captions_px(self.layout, self.labels.captions)
        with sheet.painter() as painter:
            for spot in self.layout.fields:
                fill(painter, spot.rect, theme.PAPER_SHADE)
                caption = self.labels.captions[spot.name]
                write_caption(painter, self.layout, spot, caption, caption_px)
            paint_bar(painter, self.layout, self.labels.ticks, *self._ends)
        return sheet.pixels()

    def _missing(self, spot: Field) -> Patch:
        words = self.labels.captions[spot.name].missing
        ink = Ink(
            px=self._px(Size.WORD), colour=theme.INK_SOFT, align=Qt.AlignmentFlag.AlignHCenter
        )
        lines = tuple(Line(words=w, ink=ink) for w in wrapped(words, ink, spot.rect.width))
        height = min(even(1.4 * ink.px * len(lines)), spot.rect.height)
        top = spot.rect.top + even((spot.rect.height - height) / 2)
        rect = replace(spot.rect, top=top, height=height)
        return self._words(spot.name, rect, lines, theme.PAPER_SHADE)

    def _note(self, name: str, shown: Rect, words: str, *, top: bool = False) -> Patch:
        """A remark on a slip of paper in the picture's lower left corner, or in its upper one."""
        ink = Ink(px=self._px(Size.WORD), align=Qt.AlignmentFlag.AlignHCenter)
        height = even(1.6 * ink.px)
        slip = Rect(
            left=shown.left,
            top=shown.top if top else shown.bottom - height,
            width=min(even(text_width(words, ink) + ink.px), shown.width),
            height=height,
        )
        return self._words(f"note {name}", slip, (Line(words=words, ink=ink),))

    def _title(self, state: ClipState) -> Patch:
        if state.held is not None:
            rect = self.layout.strip.title
            ink = Ink(px=round(_TITLE_SHARE * rect.height), bold=True)
            # One size for all names, so that the longest is whole and none jumps.
            names = (str(tick.moment) for tick in self.labels.ticks if tick.is_held)
            px = fitting_px((*names, str(state.held)), ink, rect.width, least_share=_LEAST_TITLE)
            line = Line(words=str(state.held), ink=replace(ink, px=px))
        else:
            words = phase_words(self.labels.ticks, state.now_ns)
            line = Line(words=words, ink=Ink(px=self._px(Size.READOUT), colour=theme.INK_SOFT))
        return self._words("title", self.layout.strip.title, (line,))

    def _readout(self, state: ClipState) -> Patch:
        """One time in large type, or each swing's own where the two differ."""
        labels, rect = self.labels, self.layout.strip.readout
        align = (
            Qt.AlignmentFlag.AlignLeft
            if self.layout.name.is_upright
            else Qt.AlignmentFlag.AlignRight
        )
        now = theme.time_words(state.now_ns, labels.zero)
        if state.then_ns is None:
            rows = [("", now)]
        else:
            then = theme.time_words(state.then_ns, labels.zero)
            rows = [(f"{labels.then_word}: ", then), (f"{labels.now_word}: ", now)]
        row_px = round(_ROW_SHARE * rect.height / len(rows))
        ink = Ink(px=min(self._px(Size.READOUT), row_px), bold=True, align=align)
        # One size for all times, so that the words don't jump as they run.
        longest = theme.time_words(-NS_PER_S, labels.zero)
        whose = tuple(who for who, _ in rows)
        if whose not in self._row_px:
            fits = fitting_px((who + longest for who in whose), ink, rect.width)
            self._row_px[whose] = fits
        px = self._row_px[whose]
        inks = [replace(ink, px=px, bold=False)] * (len(rows) - 1) + [replace(ink, px=px)]
        lines = tuple(
            Line(words=who + at, ink=of) for (who, at), of in zip(rows, inks, strict=True)
        )
        return self._words("readout", rect, lines)

    def _bar(self, state: ClipState) -> Patch:
        """The bar of time with the marker on it."""
        rect = self.layout.strip.bar
        at = column(rect, state.now_ns, *self._ends)

        def painted() -> FrameArray:
            bar = self._base[rect.cut].copy()
            draw_marker(bar, replace(rect, left=0, top=0), at - rect.left)
            return bar

        return self._keep("bar", at, rect, painted)

    def _words(
        self,
        key: str,
        rect: Rect,
        lines: tuple[Line, ...],
        paper: theme.Colour = theme.PAPER,
    ) -> Patch:
        """Words on paper."""
        return self._keep(
            key,
            (rect, lines),
            rect,
            lambda: lines_on_paper(rect.width, rect.height, lines, paper),
        )

    def _keep(self, key: str, what: object, rect: Rect, painted: Callable[[], FrameArray]) -> Patch:
        """A patch; painted only if it isn't what was painted last."""
        kept = self._kept.get(key)
        if kept is None or kept[0] != what:
            kept = what, Patch(rect=rect, pixels=painted())
            self._kept[key] = kept
        return kept[1]
