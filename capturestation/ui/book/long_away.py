"""At the month's end: whether to keep what there is of those who were away for long.

Owns what the coach set for that (how long, whom to keep), as ids and days; the library knows
nothing of it. Nothing goes by itself, and nobody has to look.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QFileDialog

from capturestation.errors import StationError
from capturestation.records import Student, StudentId
from capturestation.station import given_out, retention
from capturestation.station.given_out import GivenOut
from capturestation.station.people import today
from capturestation.station.retention import Proposal, Wish
from capturestation.station.undo import Step
from capturestation.ui.texts import say
from capturestation.ui.words import put_words

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_MOST_MONTHS = 600
_MB = 1e6


class LongAway:
    """The Book's proposals to forget somebody.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place
        self.wish = Wish()
        self.looked: date | None = None
        """When the page was open last."""
        self._found: tuple[Proposal, ...] = ()
        self._asked = 0

    # The quiet word at the month's end.

    def remind(self) -> None:
        """Say below the index how many wait, once a month has ended and where there are any."""
        word, count = self._place.index.away_word, 0
        if retention.is_due(today(), self.looked):
            try:
                count = len(retention.waiting(self._place.library, self.wish))
            except StationError:
                # What is wrong with the library is told by the Book itself.
                return
            if not count:
                self.looked = today()
        put_words(word, say("book.away.waiting", count=count))
        word.setVisible(bool(count))

    # The page.

    def show(self) -> None:
        """Open the page and look who it is."""
        self._place.away_page.begin(self.wish.months)
        self._place.show_over(self._place.away_page)
        self.looked = today()
        self.remind()
        self._look()

    def count_from(self, months: int) -> None:
        """The coach sets how long is long."""
        self.wish = replace(self.wish, months=months)
        self._place.away_page.begin(months)
        self._look()

    def _look(self) -> None:
        place, wish = self._place, self.wish
        self._asked += 1
        asked = self._asked

        def told(found: tuple[Proposal, ...]) -> None:
            if asked == self._asked:
                self._found = found
                self._put()

        place.workers.run(
            say("book.away.looking"),
            lambda _watch: retention.proposals(place.library, wish),
            told,
            place.trouble.emit,
        )

    def _put(self) -> None:
        kept = self._kept()
        there = tuple(one for one in self._found if one.student not in kept)
        key = "book.away.text" if there else "book.away.nobody"
        self._place.away_page.put(there, say(key))

    def _kept(self) -> dict[StudentId, date]:
        """Those who are not asked about yet."""
        asked = retention.months_before(today(), retention.KEPT_MONTHS)
        return {student: day for student, day in self.wish.kept.items() if day > asked}

    # What may be done.

    def keep(self, proposal: Proposal) -> None:
        """What there is of this student stays; asked again in a year."""
        before, place = self.wish.kept.get(proposal.student), self._place
        day = today()

        def set_to(kept: date | None) -> None:
            rest = {key: at for key, at in self.wish.kept.items() if key != proposal.student}
            if kept is not None:
                rest[proposal.student] = kept
            self.wish = replace(self.wish, kept=rest)
            if place.pages.currentWidget() is place.away_page:
                self._put()

        step = Step(
            words=say("book.step.keep_all", name=proposal.name),
            do=lambda: set_to(day),
            undo=lambda: set_to(before),
        )
        place.writer.add(lambda: place.steps.run(step))
        place.says.emit(say("book.away.kept", name=proposal.name))

    def forget(self, proposal: Proposal) -> None:
        """Ask, twice, whether all of this student is to go; then come back here."""
        self._place.keeping.ask_forget(self._place.library.student(proposal.student), self.show)

    def give_out_proposed(self, proposal: Proposal) -> None:
        """Write all of this student into one file."""
        self.give_out(self._place.library.student(proposal.student))

    def give_out(self, student: Student) -> None:
        """Ask where to, and write all that is kept of a student into one file there."""
        place = self._place
        # No path carries a name: it may be a child's.
        chosen, _ = QFileDialog.getSaveFileName(
            place, say("book.give"), f"swings-{student.id[:8]}.zip", "ZIP (*.zip)"
        )
        if not chosen:
            return
        out = Path(chosen)

        def done(made: GivenOut) -> None:
            size = max(round(made.size_bytes / _MB), 1)
            place.says.emit(say("book.given", file=made.path.name, size=size))

        place.workers.run(
            say("book.give.working"),
            lambda watch: given_out.give_out(place.library, student.id, out, watch),
            done,
            place.trouble.emit,
        )

    # Between two openings of the window.

    def memory(self) -> dict[str, str]:
        """What the coach set, as words."""
        kept = [f"{key}={day}" for key, day in sorted(self._kept().items())]
        told = {"away_months": str(self.wish.months), "away_kept": " ".join(kept)}
        return told if self.looked is None else told | {"away_looked": str(self.looked)}

    def remember(self, told: Mapping[str, str]) -> None:
        """Take up what `memory` said; what can't be understood is as at first."""
        self.wish = Wish(
            months=_months(told.get("away_months", "")),
            kept=dict(_kept_days(told.get("away_kept", ""))),
        )
        self.looked = _day(told.get("away_looked", ""))
        self.remind()


def _months(text: str) -> int:
    months = int(text) if text.isdecimal() else 0
    return months if 0 < months <= _MOST_MONTHS else retention.USUAL_MONTHS


def _kept_days(text: str) -> list[tuple[StudentId, date]]:
    pairs = [word.partition("=") for word in text.split()]
    days = [(StudentId(key), _day(day)) for key, _, day in pairs]
    return [(key, day) for key, day in days if day is not None]


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
