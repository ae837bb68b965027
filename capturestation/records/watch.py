"""How a long job says how far it is, and how it is stopped."""

from __future__ import annotations

from typing import Protocol

from capturestation.errors import CancelledError


class Watch(Protocol):
    """Handed to anything that may take over a second."""

    def report(self, share: float, words: str) -> None:
        """Say how far the job is.

        Args:
            share: 0..1 of the whole job.
            words: What is being done, a few plain words.

        Raises:
            CancelledError: If the user wants to stop; the job undoes what it began.
        """


class Quiet:
    """A watch that nobody looks at and nobody stops."""

    def report(self, share: float, words: str) -> None:
        """Do nothing."""


class StopAfter:
    """A watch that stops the job once it has reported `share`; for trying cancellation."""

    def __init__(self, share: float) -> None:
        self.share = share

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Stop once far enough."""
        if share >= self.share:
            raise CancelledError


class Part:
    """A stretch of a longer job, so that its own 0..1 fills `start`..`end` of the whole."""

    def __init__(self, whole: Watch, start: float, end: float, words: str = "") -> None:
        self.whole = whole
        self.start = start
        self.end = end
        self.words = words

    def report(self, share: float, words: str) -> None:
        """Pass on, scaled."""
        scaled = self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)
        self.whole.report(scaled, f"{self.words} {words}".strip())
