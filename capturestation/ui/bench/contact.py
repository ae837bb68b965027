"""Contact is the picture that is looked at: said for one angle, where the sound was wrong.

Owns asking which angle where more than one is shown.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QMenu

from capturestation.records import Swing, View
from capturestation.station.bench.contact import contact_here, contact_step
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.bench.place import BenchPlace


class ContactHere:
    """Places an angle of today's swing by its picture.

    Args:
        place: The Bench.
    """

    def __init__(self, place: BenchPlace) -> None:
        self._place = place

    @property
    def views(self) -> tuple[View, ...]:
        """The angles of today's swing that are shown."""
        now = self._place.state.now
        return () if now is None else tuple(v for v in self._place.state.views if v in now.frames)

    def ask(self) -> None:
        """Say it of the angle that is shown alone; of several ask which."""
        views = self.views
        if len(views) == 1:
            self.put(views[0])
        elif views:
            self._place.bar.popup(self.menu())

    def menu(self) -> QMenu:
        """The angles that are shown, each to be chosen."""
        return self._place.bar.menu_with(
            [(say("bench.contact_in", view=view), partial(self.put, view)) for view in self.views]
        )

    def put(self, view: View) -> None:
        """Contact is the picture of this angle that is shown now."""
        place, now = self._place, self._place.state.now
        if now is None:
            return
        at_ns, library = place.state.transport.at_ns, place.library

        def done(both: tuple[Swing, Swing]) -> None:
            words = say("bench.step.contact", view=view)
            place.run(contact_step(library, *both, words, self._tell))
            sync = both[1].sync(view)
            place.says.emit(say("bench.contact_put") if sync is None else sync.said)

        place.workers.run(
            say("bench.contact_job"),
            lambda watch: contact_here(library, now, view, at_ns, watch, cache=place.cache),
            done,
            place.trouble.emit,
        )

    def _tell(self, swing: str) -> None:
        """Its pictures stand elsewhere now: open it anew, if it is still looked at."""
        if swing == self._place.swing:
            self._place.look_at(self._place.swing)
