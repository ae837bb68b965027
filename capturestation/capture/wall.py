"""The clock on the wall beside the steady one: what time of day it is, and whether somebody set it.

Owns the only reading of the time of day in the recording. Everything else goes by the steady clock,
which nobody sets.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

_STEP = timedelta(seconds=2)
# A clock that is kept by the network is moved by less at a time.
_ANY_DAY = datetime(2000, 1, 1, tzinfo=UTC)


def time_of_day() -> datetime:
    """What the clock on the wall shows."""
    return datetime.now().astimezone()


class Wall:
    """The time of day, or that of the day that is replayed.

    Args:
        as_of: What it is to show now; None for the real one.
    """

    def __init__(self, as_of: datetime | None) -> None:
        self._away = timedelta(0) if as_of is None else as_of - time_of_day()
        self._beside = self._difference()

    def at(self, host_ns: int) -> datetime:
        """The time of day of a host time, as the clock shows it now."""
        ago = timedelta(microseconds=(time.perf_counter_ns() - host_ns) / 1000)
        return time_of_day() + self._away - ago

    def set_by(self) -> timedelta | None:
        """How far it was set forward since asked last; None if it was not."""
        before, now = self._beside, self._difference()
        if abs(now - before) < _STEP:
            return None
        self._beside = now
        return now - before

    @staticmethod
    def _difference() -> timedelta:
        """The clock on the wall less the steady one; only its change means anything."""
        return time_of_day() - _ANY_DAY - timedelta(microseconds=time.perf_counter_ns() / 1000)
