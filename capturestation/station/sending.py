"""From the swing on the Bench to a clip that may be handed on.

Owns what is asked of the clip, with answers that suit at once; that it is only made where the
consent to sharing is recorded; and a file name that doesn't say whose it is.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

from capturestation.drawing.layout import LayoutName
from capturestation.drawing.note_page import MOST_SIGNS
from capturestation.errors import BadInputError, OutputError
from capturestation.folders import copy_durably, make_folder, remove_file
from capturestation.library import Library
from capturestation.records import Moment, Part, Swing, SwingId, View, Watch
from capturestation.station.bench.notice import Notice
from capturestation.station.boards import Paper
from capturestation.station.clips import HELD, ClipWish, MadeClip, clip_of, drawn_on
from capturestation.station.home_wish import HomeWish
from capturestation.station.laying import Over
from capturestation.station.nameless import refuse_child_named
from capturestation.station.sharing import COACH_ONLY, may_be_shared, refuse_unless_shared
from capturestation.swing.marks import effective_marks

SPEEDS = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(1))
_SHAPES = (LayoutName.ALL_FOUR, LayoutName.THEN_AND_NOW, LayoutName.BOTH_ANGLES)
_FOR_COACH = "Or tick that it is for your own eyes: it is then marked so."
_NOT_IN_A_NAME = re.compile(r"[^\w -]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The earlier swing as it stands on the Bench.

    Args:
        swing: Which.
        at_one: The one moment at which both are matched; None where at all.
        later_ns: By how much a hand moved it in time.
        over: How it lies over today's pictures, or would.
        is_over: Whether it does.
    """

    swing: Swing
    at_one: Moment | None = None
    later_ns: int = 0
    over: Over = field(default_factory=Over)
    is_over: bool = False


class Sending:
    """What is asked of the next clip.

    Args:
        library: Where the swings are.

    Attributes:
        changed: Tells that something is asked differently now.
        shape: Which pictures.
        is_upright: Whether it fills a phone held upright.
        slow: 1/4 is four times slower.
        held: At which moments it stands still.
        note: The page at its end; none where it is empty.
        with_drawings: Whether what is drawn is seen.
        is_over: Whether the earlier swing is laid over today's pictures.
        own_use: Whether it is for the coach's own eyes, where it must not be handed on.
        with_page: Whether a page to print and a web page are made beside the clip.
        with_checks: Whether these say what has to work.
        with_weeks: Whether the page shows the lesson's focus over the weeks.
        practise: What they say to practise, a line each.
        paper: What the page is printed on.
        folder: Where clips were saved last; None before the first.
    """

    def __init__(self, library: Library) -> None:
        self.changed = Notice()
        self.shape = LayoutName.BOTH_ANGLES
        self.is_upright = False
        self.slow = Fraction(1, 4)
        self.held: frozenset[Moment] = frozenset()
        self.note = ""
        self.with_drawings = True
        self.is_over = False
        self.own_use = False
        self.with_page, self.with_checks, self.with_weeks = False, False, False
        self.practise = ""
        self.paper = Paper.A4
        self.folder: Path | None = None
        self._library = library
        self._now: Swing | None = None
        self._beside: Beside | None = None
        self._alone: View | None = None

    def look_at(
        self, now: Swing | None, beside: Beside | None = None, alone: View | None = None
    ) -> None:
        """Take up the swing that is looked at, and answers that suit it.

        Args:
            now: Today's; None clears the Bench.
            beside: The earlier one, if it stands there.
            alone: The one angle that is looked at, if it is one.
        """
        if (now, beside, alone) == (self._now, self._beside, self._alone):
            return
        is_other = now is None or self._now is None or now.id != self._now.id
        is_else = is_other or alone is not self._alone or _id(beside) != _id(self._beside)
        is_laid_else = _is_over(beside) is not _is_over(self._beside)
        self._now, self._beside, self._alone = now, beside, alone
        if is_else or is_laid_else:
            self.is_over = _is_over(beside)
        if is_else or is_laid_else or self.shape not in self.shapes:
            self.shape = self._fitting_shape()
        if now is not None and is_other:
            self.held = frozenset(self.moments)
            self.note = "\n".join(self._library.lesson(now.book.lesson_id).focus)
            self.practise = ""
            self.own_use = False
        self.changed()

    @property
    def shapes(self) -> tuple[LayoutName, ...]:
        """The layouts that show something else than another one does, for these swings."""
        views = self._shared
        if self._beside is None or not views:
            return (LayoutName.BOTH_ANGLES,)
        return _SHAPES if len(views) > 1 else _SHAPES[1:]

    @property
    def moments(self) -> tuple[Moment, ...]:
        """Where the clip can stand still."""
        if self._now is None:
            return ()
        marks = effective_marks(self._now.book.marks)
        marked = [m for m in HELD if m in marks and marks[m].occurs]
        return tuple(m for m in HELD if m in marked or m is Moment.IMPACT)

    @property
    def has_earlier(self) -> bool:
        """Whether there is an earlier swing to lay over."""
        return self._beside is not None and bool(self._shared)

    @property
    def must_not_go_home(self) -> bool:
        """Whether the consent to hand it on is not there."""
        return self._now is not None and not may_be_shared(self._library, self._now)

    @property
    def is_for_coach(self) -> bool:
        """Whether it is made for the coach's own eyes; where it may be handed on it never is."""
        return self.own_use and self.must_not_go_home

    @property
    def has_drawings(self) -> bool:
        """Whether anything is drawn on today's pictures."""
        return self._now is not None and bool(drawn_on(self._library, self._now))

    def ask(
        self,
        *,
        shape: LayoutName | None = None,
        is_upright: bool | None = None,
        slow: Fraction | None = None,
        held: frozenset[Moment] | None = None,
        with_drawings: bool | None = None,
        is_over: bool | None = None,
    ) -> None:
        """Ask for something else; what is None stays."""
        self.shape = self.shape if shape is None else shape
        self.is_upright = self.is_upright if is_upright is None else is_upright
        self.slow = self.slow if slow is None else slow
        self.held = self.held if held is None else held
        self.with_drawings = self.with_drawings if with_drawings is None else with_drawings
        self.is_over = self.is_over if is_over is None else is_over
        self.changed()

    def keep_for_coach(self, on: bool) -> None:
        """Make it for the coach's own eyes, or to be handed on."""
        self.own_use = on
        self.changed()

    def ask_page(
        self,
        *,
        with_page: bool | None = None,
        with_checks: bool | None = None,
        with_weeks: bool | None = None,
    ) -> None:
        """Ask for a page beside the clip, and for what stands on it; what is None stays."""
        self.with_page = self.with_page if with_page is None else with_page
        self.with_checks = self.with_checks if with_checks is None else with_checks
        self.with_weeks = self.with_weeks if with_weeks is None else with_weeks
        self.changed()

    @property
    def wish(self) -> ClipWish:
        """All of it for whoever makes the clip."""
        beside = self._beside
        layout = f"{self.shape}-upright" if self.is_upright else self.shape
        return ClipWish(
            layout=LayoutName(layout),
            slow=self.slow,
            at_one=beside.at_one if beside else None,
            later_ns=beside.later_ns if beside else 0,
            moments=tuple(moment for moment in HELD if moment in self.held),
            drawings=self.with_drawings,
            over=beside.over if beside and self.is_over else None,
            own_use=self.is_for_coach,
            note=self.note,
            first=self._alone,
        )

    @property
    def name(self) -> str:
        """The file's name: the day and the club, never whose swing it is."""
        assert self._now is not None
        name = clip_name(self._now, self._shown_then)
        return f"{Path(name).stem}, {COACH_ONLY}.mp4" if self.is_for_coach else name

    def ready(self) -> Order:
        """What is to be made, as it is asked for now.

        Raises:
            BadInputError: If there is no swing, the note is too long for its page, or words hold
                a child's family name.
            ConsentRefusedError: If the consent to sharing is not there.
        """
        if self._now is None:
            raise BadInputError(
                "There is no swing to send.", try_next="Open one in the Book and look at it first."
            )
        if len(self.note) > MOST_SIGNS:
            raise BadInputError(
                f"The note has {len(self.note)} signs and its page has room for {MOST_SIGNS}.",
                try_next="Shorten it to the one or two things that matter most.",
            )
        if self.with_page or not self.is_for_coach:
            refuse_unless_shared(self._library, self._now, or_else=_FOR_COACH)
        drawn = [one.words for one in drawn_on(self._library, self._now)]
        refuse_child_named(self._library, self._now, (self.note, self._now.book.club, *drawn))
        then = self._shown_then
        home = self._home() if self.with_page else None
        return Order(
            now=self._now.id,
            then=then.id if then else None,
            wish=self.wish,
            name=self.name,
            home=home,
        )

    def _home(self) -> HomeWish:
        lines = [line.strip() for line in self.practise.splitlines()]
        wish = HomeWish(
            clip=self.wish,
            paper=self.paper,
            practise=tuple(line for line in lines if line),
            with_checks=self.with_checks,
            with_weeks=self.with_weeks,
            replace=True,
        )
        wish.check()
        return wish

    @property
    def _shown_then(self) -> Swing | None:
        is_shown = self.is_over or self.shape is not LayoutName.BOTH_ANGLES
        return self._beside.swing if self._beside and is_shown else None

    @property
    def _shared(self) -> list[View]:
        """Views of both swings that are on the clock."""
        both = [self._now, self._beside.swing if self._beside else self._now]
        return [v for v in View if all(s is not None and _has(s, v) for s in both)]

    def _fitting_shape(self) -> LayoutName:
        """What is looked at: one angle alone then and now, else all that is there.

        Where one is laid over the other, today's pictures show both already.
        """
        shapes = self.shapes
        if self.is_over and self._alone is None:
            return LayoutName.BOTH_ANGLES
        if self._alone is not None and LayoutName.THEN_AND_NOW in shapes:
            return LayoutName.THEN_AND_NOW
        return shapes[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """A clip that is to be made.

    Args:
        now: Today's swing.
        then: The earlier one; None where it isn't shown.
        wish: How it looks and plays.
        name: Its file's name.
        home: What is made beside it; None for the clip alone.
    """

    now: str
    then: str | None
    wish: ClipWish
    name: str
    home: HomeWish | None = None


def _id(beside: Beside | None) -> SwingId | None:
    return None if beside is None else beside.swing.id


def _is_over(beside: Beside | None) -> bool:
    return beside is not None and beside.is_over


def _has(swing: Swing, view: View) -> bool:
    return swing.recording(view) is not None and swing.sync(view) is not None


def clip_name(now: Swing, then: Swing | None) -> str:
    """A name for the clip: the day, the club, and what it is laid beside."""
    day = now.facts.struck_at.date().isoformat()
    club = " ".join(_NOT_IN_A_NAME.sub(" ", now.book.club).split()) or "swing"
    beside = f" beside {then.facts.struck_at.date().isoformat()}" if then else ""
    return f"{day} {club}{beside}.mp4"


def make(library: Library, order: Order, folder: Path, watch: Watch) -> MadeClip:
    """Make a clip in a folder of clips that are to be handed on; an older one of its name goes.

    Raises:
        ConsentRefusedError: If the consent was taken back meanwhile; nothing was made.
        StationError: As `station.clips.clip_of`.
    """
    if not order.wish.own_use:
        refuse_unless_shared(library, library.find_swing(order.now))
    make_folder(folder)
    wish = replace(order.wish, replace=True)
    return clip_of(library, order.now, order.then, wish, folder / order.name, watch)


def save_in(files: Sequence[Path], folder: Path, watch: Watch) -> tuple[Path, ...]:
    """Copy files that belong together into a folder of choice, under a name that is free there.

    Raises:
        OutputError: If one can't be written; nothing was left.
        CancelledError: If stopped; nothing was left.
    """
    if not folder.is_dir():
        raise OutputError(
            f"{folder} is not there.", try_next="Choose another folder.", subject=str(folder)
        )
    stem = files[0].stem
    stems = itertools.chain([stem], (f"{stem} {n}" for n in itertools.count(2)))
    free = next(
        name
        for name in stems
        if not any((folder / f"{name}{file.suffix}").exists() for file in files)
    )
    targets = [folder / f"{free}{file.suffix}" for file in files]
    done: list[Path] = []
    try:
        for number, (file, target) in enumerate(zip(files, targets, strict=True)):
            copy_durably(file, target, Part(watch, number / len(files), (number + 1) / len(files)))
            done.append(target)
    except BaseException:
        for target in done:
            remove_file(target)
        raise
    return tuple(targets)
