"""Changes to a row of drawings, and the way back.

Owns what a change does where another window changed the same row meanwhile: it finds its own
drawing wherever that lies now, and leaves all others alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from capturestation.records import Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One drawing comes, goes, or becomes another.

    Args:
        place: Where in the row.
        before: What was there; None where it comes.
        after: What is there then; None where it goes.
    """

    place: int
    before: Drawing | None
    after: Drawing | None

    @property
    def back(self) -> Edit:
        """What takes it back."""
        return Edit(place=self.place, before=self.after, after=self.before)


def edited(drawings: Sequence[Drawing], edits: Sequence[Edit]) -> tuple[Drawing, ...]:
    """A row of drawings after some changes, in their order; one whose drawing is gone is passed."""
    row = list(drawings)
    for edit in edits:
        if edit.before is None:
            if edit.after is not None:
                row.insert(min(edit.place, len(row)), edit.after)
            continue
        there = [place for place, drawing in enumerate(row) if drawing == edit.before]
        if there:
            place = min(there, key=lambda at: abs(at - edit.place))
            row[place : place + 1] = [] if edit.after is None else [edit.after]
    return tuple(row)


def taken_back(edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """What takes some changes back."""
    return tuple(edit.back for edit in reversed(edits))


def all_gone(drawings: Sequence[Drawing]) -> tuple[Edit, ...]:
    """Every drawing of a row goes, the last first, so that they come back in their order."""
    places = reversed(range(len(drawings)))
    return tuple(Edit(place=place, before=drawings[place], after=None) for place in places)
