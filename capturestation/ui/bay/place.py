"""The Bay as a place of the window: what its keys do, and what happens by itself.

Owns asking many times a second what the recording process said. What happens
because of it is done by `taking`, `lessons` and `setting_up`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QTimer
from PyQt6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import StudentId, SwingId
from capturestation.station.bay.balls import Stage
from capturestation.station.bay.bay import Mode
from capturestation.station.undo import UndoList
from capturestation.ui.bay.lessons import Lessons
from capturestation.ui.bay.measuring_up import MeasuringUp
from capturestation.ui.bay.overs import Outside, Overs
from capturestation.ui.bay.setting_up import SettingUp
from capturestation.ui.bay.taking import Taking
from capturestation.ui.bay.tools import RATINGS
from capturestation.ui.bench.room import Room, room_of
from capturestation.ui.look import Look
from capturestation.ui.place import TvPainter
from capturestation.ui.texts import say
from capturestation.ui.work import Workers

LISTEN_MS = 40
"""How often it is asked what the process said; live pictures come every 100 ms."""
KNOW_MS = 2_000
"""How often it is looked whether who is hitting may still be filmed."""


class BayPlace(Overs):
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
        super().__init__(library, workers, look, steps, parent, outside=outside or Outside())
        self.club = ""
        self.wants_end = False
        self._said: set[str] = set()
        self.taking = Taking(self)
        self.lessons = Lessons(self)
        self.setting_up = SettingUp(self)
        self.measuring = MeasuringUp(self)
        self._connect()
        self._timers()
        self.taking.begin()

    def _connect(self) -> None:
        self.band.pressed.connect(self.turn)
        self.band.other_wanted.connect(self.lessons.ask_who)
        self.tools.asked.connect(self.press)
        self.head.asked.connect(self.press)
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
            "bay.swings": lambda: self.bay.hold_swings(not self.bay.keeps_swings),
            "bay.club": self.lessons.ask_club,
            "bay.kind": self.lessons.ask_kind,
            "bay.check": self.setting_up.check,
            "bay.setup": self.setting_up.begin,
            "bay.measure": self.measuring.begin,
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

    def press(self, action: str) -> None:
        """What a word does, by its action of the table of keys."""
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

    @property
    def is_writing(self) -> bool:
        """Whether a ball is being kept, or is on its way into the lesson."""
        return bool(self.bay.balls.under_way) or self.taking.is_busy or self.writer.is_busy

    def let_go_of(self, whose: str) -> None:
        """Show no picture of what is about to go, and film nobody who is forgotten."""
        person = self.bay.person
        if person is not None and person.student.id == whose:
            self.bay.choose(None)
            self.replay.stop()
        if self.replay.ball == whose:
            self.replay.stop()

    def header_words(self) -> QWidget | None:
        """Morning check, cameras, the lesson's end."""
        return self.head

    def tv(self) -> TvPainter | None:
        """The pictures alone."""
        return self.pictures

    # Coming and going.

    def _fit(self) -> None:
        room = room_of(self.height(), self.look.px("body"))
        is_tight = room in (Room.TIGHT, Room.BARE)
        self.band.fit(self.height(), self.width(), is_tight=is_tight)
        self.tools.give_room(not is_tight)
        self.strip.shorten(is_tight)
        self.head.fit(self.width())

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """The word takes its share."""
        super().resizeEvent(event)
        self._fit()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Play the last ball again for whoever comes back."""
        super().showEvent(event)
        self.replay.hush(False)
        if self.unread is not None:
            self.trouble.emit(self.unread)
            self.unread = None

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
        self.measuring.close()
        self.bay.close()
        self.replay.close()
        self.writer.close()
        self.let_go_of_prints()
