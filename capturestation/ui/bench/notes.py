"""The quiet line below everything: how far apart, laid together by what, what can't be shown."""

from __future__ import annotations

from capturestation.drawing.grid import Side
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.ui.texts import say


def notes_of(state: BenchState) -> tuple[str, ...]:
    """What the coach should be able to read at any time, a sentence each."""
    now, then = state.now, state.then
    if now is None:
        return ()
    notes = []
    for seen, side in ((now, Side.NOW), (then, Side.THEN)):
        apart = state.apart_ns(side)
        if seen is not None and apart is not None:
            notes.append(say("bench.apart", whose=seen.word, ms=f"{apart / 1e6:.1f}"))
    if then is not None and state.time_map is not None:
        notes.append(state.time_map.said)
        if state.nudge_ns:
            notes.append(say("bench.nudged", ms=f"{state.nudge_ns / 1e6:+.1f}"))
        notes += _placed(state)
    notes += now.said
    notes += () if then is None else then.said
    return tuple(notes)


def _placed(state: BenchState) -> list[str]:
    """By what the earlier pictures are laid over; once where both say the same."""
    if state.arrangement is not Arrangement.OVER or state.then is None or state.now is None:
        return []
    both = [v for v in state.views if v in state.now.frames and v in state.then.frames]
    said = {}
    for view in both:
        laid = state.laid(view)
        said[view] = say("bench.not_placed") if laid is None else laid.said
    if len(set(said.values())) == 1:
        return [next(iter(said.values()))]
    return [say("bench.placed", view=view, said=words) for view, words in said.items()]
