"""The clip of a swing beside the student's own: from ids to one finished file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from capturestation.compare.playout import Pace
from capturestation.compare.timemap import TimeMap
from capturestation.drawing.app import ensure_app
from capturestation.drawing.layout import LayoutName
from capturestation.errors import ComparisonRefusedError
from capturestation.library import Library
from capturestation.records import (
    NS_PER_S,
    Drawing,
    Moment,
    Plain,
    Swing,
    View,
    Watch,
    to_plain,
)
from capturestation.station.clip_request import IMPACT_ON_IMPACT, ClipRequest, ClipSide
from capturestation.station.comparing import Comparison, compare
from capturestation.station.finding import latest_or
from capturestation.station.handout import ClipReport, make_clip
from capturestation.station.laying import Over, laid_over
from capturestation.station.people import today
from capturestation.station.places import refuse_inside
from capturestation.station.sharing import COACH_ONLY, refuse_unless_shared
from capturestation.swing.marks import effective_marks

HELD = (
    Moment.SET,
    Moment.TAKEAWAY,
    Moment.LEAD_ARM_LEVEL_BACK,
    Moment.TOP,
    Moment.LEAD_ARM_LEVEL_DOWN,
    Moment.SHAFT_LEVEL_DOWN,
    Moment.IMPACT,
    Moment.SHAFT_LEVEL_THROUGH,
    Moment.TRAIL_ARM_LEVEL_THROUGH,
    Moment.FINISH,
)
"""Where a clip stands still, as far as they are marked.

Club starts looks like set, so it stands in where set is not marked.
"""
_OWN_USE = "Or make it for your own eyes with --own-use: it is then marked so."
BEFORE_NS = 300_000_000
AFTER_NS = 200_000_000
UNMARKED_START_NS = -1_500_000_000
UNMARKED_STOP_NS = 800_000_000
"""What a clip shows of a swing whose set and finish nobody marked: it goes back in 0.8 to 1.0 s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipWish:
    """How a clip is to look and play.

    Args:
        layout: Which fields.
        slow: 1/4 is four times slower.
        hold_s: How long it stands at each moment.
        at_one: Match at this one moment and play at real speed; None matches at all shared ones.
        sound: Whether the strike is heard.
        replace: Whether a file there may be written over.
        moments: Where it stands still; None is wherever it is marked.
        drawings: Whether today's pictures show what is drawn on them.
        note: What stands on a page at the end; no page where it is empty.
        first: The view that comes first, and alone where one is shown.
        later_ns: How much later in the earlier swing each of its pictures is taken than the time
            map says: a hand's correction.
        over: How the earlier swing is laid over today's pictures; None where it isn't.
        own_use: Whether it is for the coach's own eyes: each picture says so, and no consent to
            sharing is needed.
    """

    layout: LayoutName = LayoutName.ALL_FOUR
    slow: Fraction = Fraction(1, 4)
    hold_s: float = 0.8
    at_one: Moment | None = None
    sound: bool = False
    replace: bool = False
    moments: tuple[Moment, ...] | None = None
    drawings: bool = True
    note: str = ""
    first: View | None = None
    later_ns: int = 0
    over: Over | None = None
    own_use: bool = False

    @property
    def needs_then(self) -> bool:
        """Whether an earlier swing is shown."""
        return self.over is not None or not self.layout.startswith("both-angles")


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeClip:
    """A clip that was made, where its pictures come from, and what was made beside it."""

    report: ClipReport
    comparison: Comparison | None
    said: tuple[str, ...]
    beside: tuple[Path, ...] = ()

    @property
    def files(self) -> tuple[Path, ...]:
        """The clip first."""
        return (self.report.path, *self.beside)

    @property
    def size_bytes(self) -> int:
        """Length of the file."""
        return self.report.path.stat().st_size


def clip_of(
    library: Library, now: str, then: str | None, wish: ClipWish, out: Path, watch: Watch
) -> MadeClip:
    """Make the clip of a swing, beside the own best where the layout shows one.

    Raises:
        ConsentRefusedError: If it is to be handed on and the consent to sharing isn't there.
        ComparisonRefusedError: If the two are unlike, or there is nothing to stand beside.
        OutputError: If the file is there already, lies in the library or can't be written; nothing
            was left.
        CancelledError: If stopped; nothing was left.
    """
    refuse_inside(library, out)
    comparison = None
    if wish.needs_then or then is not None:
        comparison = compare(library, now, then, at_one=wish.at_one)
    swing = comparison.now if comparison else latest_or(library, now)
    if not wish.own_use:
        refuse_unless_shared(library, swing, or_else=_OWN_USE)
    request = request_for(library, swing, comparison, wish)
    ensure_app()
    report = make_clip(request, out, watch=watch, overwrite=wish.replace)
    return MadeClip(
        report=report,
        comparison=comparison,
        said=(
            *_one_view_words(wish, request.views),
            *report.said,
        ),
    )


def request_for(
    library: Library, swing: Swing, comparison: Comparison | None, wish: ClipWish
) -> ClipRequest:
    """What is to be made, before a picture is decoded.

    Args:
        library: The library.
        swing: Today's swing.
        comparison: It against the earlier one; None where the layout shows today's alone.
        wish: How the clip is to look and play.

    Raises:
        ComparisonRefusedError: If no view of it is on the clock, or none is that the earlier one
            has too.
    """
    beside = comparison.then if comparison and wish.needs_then else None
    views = _views(swing, beside, wish.first)
    start_ns, stop_ns = _span(swing)
    shown = views[:1] if "then-and-now" in wish.layout else views
    over = laid_over(library, swing, beside, shown, wish.over) if beside and wish.over else {}
    return ClipRequest(
        now=replace(
            _side(library, swing, _word(library, swing, beside)),
            drawings=drawn_on(library, swing) if wish.drawings else (),
        ),
        then=_side(library, comparison.then, comparison.label) if comparison else None,
        layout=wish.layout,
        start_ns=start_ns,
        stop_ns=stop_ns,
        views=views,
        pace=Pace(
            slow=wish.slow,
            hold_s=Fraction(str(wish.hold_s)),
            moments=_held(swing) if wish.moments is None else wish.moments,
        ),
        time_map=_later(comparison.time_map, wish.later_ns) if comparison else IMPACT_ON_IMPACT,
        over=over,
        sound=wish.sound,
        cut_to_swing=True,
        note=wish.note.strip(),
        mark=COACH_ONLY if wish.own_use else "",
    )


def drawn_on(library: Library, swing: Swing) -> tuple[Drawing, ...]:
    """What is drawn on a swing's pictures: what stays on the view in its lesson, and its own."""
    return (*library.lesson(swing.book.lesson_id).drawings, *swing.book.drawings)


def _later(time_map: TimeMap, by_ns: int) -> TimeMap:
    knots = tuple(at_ns + by_ns for at_ns in time_map.knots_then_ns)
    return replace(time_map, knots_then_ns=knots)


def _views(now: Swing, then: Swing | None, first: View | None) -> tuple[View, ...]:
    """Up to two views to show; the ones that both swings have first, they fill "then-and-now"."""
    recorded = [view for view in View if now.recording(view) is not None]
    recorded.sort(key=lambda view: view is not first)
    own = [view for view in recorded if now.sync(view) is not None]
    if not own:
        raise ComparisonRefusedError(
            f"No recording of swing {now.id} has a place on the clock.",
            try_next="Place one by hand first, or choose another swing.",
            subject=now.id,
        )
    shared = own if then is None else [view for view in own if _shows(then, view)]
    if then is not None and not shared:
        theirs = [view for view in View if _shows(then, view)]
        raise ComparisonRefusedError(
            f"Swing {now.id} ({_listed(own)}) and swing {then.id} ({_listed(theirs)}) have no view "
            "in common.",
            try_next='Choose the layout "both-angles", which shows this swing alone, or an earlier '
            f"swing recorded {' or '.join(own)}.",
            subject=then.id,
        )
    return tuple([*shared, *(view for view in recorded if view not in shared)][:2])


def _shows(swing: Swing, view: View) -> bool:
    return swing.recording(view) is not None and swing.sync(view) is not None


def _listed(views: Sequence[View]) -> str:
    return " and ".join(views) or "nothing on the clock"


def _one_view_words(wish: ClipWish, views: Sequence[View]) -> tuple[str, ...]:
    if len(views) > 1:
        return ()
    shown = "then and now" if wish.needs_then else "alone"
    return (f"This swing was recorded {views[0]} only: the clip shows that view {shown}.",)


def _held(swing: Swing) -> tuple[Moment, ...]:
    mark = effective_marks(swing.book.marks).get(Moment.SET)
    if mark is not None and mark.occurs:
        return HELD
    return (Moment.CLUB_STARTS, *(moment for moment in HELD if moment is not Moment.SET))


def _word(library: Library, swing: Swing, beside: Swing | None) -> str:
    """What the swing is called on the picture; empty where its date says it all."""
    if beside is not None:
        is_later = swing.facts.struck_at >= beside.facts.struck_at
        return "today" if is_later else "chosen"
    # Newest first; two lessons of one day are both of the newest.
    newest = library.lessons(swing.book.student_id)[0].on
    of_newest = library.lesson(swing.book.lesson_id).on == newest
    is_today = swing.facts.struck_at.astimezone().date() == today()
    return "today" if of_newest or is_today else ""


def _side(library: Library, swing: Swing, word: str) -> ClipSide:
    media = {r.view: library.media_path(swing, r.view) for r in swing.facts.recordings}
    return ClipSide(swing=swing, media=media, word=word)


def _span(swing: Swing) -> tuple[int, int]:
    """From a little before the club starts to a little after the finish, as far as recorded."""
    marks = effective_marks(swing.book.marks)
    known = [mark.at_ns for mark in marks.values() if mark.at_ns is not None]
    starts = marks.get(Moment.CLUB_STARTS) or marks.get(Moment.SET)
    start_ns = UNMARKED_START_NS if starts is None else min(known) - BEFORE_NS
    finish = marks.get(Moment.FINISH)
    stop_ns = UNMARKED_STOP_NS if finish is None else max(known) + AFTER_NS
    firsts, lasts = [], []
    for recording in swing.facts.recordings:
        sync = swing.sync(recording.view)
        if sync is not None:
            first_s = recording.first_pts * recording.time_base
            first_ns = round(first_s * NS_PER_S)
            firsts.append(sync.to_swing(first_ns))
            lasts.append(sync.to_swing(first_ns + recording.duration_ns))
    # Where both views have pictures, unless that would cut a moment off.
    start_ns = max([start_ns, *(at for at in firsts if at <= min(known, default=0))])
    stop_ns = min([stop_ns, *(at for at in lasts if at >= max(known, default=0))])
    return (start_ns, stop_ns) if start_ns < stop_ns else (min(firsts), max(lasts))


def plain(made: MadeClip) -> dict[str, Plain]:
    """What was made as JSON values: for each frame of the clip the frame of each recording."""
    report = made.report
    return {
        "path": report.path.as_posix(),
        "layout": str(report.layout.name),
        "width_px": report.layout.width_px,
        "height_px": report.layout.height_px,
        "frames": report.frames,
        "duration_s": float(report.duration_s),
        "size_bytes": made.size_bytes,
        "fields": {
            name: {
                "place": to_plain(report.placements[name]),
                "source_frames": [int(n) for n in frames],
            }
            for name, frames in report.sources.items()
        },
        "laid_over": {
            str(view): {"source_frames": [int(n) for n in frames]}
            for view, frames in report.over.items()
        },
        "said": to_plain(made.said),
    }
