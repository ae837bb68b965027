"""A finish is held until hips or feet leave their place; a short recording is not called short."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from capturestation.records import NS_PER_S, ClubGroup, Mark, Moment, Result, SwingKind, hand_mark
from capturestation.swing.checks import Verdict, answers, usual_checks
from capturestation.swing.figure import Figure
from capturestation.swing.held import HELD, held_finish
from capturestation.swing.measuring import Errors
from sample_sessions.people import somebody
from tests.helpers.stepping import Stepping
from tests.helpers.true_figure import true_figure

FINISH_S, SET_NS = 0.9, round(-1.3 * NS_PER_S)
MARK = hand_mark(Moment.FINISH, round(FINISH_S * NS_PER_S))
WALKS = np.array([0.3, -0.4, 0.0])


@cache
def figure(leaves_s: float = 99.0, until_s: float = 4.0) -> Figure:
    golfer = Stepping(somebody(3), leaves_s, WALKS)
    times_ns = np.arange(0.0, until_s, 1 / 60) * NS_PER_S
    return true_figure(golfer, times_ns.astype(np.int64), SET_NS)[0]


STATED = Errors(u_random=0.08, u_systematic=0.0, offset=0.02)


def held(there: Figure | None, *, marks: tuple[Mark, ...] = (MARK,)) -> Result:
    return held_finish(there, marks, stated=STATED)


@pytest.mark.parametrize("after_s", [0.4, 1.2, 2.5])
def test_it_ends_soon_after_the_golfer_walks_off(after_s: float) -> None:
    measured = held(figure(FINISH_S + after_s)).measured

    assert measured is not None
    assert after_s < measured.value + STATED.offset <= after_s + 0.25
    assert measured.unit == "s"
    assert measured.u_random >= 0.08
    assert measured.cause == "when the golfer leaves it"


def test_held_to_the_end_of_a_long_recording_it_was_held_so_long() -> None:
    measured = held(figure()).measured

    assert measured is not None
    assert measured.value == pytest.approx(4.0 - FINISH_S, abs=0.05)
    assert measured.cause == "until the recording ends"


def test_a_recording_that_ends_too_soon_says_how_far_it_was_held() -> None:
    result = held(figure(until_s=2.1))

    assert result.measured is None
    assert result.why_missing.startswith("It was held for 1.2 s until the body is not seen")


def test_a_joint_seen_wrongly_for_a_moment_is_no_step() -> None:
    there = figure()
    points = there.points.copy()
    after = np.flatnonzero(there.times_ns > 1.5 * NS_PER_S)[:5]
    points[after] += 0.3

    measured = held(Figure(times_ns=there.times_ns, points=points)).measured

    assert measured is not None
    assert measured.cause == "until the recording ends"


def test_without_a_finish_or_a_body_it_says_why() -> None:
    unseen = Figure(times_ns=figure().times_ns, points=np.full_like(figure().points, np.nan))

    assert held(figure(), marks=()).why_missing == "'finish' is not marked."
    assert held(None).why_missing == "Nobody looked for the body."
    assert held(unseen).why_missing == "It needs the body there."


@pytest.mark.parametrize(
    ("there", "verdict"),
    [
        (figure(), Verdict.WORKS),
        (figure(FINISH_S + 0.8), Verdict.NOT_YET),
        (figure(until_s=2.1), Verdict.CANNOT_TELL),
    ],
)
def test_the_usual_check_of_it_is_answered(there: Figure, verdict: Verdict) -> None:
    told = answers(usual_checks(), [held(there)], SwingKind.FULL, ClubGroup.IRON)

    assert next(one.verdict for one in told if one.check.measure == HELD) is verdict
