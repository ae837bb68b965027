"""What the bar of time shows of the state: which stretch, which moments, which words.

Owns the choice of the stretch: the swing itself where its ends are known, else all that was
recorded. Whoever goes beyond it sees all.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from capturestation.drawing.bench_bar import BarMoment, BarState
from capturestation.drawing.grid import Side
from capturestation.drawing.theme import time_words
from capturestation.records import NS_PER_S, MarkSource, Moment
from capturestation.station.bench.state import BenchState

BEFORE_NS, AFTER_NS = NS_PER_S // 2, NS_PER_S // 2
"""Air on both sides of the swing."""
USUAL_START_NS, USUAL_STOP_NS = -5 * NS_PER_S // 2, 3 * NS_PER_S // 2
"""A swing whose ends nobody knows: a second and a half back and down, a second after."""


def bar_state(
    state: BenchState, *, held: Moment | None = None, held_ns: int | None = None
) -> BarState:
    """The bar as it stands.

    Args:
        state: The Bench.
        held: A moment that is chosen.
        held_ns: Where it is being moved to.
    """
    moments = _moments(state, held, held_ns)
    start_ns, stop_ns = span_of(state)
    then, at_ns = state.then, state.transport.at_ns
    return BarState(
        start_ns=start_ns,
        stop_ns=stop_ns,
        at_ns=at_ns,
        words=place_words(state),
        moments=moments,
        then_ns=_then_ns(state),
        then_word="" if then is None else then.word,
        loop=state.transport.loop,
        chosen=held,
        aside=_apart_words(state),
    )


def _apart_words(state: BenchState) -> str:
    """How far the two pictures of today's swing are apart in time."""
    apart_ns = state.apart_ns(Side.NOW)
    return "" if apart_ns is None else f"views {apart_ns / 1e6:.1f} ms apart"


def span_of(state: BenchState) -> tuple[int, int]:
    """The stretch of time that the bar shows, swing clock."""
    transport, now = state.transport, state.now
    whole = transport.first_ns, transport.last_ns
    if now is None:
        return whole
    times = now.moments_ns
    begins = [times[m] for m in (Moment.SET, Moment.CLUB_STARTS) if m in times]
    start = min(begins) - BEFORE_NS if begins else USUAL_START_NS
    stop = times[Moment.FINISH] + AFTER_NS if Moment.FINISH in times else USUAL_STOP_NS
    start, stop = max(start, whole[0]), min(stop, whole[1])
    return (start, stop) if start <= transport.at_ns <= stop and start < stop else whole


def _moments(state: BenchState, held: Moment | None, held_ns: int | None) -> tuple[BarMoment, ...]:
    now = state.now
    if now is None:
        return ()
    found = []
    for moment, at_ns in now.moments_ns.items():
        mark = now.marks.get(moment)
        known = mark is not None and mark.early_ns is not None and mark.late_ns is not None
        early, late = (
            (mark.early_ns, mark.late_ns) if mark is not None and known else (at_ns, at_ns)
        )
        one = BarMoment(
            moment=moment,
            at_ns=at_ns,
            early_ns=at_ns if early is None else early,
            late_ns=at_ns if late is None else late,
            by_hand=moment is Moment.IMPACT
            or (mark is not None and mark.source is MarkSource.HAND),
        )
        if moment is held and held_ns is not None:
            one = replace(one, at_ns=held_ns, early_ns=held_ns, late_ns=held_ns)
        found.append(one)
    return tuple(sorted(found, key=lambda one: (one.at_ns, one.moment.place)))


def _then_ns(state: BenchState) -> tuple[int, ...]:
    """The earlier swing's moments at their place on today's clock."""
    then, laid = state.then, state.time_map
    if then is None or laid is None:
        return ()
    times = np.array(list(then.moments_ns.values()), np.int64) - state.nudge_ns
    return tuple(int(at) for at in laid.now_from_then(times))


def place_words(state: BenchState) -> str:
    """Where we are: the moment's name where we stand on one, and the time to impact."""
    now, at_ns = state.now, state.transport.at_ns
    if now is None:
        return ""
    half_ns = state.transport.frame_ns // 2 + 1
    near = [m for m, at in now.moments_ns.items() if abs(at - at_ns) <= half_ns]
    words = time_words(at_ns, now.zero_words)
    if near and str(near[0]) != words:
        words = f"{near[0]}, {words}"
    return words
