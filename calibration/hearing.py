"""Lets whoever waits for an adjustment hear each of its rounds, and stop it there.

Owns nothing of the adjustment. What listens may raise: then nothing is found and nothing changed.
How many rounds there will be nobody knows beforehand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar


def _nobody() -> None:
    """Nobody listens."""


_LISTENS: ContextVar[Callable[[], None]] = ContextVar("listens", default=_nobody)


@contextmanager
def heard_by(listens: Callable[[], None]) -> Iterator[None]:
    """Have something called after each round of what is worked out inside, in this thread alone.

    Example:
        >>> rounds = []
        >>> with heard_by(lambda: rounds.append(1)):
        ...     round_done()
        >>> round_done()
        >>> len(rounds)
        1
    """
    before = _LISTENS.set(listens)
    try:
        yield
    finally:
        _LISTENS.reset(before)


def round_done() -> None:
    """Say that a round is over."""
    _LISTENS.get()()
