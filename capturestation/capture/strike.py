"""One struck ball on its way to a folder."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from capturestation.records import SwingId
from capturestation.records.capture import Candidate, Confirmed, Trigger, Windows


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """A ball that is to be kept.

    Args:
        id: Of the swing to be.
        at_host_ns: Impact.
        u_ns: Standard uncertainty of it.
        struck_at: Impact by the clock on the wall.
        trigger: What has it kept.
        ticket: Whose it is, as the station said.
        windows: How much is kept.
        candidate: What was heard; None by key or motion.
        confirmed: What the picture said; None by key or motion.
    """

    id: SwingId
    at_host_ns: int
    u_ns: int
    struck_at: datetime
    trigger: Trigger
    ticket: str
    windows: Windows
    candidate: Candidate | None = None
    confirmed: Confirmed | None = None

    @property
    def from_ns(self) -> int:
        """The first picture that is wanted, host clock."""
        return self.at_host_ns - self.windows.before_ns

    @property
    def until_ns(self) -> int:
        """The last picture that is wanted."""
        return self.at_host_ns + self.windows.after_ns

    @property
    def sound_span_ns(self) -> tuple[int, int]:
        """From when to when sound is kept: no more talk than needed, unless it is wanted."""
        windows = self.windows
        if windows.keeps_talk:
            return self.from_ns, self.until_ns
        before = min(windows.sound_ns, windows.before_ns)
        after = min(windows.sound_ns, windows.after_ns)
        return self.at_host_ns - before, self.at_host_ns + after
