"""How well it is known when a golfer leaves his finish, by rendered golfers who walk off."""

from __future__ import annotations

import numpy as np

from capturestation.records import NS_PER_S, Box, Moment, hand_mark
from capturestation.swing.body import cleaned
from capturestation.swing.figure import Figure, Pictured, upright
from capturestation.swing.held import held_finish
from capturestation.swing.measuring import Errors
from capturestation.tracking.body import BodyTracker
from sample_sessions.clothes import Clothes
from sample_sessions.moments import find_moments
from sample_sessions.people import somebody
from sample_sessions.render import Renderer
from tests.bench._many import answers, one_network
from tests.bench._moment_pictures import cameras_of
from tests.helpers.stepping import Stepping
from tests.helpers.true_figure import true_figure

HELD_BY = tuple(range(300, 308))
"""Seeds of the golfers by whom it was found: among those of the table, none of the benchmark's."""
_RATE_HZ, _LONG_S = 15.0, 2.6
# As many pictures as are looked at where nothing moves.
_STEP_NS = 8_333_333
_LEAST_S = 1.0 / _RATE_HZ / 3.0
# It is seen in one picture or the next; with a golfer and a camera that may stay so.


def held_error_s(seed: int) -> float:
    """By how much too late a golfer was seen to leave; NaN where he was not seen to."""
    swing = somebody(seed)
    random = np.random.default_rng((776, seed))
    turn, speed_m_s = random.uniform(0.0, 2.0 * np.pi), random.uniform(0.35, 0.8)
    way_m_s = speed_m_s * np.array([np.cos(turn), np.sin(turn), 0.0])
    found = find_moments(Stepping(swing, 9.0, way_m_s))
    set_s, finish_s = found[Moment.SET], found[Moment.FINISH]
    assert set_s is not None
    assert finish_s is not None
    golfer = Stepping(swing, finish_s + random.uniform(0.5, 1.7), way_m_s)
    after_s = np.arange(finish_s - 0.2, finish_s + _LONG_S, 1.0 / _RATE_HZ)
    times_ns = np.round(np.append([set_s - 0.1, set_s - 0.03, set_s], after_s) * NS_PER_S)
    set_ns, finish_ns = (round(at * NS_PER_S) for at in (set_s, finish_s))
    views = {}
    for camera in cameras_of(swing.hand, seed):
        renderer = Renderer(golfer, camera, Clothes())
        box = Box(left=0.15, top=0.05, right=0.85, bottom=0.95)
        tracker = BodyTracker(one_network(), hand=swing.hand, box=box)
        for number, time_ns in enumerate(times_ns):
            tracker.see(renderer.frame(time_ns / NS_PER_S, number=number), int(time_ns))
        body = cleaned(tracker.track(), view=camera.view, hand=swing.hand)
        views[camera.view] = Pictured(body=body)
    instants = np.arange(finish_ns, int(times_ns[-1]), _STEP_NS, dtype=np.int64)
    seen = upright(views, hand=swing.hand, set_ns=set_ns, times_ns=instants)
    true, _ = true_figure(golfer, instants, set_ns)
    return _held_s(seen, finish_ns) - _held_s(true, finish_ns)


def _held_s(figure: Figure, finish_ns: int) -> float:
    mark = hand_mark(Moment.FINISH, finish_ns)
    result = held_finish(figure, [mark], stated=Errors(u_random=0.0, u_systematic=0.0))
    return float("nan") if result.measured is None else result.measured.value


def held_row(name: str) -> tuple[str, str, str, str]:
    """The table's row: random by what differs from golfer to golfer, the mean taken off."""
    errors = np.array(answers(held_error_s, HELD_BY))
    told = errors[np.isfinite(errors)]
    random = max(float(np.std(told, ddof=1)), _LEAST_S)
    return name, f"{random:.3g}", f"{_LEAST_S:.3g}", f"{np.mean(told):.3g}"
