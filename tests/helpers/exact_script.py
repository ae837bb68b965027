"""What a clip must show when, in exact fractions and by another way than the station's own."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from fractions import Fraction

from capturestation.records import NS_PER_S, Moment
from capturestation.station.handout import ClipRequest


def expected_now_ns(request: ClipRequest, marks_ns: Mapping[Moment, int]) -> list[Fraction]:
    """Walk through the clip in small exact steps: play a step, or stand while a hold lasts.

    Args:
        request: What was asked for.
        marks_ns: When the moments are in today's swing; those that are held and lie in the clip
            count.
    """
    pace = request.pace
    held = sorted(
        at
        for moment, at in marks_ns.items()
        if moment in pace.moments and request.start_ns <= at <= request.stop_ns
    )
    step = 1 / pace.rate_hz
    clip_s = Fraction(0)
    times: list[Fraction] = []
    while True:
        at = _stand_or_play(clip_s, held, request)
        if at > request.stop_ns:
            return times
        times.append(at)
        clip_s += step


def _stand_or_play(clip_s: Fraction, held: Sequence[int], request: ClipRequest) -> Fraction:
    pace = request.pace
    left_s, at = clip_s, Fraction(request.start_ns)
    for mark in held:
        to_mark_s = (mark - at) / NS_PER_S / pace.slow
        if left_s < to_mark_s:
            break
        at, left_s = Fraction(mark), left_s - to_mark_s
        stood = min(left_s, pace.hold_s)
        left_s -= stood
        if left_s == 0 and stood < pace.hold_s:
            break
    return at + left_s * pace.slow * NS_PER_S


def through_knots(now_ns: Fraction, knots: Sequence[tuple[int, int]]) -> Fraction:
    """The earlier swing's time by the shared marks' own proportions; real speed outside them."""
    first, last = knots[0], knots[-1]
    if now_ns <= first[0]:
        return first[1] + now_ns - first[0]
    for (now_a, then_a), (now_b, then_b) in itertools.pairwise(knots):
        if now_ns <= now_b:
            return then_a + (now_ns - now_a) * Fraction(then_b - then_a, now_b - now_a)
    return last[1] + now_ns - last[0]
