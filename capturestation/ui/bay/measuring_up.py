"""Measuring where the cameras stand, in the Bay: the way there, its work and what is kept of it.

Owns that cameras are open and nothing is kept meanwhile, and that what came out can be taken back.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QFileDialog

from capturestation.errors import CancelledError, NotFoundError, StationError
from capturestation.records import CalibrationRow, Watch
from capturestation.station.bay.aims import aims_of, upright_of
from capturestation.station.bay.measuring import Measuring
from capturestation.station.bay.measuring_state import Outcome
from capturestation.station.boards import Paper, Written, write_boards
from capturestation.station.line_checking import LineChecked, check_stick
from capturestation.station.measured import bay_rows, keeping, known_lenses, lens_row
from capturestation.station.references import reference_of
from capturestation.ui.texts import say
from capturestation.ui.writing import write_step

if TYPE_CHECKING:
    from capturestation.ui.bay.place import BayPlace


class MeasuringUp:
    """The Bay's measuring.

    Args:
        place: The Bay.
    """

    def __init__(self, place: BayPlace) -> None:
        self._place = place
        self.state = Measuring()
        place.bay.changed.tell(self._take_cameras)

    @property
    def _is_shown(self) -> bool:
        place = self._place
        page = place.__dict__.get("measure_page")
        return page is not None and place.pages.currentWidget() is page

    def begin(self) -> None:
        """Look at the cameras, and go on where one was."""
        place = self._place
        if not place.bay.setting.has_cameras:
            place.setting_up.begin()
            return
        place.bay.look_close(True)
        place.show_over(place.measure_page)
        self._take_cameras()
        place.measure_page.begin()
        place.measure_page.back.setFocus()

    def _take_cameras(self) -> None:
        """A camera sends, or another one is chosen: lenses that are known need no board."""
        if not self._is_shown:
            return
        bay = self._place.bay
        aims = aims_of(bay.setting.sources(), bay.standing.cameras)
        if aims and set(aims) - set(self.state.aims):
            now = datetime.now().astimezone()
            self.state.begin(aims, known_lenses(self._place.library, aims, now))

    def leave(self) -> None:
        """Back to the lesson; what was taken stays as long as the window is open."""
        place = self._place
        place.measure_page.end()
        place.close_over()
        place.bay.look_close(False)

    def work(self) -> None:
        """Work out what was taken."""
        place, page = self._place, self._place.measure_page
        page.show_work(is_working=True)

        def done(found: Outcome) -> None:
            self.state.take_outcome(found)
            page.show_work(is_working=False)
            lens = self.state.newest_lens()
            if lens is not None:
                rows = (lens_row(lens, datetime.now().astimezone()),)
                self._keep(rows, say("bay.measure.step.lens"))

        def failed(error: StationError) -> None:
            page.show_work(is_working=False)
            if not isinstance(error, CancelledError):
                place.trouble.emit(error)

        place.workers.run(say("bay.measure.working"), self.state.job(), done, failed)

    def keep(self, angles_only: bool) -> None:
        """Keep where the cameras stand, with the pictures as they are now."""
        place, result = self._place, self.state.result
        if result is None:
            return
        greys = place.measure_page.greys()
        references = {
            aim.camera: reference_of(upright_of(greys[aim.view], aim.turn_deg))
            for aim in self.state.aims
            if aim.view in greys
        }
        now = datetime.now().astimezone()
        rows = bay_rows(result, now, references, angles_only=angles_only)
        self._keep(rows, say("bay.measure.step.bay"))
        self.state.put_away()
        self.leave()

    def _keep(self, rows: tuple[CalibrationRow, ...], words: str) -> None:
        place = self._place
        step = keeping(place.library, rows, words)

        def done() -> None:
            place.says.emit(say("bay.measure.says.kept", what=words))
            place.taking.told_moved.clear()

        write_step(place.writer, place.steps, lambda: step, done=done, failed=place.trouble.emit)

    def begin_line(self) -> None:
        """Look at the stick that stays; where nothing was measured yet, say so at once."""
        place, now = self._place, datetime.now().astimezone()
        if not any(place.library.calibration_at(aim.camera, now) for aim in self.state.aims):
            error = NotFoundError(say("bay.line.none"), try_next=say("bay.line.none.next"))
            place.trouble.emit(error)
            return
        place.measure_page.end()
        place.line_page.pictures.target_is_left = self.state.target_is_left
        place.show_over(place.line_page)
        place.line_page.pictures.setFocus()

    def leave_line(self) -> None:
        """Back to measuring."""
        place = self._place
        place.show_over(place.measure_page)
        place.measure_page.begin()
        place.measure_page.line.setFocus()

    def check_line(self) -> None:
        """Lay the stick against the line of the calibration that holds."""
        place, page = self._place, self._place.line_page
        offset_m, library = page.offset_m, place.library
        ends_px = {
            aim.camera: page.marks.pixels(aim.view, aim.size_px)
            for aim in aims_of(place.bay.setting.sources(), place.bay.standing.cameras)
            if aim.view in page.marked
        }
        if offset_m is None or not ends_px:
            return
        now = datetime.now().astimezone()

        def op(watch: Watch) -> LineChecked:
            del watch
            found = [check_stick(library, c, px, offset_m, now) for c, px in ends_px.items()]
            return min(found, key=lambda one: one.u_turn_deg)

        place.workers.run(say("bay.line.work"), op, page.show_checked, place.trouble.emit)

    def print_boards(self) -> None:
        """Write the pages of both boards where the coach says."""
        place = self._place
        chosen, _ = QFileDialog.getSaveFileName(
            place, say("bay.measure.boards"), "boards.pdf", "PDF (*.pdf)"
        )
        if not chosen:
            return
        file = Path(chosen)

        def op(watch: Watch) -> Written:
            del watch
            return write_boards(file, Paper.A4)

        def done(written: Written) -> None:
            place.says.emit(say("bay.measure.says.boards", file=written.file.name))

        place.workers.run(say("bay.measure.boards"), op, done, place.trouble.emit)

    def close(self) -> None:
        """End its thread."""
        page = self._place.__dict__.get("measure_page")
        if page is not None:
            page.close_page()
