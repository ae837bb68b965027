"""The Bay as a place of the window: pictures, the one word, and the pages that lie over it.

Owns the widgets, and asking many times a second what the recording process said. What happens
because of it is done by `taking`, `lessons` and `setting_up`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TypeVar

from PyQt6.QtCore import QTimer
from PyQt6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import StudentId, SwingId
from capturestation.station.bay.balls import Stage
from capturestation.station.bay.bay import Bay, Mode
from capturestation.station.bay.recording import Recording
from capturestation.station.bay.replay import Replay
from capturestation.station.bay.setting import bay_file, read_bay
from capturestation.station.cache import Cache, cache_of
from capturestation.station.undo import UndoList
from capturestation.ui.bay.band import Band
from capturestation.ui.bay.check_page import CheckPage
from capturestation.ui.bay.end_page import EndPage
from capturestation.ui.bay.lessons import Lessons
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.bay.setting_up import SettingUp
from capturestation.ui.bay.setup_page import SetupPage
from capturestation.ui.bay.strip import Strip
from capturestation.ui.bay.taking import Taking
from capturestation.ui.bay.tools import RATINGS, Tools
from capturestation.ui.bay.who_page import WhoPage
from capturestation.ui.book.word_page import WordPage
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.place import Place, TvPainter
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground
from capturestation.ui.work import Workers

LISTEN_MS = 40
"""How often it is asked what the process said; live pictures come every 100 ms."""
KNOW_MS = 2_000
"""How often it is looked whether who is hitting may still be filmed."""

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


class BayPlace(Place):
    """Recording by itself.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence that passes by itself.
        opens: A `SwingId`, by hand only: a new ball never takes the Bench from anybody.
        pictured: What the second screen should show has changed.
    """

    key = "bay"

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
        *,
        outside: Outside | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        outside = outside or Outside()
        self.cache = outside.cache or cache_of(library)
        self.bay_path = outside.bay_path or bay_file()
        self.club = ""
        self.wants_end = False
        self._said: set[str] = set()
        self._read = read_bay(self.bay_path)
        self.bay = Bay(library.inbox, self._read.setting, outside.recording or Recording())
        self.replay = Replay(lambda: self.pictures.arrived.emit())
        self.taking = Taking(self)
        self.lessons = Lessons(self)
        self.setting_up = SettingUp(self)
        self._lay_out()
        self._connect()
        self._timers()
        self.taking.begin()

    def _lay_out(self) -> None:
        look = self.look
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
        self._words = flowing(
            0,
            *(
                button(say(f"bay.head.{name}"), partial(self._press, f"bay.{name}"), role="quiet")
                for name in ("check", "setup", "end")
            ),
        )

    def _connect(self) -> None:
        self.band.pressed.connect(self.turn)
        self.band.other_wanted.connect(self.lessons.ask_who)
        self.tools.asked.connect(self._press)
        self.pictures.changed.connect(self.pictured)
        self.pictures.changed.connect(self._show_replay)
        self.bay.balled.tell(self._balled)
        self.bay.changed.tell(self._changed)
        self.look.changed.connect(self._fit)

    def _timers(self) -> None:
        self._listens = QTimer(self)
        self._listens.setInterval(LISTEN_MS)
        self._listens.timeout.connect(self.bay.listen)
        self._listens.start()
        self._knows = QTimer(self)
        self._knows.setInterval(KNOW_MS)
        self._knows.timeout.connect(self.lessons.know_again)
        self._knows.start()

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
    def end_page(self) -> EndPage:
        """Keep these, drop the rest."""
        page = EndPage(self.look)
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
        page = CheckPage(self.bay, self.look)
        page.done.connect(self.setting_up.checked)
        page.left.connect(self.setting_up.leave)
        return self._over(page)

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
        else:
            self.close_over()
        return True

    # What keys and words do.

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys; nothing while a page lies over it."""
        acts: dict[str, Callable[[], None]] = {
            "bay.turn": self.turn,
            "bay.who": self.lessons.ask_who,
            "bay.keep": self.keep_now,
            "bay.star": self.taking.star,
            "bay.picture": self.turn_picture,
            "bay.open": self.taking.open,
            "bay.talk": lambda: self.bay.hold_talk(not self.bay.keeps_talk),
            "bay.club": self.lessons.ask_club,
            "bay.kind": self.lessons.ask_kind,
            "bay.check": self.setting_up.check,
            "bay.setup": self.setting_up.begin,
            "bay.end": self.end,
            "remote.play": self.turn,
            "remote.next": self.keep_now,
            "remote.previous": self.taking.star,
            "remote.view": self.turn_picture,
        }
        acts |= {f"bay.rate_{n}": partial(self.taking.rate, n) for n in RATINGS}
        return {name: partial(self._unless_over, act) for name, act in acts.items()}

    def _unless_over(self, act: Callable[[], None]) -> None:
        if not self.is_over:
            act()

    def _press(self, action: str) -> None:
        self.commands()[action]()

    def turn(self) -> None:
        """The one large button: the next step to ready, or a pause."""
        mode = self.bay.mode
        if mode is Mode.NO_CAMERAS:
            self.setting_up.begin()
        elif mode in (Mode.NO_ONE, Mode.REFUSED):
            self.lessons.ask_who()
        else:
            self.bay.turn()

    def keep_now(self) -> None:
        """Keep what just happened."""
        if self.bay.is_ready:
            self.bay.keep_now()
        else:
            self.says.emit(say("bay.says.paused"))

    def turn_picture(self) -> None:
        """The last ball again, or the live pictures."""
        ball = self.bay.balls.last
        if self.replay.ball:
            self.replay.stop()
        elif ball is not None and ball.looks:
            self.replay.show(ball.id, ball.looks)
        self.pictures.arrived.emit()

    def end(self) -> None:
        """End the lesson."""
        self.wants_end = self.bay.person is not None
        self.lessons.end()

    def take_student(self, student: StudentId) -> None:
        """The Book sends somebody here."""
        if self.is_over:
            self.leave()
        self.lessons.take_student(student)

    # What happened.

    def _balled(self) -> None:
        balls = self.bay.balls
        if balls.waiting:
            self.taking.take_waiting()
        last = balls.last
        if last is not None and last.looks and f"look {last.id}" not in self._said:
            self._said.add(f"look {last.id}")
            self.replay.show(last.id, last.looks)
        for ball in balls.all:
            key = f"{ball.stage} {ball.id}"
            if ball.stage in (Stage.KEPT, Stage.LOST) and key not in self._said:
                self._said.add(key)
                self._tell(ball.stage, ball.said)

    def _tell(self, stage: Stage, said: str) -> None:
        if stage is Stage.LOST:
            self.trouble.emit(StationError(say("bay.trouble.lost"), try_next=said))
        elif not self.isVisible():
            # Whoever draws or looks at the Bench goes on: the ball waits here.
            self.says.emit(say("bay.says.kept"))

    def _changed(self) -> None:
        if self.wants_end:
            self.lessons.go_on_ending()

    def _show_replay(self) -> None:
        self.tools.show_replay(bool(self.replay.ball))

    def refresh(self) -> None:
        """A step was taken back or done again."""
        self.lessons.know_again()
        self.taking.read_again()

    @property
    def swing(self) -> SwingId | None:
        """The last ball, once it is in the lesson."""
        last = self.bay.balls.last
        return last.swing_id if last is not None else None

    def header_words(self) -> QWidget | None:
        """Morning check, cameras, the lesson's end."""
        return self._words

    def tv(self) -> TvPainter | None:
        """The pictures alone."""
        return self.pictures

    # Coming and going.

    def _fit(self) -> None:
        self.band.fit(self.height(), self.width())

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """The word takes its share."""
        super().resizeEvent(event)
        self._fit()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Play the last ball again for whoever comes back."""
        super().showEvent(event)
        self.replay.hush(False)
        if self._read.trouble is not None:
            self.trouble.emit(self._read.trouble)
            self._read = read_bay(self.bay_path.with_suffix(".none"))

    def hideEvent(self, event: QHideEvent | None) -> None:
        """Decode nothing that nobody sees; recording goes on."""
        super().hideEvent(event)
        self.replay.hush(True)

    def kept(self) -> dict[str, str]:
        """The club that was hit last."""
        return {"club": self.club}

    def restore(self, kept: dict[str, str]) -> None:
        """Propose that club."""
        self.club = kept.get("club", "")

    def let_go(self) -> None:
        """End the process, what is struck being finished first; then its own threads."""
        self._listens.stop()
        self._knows.stop()
        self.bay.close()
        self.replay.close()
