"""What calibration refuses; stand-alone, so that it needs nothing of the station."""

from __future__ import annotations


class CalibrationError(ValueError):
    """A camera document or a request that geometry can't answer; says what and what to try.

    Args:
        what: One sentence: what is wrong.
        try_next: One sentence: what to try.
    """

    def __init__(self, what: str, *, try_next: str) -> None:
        super().__init__(f"{what} {try_next}")
        self.what = what
        self.try_next = try_next

    def __reduce__(self) -> tuple[object, ...]:
        return _remade, (self.what, self.try_next)


def _remade(what: str, try_next: str) -> CalibrationError:
    """The error as it was, on the other side of a process."""
    return CalibrationError(what, try_next=try_next)
