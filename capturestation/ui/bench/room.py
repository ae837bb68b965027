"""How much room there is for a swing, counted in letters, and what makes way where it is little.

Owns the three ways of the Bench. Pictures come first at every size of window and of letters.
"""

from __future__ import annotations

from enum import StrEnum

_ROOMY, _SNUG, _TIGHT = 31, 23, 11
# Of the place's height in letters' heights: with letters of 19 px from 590, 440 and 210 px on.
_FIELD_SHARE = 13.5
# Of a picture's width: "own best, 18 Sep 2026" in bold letters, and air.


class Room(StrEnum):
    """What there is room for below and above the pictures."""

    ROOMY = "roomy"
    """The lesson's focus large above, the words of movement on a row of their own."""
    SNUG = "snug"
    """The focus in the caption of the page."""
    TIGHT = "tight"
    """The words of movement beside the bar of time as well, on two lines, only what is needed."""
    BARE = "bare"
    """Pictures alone: something that has to be read takes the room for a while."""


def room_of(height_px: int, letters_px: int) -> Room:
    """Which way fits.

    Args:
        height_px: Of the place.
        letters_px: Of usual letters.

    Example:
        >>> room_of(620, 19), room_of(620, 25), room_of(620, 38)
        (<Room.ROOMY: 'roomy'>, <Room.SNUG: 'snug'>, <Room.TIGHT: 'tight'>)
        >>> room_of(360, 38)
        <Room.BARE: 'bare'>
    """
    share = height_px / letters_px
    if share >= _ROOMY:
        return Room.ROOMY
    if share >= _SNUG:
        return Room.SNUG
    return Room.TIGHT if share >= _TIGHT else Room.BARE


def most_fields(width_px: int, letters_px: int) -> int:
    """How many pictures with readable captions can stand beside each other; at least one.

    Example:
        >>> most_fields(1240, 19), most_fields(1240, 38), most_fields(900, 19)
        (4, 2, 3)
    """
    return max(int(width_px / (_FIELD_SHARE * letters_px)), 1)
