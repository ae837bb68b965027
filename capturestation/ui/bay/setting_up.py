"""Setting the bay up, and the morning check: cameras are open, and nothing is kept.

Owns the way there and back. What is chosen is written at once: a first run that breaks off goes on
where it was.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from capturestation.errors import StationError
from capturestation.records import Watch
from capturestation.station.bay.check import MorningCheck
from capturestation.station.bay.choosing import Found, find_devices
from capturestation.station.bay.setting import BaySetting, write_bay
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.bay.place import BayPlace


class SettingUp:
    """The Bay's set-up.

    Args:
        place: The Bay.
    """

    def __init__(self, place: BayPlace) -> None:
        self._place = place

    def begin(self) -> None:
        """Choose cameras."""
        place = self._place
        place.bay.look_close(True)
        place.setup_page.begin()
        place.show_over(place.setup_page)
        place.setup_page.done.setFocus()
        self.find()

    def find(self) -> None:
        """Look for what is plugged in."""
        place = self._place

        def op(watch: Watch) -> Found:
            del watch
            return find_devices()

        found = place.setup_page.show_found
        place.workers.run(say("bay.job.finding"), op, found, place.trouble.emit)

    def put(self, setting: BaySetting) -> None:
        """The bay is set up so from now on."""
        place = self._place
        place.bay.set_up(setting)
        self._write(setting)

    def _write(self, setting: BaySetting) -> None:
        try:
            write_bay(self._place.bay_path, setting)
        except StationError as error:
            self._place.trouble.emit(error)

    def check(self) -> None:
        """The morning check."""
        place = self._place
        if not place.bay.setting.has_cameras:
            self.begin()
            return
        place.bay.look_close(True)
        place.check_page.begin()
        place.show_over(place.check_page)
        place.check_page.back.setFocus()

    def checked(self, check: MorningCheck) -> None:
        """The half minute is over: its figures are kept for the next one."""
        bay = self._place.bay
        bay.setting = replace(bay.setting, checked=check.figures())
        self._write(bay.setting)

    def leave(self) -> None:
        """Back to the lesson."""
        place = self._place
        if "check_page" in place.__dict__:
            place.check_page.end()
        place.close_over()
        place.bay.look_close(False)
