"""The Bay's widgets, and the pages that lie over them, each made when it is needed first.

Owns where each stands and what the pages lead to. What happens because of it is `BayPlace`'s.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PyQt6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from capturestation.library import Library
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.moved import LiveMoved
from capturestation.station.bay.recording import Recording
from capturestation.station.bay.replay import Replay
from capturestation.station.bay.setting import bay_file, read_bay
from capturestation.station.cache import Cache, cache_of
from capturestation.station.pictures import PictureMaker
from capturestation.station.undo import UndoList
from capturestation.ui.asking import AskPage, Choice
from capturestation.ui.bay.band import Band
from capturestation.ui.bay.check_page import CheckPage
from capturestation.ui.bay.end_page import EndPage
from capturestation.ui.bay.head import HEAD_WORDS, HeadWords
from capturestation.ui.bay.line_page import LinePage
from capturestation.ui.bay.measure_page import MeasurePage
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.bay.setup_page import SetupPage
from capturestation.ui.bay.strip import Strip
from capturestation.ui.bay.tools import Tools
from capturestation.ui.bay.who_page import WhoPage
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.book.word_page import WordPage
from capturestation.ui.look import Look
from capturestation.ui.place import Place
from capturestation.ui.texts import say
from capturestation.ui.words import ground
from capturestation.ui.work import Workers

if TYPE_CHECKING:
    from capturestation.ui.bay.lessons import Lessons
    from capturestation.ui.bay.measuring_up import MeasuringUp
    from capturestation.ui.bay.setting_up import SettingUp

Page = TypeVar("Page", bound=QWidget)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What lies outside the window and the library; for trials other ones.

    Args:
        recording: The process; None begins real ones.
        bay_path: The bay's setting; None is this account's own file.
        cache: Of the library; None is this account's own.
    """

    recording: Recording | None = None
    bay_path: Path | None = None
    cache: Cache | None = None


class Overs(Place):
    """The widgets of the Bay.

    Args:
        library: The library.
        workers: The window's workers.
        look: Its look.
        steps: What can be taken back.
        parent: The widget above.
        outside: What lies outside.
    """

    lessons: Lessons
    setting_up: SettingUp
    measuring: MeasuringUp

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None,
        *,
        outside: Outside,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.cache = outside.cache or cache_of(library)
        self.bay_path = outside.bay_path or bay_file()
        read = read_bay(self.bay_path)
        self.unread = read.trouble
        """What was wrong with the bay's setting, until it is told."""
        self.bay = Bay(library.inbox, read.setting, outside.recording or Recording())
        self.replay = Replay(lambda: self.pictures.arrived.emit())
        self._lay_out(look)

    def _lay_out(self, look: Look) -> None:
        self.pictures = BayPictures(self.bay, self.replay, look)
        self.band = Band(self.bay, look)
        self.tools = Tools(self.bay, look)
        self.strip = Strip(self.bay, look)
        self._main = QWidget()
        ground(self._main, "page")
        column = QVBoxLayout(self._main)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px("gap"))
        column.addWidget(self.pictures, 1)
        column.addWidget(self.tools)
        column.addWidget(self.band)
        column.addWidget(self.strip)
        self.pages = QStackedWidget()
        self.pages.addWidget(self._main)
        outer = QVBoxLayout(self)
        margin, gap = look.px("margin"), look.px("gap")
        outer.setContentsMargins(margin, gap, margin, 0)
        outer.addWidget(self.pages)
        self.head = HeadWords(look)
        self.head.more_wanted.connect(self._ask_more)

    def press(self, action: str) -> None:
        """What a word does, by its action of the table of keys."""
        raise NotImplementedError

    # The pages over it, made when they are needed first.

    @cached_property
    def who(self) -> WhoPage:
        """Who is hitting."""
        page = WhoPage(self.library, self.look)
        page.chosen.connect(lambda student: self.lessons.take_student(student.id))
        page.left.connect(self.close_over)
        page.failed.connect(self.trouble)
        return self._over(page)

    @cached_property
    def word_page(self) -> WordPage:
        """Club, or kind."""
        page = WordPage(self.look)
        page.chosen.connect(self.lessons.put_word)
        page.left.connect(self.close_over)
        return self._over(page)

    @cached_property
    def _maker(self) -> PictureMaker:
        return PictureMaker(self.library, self.cache)

    @cached_property
    def prints(self) -> Pictures:
        """Pictures of the lesson's balls at impact."""
        return Pictures(self._maker, self)

    def let_go_of_prints(self) -> None:
        """Make no more of them."""
        if "prints" in self.__dict__:
            self.prints.let_go()
            self._maker.close()

    @cached_property
    def end_page(self) -> EndPage:
        """Keep these, drop the rest."""
        page = EndPage(self.look, self.prints)
        page.dropped.connect(self.lessons.drop)
        page.left.connect(self.lessons.keep_all)
        return self._over(page)

    @cached_property
    def setup_page(self) -> SetupPage:
        """Cameras and microphone."""
        page = SetupPage(self.bay, self.look)
        page.changed.connect(self.setting_up.put)
        page.find_wanted.connect(self.setting_up.find)
        page.left.connect(self.setting_up.leave)
        page.failed.connect(self.trouble)
        return self._over(page)

    @cached_property
    def check_page(self) -> CheckPage:
        """The morning check."""
        page = CheckPage(
            self.bay,
            self.look,
            moved=lambda: LiveMoved(self.library, self.bay.setting.sources()),
        )
        page.done.connect(self.setting_up.checked)
        page.left.connect(self.setting_up.leave)
        return self._over(page)

    @cached_property
    def measure_page(self) -> MeasurePage:
        """Measuring where the cameras stand."""
        page = MeasurePage(self.bay, self.measuring.state, self.look)
        page.left.connect(self.measuring.leave)
        page.work_wanted.connect(self.measuring.work)
        page.keep_wanted.connect(self.measuring.keep)
        page.boards_wanted.connect(self.measuring.print_boards)
        page.line_wanted.connect(self.measuring.begin_line)
        page.failed.connect(self.trouble)
        return self._over(page)

    @cached_property
    def line_page(self) -> LinePage:
        """Whether the target line holds."""
        page = LinePage(self.bay, self.look)
        page.asked.connect(self.measuring.check_line)
        page.left.connect(self.measuring.leave_line)
        page.failed.connect(self.trouble)
        return self._over(page)

    @cached_property
    def more_page(self) -> AskPage:
        """What the header has no room for."""
        return self._over(AskPage(self.look))

    def _ask_more(self) -> None:
        choices = [
            Choice(words=say(f"bay.head.{name}"), chosen=partial(self._from_more, f"bay.{name}"))
            for name in HEAD_WORDS
        ]
        self.more_page.ask(say("bay.head.more"), "", choices)
        self.show_over(self.more_page)

    def _from_more(self, action: str) -> None:
        self.close_over()
        self.press(action)

    def _over(self, page: Page) -> Page:
        self.pages.addWidget(page)
        return page

    @property
    def is_over(self) -> bool:
        """Whether a page lies over the Bay."""
        return self.pages.currentWidget() is not self._main

    def show_over(self, page: QWidget) -> None:
        """Lay a page over the Bay."""
        self.pages.setCurrentWidget(page)

    def close_over(self) -> None:
        """Take away what lies over it; the one button has the keyboard."""
        self.pages.setCurrentWidget(self._main)
        self.band.button.setFocus()

    def leave(self) -> bool:
        """Close the page that lies over it; the lesson's end is not left without an answer."""
        if not self.is_over:
            return False
        page = self.pages.currentWidget()
        if page is self.__dict__.get("end_page"):
            self.lessons.keep_all()
        elif page in (self.__dict__.get("setup_page"), self.__dict__.get("check_page")):
            self.setting_up.leave()
        elif page is self.__dict__.get("measure_page"):
            self.measuring.leave()
        elif page is self.__dict__.get("line_page"):
            self.measuring.leave_line()
        else:
            self.close_over()
        return True
