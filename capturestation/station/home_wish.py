"""What is asked of all that goes home."""

from __future__ import annotations

from dataclasses import dataclass, field

from capturestation.drawing.note_page import MOST_SIGNS
from capturestation.errors import BadInputError
from capturestation.station.boards import Paper
from capturestation.station.clips import ClipWish

MOST_PRACTISE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeWish:
    """What is to go home.

    Args:
        clip: How the clip looks and plays; its note also stands on the page.
        paper: What the page is printed on.
        practise: One or two things to practise.
        with_checks: Whether the page says what has to work, and whether it does.
        with_weeks: Whether the page shows how what the lesson works on went over the weeks.
        replace: Whether files of these names may be written over.
    """

    clip: ClipWish = field(default_factory=ClipWish)
    paper: Paper = Paper.A4
    practise: tuple[str, ...] = ()
    with_checks: bool = False
    with_weeks: bool = False
    replace: bool = False

    @property
    def is_alone(self) -> bool:
        """Whether today's swing goes home without an earlier one beside it."""
        return not self.clip.needs_then

    def check(self) -> None:
        """Refuse more words than have room.

        Raises:
            BadInputError: Says how many there may be.
        """
        if len(self.practise) > MOST_PRACTISE:
            raise BadInputError(
                f"A page has one or two things to practise, not {len(self.practise)}.",
                try_next="Choose the two that matter most.",
            )
        for text in (self.clip.note, *self.practise):
            if len(text) > MOST_SIGNS:
                raise BadInputError(
                    f"The words have {len(text)} signs and there is room for {MOST_SIGNS}.",
                    try_next="Shorten them to what matters most.",
                )
