"""All that a student takes home of a lesson: the clip, the page, made together or not at all.

Owns that nothing is made without the consent for sharing that the age needs, and that a stopped or
failed job leaves nothing behind. File names say the day and the club, never whose swing it is.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from capturestation.drawing.app import ensure_app
from capturestation.drawing.home_page import HomePage, Passage, columns_for
from capturestation.drawing.home_sides import home_pdf
from capturestation.drawing.layout import LayoutName
from capturestation.drawing.note_page import MOST_SIGNS
from capturestation.drawing.theme import date_words
from capturestation.errors import BadInputError
from capturestation.folders import make_folder
from capturestation.folders.files import explained_writing
from capturestation.library import Library
from capturestation.media.encode import refuse_taken
from capturestation.records import Moment, Part, Plain, Swing, Watch
from capturestation.station import home_words as words
from capturestation.station.boards import Paper
from capturestation.station.clip_request import ClipRequest
from capturestation.station.clips import ClipWish, drawn_on, request_for
from capturestation.station.comparing import Comparison, compare
from capturestation.station.finding import latest_or
from capturestation.station.framing import frame_swings
from capturestation.station.function_checks import asked_of
from capturestation.station.handout import ClipReport, make_clip, open_readers
from capturestation.station.nameless import is_child, refuse_child_named
from capturestation.station.places import refuse_inside
from capturestation.station.sending import clip_name, refuse_unless_shared
from capturestation.station.stills import Sights, closer, shown_moments, still_blocks

MOST_PRACTISE = 2
_ROWS = 4
_MOST_CHANGED = 2
_CLOSE_ASPECT = 0.85
# Width over height of what golfer and club need, held moments alone; found on rendered swings.
# Of pictures on a page, as far as its swings and angles fill them.


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeWish:
    """What is to go home.

    Args:
        clip: How the clip looks and plays; its note also stands on the page.
        paper: What the page is printed on.
        practise: One or two things to practise.
        with_checks: Whether the page says what has to work, and whether it does.
        replace: Whether files of these names may be written over.
    """

    clip: ClipWish = field(default_factory=ClipWish)
    paper: Paper = Paper.A4
    practise: tuple[str, ...] = ()
    with_checks: bool = False
    replace: bool = False

    @property
    def is_alone(self) -> bool:
        """Whether today's swing goes home without an earlier one beside it."""
        return not self.clip.needs_then


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenHome:
    """What was made.

    Args:
        clip: The clip.
        page: The PDF.
        said: What the coach should know, a sentence each.
    """

    clip: ClipReport
    page: Path
    said: tuple[str, ...]

    @property
    def files(self) -> tuple[Path, ...]:
        """All of them."""
        return (self.clip.path, self.page)

    def plain(self) -> dict[str, Plain]:
        """As JSON values."""
        return {
            "files": [path.as_posix() for path in self.files],
            "sizes_bytes": [path.stat().st_size for path in self.files],
            "duration_s": float(self.clip.duration_s),
            "said": list(self.said),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What is asked, and what was found in the library for it."""

    library: Library
    now: Swing
    found: Comparison | None
    wish: HomeWish
    request: ClipRequest

    @property
    def texts(self) -> tuple[str, ...]:
        """All words of the coach's that would go along."""
        lesson = self.library.lesson(self.now.book.lesson_id)
        drawn = [one.words for one in drawn_on(self.library, self.now)]
        note = self.wish.clip.note
        return (*lesson.focus, note, *self.wish.practise, self.now.book.club, *drawn)


def take_home(
    library: Library, now: str, then: str | None, wish: HomeWish, folder: Path, watch: Watch
) -> TakenHome:
    """Make all that goes home, in a folder of choice.

    Args:
        library: The library.
        now: Today's swing: its id, or "latest".
        then: The earlier one; None for the own best.
        wish: What is to go home.
        folder: Where; made if it isn't there.
        watch: Is told how far it is, and may stop it.

    Raises:
        ConsentRefusedError: If the consent to sharing isn't there; nothing was made.
        BadInputError: If words are too long, or hold a child's name.
        ComparisonRefusedError: If the two are unlike, or there is nothing to stand beside.
        OutputError: If a file is there already, or can't be written; nothing was left.
        NotReadableError: If a recording can't be read.
        CancelledError: If stopped; nothing was left.
    """
    refuse_inside(library, folder)
    found = None if wish.is_alone else compare(library, now, then, at_one=wish.clip.at_one)
    swing = found.now if found else latest_or(library, now)
    refuse_unless_shared(library, swing)
    _refuse_words(wish)
    request = request_for(library, swing, found, wish.clip)
    job = _Job(library=library, now=swing, found=found, wish=wish, request=request)
    refuse_child_named(library, swing, job.texts)
    clip = clip_name(swing, found.then if found else None)
    names = (clip, f"{Path(clip).stem}.pdf")
    make_folder(folder)
    if not wish.replace:
        for name in names:
            refuse_taken(folder / name)
    ensure_app()
    with _beside(folder) as place:
        report, said = _make(job, tuple(place / name for name in names), watch)
        with explained_writing(folder):
            for name in names:
                (place / name).replace(folder / name)
    return TakenHome(clip=replace(report, path=folder / clip), page=folder / names[1], said=said)


def _refuse_words(wish: HomeWish) -> None:
    if len(wish.practise) > MOST_PRACTISE:
        raise BadInputError(
            f"A page has one or two things to practise, not {len(wish.practise)}.",
            try_next="Choose the two that matter most.",
        )
    for text in (wish.clip.note, *wish.practise):
        if len(text) > MOST_SIGNS:
            raise BadInputError(
                f"The words have {len(text)} signs and there is room for {MOST_SIGNS}.",
                try_next="Shorten them to what matters most.",
            )


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    """A hidden folder that is gone afterwards: files come in by one rename each."""
    with explained_writing(folder):
        place = Path(tempfile.mkdtemp(prefix=".handout-", dir=folder))
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _make(job: _Job, files: tuple[Path, ...], watch: Watch) -> tuple[ClipReport, tuple[str, ...]]:
    clip, page = files
    layout = LayoutName.ALL_FOUR if job.request.then else LayoutName.BOTH_ANGLES
    whole = replace(job.request, layout=layout)
    with ExitStack() as stack:
        readers = open_readers(whole, stack)
        framing = frame_swings(whole, readers, Part(watch, 0.0, 0.1))
        sights = Sights(request=whole, framing=framing, readers=readers)
        pdf = home_pdf(_page(job, sights, Part(watch, 0.1, 0.2)), _upright_mm(job.wish.paper))
    with explained_writing(page):
        page.write_bytes(pdf)
    report = make_clip(job.request, clip, watch=Part(watch, 0.2, 1.0), framing=framing)
    return report, report.said


def _upright_mm(paper: Paper) -> tuple[float, float]:
    wide, high = sorted(paper.size_mm)
    return wide, high


def _page(job: _Job, sights: Sights, watch: Watch) -> HomePage:
    """All that stands on the page."""
    library, swing, wish = job.library, job.now, job.wish
    lesson = library.lesson(swing.book.lesson_id)
    sights, moments, columns = _chosen(job, sights)
    child = is_child(library, swing)
    return HomePage(
        title=swing.book.club.strip() or "Golf swing",
        day=date_words(_day(swing)),
        whose="" if child else library.student(swing.book.student_id).name,
        work=tuple(
            Passage(heading=heading, lines=tuple(map(words.capital, lines)), small=small)
            for heading, lines, small in (
                ("To work on", lesson.focus, False),
                ("To practise", wish.practise, True),
            )
            if lines
        ),
        blocks=still_blocks(sights, moments, columns, watch),
        under="Pictures below each other show the same moment of each swing." if job.found else "",
        words=_words(job, lesson.focus, child=child),
    )


def _chosen(job: _Job, sights: Sights) -> tuple[Sights, list[Moment], int]:
    """The moments that a page shows, cut to what they need, and how many stand in a row."""
    blocks = max(_ROWS // sights.rows, 1)
    changed = words.changed_at(job.found)[:_MOST_CHANGED]
    columns = columns_for(_CLOSE_ASPECT, blocks * sights.rows, _upright_mm(job.wish.paper))
    moments = shown_moments(sights.request, blocks * columns, changed)
    close = closer(sights, moments)
    fewer = columns_for(close.aspect, blocks * sights.rows, _upright_mm(job.wish.paper))
    if fewer < columns:
        moments = shown_moments(sights.request, blocks * fewer, changed)
        close = closer(sights, moments)
    return close, moments, min(fewer, columns)


def _day(swing: Swing) -> date:
    return swing.facts.struck_at.date()


def _words(job: _Job, focus: tuple[str, ...], *, child: bool) -> tuple[Passage, ...]:
    """The second side."""
    note = [line.strip() for line in job.wish.clip.note.splitlines() if line.strip()]
    own = [line for line in note if line not in focus]
    parts: list[Passage | None] = [
        Passage(heading="From your coach", lines=tuple(own), marked=False) if own else None,
        words.changes_passage(job.found) if job.found else None,
        words.checks_passage(asked_of(job.library, job.now)) if job.wish.with_checks else None,
        words.missing_passage(job.now),
        Passage(heading="How to read it", lines=(words.ERROR_WORDS,), marked=False, small=True)
        if job.found
        else None,
        words.cautions_passage(is_child=child),
    ]
    return tuple(part for part in parts if part is not None)
