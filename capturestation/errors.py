"""What can go wrong in the world or at the user's hands; anything else is our bug.

Owns the tree of errors that the program explains instead of crashing on. Refuses to know any layer:
each layer maps the errors of the library it imports onto these, with ``raise ... from``.

    StationError                    exit code
    ├── BadInputError               3   a file or value handed in can't be used
    │   ├── NotReadableError        3   missing, empty, cut, not a video, no frames
    │   └── NoSoundError            3   a sound was needed and there is none
    ├── NotFoundError               4   no such student, lesson, swing, moment ...
    ├── RefusedError                5   asked for, understood, and not done
    │   ├── ComparisonRefusedError  5   two swings that must not be compared
    │   ├── TimingRefusedError      5   sound and picture contradict each other, or no strike
    │   ├── MarkRefusedError        5   a mark out of the order of the moments
    │   └── ConsentRefusedError     5   the consent that the age needs is not there
    ├── OutputError                 6   can't be written: exists, no right, disk full
    ├── LibraryError                7   the library itself is damaged, locked or too new
    ├── FetchError                  8   something to fetch from the net could not be had
    └── CancelledError            130   the user stopped it; nothing is left behind
"""

from __future__ import annotations


class StationError(Exception):
    """The world or the user is not as needed; says what happened and what to try.

    Args:
        what: One sentence: what happened, naming the subject.
        try_next: One sentence: what to try.
        subject: The file, id or value it is about, or an empty string.
    """

    exit_code = 1

    def __init__(self, what: str, *, try_next: str, subject: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.try_next = try_next
        self.subject = subject

    def __str__(self) -> str:
        return f"{self.what} {self.try_next}".strip()


class BadInputError(StationError):
    """A file or a value that was handed in can't be used."""

    exit_code = 3


class NotReadableError(BadInputError):
    """A file is missing, empty, cut, not a video, or holds no frame."""


class NoSoundError(BadInputError):
    """A sound was needed and the file holds none."""


class NotFoundError(StationError):
    """Nothing in the library answers to that id or name."""

    exit_code = 4


class RefusedError(StationError):
    """The request is understood and must not be done."""

    exit_code = 5


class ComparisonRefusedError(RefusedError):
    """Two swings of different people, kinds or club groups."""


class TimingRefusedError(RefusedError):
    """No strike was found, or the sound and the picture contradict each other."""


class MarkRefusedError(RefusedError):
    """A mark that stands out of the order in which the moments happen."""


class ConsentRefusedError(RefusedError):
    """The consent that the student's age needs is not recorded."""


class OutputError(StationError):
    """A result can't be written; nothing partial was left."""

    exit_code = 6


class LibraryError(StationError):
    """The library is damaged, in use in a way that can't be shared, or newer than this program."""

    exit_code = 7


class FetchError(StationError):
    """Something that has to be fetched once could not be had; nothing partial was left."""

    exit_code = 8


class CancelledError(StationError):
    """The user stopped it; what was begun has been taken away."""

    exit_code = 130

    def __init__(
        self,
        what: str = "Stopped at your request.",
        *,
        try_next: str = "Nothing was left behind; start again when you like.",
    ) -> None:
        super().__init__(what, try_next=try_next)
