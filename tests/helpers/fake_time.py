"""A clock that stands still but for whoever waits on it."""

from __future__ import annotations


class FakeTime:
    """A host clock for one thread.

    Args:
        at_ns: Where it stands.
    """

    def __init__(self, at_ns: int = 5_000_000_000) -> None:
        self.at_ns = at_ns

    def now(self) -> int:
        """The time."""
        return self.at_ns

    def wait(self, for_s: float) -> bool:
        """Let so much time go by; nobody wants an end."""
        self.at_ns += round(for_s * 1e9)
        return False
