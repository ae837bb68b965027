"""A student's weeks in the Book: gathered beside the window, looked at, saved as files.

Owns what is gathered for the page; an answer that comes after another student or group was asked
for is let go.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QFileDialog, QWidget

from capturestation.errors import StationError
from capturestation.records import StudentId, Watch
from capturestation.station.weeks import Weeks, weeks_of, write_weeks
from capturestation.station.weeks_told import Group, groups_of, in_focus_first
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

Gathered = tuple[tuple[Group, ...], Group | None, Weeks | None]
Choose = Callable[[QWidget], Path | None]
"""Asks for a folder; None where none was chosen."""


class Weekly:
    """The Book's page of weeks.

    Args:
        place: The Book.
        choose: Asks for a folder.
    """

    def __init__(self, place: BookPlace, choose: Choose | None = None) -> None:
        self._place = place
        self.choose = choose or _ask_for_folder
        self._weeks: Weeks | None = None
        self._asked: tuple[StudentId, Group | None] | None = None

    def ask(self) -> None:
        """Look over the student's weeks; the same key again goes on to the next measure."""
        place, page = self._place, self._place.weeks_page
        if place.pages.currentWidget() is page:
            page.next_measure()
            return
        if place.student is None:
            return
        page.wait_for(say("book.weeks.title", name=place.student.name))
        place.show_over(page)
        self._gather(place.student.id, None)

    def look_at(self, group: Group) -> None:
        """Look at another group of the student's swings."""
        if self._asked is not None:
            self._gather(self._asked[0], group)

    def save(self) -> None:
        """Write charts and table into a folder of choice."""
        place, weeks = self._place, self._weeks
        folder = self.choose(place) if weeks is not None else None
        if weeks is None or folder is None:
            return

        def done(files: tuple[Path, ...]) -> None:
            place.says.emit(say("book.weeks.saved", count=len(files), folder=folder.name))

        place.workers.run(
            say("book.weeks.saving"),
            lambda watch: write_weeks(weeks, folder, place.library, watch),
            done,
            place.trouble.emit,
        )

    def _gather(self, student: StudentId, group: Group | None) -> None:
        asked = self._asked = (student, group)
        lessons = self._place.library.lessons(student)
        focus = lessons[0].focus if lessons else ()
        self._place.workers.run(
            say("book.weeks.reading"),
            partial(self._read, student, group),
            partial(self._take, asked, focus),
            partial(self._failed, asked),
        )

    def _read(self, student: StudentId, group: Group | None, watch: Watch) -> Gathered:
        """On a worker's thread: what is to be shown."""
        watch.report(0.0, say("book.weeks.reading"))
        groups = groups_of(self._place.library, student)
        at = next((one for one in groups if one == group), groups[0] if groups else None)
        if at is None:
            return groups, None, None
        return groups, at, weeks_of(self._place.library, student, club=at.club, kind=at.kind)

    def _take(
        self,
        asked: tuple[StudentId, Group | None],
        focus: tuple[str, ...],
        found: Gathered,
    ) -> None:
        if asked != self._asked:
            return
        groups, at, self._weeks = found
        courses = in_focus_first(self._weeks.courses, focus) if self._weeks else ()
        page = self._place.weeks_page
        page.put(groups, at, courses)
        if self._place.pages.currentWidget() is page:
            page.give_keyboard()

    def _failed(self, asked: tuple[StudentId, Group | None], error: StationError) -> None:
        if asked == self._asked:
            self._place.close_over_if(self._place.weeks_page)
            self._place.trouble.emit(error)


def _ask_for_folder(parent: QWidget) -> Path | None:
    chosen = QFileDialog.getExistingDirectory(parent, say("book.weeks.choose"), str(Path.home()))
    return Path(chosen) if chosen else None
