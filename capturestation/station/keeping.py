"""How what was done on a picture gets into the library: at once, or beside the window.

Owns the seam only. A picture shows a change before it is written, so nobody waits for a disk; if
it can't be written, whoever made it is told and shows again what is kept.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol


class Keep(Protocol):
    """Writes changes in the order in which they were made."""

    def __call__(self, words: str, op: Callable[[], object], failed: Callable[[], None]) -> None:
        """Write one.

        Args:
            words: What it is, for whoever waits.
            op: Writes it; may raise a `StationError`, which is told to the user.
            failed: Is called then, on the thread that asked.
        """


def at_once(words: str, op: Callable[[], object], failed: Callable[[], None]) -> None:  # noqa: ARG001 - the protocol's shape
    """Write it now; an error goes on to whoever made the change.

    Raises:
        StationError: Whatever `op` raises, after `failed` was called.
    """
    try:
        op()
    except BaseException:
        failed()
        raise
