"""The window on the whole screen, and the pictures of a place alone on it.

Owns how the window stood before, and that nothing but the pictures is seen meanwhile.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from capturestation.ui.window import Window


class WholeScreen:
    """Fills the screen and gives it back.

    Args:
        window: What stands on the screen.
    """

    def __init__(self, window: Window) -> None:
        self._window = window
        self._is_bare = self._was_whole = False

    def toggle(self) -> None:
        """The window on the whole screen, or as it stood before."""
        if self._is_bare:
            self.show_bare(on=False)
        elif self._window.isFullScreen():
            self._window.showNormal()
        else:
            self._window.showFullScreen()

    def show_bare(self, *, on: bool) -> None:
        """Let the pictures of the place fill the whole screen, or put everything back."""
        window = self._window
        place = window.place
        if place is None or on == self._is_bare:
            return
        self._is_bare = on
        if on:
            self._was_whole = window.isFullScreen()
            window.showFullScreen()
        elif not self._was_whole:
            window.showNormal()
        self.show_frame()
        place.show_bare(on)

    def show_frame(self) -> None:
        """Header and caption make way for pictures; with a page over them they are there again."""
        is_seen = not self._is_bare or self._window.pages.is_covered
        self._window.header.setVisible(is_seen)
        self._window.caption.setVisible(is_seen)
