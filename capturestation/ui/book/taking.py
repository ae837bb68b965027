"""From dropped files to a swing in the book.

Owns guessing which view is which, first pictures, and taking in, all beside the window.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QFileDialog

from capturestation.errors import (
    BadInputError,
    CancelledError,
    ConsentRefusedError,
    StationError,
    TimingRefusedError,
)
from capturestation.media.index import index_frames
from capturestation.media.still import still_jpeg
from capturestation.records import Student, StudentId, Swing, View, Watch
from capturestation.station import book_steps, notebook, people
from capturestation.station.dropped import guess_views, usable
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.ui.book.contact_page import FrameAsked
from capturestation.ui.book.files_page import Told
from capturestation.ui.book.wording import time_of
from capturestation.ui.texts import say
from capturestation.ui.writing import beside

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
        self._offered: StudentId | None = None
        self._shown: StudentId | None = None
        self._wished: dict[Path, FrameAsked] = {}

    def ask(self) -> None:
        """Choose files where dropping is not at hand."""
        chosen, _ = QFileDialog.getOpenFileNames(self._place, say("book.add_files"))
        if chosen:
            self.offer([Path(name) for name in chosen])

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
        self._offered = student.id
        place.files.begin(files, student.name, clubs, self.club)
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

    def take(self, told: Told, contacts_ns: Mapping[View, int] | None = None) -> None:
        """Take the files in as a swing of the student that the page names, and choose it.

        Args:
            told: The files, and what was said of them.
            contacts_ns: Contact by hand, media clock, of the views where it was said.
        """
        place = self._place
        # Another may be chosen by now, and another swing offered.
        student = self._offered if contacts_ns is None else self._shown
        if student is None:
            return
        request = IntakeRequest(
            student=student,
            files=told.by_view,
            club=told.club,
            kind=told.kind,
            contacts_ns=contacts_ns or {},
        )
        self.club = told.club
        place.close_over()

        def op(watch: Watch) -> Swing:
            return add_swing(place.library, request, watch)

        def failed(error: StationError) -> None:
            if isinstance(error, TimingRefusedError) and not place.is_over:
                self._shown = student
                self._ask_contact(told, error)
            else:
                self._failed(error)

        place.workers.run(say("book.files.working"), op, self._taken, failed)

    def _ask_contact(self, told: Told, why: TimingRefusedError) -> None:
        """Let the coach show contact in the pictures: the files are not lost for a quiet strike."""
        place = self._place
        place.contact.begin(told, why)
        place.show_over(place.contact)
        for path in told.by_view.values():
            place.workers.run(
                say("book.contact.reading", file=path.name),
                partial(_times_of, path),
                partial(place.contact.put_times, path),
                self._failed,
            )

    def show_frame(self, asked: FrameAsked) -> None:
        """Show a frame of a file; while one is on its way only the newest wish is kept."""
        is_under_way = asked.path in self._wished
        self._wished[asked.path] = asked
        if not is_under_way:
            self._fetch(asked)

    def _fetch(self, asked: FrameAsked) -> None:
        def op(_watch: Watch) -> QImage:
            return QImage.fromData(still_jpeg(asked.path, asked.media_ns, box_px=_FIRST_PX))

        def done(image: QImage) -> None:
            self._place.contact.put_picture(asked.path, image)
            newest = self._wished.pop(asked.path)
            if newest != asked:
                self.show_frame(newest)

        def failed(error: StationError) -> None:
            del self._wished[asked.path]
            self._failed(error)

        words = say("book.contact.reading", file=asked.path.name)
        self._place.workers.run(words, op, done, failed)

    def _taken(self, swing: Swing) -> None:
        place = self._place
        called = say("book.swing.called", club=swing.book.club, time=time_of(swing))
        words = say("book.step.taken_in", swing=called)
        place.steps.run(beside(book_steps.taken_in(place.library, place.cache, swing, words)))
        if place.is_over or place.page.bar.is_noting:
            place.refresh()
        else:
            place.look_at(swing.id)
        said = " ".join(sync.said for sync in swing.book.syncs if sync.said)
        place.says.emit(f"{say('book.files.taken')} {said}".strip())

    def _failed(self, error: StationError) -> None:
        if isinstance(error, CancelledError):
            self._place.says.emit(str(error))
        else:
            self._place.trouble.emit(error)


def _times_of(path: Path, _watch: Watch) -> list[int]:
    """Times of a file's frames, media clock, ns."""
    return [int(at_ns) for at_ns in index_frames(path).times_ns]
