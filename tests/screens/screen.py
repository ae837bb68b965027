"""One screen that is looked at as a picture, and how a window is brought to show it.

Each place has a module here with its `SCREENS`; `python -m tests.screens` finds them all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from capturestation.ui.window import Window


def _ready(_window: Window) -> bool:
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A screen.

    Args:
        name: Of its pictures' files: a place, and what is seen there.
        show: Brings the window there.
        ready: Whether all that comes later, such as pictures from a disk, has come.
        leave: Brings the window back for the next one.
    """

    name: str
    show: Callable[[Window], None]
    ready: Callable[[Window], bool] = _ready
    leave: Callable[[Window], None] = Window.leave_over
