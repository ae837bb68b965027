"""The window: a page with places as words at the top and a caption below.

Owns which page is seen, what keys do everywhere, and how the program is closed. Refuses to know
what a place shows. The pages that lie over a place (keys, a question, a fault) are pages like it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, QTimer
from PyQt6.QtGui import QCloseEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import StudentId, SwingId
from capturestation.station.desk import Desk, write_desk
from capturestation.station.undo import UndoList
from capturestation.ui.asking import AskPage
from capturestation.ui.binding import Keyboard
from capturestation.ui.caption import CaptionLine
from capturestation.ui.closing import Closing
from capturestation.ui.drops import Drops
from capturestation.ui.fault_told import tell_fault
from capturestation.ui.header import Header
from capturestation.ui.key_sheet import KeySheet
from capturestation.ui.look import Look, Theme
from capturestation.ui.look_panel import LookPanel
from capturestation.ui.pages import Pages
from capturestation.ui.place import BAY, BENCH, Place
from capturestation.ui.remote_panel import RemotePanel
from capturestation.ui.standing import is_there, standing
from capturestation.ui.start import StartPage
from capturestation.ui.stepping import Stepping
from capturestation.ui.steps import Steps
from capturestation.ui.texts import say
from capturestation.ui.troubles import TroubleBar
from capturestation.ui.tv import Tv
from capturestation.ui.unkept import Unkept
from capturestation.ui.whole_screen import WholeScreen
from capturestation.ui.words import ground
from capturestation.ui.work import Workers

PLAY = "remote.play"
PlaceKind = Callable[[Library, Workers, Look, UndoList], Place]
_LEAST_PX = (960, 600)
_WRITES_MS = 30
# How long a window that is closed waits before it looks again whether all is written.
_log = logging.getLogger(__name__)


class Window(QWidget):
    """One window for a bay.

    Args:
        desk: How it stood last time.
        desk_file: Where how it stands is kept.
        look: Its look.
        kinds: The places, in the order of their words.
    """

    def __init__(self, desk: Desk, desk_file: Path, look: Look, kinds: Sequence[PlaceKind]) -> None:
        super().__init__()
        ground(self, "page")
        self.setWindowTitle(say("shell.name"))
        self.setMinimumSize(*_LEAST_PX)
        self._desk = desk
        self._desk_file = desk_file
        self._kinds = tuple(kinds)
        self._library: Library | None = None
        self._places: dict[str, Place] = {}
        self._known_troubles: tuple[StationError, ...] = ()
        self._escape_plays = False
        self.is_closing = False
        """Whether it is to close as soon as all is written."""
        self._play: Callable[[], None] | None = None
        self.look = look
        self.steps = Steps()
        self.stepping = Stepping(self)
        self.whole_screen = WholeScreen(self)
        self.workers = Workers(self)
        self.closing = Closing(self.workers, lambda job: self.start.is_opening(job))
        self.unkept = Unkept(self)
        self.tv = Tv(self)
        self._make()
        self.keyboard = Keyboard(self, self._commands())
        self.keyboard.learn(desk.learnt())
        self._connect()
        self.drops = Drops(self, self.take_files)

    def _make(self) -> None:
        self.header = Header(self.look)
        self.pages = Pages()
        self.troubles = TroubleBar(self.look)
        self.caption = CaptionLine(self.workers, self.look)
        self.start = StartPage(self.workers, self.look)
        self.question = AskPage(self.look)
        self.fault = AskPage(self.look)
        self.remote = RemotePanel(lambda: self._desk.learnt())
        self.sheet = KeySheet(self.look, LookPanel(self.look, self.tv), self.remote)
        for page in (self.start, self.question, self.fault, self.sheet):
            self.pages.addWidget(page)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.header)
        layout.addWidget(self.pages, 1)
        layout.addWidget(self.troubles)
        layout.addWidget(self.caption)

    def _connect(self) -> None:
        for covered in (self.keyboard.hush, self.header.cover, self.caption.cover):
            self.pages.covered.connect(covered)
        self.pages.covered.connect(lambda _is_covered: self.whole_screen.show_frame())
        self.header.chosen.connect(self.go_to)
        self.header.undoes.connect(self.stepping.undo)
        self.header.sheet_wanted.connect(self.show_sheet)
        self.sheet.left.connect(self.leave_over)
        self.remote.learnt.connect(self._learn)
        self.remote.forgets.connect(self._forget_learnt)
        for says in (self.remote.says, self.tv.says, self.start.says):
            says.connect(self.caption.tell)
        self.start.opened.connect(self.enter)
        self.steps.told.changed.connect(lambda: self.header.show_steps(self.steps))
        self.start.chose.connect(self._choose_library)
        self.closing.settled.connect(self._close_if_well)
        self.closing.stays.connect(self.leave_over)

    def _commands(self) -> dict[str, Callable[[], None]]:
        return {
            **{f"shell.{key}": partial(self.go_to, key) for key in ("book", BENCH, BAY)},
            "shell.keys": self.show_sheet,
            "shell.leave": self.leave,
            "shell.undo": self.stepping.undo,
            "shell.redo": self.stepping.redo,
            "shell.larger": self.look.larger,
            "shell.smaller": self.look.smaller,
            "shell.theme": self._other_theme,
            "shell.whole_screen": self.whole_screen.toggle,
            "shell.tv": self.tv.toggle,
            "shell.tv_blank": self.tv.toggle_blank,
            "shell.quit": self._quit,
        }

    # The library and its places.

    def open(self, folder: Path, *, begin: bool = False) -> None:
        """Open the library in a folder and show its places; says what is wrong if that fails."""
        self.pages.show_page(self.start)
        self.start.open(folder, begin=begin)

    def enter(self, library: Library) -> None:
        """Show the places of an open library, where one was last time."""
        self._library = library
        self._places = {}
        for kind in self._kinds:
            place = kind(library, self.workers, self.look, self.steps)
            self._places[place.key] = place
            self.pages.addWidget(place)
            place.trouble.connect(self.tell_trouble)
            place.says.connect(self.caption.tell)
            place.opens.connect(self.look_at)
            place.hits.connect(self.record)
            place.pictured.connect(self.tv.refresh)
            place.going.connect(self._let_go_of)
            place.bare.connect(lambda on: self.whole_screen.show_bare(on=on))
            place.restore(self._desk.of_place(place.key))
        self.header.put_places(tuple(self._places))
        self._take_up()

    def _take_up(self) -> None:
        if not self._places:
            return
        swing = self._desk.swing
        if swing is not None and BENCH in self._places and is_there(self._library, swing):
            self._places[BENCH].look_at(swing)
        first = next(iter(self._places))
        self.go_to(self._desk.place if self._desk.place in self._places else first)
        if self._desk.tv:
            self.tv.show()

    def _let_go_of(self, whose: str) -> None:
        for place in self._places.values():
            place.let_go_of(whose)

    def _choose_library(self, folder: Path) -> None:
        self._desk = replace(self._desk, library=str(folder), swing=None)

    @property
    def is_open(self) -> bool:
        """Whether a library is open."""
        return self._library is not None

    @property
    def places(self) -> dict[str, Place]:
        """The places by their keys; none before a library is open."""
        return dict(self._places)

    @property
    def place(self) -> Place | None:
        """The place one is in, also while another page lies over it."""
        return self._places.get(self._desk.place)

    def take_files(self, paths: Sequence[Path]) -> None:
        """Let the place that takes files have these, and go there."""
        self.go_to(next((key for key, one in self._places.items() if one.take_files(paths)), ""))

    def go_to(self, key: str) -> None:
        """Go to a place; nothing where there is no such place."""
        if key not in self._places:
            return
        self.whole_screen.show_bare(on=False)
        place = self._places[key]
        self._desk = replace(self._desk, place=key)
        self.header.mark(key)
        self.keyboard.listen_to(key, self._heard_by(place))
        self.tv.show_from(place.tv())
        self.header.put_tools(place.header_words())
        self.caption.follow(place)
        self.pages.show_page(place)

    def _heard_by(self, place: Place) -> dict[str, Callable[[], None]]:
        commands = dict(place.commands())
        self._play = commands.get(PLAY)
        if self._play is not None:
            commands[PLAY] = self._play_by_remote
        return commands

    def _play_by_remote(self) -> None:
        # A remote that starts with F5 stops with Escape: the next one is its other half.
        self._escape_plays = not self._escape_plays
        if self._play is not None:
            self._play()

    def look_at(self, swing: SwingId) -> None:
        """Look at a swing on the Bench."""
        if BENCH in self._places:
            self._places[BENCH].look_at(swing)
            self.go_to(BENCH)

    def record(self, student: StudentId) -> None:
        """Go to the Bay with a student."""
        self.go_to(BAY)
        for place in self._places.values():
            place.take_student(student)

    # Pages over a place.

    def show_over(self, page: QWidget) -> None:
        """Show a page over the place, whose keys are not heard meanwhile."""
        self.pages.show_over(page)

    def leave_over(self) -> None:
        """Go back to what lay below."""
        self.pages.leave()

    def show_sheet(self) -> None:
        """Show keys and look, or put them away."""
        if self.pages.currentWidget() is self.sheet:
            self.leave_over()
            return
        self.sheet.show_lines(self.keyboard.lines)
        self.show_over(self.sheet)
        self.sheet.back.setFocus(Qt.FocusReason.OtherFocusReason)

    def leave(self) -> None:
        """Close what lies on top: a page, a trouble, what a place has open."""
        place = self.place
        if self.closing.is_under_way:
            self.closing.stay()
        elif self.pages.is_covered:
            self.leave_over()
        elif self.troubles.troubles:
            self.troubles.dismiss()
        elif place is not None and not place.leave() and self._escape_plays:
            self._play_by_remote()

    # Telling.

    def tell_trouble(self, error: StationError) -> None:
        """Tell what went wrong and what to try."""
        self.troubles.tell(error)

    def tell_fault(self, where: str) -> None:
        """Tell that this program is at fault, and where."""
        tell_fault(self, where)

    # Look and remote.

    def _other_theme(self) -> None:
        self.look.choose(Theme.DARK if self.look.theme is Theme.LIGHT else Theme.LIGHT)

    def _learn(self, action: str, key: str) -> None:
        known = self._desk.learnt().get(action, ())
        self._desk = self._desk.with_learnt(action, tuple(dict.fromkeys((*known, key))))
        self._learnt_changed()

    def _forget_learnt(self) -> None:
        self._desk = replace(self._desk, remote=())
        self._learnt_changed()
        self.caption.tell(say("shell.sheet.forgotten"))

    def _learnt_changed(self) -> None:
        self.keyboard.learn(self._desk.learnt())
        self.remote.show_keys()
        self.sheet.show_lines(self.keyboard.lines)

    # Closing.

    def _quit(self) -> None:
        self.close()

    def _close_if_well(self, stopped: bool) -> None:
        # What was to be finished and failed should be read first.
        if not stopped and self.troubles.troubles != self._known_troubles:
            self.leave_over()
        else:
            self.close()

    def _close_when_written(self) -> None:
        if any(place.is_writing for place in self._places.values()):
            self.is_closing = True
            QTimer.singleShot(_WRITES_MS, self._close_when_written)
        elif self.is_closing:
            self.is_closing = False
            self._close_if_well(stopped=False)

    def closeEvent(self, event: QCloseEvent | None) -> None:
        """Ask first where work is under way or something isn't kept; keep how the window stands."""
        if event is not None and self.unkept.stops(event):
            return
        if event is not None and not self.closing.may_close():
            event.ignore()
            self._known_troubles = self.troubles.troubles
            self.closing.ask(self.question)
            self.show_over(self.question)
            return
        if event is not None and any(place.is_writing for place in self._places.values()):
            event.ignore()
            self._known_troubles = self.troubles.troubles
            self._close_when_written()
            return
        self._put_away()
        super().closeEvent(event)

    def _put_away(self) -> None:
        try:
            write_desk(self._desk_file, self.desk_now())
        except StationError as error:
            _log.warning("how the window stands was not kept: %s", type(error).__name__)
        self.hide()  # A thread may take a moment to end.
        self.tv.close()
        self.workers.close()
        for place in self._places.values():
            place.let_go()
        if self._library is not None:
            self._library.close()
            self._library = None

    def desk_now(self) -> Desk:
        """How the window stands now."""
        desk = standing(self, self._desk)
        desk = replace(desk, theme=self.look.theme, scale=self.look.scale, tv=self.tv.is_on)
        for key, place in self._places.items():
            desk = desk.with_place(key, place.kept())
        bench = self._places.get(BENCH)
        return desk if bench is None else replace(desk, swing=bench.swing)
