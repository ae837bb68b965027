"""Telling whoever looks that something changed, without knowing who that is."""

from __future__ import annotations

from collections.abc import Callable


class Notice:
    """Something that happens; those who asked are called in the order in which they asked.

    Example:
        >>> heard, notice = [], Notice()
        >>> stop = notice.tell(lambda: heard.append("changed"))
        >>> [notice(), stop(), notice()] and heard
        ['changed']
    """

    def __init__(self) -> None:
        self._told: list[Callable[[], None]] = []

    def tell(self, whom: Callable[[], None]) -> Callable[[], None]:
        """Have something called from now on; what comes back ends it."""
        self._told.append(whom)
        return lambda: self._told.remove(whom)

    def __call__(self) -> None:
        """It happened."""
        for whom in tuple(self._told):
            whom()
