"""What a clip shows, decided before a picture is decoded.

Owns the way from a clip's frame to a recording's frame: the script gives today's swing time, the
time map the earlier swing's, the place on the clock the recording's, and its stamps the frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from capturestation.compare.differences import COVERAGE
from capturestation.compare.playout import ClipScript, write_script
from capturestation.compare.timemap import TimeMap
from capturestation.drawing.clip_captions import Caption
from capturestation.drawing.clip_painter import ClipLabels
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.layout import Field, Layout, field_name
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
NONE_OVER: Mapping[View, FrameReader] = MappingProxyType({})


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
        over: What is laid over today's pictures, by view.
        said: What the coach should know, a sentence each.
    """

    layout: Layout
    labels: ClipLabels
    script: ClipScript
    then_ns: IntArray | None
    tracks: Mapping[str, Track]
    over: Mapping[View, Track]
    said: tuple[str, ...]

    def note(self, field: Field, frame: int) -> str:
        """The remark in a field for that frame of the clip, if any."""
        track = self.tracks.get(field.name)
        own = track.note(frame) if track else ""
        laid = self.over.get(field.view) if field.side is Side.NOW else None
        earlier = laid.note(frame) if laid else ""
        return own or (earlier and f"{self.labels.then_word or 'earlier'}: {earlier}")


def plan_clip(
    request: ClipRequest,
    layout: Layout,
    readers: Mapping[str, FrameReader],
    over: Mapping[View, FrameReader] = NONE_OVER,
) -> ClipPlan:
    """Decide what each frame of the clip shows.

    Args:
        request: What is wanted.
        layout: Its layout.
        readers: Open recordings by the field's name, placed on the swing's clock.
        over: Those of the earlier swing that are laid over today's, by view.
    """
    marks = effective_marks(request.now.swing.book.marks)
    script = write_script(marks, request.pace, start_ns=request.start_ns, stop_ns=request.stop_ns)
    times = {Side.NOW: script.now_ns, Side.THEN: request.time_map.then_from_now(script.now_ns)}
    tracks = {
        field.name: _track(request, (field.side, field.view), times, readers[field.name])
        for field in layout.fields
        if field.name in readers
    }
    laid = {
        view: _track(request, (Side.THEN, view), times, reader) for view, reader in over.items()
    }
    has_then = bool(laid) or any(field.side is Side.THEN for field in layout.fields)
    differs = has_then and bool((times[Side.THEN] != script.now_ns).any())
    return ClipPlan(
        layout=layout,
        labels=_labels(request, layout, script, over),
        script=script,
        then_ns=times[Side.THEN] if differs else None,
        tracks=tracks,
        over=laid,
        said=_sentences(request, layout, script, tracks, laid),
    )


def _track(
    request: ClipRequest, cell: Cell, times: Mapping[Side, IntArray], reader: FrameReader
) -> Track:
    side, view = cell
    sync = request.side(side).swing.sync(view)
    if sync is None:
        raise KeyError(field_name(side, view))
    media_ns = sync.to_media(times[side])
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


def _labels(
    request: ClipRequest, layout: Layout, script: ClipScript, over: Mapping[View, FrameReader]
) -> ClipLabels:
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
        if field.side is Side.NOW and field.view in over:
            earlier = captions[field.name]
            captions[field.name] = replace(earlier, over=_dated(request.side(Side.THEN)))
    return ClipLabels(
        captions=captions,
        ticks=_ticks(request.now.swing, script),
        start_ns=request.start_ns,
        stop_ns=request.stop_ns,
        zero=zero_words(request.now.swing),
        now_word=request.now.word,
        then_word=request.then.word if request.then else "",
        mark=request.mark,
    )


def _dated(side: ClipSide) -> str:
    day = date_words(side.swing.facts.struck_at.date())
    return ", ".join(word for word in (side.word, day) if word)


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
    request: ClipRequest,
    layout: Layout,
    script: ClipScript,
    tracks: Mapping[str, Track],
    laid: Mapping[View, Track],
) -> tuple[str, ...]:
    said = []
    for field in layout.fields:
        side = request.side(field.side)
        who = _who(side, field.view)
        why = why_missing(side, field.view)
        said += [f"{who}: {why}."] if why else _of_track(who, side, field.view, tracks[field.name])
    said += _laid_words(request, layout, tracks, laid)
    if laid or any(field.side is Side.THEN for field in layout.fields):
        said += _of_map(request.time_map, request)
    return (*said, *_not_held(script), *_how_exact(request, tracks, laid))


def _laid_words(
    request: ClipRequest, layout: Layout, tracks: Mapping[str, Track], laid: Mapping[View, Track]
) -> list[str]:
    """Of each view by what the earlier picture is laid over today's, or why it isn't."""
    said: list[str] = []
    for field in layout.fields if request.over else ():
        if field.side is Side.THEN or field.name not in tracks:
            continue
        side, view = request.side(Side.THEN), field.view
        if view not in laid:
            said.append(f"Today alone, {view}: the earlier swing has no picture to lay over it.")
            continue
        said.append(f"{view}: {request.over[view].said}")
        if field_name(Side.THEN, view) not in tracks:
            said += _of_track(_who(side, view), side, view, laid[view])
    return said


def _who(side: ClipSide, view: View) -> str:
    return f"{side.word or date_words(side.swing.facts.struck_at.date())}, {view}"


def _not_held(script: ClipScript) -> list[str]:
    """One sentence, however many moments it is about."""
    by_why: dict[str, list[str]] = {}
    for gone in script.not_held:
        by_why.setdefault(gone.why, []).append(f'"{gone.moment}"')
    parts = [f"because {why}: {', '.join(moments)}" for why, moments in by_why.items()]
    return [f"Not held, {'; '.join(parts)}."] if parts else []


def _how_exact(
    request: ClipRequest, tracks: Mapping[str, Track], laid: Mapping[View, Track]
) -> list[str]:
    """How far a picture may be from the time beside it, and that time from the true one."""
    off_ns = max((track.off_ns for track in (*tracks.values(), *laid.values())), default=0)
    known = []
    for which, view in request.cells:
        is_shown = field_name(which, view) in tracks or (which is Side.THEN and view in laid)
        side = request.side(which) if is_shown else None
        sync = side.swing.sync(view) if side else None
        if side is not None and sync is not None:
            known.append(f"{_who(side, view)} ± {_ms_words(round(COVERAGE * sync.u_ns))}")
    return [
        f"Each picture is the recorded one nearest to the time shown, at most {_ms_words(off_ns)} "
        f"from it; on top of that contact is known to: {'; '.join(known)}."
    ]


def _ms_words(ns: int) -> str:
    ms = ns / (NS_PER_S // 1000)
    return f"{ms:.0f} ms" if ms >= 10 else f"{ms:.1f} ms"


def _of_track(who: str, side: ClipSide, view: View, track: Track) -> list[str]:
    said = []
    sync = side.swing.sync(view)
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
