"""What stands on the page and in the web page that go home, from what the library knows.

Owns the choice of moments and of words. Private notes and the limits of the day are not asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from capturestation.compare.timemap import at_shared_marks
from capturestation.drawing.home_page import HomePage, Passage, WeeksDrawn, columns_for
from capturestation.drawing.layout import LayoutName
from capturestation.drawing.theme import date_words
from capturestation.library import Library
from capturestation.records import Moment, Swing, View, Watch
from capturestation.station import home_words as words
from capturestation.station.boards import Paper
from capturestation.station.clip_plan import zero_words
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.clips import drawn_on
from capturestation.station.comparing import Comparison
from capturestation.station.function_checks import asked_of
from capturestation.station.home_web import WebMoment, WebPage
from capturestation.station.home_wish import HomeWish
from capturestation.station.nameless import is_child
from capturestation.station.side_by_side_film import Film
from capturestation.station.stills import Sights, at_moment, closer, shown_moments, still_blocks
from capturestation.station.weeks import NEVER, weeks_of
from capturestation.station.weeks_told import of_focus, told
from capturestation.swing.marks import effective_marks

_ROWS = 4
# Of pictures on a page, as far as its swings and angles fill them.
_MOST_CHANGED = 2
_CLOSE_ASPECT = 0.85
# Width over height of what golfer and club need, held moments alone; found on rendered swings.


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeJob:
    """What is asked, and what was found in the library for it."""

    library: Library
    now: Swing
    found: Comparison | None
    wish: HomeWish
    request: ClipRequest

    @property
    def texts(self) -> tuple[str, ...]:
        """All words of the coach's that would go along."""
        drawn = [one.words for one in drawn_on(self.library, self.now)]
        note = self.wish.clip.note
        return (*self.focus, note, *self.wish.practise, self.now.book.club, *drawn)

    @property
    def focus(self) -> tuple[str, ...]:
        """What the lesson works on."""
        return self.library.lesson(self.now.book.lesson_id).focus

    @property
    def title(self) -> str:
        """What it is of."""
        return self.now.book.club.strip() or "Golf swing"

    @property
    def day(self) -> str:
        """The swing's day in words."""
        return date_words(self.now.facts.struck_at.date())

    @property
    def is_child(self) -> bool:
        """Whether the student may be under 18."""
        return is_child(self.library, self.now)

    @property
    def whose(self) -> str:
        """The student's name; nothing where it must not go along."""
        return "" if self.is_child else self.library.student(self.now.book.student_id).name

    @property
    def whole(self) -> ClipRequest:
        """All pictures of both swings beside each other, matched at every moment both have."""
        layout = LayoutName.ALL_FOUR if self.request.then else LayoutName.BOTH_ANGLES
        whole = replace(self.request, layout=layout, over={})
        if self.found is None or self.wish.clip.at_one is None:
            return whole
        marks = [effective_marks(one.book.marks) for one in (self.found.now, self.found.then)]
        return replace(whole, time_map=at_shared_marks(*marks))


def upright_mm(paper: Paper) -> tuple[float, float]:
    """A paper's width and height, stood on its shorter side."""
    wide, high = sorted(paper.size_mm)
    return wide, high


def home_page(job: HomeJob, sights: Sights, watch: Watch) -> HomePage:
    """All that stands on the page.

    Raises:
        NotReadableError: If a recording can't be read.
        CancelledError: If it was stopped.
    """
    sights, moments, columns = _chosen(job, sights)
    return HomePage(
        title=job.title,
        day=job.day,
        whose=job.whose,
        work=_work(job),
        blocks=still_blocks(sights, moments, columns, watch),
        under="Pictures below each other show the same moment of each swing." if job.found else "",
        words=_words(job),
        weeks=weeks_drawn(job) if job.wish.with_weeks else None,
    )


def weeks_drawn(job: HomeJob) -> WeeksDrawn | None:
    """How what the lesson works on went over the weeks; None where that isn't measured."""
    book = job.now.book
    if book.kind in NEVER:
        return None
    weeks = weeks_of(job.library, book.student_id, club=book.club, kind=book.kind)
    course = of_focus(weeks.courses, job.focus)
    if course is None:
        return None
    heading = f"Over the weeks: {words.measure_words(course.name)}"
    return WeeksDrawn(heading=heading, course=course, lines=told(course))


def home_web(job: HomeJob, film: Film, drawn: Mapping[View, bytes]) -> WebPage:
    """All that stands in the web page; the film's bytes come beside it.

    Args:
        job: What is asked.
        film: Where everything stands in the film.
        drawn: What is drawn on today's pictures.
    """
    first, last = int(film.times_ns[0]), int(film.times_ns[-1])
    then = job.request.then
    moments = [(moment, at_moment(job.request, moment)) for moment in _marked(job.now)]
    return WebPage(
        title=job.title,
        day=job.day,
        whose=job.whose,
        zero=zero_words(job.now),
        now_word=_side_words(job.request.now),
        then_word=_side_words(then) if then else "",
        film=film,
        drawn=drawn,
        moments=tuple(
            WebMoment(name=moment, at_ns=at_ns)
            for moment, at_ns in moments
            if first <= at_ns <= last
        ),
        passages=(*(replace(one, small=False) for one in _work(job)), *_words(job)),
    )


def _marked(swing: Swing) -> list[Moment]:
    marks = effective_marks(swing.book.marks)
    return [m for m in Moment if m is Moment.IMPACT or (m in marks and marks[m].at_ns is not None)]


def _side_words(side: ClipSide) -> str:
    day = date_words(side.swing.facts.struck_at.date())
    return " · ".join(part for part in (side.word, day) if part)


def _chosen(job: HomeJob, sights: Sights) -> tuple[Sights, list[Moment], int]:
    """The moments that a page shows, cut to what they need, and how many stand in a row."""
    blocks = max(_ROWS // sights.rows, 1)
    changed = words.changed_at(job.found)[:_MOST_CHANGED]
    columns = columns_for(_CLOSE_ASPECT, blocks * sights.rows, upright_mm(job.wish.paper))
    moments = shown_moments(sights.request, blocks * columns, changed)
    close = closer(sights, moments)
    fewer = columns_for(close.aspect, blocks * sights.rows, upright_mm(job.wish.paper))
    if fewer < columns:
        moments = shown_moments(sights.request, blocks * fewer, changed)
        close = closer(sights, moments)
    return close, moments, min(fewer, columns)


def _work(job: HomeJob) -> tuple[Passage, ...]:
    """What to work on, and what to practise."""
    return tuple(
        Passage(heading=heading, lines=tuple(map(words.capital, lines)), small=small)
        for heading, lines, small in (
            ("To work on", job.focus, False),
            ("To practise", job.wish.practise, True),
        )
        if lines
    )


def _words(job: HomeJob) -> tuple[Passage, ...]:
    """The second side."""
    note = [line.strip() for line in job.wish.clip.note.splitlines() if line.strip()]
    own = [line for line in note if line not in job.focus]
    parts: list[Passage | None] = [
        Passage(heading="From your coach", lines=tuple(own), marked=False) if own else None,
        words.changes_passage(job.found) if job.found else None,
        words.checks_passage(asked_of(job.library, job.now)) if job.wish.with_checks else None,
        words.missing_passage(job.now),
        Passage(heading="How to read it", lines=(words.ERROR_WORDS,), marked=False, small=True)
        if job.found
        else None,
        words.cautions_passage(is_child=job.is_child),
    ]
    return tuple(part for part in parts if part is not None)
