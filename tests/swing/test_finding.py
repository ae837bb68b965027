"""The eleven moments from motion, arms and club of invented golfers, against their own truth."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from capturestation.records import Hand, Mark, MarkSource, Moment, View
from capturestation.swing.body import tall_px
from capturestation.swing.finding import ARM, METHOD, SHOULDER_OVER, Watched, find_all
from capturestation.swing.tracks import MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.moments import find_moments
from sample_sessions.people import pitching, somebody
from tests.helpers.invented_tracks import camera_of, club_projected, moved, projected, times

LEVEL = (
    Moment.TAKEAWAY, Moment.LEAD_ARM_LEVEL_BACK, Moment.LEAD_ARM_LEVEL_DOWN,
    Moment.SHAFT_LEVEL_DOWN, Moment.SHAFT_LEVEL_THROUGH, Moment.TRAIL_ARM_LEVEL_THROUGH,
)  # fmt: skip
BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


@cache
def golfer_of(seed: int, hand: Hand, *, is_pitch: bool = False) -> Golfer:
    swing = somebody(seed, hand=hand)
    return Golfer(pitching(swing) if is_pitch else swing)


def watched(
    golfer: Golfer, view: View, *, body: bool = True, club: bool = True, off_px: float = 2.0
) -> Watched:
    """What lookers see of a golfer in a view: a little off, shoulders as high as networks do."""
    random = np.random.default_rng(5)
    stamps = times(-1.6, 0.9, 8_333_333)
    camera = camera_of(view, golfer.swing.hand)
    joints = projected(view, golfer=golfer, camera=camera, times_ns=stamps)
    rough = joints.joints_px + random.normal(0.0, off_px, joints.joints_px.shape)
    for (seen_in, shoulder), over in SHOULDER_OVER.items():
        if seen_in is view:
            rough[:, shoulder.place, 1] -= over * ARM * tall_px(joints)
    shaft = club_projected(view, golfer=golfer, camera=camera, times_ns=stamps)
    angle = shaft.shaft_deg + random.normal(0.0, 2.0, len(stamps))
    return Watched(
        view=view,
        motion=moved(golfer),
        body=replace(joints, joints_px=rough) if body else None,
        club=replace(shaft, shaft_deg=angle) if club else None,
    )


def found(golfer: Golfer, *views: Watched) -> dict[Moment, Mark]:
    marks = find_all(views, hand=golfer.swing.hand, zero_u_ns=300_000)
    return {mark.moment: mark for mark in marks}


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("seed", [3, 8])
def test_level_moments_are_found_where_they_are(seed: int, hand: Hand) -> None:
    golfer = golfer_of(seed, hand)

    marks = found(golfer, *(watched(golfer, view) for view in BOTH))

    truth = find_moments(golfer)
    for moment in LEVEL:
        true_s, mark = truth[moment], marks[moment]
        assert true_s is not None
        assert mark.at_ns is not None
        assert abs(mark.at_ns / 1e9 - true_s) < 0.035, moment
        assert mark.method == METHOD


def test_marks_keep_the_order_of_the_moments() -> None:
    golfer = golfer_of(3, Hand.RIGHT)

    marks = find_all([watched(golfer, view) for view in BOTH], hand=Hand.RIGHT, zero_u_ns=300_000)

    times_ns = [mark.at_ns for mark in marks if mark.at_ns is not None]
    assert [mark.moment.place for mark in marks] == sorted(mark.moment.place for mark in marks)
    assert times_ns == sorted(times_ns)
    assert all(mark.source is MarkSource.FOUND for mark in marks)


def test_a_pitch_never_gets_the_arms_level_and_that_is_said() -> None:
    golfer = golfer_of(3, Hand.RIGHT, is_pitch=True)

    marks = found(golfer, *(watched(golfer, view) for view in BOTH))

    absent = {moment for moment, mark in marks.items() if not mark.occurs}
    assert absent == {
        Moment.LEAD_ARM_LEVEL_BACK, Moment.LEAD_ARM_LEVEL_DOWN, Moment.TRAIL_ARM_LEVEL_THROUGH,
    }  # fmt: skip


def test_one_view_alone_will_do() -> None:
    golfer = golfer_of(8, Hand.RIGHT)

    marks = found(golfer, watched(golfer, View.DOWN_THE_LINE))

    assert set(LEVEL) <= set(marks)


def test_without_a_body_only_what_motion_shows_is_found() -> None:
    golfer = golfer_of(8, Hand.RIGHT)

    marks = found(golfer, watched(golfer, View.FACE_ON, body=False, club=False))

    assert Moment.LEAD_ARM_LEVEL_DOWN not in marks
    assert {Moment.SET, Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT} <= set(marks)


def test_without_a_club_its_moments_are_known_less_well() -> None:
    golfer = golfer_of(8, Hand.RIGHT)

    with_club = found(golfer, watched(golfer, View.FACE_ON))
    without = found(golfer, watched(golfer, View.FACE_ON, club=False))

    for moment in (Moment.TAKEAWAY, Moment.SHAFT_LEVEL_DOWN):
        assert _width(without[moment]) > 2 * _width(with_club[moment])
        assert without[moment].confidence < with_club[moment].confidence
    assert Moment.SHAFT_LEVEL_THROUGH not in without


def test_where_nothing_moves_only_impact_is_known() -> None:
    still = MotionTrack(
        times_ns=np.arange(100, dtype=np.int64) * 8_000_000 - 400_000_000, energy=np.zeros(100)
    )

    marks = find_all([Watched(view=View.FACE_ON, motion=still)], hand=Hand.RIGHT, zero_u_ns=300_000)

    assert [mark.moment for mark in marks] == [Moment.IMPACT]


def _width(mark: Mark) -> int:
    assert mark.late_ns is not None
    assert mark.early_ns is not None
    return mark.late_ns - mark.early_ns
