"""Rectangles of whole pixels, which everything on a canvas stands in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A rectangle of whole pixels."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """First column to the right of it."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """First row below it."""
        return self.top + self.height

    @property
    def cut(self) -> tuple[slice, slice]:
        """Rows and columns, to cut it out of an array."""
        return slice(self.top, self.bottom), slice(self.left, self.right)


def even(value: float) -> int:
    """The nearest even number: halved colour planes need it."""
    return round(value / 2) * 2


def even_below(value: float) -> int:
    """The largest even number that is not above it."""
    return int(value // 2) * 2


def stacked(rect: Rect, count: int) -> tuple[Rect, ...]:
    """So many parts of equal height, from the top; a rest of a few pixels is left below."""
    each = rect.height // count
    return tuple(
        Rect(left=rect.left, top=rect.top + n * each, width=rect.width, height=each)
        for n in range(count)
    )
