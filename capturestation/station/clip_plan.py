"""What a clip shows, decided before a picture is decoded.

Owns the way from a clip's frame to a recording's frame: the script gives today's swing time, the
time map the earlier swing's, the place on the clock the recording's, and its stamps the frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.compare.differences import COVERAGE
from capturestation.compare.playout import ClipScript, write_script
from capturestation.compare.timemap import TimeMap
from capturestation.drawing.clip_painter import Caption, ClipLabels
from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Field, Layout
from capturestation.drawing.strip import Tick
from capturestation.drawing.theme import date_words
from capturestation.media.frames import FrameReader
from capturestation.records import (
    NS_PER_S,
    IntArray,
    Moment,
    Swing,
    SyncSource,
    View,
)
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.comparing import is_ordinary
from capturestation.swing.marks import effective_marks
from capturestation.timing.frames import nearest_frame

STARTS_LATER = "the recording starts later"
ENDS_EARLIER = "the recording ends here"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """What one field shows.

    Args:
        reader: The open recording.
        ordinals: Its frame for each frame of the clip, shape (n,).
        beyond: -1 before its first frame, 1 after its last, else 0, shape (n,).
        off_ns: Farthest that a shown frame stands from the time asked for, where it reaches.
    """

    reader: FrameReader
    ordinals: IntArray
    beyond: IntArray
    off_ns: int

    def note(self, frame: int) -> str:
        """The remark for that frame of the clip, if any."""
        return {-1: STARTS_LATER, 1: ENDS_EARLIER}.get(int(self.beyond[frame]), "")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClipPlan:
    """Everything a clip shows.

    Args:
        layout: Where it stands.
        labels: The words that don't change.
        script: Today's swing time at each frame.
        then_ns: The earlier swing's own time at each frame; None where it is the same or unused.
        tracks: By the field's name; a field without a picture is left out.
        said: What the coach should know, a sentence each.
    """

    layout: Layout
    labels: ClipLabels
    script: ClipScript
    then_ns: IntArray | None
    tracks: Mapping[str, Track]
    said: tuple[str, ...]


def plan_clip(request: ClipRequest, layout: Layout, readers: Mapping[str, FrameReader]) -> ClipPlan:
    """Decide what each frame of the clip shows.

    Args:
        request: What is wanted.
        layout: Its layout.
        readers: Open recordings by the field's name, placed on the swing's clock.
    """
    marks = effective_marks(request.now.swing.book.marks)
    script = write_script(marks, request.pace, start_ns=request.start_ns, stop_ns=request.stop_ns)
    times = {Side.NOW: script.now_ns, Side.THEN: request.time_map.then_from_now(script.now_ns)}
    tracks = {
        name: _track(request, layout.field(name), times, reader) for name, reader in readers.items()
    }
    has_then = any(field.side is Side.THEN for field in layout.fields)
    differs = has_then and bool((times[Side.THEN] != script.now_ns).any())
    return ClipPlan(
        layout=layout,
        labels=_labels(request, layout, script),
        script=script,
        then_ns=times[Side.THEN] if differs else None,
        tracks=tracks,
        said=_sentences(request, layout, script, tracks),
    )


def _track(
    request: ClipRequest, field: Field, times: Mapping[Side, IntArray], reader: FrameReader
) -> Track:
    sync = request.side(field.side).swing.sync(field.view)
    if sync is None:
        raise KeyError(field.name)
    media_ns = sync.to_media(times[field.side])
    shown_ns = reader.index.times_ns
    ordinals = nearest_frame(shown_ns, media_ns)
    beyond = _beyond(shown_ns, media_ns)
    off = np.abs(shown_ns[ordinals] - media_ns)[beyond == 0]
    return Track(
        reader=reader,
        ordinals=ordinals,
        beyond=beyond,
        off_ns=int(off.max()) if len(off) else 0,
    )


def _beyond(shown_ns: IntArray, media_ns: IntArray) -> IntArray:
    """Beyond an end is more than a frame's time past it: half of one is its own."""
    gap_ns = int(np.diff(shown_ns).max()) if len(shown_ns) > 1 else 0
    before = media_ns < shown_ns[0] - gap_ns
    after = media_ns > shown_ns[-1] + gap_ns
    side: IntArray = after.astype(np.int64) - before.astype(np.int64)
    return side


def _labels(request: ClipRequest, layout: Layout, script: ClipScript) -> ClipLabels:
    captions = {}
    for field in layout.fields:
        side = request.side(field.side)
        day = date_words(side.swing.facts.struck_at.date())
        captions[field.name] = Caption(
            whose=side.word,
            view=str(field.view),
            day=day,
            missing=why_missing(side, field.view),
        )
    return ClipLabels(
        captions=captions,
        ticks=_ticks(request.now.swing, script),
        start_ns=request.start_ns,
        stop_ns=request.stop_ns,
        zero=zero_words(request.now.swing),
        now_word=request.now.word,
        then_word=request.then.word if request.then else "",
    )


def zero_words(swing: Swing) -> str:
    """What zero of a swing's clock is."""
    return "impact" if swing.book.zero == "contact" else f"the {swing.book.zero}"


def _ticks(swing: Swing, script: ClipScript) -> tuple[Tick, ...]:
    times = {Moment.IMPACT: 0}
    for moment, mark in effective_marks(swing.book.marks).items():
        if mark.at_ns is not None and moment is not Moment.IMPACT:
            times[moment] = mark.at_ns
    ticks = [
        Tick(moment=moment, at_ns=at_ns, is_held=moment in script.moments)
        for moment, at_ns in times.items()
    ]
    return tuple(sorted(ticks, key=lambda tick: (tick.at_ns, tick.moment.place)))


def why_missing(side: ClipSide, view: View) -> str:
    """Why a view of a swing has no picture in a clip, or an empty text if it has one."""
    if view not in side.media:
        return f"not recorded {view} in this swing"
    if side.swing.sync(view) is None:
        return "not placed on the swing's clock yet"
    return ""


def _sentences(
    request: ClipRequest, layout: Layout, script: ClipScript, tracks: Mapping[str, Track]
) -> tuple[str, ...]:
    said = []
    for field in layout.fields:
        side = request.side(field.side)
        who = _who(side, field.view)
        why = why_missing(side, field.view)
        said += [f"{who}: {why}."] if why else _of_track(who, side, field, tracks[field.name])
    if any(field.side is Side.THEN for field in layout.fields):
        said += _of_map(request.time_map, request)
    return (*said, *_not_held(script), *_how_exact(request, layout, tracks))


def _who(side: ClipSide, view: View) -> str:
    return f"{side.word or date_words(side.swing.facts.struck_at.date())}, {view}"


def _not_held(script: ClipScript) -> list[str]:
    """One sentence, however many moments it is about."""
    by_why: dict[str, list[str]] = {}
    for gone in script.not_held:
        by_why.setdefault(gone.why, []).append(f'"{gone.moment}"')
    parts = [f"because {why}: {', '.join(moments)}" for why, moments in by_why.items()]
    return [f"Not held, {'; '.join(parts)}."] if parts else []


def _how_exact(request: ClipRequest, layout: Layout, tracks: Mapping[str, Track]) -> list[str]:
    """How far a picture may be from the time beside it, and that time from the true one."""
    off_ns = max((track.off_ns for track in tracks.values()), default=0)
    known = []
    for field in layout.fields:
        side = request.side(field.side)
        sync = side.swing.sync(field.view)
        if field.name in tracks and sync is not None:
            known.append(f"{_who(side, field.view)} ± {_ms_words(round(COVERAGE * sync.u_ns))}")
    return [
        f"Each picture is the recorded one nearest to the time shown, at most {_ms_words(off_ns)} "
        f"from it; on top of that contact is known to: {'; '.join(known)}."
    ]


def _ms_words(ns: int) -> str:
    ms = ns / (NS_PER_S // 1000)
    return f"{ms:.0f} ms" if ms >= 10 else f"{ms:.1f} ms"


def _of_track(who: str, side: ClipSide, field: Field, track: Track) -> list[str]:
    said = []
    sync = side.swing.sync(field.view)
    if sync is not None and sync.source is not SyncSource.SOUND:
        said.append(f"{who}: placed by {sync.source}. {sync.said}".rstrip())
    elif sync is not None and sync.said and not is_ordinary(sync):
        said.append(f"{who}: {sync.said}")
    for edge, words in ((-1, STARTS_LATER), (1, ENDS_EARLIER)):
        if (track.beyond == edge).any():
            said.append(f"{who}: {words}; the picture stands still there.")
    return said


def _of_map(time_map: TimeMap, request: ClipRequest) -> list[str]:
    said = [time_map.said]
    said += [f'Not laid together at "{gone.moment}": {gone.why}.' for gone in time_map.left_out]
    zeros = [side.swing.book.zero for side in (request.now, request.side(Side.THEN))]
    if len(set(zeros)) > 1:
        said.append(f"Zero is {zeros[0]} today and {zeros[1]} in the earlier swing.")
    return said
