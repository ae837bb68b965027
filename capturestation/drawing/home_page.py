"""The page that a student takes home: pictures on one side, words on the other.

Owns what such a page consists of. What stands on it is decided by whoever asks, who also keeps
names and places off it; `home_sides` paints it.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.compare.weeks import Course
from capturestation.records import FrameArray

COLUMNS = (3, 5)
"""Fewest and most pictures beside each other: fewer waste the paper, more show a small golfer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Still:
    """One picture of a page.

    Args:
        pixels: (H, W, 3) RGB; None where there is none.
        missing: Why not, a few words.
    """

    pixels: FrameArray | None = None
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StillRow:
    """One swing from one angle, moment by moment.

    Args:
        caption: Whose, when and from where.
        is_now: Whether it is today's: its mark's colour.
        stills: As many as the moments.
    """

    caption: str
    is_now: bool
    stills: tuple[Still, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StillBlock:
    """Rows under the same moments.

    Args:
        moments: Their names.
        rows: Pictures.
    """

    moments: tuple[str, ...]
    rows: tuple[StillRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A heading and its sentences, each beginning a line.

    Args:
        heading: A few words.
        lines: Sentences.
        marked: Whether each has a mark before it.
        small: Whether they are set smaller, as what need not be read every day.
    """

    heading: str
    lines: tuple[str, ...]
    marked: bool = True
    small: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WeeksDrawn:
    """A measure over the lessons, on the second side.

    Args:
        heading: What it is, in words.
        course: Its values.
        lines: What it says, sentences.
    """

    heading: str
    course: Course
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HomePage:
    """All that stands on both sides.

    Args:
        title: What it is of, such as the club.
        day: The lesson's.
        whose: A name, or nothing.
        work: Passages above the pictures, large: what to work on, what to practise.
        blocks: The pictures.
        under: A line under the pictures.
        words: The second side.
        weeks: A chart above these words; None where none is asked for.
    """

    title: str
    day: str
    whose: str = ""
    work: tuple[Passage, ...] = ()
    blocks: tuple[StillBlock, ...]
    under: str = ""
    words: tuple[Passage, ...]
    weeks: WeeksDrawn | None = None


def columns_for(aspect: float, rows: int, size_mm: tuple[float, float]) -> int:
    """How many moments stand beside each other so that the golfer is as large as the paper allows.

    Args:
        aspect: Width over height of the pictures.
        rows: How many rows of them, all blocks together.
        size_mm: The paper's width and height.

    Example:
        >>> columns_for(1.0, 4, (210.0, 297.0)), columns_for(0.7, 4, (210.0, 297.0))
        (4, 5)
    """
    wide, high = size_mm
    each_mm = (high - 105.0) / rows - 7.0
    fewest, most = COLUMNS
    return min(max(round((wide - 28.0) / (each_mm * aspect)), fewest), most)
