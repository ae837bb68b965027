"""How the station looks: like a print on paper with a caption.

Owns colours, type sizes and the words of times and dates. Colours are never the only sign: each
stands beside a word. The two sides' colours are from the Okabe–Ito set, which people with any
colour vision tell apart.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import TypeAlias

from PyQt6.QtGui import QFont, QFontDatabase

from capturestation.records import NS_PER_S

Colour: TypeAlias = tuple[int, int, int]
"""Red, green, blue, 0..255."""
PAPER: Colour = (0xF6, 0xF3, 0xEC)
PAPER_SHADE: Colour = (0xE7, 0xE2, 0xD7)
INK: Colour = (0x1D, 0x28, 0x2E)
INK_SOFT: Colour = (0x5B, 0x66, 0x6D)
BLUE: Colour = (0x00, 0x72, 0xB2)
VERMILLION: Colour = (0xD5, 0x5E, 0x00)
"""The last two: Okabe & Ito, Color Universal Design, 2008."""

_FAMILIES = ("DejaVu Sans", "Noto Sans", "Liberation Sans")
# Fonts whose digits are all equally wide, so that a running time doesn't tremble.
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_NS_PER_MS = NS_PER_S // 1000


class Size(StrEnum):
    """Type sizes by what is written."""

    READOUT = "readout"
    CAPTION = "caption"
    WORD = "word"


_SHARE = {Size.READOUT: 1 / 21, Size.CAPTION: 1 / 27, Size.WORD: 1 / 33}
# Of the canvas's shorter side: on a phone held either way that side is about 65 mm, so the
# smallest words stand 2 mm high.


def type_px(size: Size, short_side_px: int) -> int:
    """Height of the letters' line on a canvas, pixels."""
    return round(_SHARE[size] * short_side_px)


def font(px: int, *, bold: bool = False) -> QFont:
    """The station's type in that size."""
    installed = set(QFontDatabase.families())
    family = next((name for name in _FAMILIES if name in installed), "")
    made = QFont(family) if family else QFont()
    made.setPixelSize(px)
    made.setBold(bold)
    return made


def date_words(day: date) -> str:
    """A date as written on a clip, the same on any machine.

    Example:
        >>> date_words(date(2026, 10, 30))
        '30 Oct 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def time_words(at_ns: int, zero: str = "impact") -> str:
    """A swing time in words, to the millisecond.

    Args:
        at_ns: Swing clock.
        zero: What zero is.

    Example:
        >>> time_words(-112_400_000), time_words(400_000), time_words(34_000_000)
        ('0.112 s before impact', 'impact', '0.034 s after impact')
    """
    ms = round(at_ns / _NS_PER_MS)
    if ms == 0:
        return zero
    return f"{abs(ms) / 1000:.3f} s {'before' if ms < 0 else 'after'} {zero}"
