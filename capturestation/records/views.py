"""Where cameras stand, by name."""

from __future__ import annotations

from enum import StrEnum


class View(StrEnum):
    """Where a camera stands."""

    FACE_ON = "face-on"
    DOWN_THE_LINE = "down-the-line"
    EXTRA = "extra"
