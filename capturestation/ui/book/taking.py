"""From dropped files to a swing in the book.

Owns asking which view is which, first pictures, and the work of taking in beside the window.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtGui import QImage

from capturestation.errors import BadInputError, StationError
from capturestation.media.still import still_jpeg
from capturestation.records import Swing, Watch
from capturestation.station import notebook
from capturestation.station.dropped import guess_views, usable
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.ui.book.files_page import Told
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_FIRST_PX = (640, 640)


class Taking:
    """Takes files in.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place

    def offer(self, paths: Sequence[Path]) -> None:
        """Ask what these files are; say why where they can't be a swing."""
        place = self._place
        try:
            files = usable(paths)
            if place.student is None:
                raise BadInputError(
                    "Nobody is chosen whose swing this could be.",
                    try_next="Choose a student, or write down a new one, then drop the files.",
                )
        except StationError as error:
            place.trouble.emit(error)
            return
        lesson = place.lesson.id if place.lesson else None
        clubs = notebook.clubs_of(place.library, place.student.id, lesson)
        place.files.begin(files, guess_views(files), clubs)
        place.show_over(place.files)
        for path in files:
            self._ask_picture(path)

    def _ask_picture(self, path: Path) -> None:
        def op(_watch: Watch) -> QImage:
            return QImage.fromData(still_jpeg(path, 0, box_px=_FIRST_PX))

        files = self._place.files
        self._place.workers.run(
            say("book.files.first", file=path.name),
            op,
            lambda image: files.put_picture(path, image),
            self._place.trouble.emit,
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
        place.leave()

        def op(watch: Watch) -> Swing:
            return add_swing(place.library, request, watch)

        place.workers.run(say("book.files.working"), op, self._taken, place.trouble.emit)

    def _taken(self, swing: Swing) -> None:
        self._place.look_at(swing.id)
        said = " ".join(sync.said for sync in swing.book.syncs if sync.said)
        self._place.says.emit(f"{say('book.files.taken')} {said}".strip())
