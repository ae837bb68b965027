"""From dropped files to a swing in the book.

Owns guessing which view is which, first pictures, and taking in, all beside the window.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtGui import QImage

from capturestation.errors import (
    BadInputError,
    CancelledError,
    ConsentRefusedError,
    StationError,
)
from capturestation.media.still import still_jpeg
from capturestation.records import Student, Swing, Watch
from capturestation.station import book_steps, notebook, people
from capturestation.station.dropped import guess_views, usable
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.ui.book.files_page import Told
from capturestation.ui.book.wording import time_of
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_FIRST_PX = (960, 960)


class Taking:
    """Takes files in.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place
        self.club = ""
        """The club that was told last: most balls in a row are struck with one."""

    def offer(self, paths: Sequence[Path]) -> None:
        """Ask what these files are; say why where they can't be a swing."""
        place = self._place
        try:
            files = usable(paths)
            student = self._allowed()
        except StationError as error:
            place.trouble.emit(error)
            return
        lesson = place.lesson.id if place.lesson else None
        clubs = notebook.clubs_of(place.library, student.id, lesson)
        if self.club:
            clubs = list(dict.fromkeys([self.club, *clubs]))
        place.files.begin(files, student.name, clubs)
        place.show_over(place.files)
        for path in files:
            self._ask_picture(path)
        place.workers.run(
            say("book.files.guessing.job"),
            lambda watch: guess_views(place.library, files, watch),
            lambda guess: place.files.put_guess(files, guess),
            self._failed,
        )

    def _allowed(self) -> Student:
        """The student whose swing it will be.

        Raises:
            BadInputError: If nobody is chosen.
            ConsentRefusedError: If he may not be filmed.
        """
        student = self._place.student
        if student is None:
            raise BadInputError(say("book.files.nobody"), try_next=say("book.files.nobody.next"))
        try:
            people.refuse_without_consent(student, people.today())
        except ConsentRefusedError as error:
            raise ConsentRefusedError(
                error.what, try_next=say("book.files.consent.next"), subject=student.id
            ) from error
        return student

    def _ask_picture(self, path: Path) -> None:
        def op(_watch: Watch) -> QImage:
            return QImage.fromData(still_jpeg(path, 0, box_px=_FIRST_PX))

        files = self._place.files
        self._place.workers.run(
            say("book.files.first", file=path.name),
            op,
            lambda image: files.put_picture(path, image),
            self._failed,
        )

    def take(self, told: Told) -> None:
        """Take the files in as a swing of the chosen student, and choose it."""
        place = self._place
        student = place.student
        if student is None:
            return
        request = IntakeRequest(
            student=student.id, files=told.by_view, club=told.club, kind=told.kind
        )
        self.club = told.club
        place.close_over()

        def op(watch: Watch) -> Swing:
            return add_swing(place.library, request, watch)

        place.workers.run(say("book.files.working"), op, self._taken, self._failed)

    def _taken(self, swing: Swing) -> None:
        place = self._place
        called = say("book.swing.called", club=swing.book.club, time=time_of(swing))
        words = say("book.step.taken_in", swing=called)
        place.steps.run(book_steps.taken_in(place.library, place.cache, swing, words))
        place.look_at(swing.id)
        said = " ".join(sync.said for sync in swing.book.syncs if sync.said)
        place.says.emit(f"{say('book.files.taken')} {said}".strip())

    def _failed(self, error: StationError) -> None:
        if isinstance(error, CancelledError):
            self._place.says.emit(str(error))
        else:
            self._place.trouble.emit(error)
