"""The page at a clip's end: what the coach wrote for the way home, large on paper.

Owns how it is set. Refuses nothing: words that are many are written smaller, and those that are
too many for the smallest size are kept out by whoever asks for the page.
"""

from __future__ import annotations

from capturestation.drawing import theme
from capturestation.drawing.layout import Layout
from capturestation.drawing.rect import Rect, even
from capturestation.drawing.sheet import Ink, Sheet, fill, text_width, wrapped, write
from capturestation.drawing.theme import Size
from capturestation.records import FrameArray

MOST_SIGNS = 320
"""Of a note: at the smallest size a page holds as many, and nobody reads more off a clip."""
_LARGEST, _LEAST = 1 / 12, 1 / 24
# Letters of the note, of the canvas's shorter side.
_LEADING = 1.4
_MARGIN = 1 / 9
# Of the shorter side, left and right.


def note_page(layout: Layout, heading: str, note: str, footing: str) -> FrameArray:
    """Set a page.

    Args:
        layout: The clip's canvas.
        heading: What the note is, a few words over a rule.
        note: The words; a line break begins a new paragraph.
        footing: Such as the date, at the foot.

    Returns:
        (H, W, 3) RGB.

    Raises:
        RuntimeError: If `ensure_app` was not called.
    """
    sheet = Sheet(layout.width_px, layout.height_px)
    margin = even(_MARGIN * layout.short_side_px)
    width = layout.width_px - 2 * margin
    head_px = theme.type_px(Size.READOUT, layout.short_side_px)
    rule_px = max(even(layout.short_side_px / 120), 2)
    head = Rect(left=margin, top=margin, width=width, height=even(1.6 * head_px))
    foot_top = layout.height_px - margin - head.height
    body = Rect(
        left=margin,
        top=head.bottom + rule_px + head_px,
        width=width,
        height=foot_top - head.bottom - rule_px - 2 * head_px,
    )
    with sheet.painter() as painter:
        write(painter, head, heading, Ink(px=head_px, bold=True, colour=theme.INK_SOFT))
        rule = Rect(left=margin, top=head.bottom, width=width, height=rule_px)
        fill(painter, rule, theme.BLUE)
        lines, ink = _set(note, body, layout.short_side_px)
        each, top = round(_LEADING * ink.px), body.top
        for line in lines:
            write(painter, Rect(left=body.left, top=top, width=width, height=each), line, ink)
            top += each if line else each // 2
        foot = Rect(left=margin, top=foot_top, width=width, height=head.height)
        soft = Ink(px=theme.type_px(Size.CAPTION, layout.short_side_px), colour=theme.INK_SOFT)
        write(painter, foot, footing, soft)
    return sheet.pixels()


def _set(note: str, body: Rect, short_side_px: int) -> tuple[list[str], Ink]:
    """The largest letters at which all of it fits, and its lines at that size."""
    least = round(_LEAST * short_side_px)
    for px in range(round(_LARGEST * short_side_px), least, -1):
        ink = Ink(px=px, bold=True)
        lines = _lines(note, ink, body.width)
        # An empty line between paragraphs is half as high.
        high = round(_LEADING * px) * (len(lines) - lines.count("") / 2)
        if high <= body.height and all(text_width(line, ink) <= body.width for line in lines):
            return lines, ink
    ink = Ink(px=least, bold=True)
    return _lines(note, ink, body.width), ink


def _lines(note: str, ink: Ink, width_px: int) -> list[str]:
    paragraphs = [part for part in note.splitlines() if part.strip()]
    lines = [line for part in paragraphs for line in (*wrapped(part, ink, width_px), "")]
    return lines[:-1]
