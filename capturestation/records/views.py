"""Where cameras stand, by name."""

from __future__ import annotations

from enum import StrEnum


class View(StrEnum):
    """Where a camera stands."""

    FACE_ON = "face-on"
    DOWN_THE_LINE = "down-the-line"
    EXTRA = "extra"

    @property
    def across(self) -> View:
        """The view that it may have been taken for: face-on and down the line; extra is its own."""
        return _ACROSS.get(self, self)


_ACROSS = {View.FACE_ON: View.DOWN_THE_LINE, View.DOWN_THE_LINE: View.FACE_ON}
